//! Tables in which the channel's number stands behind the values, or its name behind the words of those: they are put in
//! front of their row, where all others have them.

use super::super::heads;
use super::super::text::{Row, plain};
use super::super::token::{self, Token, What};
use super::super::words::listed;
use super::{CHANNEL_HEADS, VALUE_HEADS, cells_at};

/// How wide the column is that the numbers are put into.
const WIDTH: usize = 8;
/// And the one that the names are put into.
const NAME: usize = 32;

/// The head of a table whose one column of channels is behind one of values: where that stands.
fn head(row: &Row) -> Option<(usize, usize)> {
    let cells = cells_at(row);
    let is_channel = |cell: &str| listed(CHANNEL_HEADS, &plain(cell));
    let place = cells.iter().position(|(_, cell)| is_channel(cell))?;
    let valued = cells[..place].iter().any(|(_, cell)| listed(VALUE_HEADS, &plain(cell)));
    let once = cells.iter().filter(|(_, cell)| is_channel(cell)).count() == 1;
    let (at, cell) = &cells[place];
    (cells.len() >= 3 && valued && once).then(|| (*at, at + cell.chars().count()))
}

/// A number alone in a cell of a row, below the head: it, where it begins and where it ends.
fn number(row: &Row, (from, to): (usize, usize)) -> Option<(u32, usize, usize)> {
    cells_at(row).iter().skip(1).find_map(|(at, cell)| {
        let end = at + cell.chars().count();
        let number = cell.parse().ok().filter(|number| (1..=512).contains(number))?;
        (end + 2 >= from && *at <= to + 2).then_some((number, *at, end))
    })
}

/// What a column of channels' names is headed by.
const NAMES: &str = "function|funktion|fonction|funcion|funzione|functie|parameter|parametro|parametre|name|feature|bezeichnung";

/// Where the last column begins, if that is what the channels are called.
fn names(head: &Row, (_, end): (usize, usize)) -> Option<usize> {
    let cells = cells_at(head);
    let (at, cell) = cells.last()?;
    (*at > end && listed(NAMES, &plain(cell))).then_some(*at)
}

/// The head of a table whose channels are first and whose names are last, behind the words of the values: where the values
/// begin, and where the names do.
fn names_last(row: &Row) -> Option<(usize, usize)> {
    const WORDS: &str = "description|descriptions|meaning|detail|details|beschreibung|bedeutung|signification|descripcion|\
        significado|descrizione|significato|omschrijving|betekenis|explanation|remark|remarks|bemerkung";
    let cells = cells_at(row);
    let [(_, channel), (values, value), (_, words), .., (name_at, name)] = cells.as_slice() else {
        return None;
    };
    let fits = listed(CHANNEL_HEADS, &plain(channel))
        && listed(VALUE_HEADS, &plain(value))
        && listed(WORDS, &plain(words))
        && listed(NAMES, &plain(name));
    (cells.len() == 4 && fits).then_some((*values, *name_at))
}

/// The rows with the names of channels in front of the values, where their column is the last.
fn names_in_front(rows: Vec<Row>) -> Vec<Row> {
    let mut columns = None;
    rows.into_iter()
        .map(|row| {
            let head = names_last(&row);
            columns = head.or(columns);
            let Some((values, names)) = columns.filter(|_| head.is_none()) else { return row };
            let cells = cells_at(&row);
            let is_number =
                |cell: &str| cell.trim_start_matches(char::is_alphabetic).trim().parse::<u32>().is_ok();
            let first = cells.first().filter(|(at, cell)| *at < values && is_number(cell));
            let named = cells.last().filter(|(at, _)| at + 2 >= names && *at > values);
            if cells.is_empty() || first.is_none() && cells[0].0 + 2 < values {
                // A heading, the foot of a page.
                return row;
            }
            let cut = first.map_or(0, |(at, cell)| at + cell.chars().count());
            let rest = named.map_or(row.chars.len(), |(at, _)| *at);
            let mut chars = row.chars[..cut].to_vec();
            chars.resize(WIDTH.max(cut + 2), ' ');
            chars.extend(&row.chars[rest..]);
            chars.resize((WIDTH + NAME).max(chars.len() + 2), ' ');
            chars.extend(row.chars[cut..rest].iter().skip_while(|c| c.is_whitespace()));
            let end = chars.iter().rposition(|c| !c.is_whitespace()).map_or(0, |at| at + 1);
            chars.truncate(end);
            Row { line: row.line, chars }
        })
        .collect()
}

/// The number right behind a row's one range, with no other behind it: where it stands in the row.
fn follows(row: &[Token]) -> Option<(u32, usize, usize)> {
    let spans = |token: &Token| matches!(token.what, What::Span(from, to) if from <= to && to <= 255);
    let at = row.iter().position(spans)?;
    let [number, rest @ ..] = row.get(at + 1..)? else { return None };
    let What::Number(value) = number.what else { return None };
    let others = row[..at]
        .iter()
        .chain(rest.first())
        .any(|token| matches!(token.what, What::Number(_) | What::Label(..)));
    (!others && value > 0).then_some((value, number.at, number.end))
}

/// Numbers right behind the values that count the channels, in a text whose gaps were lost: "000-255 1 Red".
fn counted(rows: Vec<Row>) -> Vec<Row> {
    let tokens = token::tokens(&rows);
    let found: Vec<Option<(u32, usize, usize)>> =
        (0..rows.len()).map(|row| follows(token::of_row(&tokens, row))).collect();
    let numbers: Vec<u32> = found.iter().flatten().map(|(number, ..)| *number).collect();
    let counts = numbers.first() == Some(&1)
        && numbers.windows(2).all(|pair| pair[1] == pair[0] + 1 || pair[1] == 1 && pair[0] > 1);
    if numbers.len() < 4 || !counts {
        return rows;
    }
    let front = |(mut row, found): (Row, Option<(u32, usize, usize)>)| {
        if let Some((number, at, end)) = found {
            row.chars.drain(at..end);
            row.chars.splice(0..0, format!("CH{number}  ").chars());
        }
        row
    };
    rows.into_iter().zip(found).map(front).collect()
}

/// The rows with channels' numbers in front, and their names where those are the last column.
pub(super) fn in_front(rows: Vec<Row>) -> Vec<Row> {
    let rows = names_in_front(rows);
    let lost = !rows.iter().any(|row| head(row).is_some());
    let rows = if lost { counted(rows) } else { rows };
    let mut out = Vec::with_capacity(rows.len());
    let mut column = None;
    let mut named = None;
    for (index, row) in rows.iter().enumerate() {
        if let Some(found) = head(row) {
            let mut below = rows[index + 1..].iter().take_while(|row| head(row).is_none());
            column =
                (below.by_ref().filter(|row| number(row, found).is_some()).count() >= 3).then_some(found);
            named = names(row, found);
            out.push(row.clone());
            continue;
        }
        // Columns of several modes are another table's.
        if heads::modes_of(row) > 0 {
            column = None;
        }
        let Some(place) = column else {
            out.push(row.clone());
            continue;
        };
        let found = number(row, place);
        let mut chars: Vec<char> =
            found.map(|(number, ..)| format!("CH{number}")).unwrap_or_default().chars().collect();
        chars.resize(WIDTH, ' ');
        let cells = named.map(|_| cells_at(row)).unwrap_or_default();
        let name = cells.last().map(|(at, _)| *at).filter(|at| {
            named.is_some_and(|named| at + 2 >= named) && found.is_none_or(|(_, _, end)| *at >= end)
        });
        let rest = name.unwrap_or(row.chars.len());
        if named.is_some() {
            chars.extend(&row.chars[rest..]);
            chars.resize(WIDTH + NAME.max(row.chars.len() - rest + 2), ' ');
        }
        let (at, end) = found.map_or((rest, rest), |(_, at, end)| (at, end));
        chars.extend(&row.chars[..at]);
        chars.extend(std::iter::repeat_n(' ', end - at));
        chars.extend(&row.chars[end..rest]);
        while chars.last().is_some_and(|c| c.is_whitespace()) {
            chars.pop();
        }
        out.push(Row { line: row.line, chars });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    /// The cells of all rows but the first.
    fn below_the_head(text: &str) -> Vec<Vec<String>> {
        let cells = |row: &Row| cells_at(row).into_iter().map(|(_, cell)| cell).collect();
        in_front(rows(text)).iter().skip(1).map(cells).collect()
    }

    #[test]
    fn names_behind_the_words_of_values_come_to_the_front() {
        let text = "CH   Value    Description   Function\n1    000-255  0 to 540      Pan\n2    000-009  white\n\
            \u{20}    010-019  red           Colour wheel\n     020-255  rotation\nPage 3\n";
        assert_eq!(
            below_the_head(text),
            [
                vec!["1", "Pan", "000-255", "0 to 540"],
                vec!["2", "000-009", "white"],
                vec!["Colour wheel", "010-019", "red"],
                vec!["020-255", "rotation"],
                vec!["Page 3"]
            ]
        );
    }

    #[test]
    fn numbers_behind_the_values_count_channels_where_gaps_were_lost() {
        let text = "Description Value Channel\nDimmer 0-191 1\nStrobe 192-255\nRed 0-255 2\nGreen 0-255 3\nBlue 0-255 4\n";
        let read: Vec<String> = in_front(rows(text)).iter().map(Row::text).collect();
        assert_eq!(read[1..4], ["CH1  Dimmer 0-191 ", "Strobe 192-255", "CH2  Red 0-255 "]);
        // Numbers that do not count are words.
        let text = "Dimmer 0-255 1\nRed 0-255 3\nGreen 0-255 3\nBlue 0-255 7\n";
        assert_eq!(in_front(rows(text)), rows(text));
    }

    #[test]
    fn numbers_behind_the_values_and_names_behind_all_come_to_the_front() {
        let text = "VALUE      CH.   MEANING      FUNCTION\n000~255    1     0 to 100%    Red\n\
            000~007    2     none         Strobe\n008~255          slow to fast\n000~255    3     0 to 100%    Blue\n";
        assert_eq!(
            below_the_head(text),
            [
                vec!["CH1", "Red", "000~255", "0 to 100%"],
                vec!["CH2", "Strobe", "000~007", "none"],
                vec!["008~255", "slow to fast"],
                vec!["CH3", "Blue", "000~255", "0 to 100%"]
            ]
        );
        // A number that is the last of its row, as near to the names' column as it may be, is no name.
        let text = "VALUE      CH.  FUNCTION\n000~255    1    Red\n000~255    2    Green\n000~255    3    Blue\n000~255        4\n";
        let read: Vec<String> = in_front(rows(text)).iter().map(|row| row.text().trim().to_owned()).collect();
        assert_eq!(read[4].split_whitespace().collect::<Vec<_>>(), ["CH4", "000~255"]);
    }
}
