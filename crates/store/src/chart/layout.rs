//! Tables that are not one row below the other: two side by side, several channels in one row, cells between commas, a grid
//! of channel numbers. Their rows are laid out anew, each with the number of the line that it came from.

mod across;
mod behind;
mod blocks;
mod falling;
mod margin;
mod one_cell;
mod runs;
mod stacked;

use super::heads;
use super::subject::{self, Subject};
use super::text::{Row, plain};
use super::token::CONDITION_WORDS;
use super::words::{Said, is_number, listed};

/// The rows, one below the other.
pub(super) fn one_below_the_other(rows: Vec<Row>) -> Vec<Row> {
    let rows = commas(rows);
    let rows = runs::beside(rows);
    let rows = stacked::beside(rows);
    let rows = one_cell::beside(rows);
    let rows = aligned(rows);
    let rows = margin::without(rows);
    let rows = blocks::beside(rows);
    let rows = falling::upwards(rows);
    let rows = across::one_by_one(rows);
    let rows = behind::in_front(rows);
    let rows = side_by_side(rows);
    let rows = grids(rows);
    rows.into_iter().flat_map(several_channels).collect()
}

/// What the column of channel numbers, and that of values, are headed by.
const CHANNEL_HEADS: &str = "ch|passage|channel|channels|chan|kanal|kanaal|canal|canale|voie|dmx channel|dmx ch|no|chanel|nr|kanale|canaux|canales|canali|\
    dmx kanal|canal dmx|voie dmx|canale dmx|slot|slots|n";
const VALUE_HEADS: &str = "value|values|dmx value|dmx values|wert|werte|dmx wert|valeur|valeurs|valor|valores|valore|valori|range|dmx|dmx range|\
    bereich|waarde|waarden|plage|valeur dmx|valor dmx|valore dmx|wertebereich|decimal";

/// The cells of a row, apart by two blanks or a tab, each with where it begins.
pub(super) fn cells_at(row: &Row) -> Vec<(usize, String)> {
    pieces_at(row, 2)
}

/// The words of a row, each with where it begins.
pub(super) fn words_at(row: &Row) -> Vec<(usize, String)> {
    pieces_at(row, 1)
}

/// What stands apart in a row by so many blanks, or by a tab.
fn pieces_at(row: &Row, least: usize) -> Vec<(usize, String)> {
    let mut out: Vec<(usize, String)> = Vec::new();
    let mut gap = 2;
    for (at, c) in row.chars.iter().enumerate() {
        if c.is_whitespace() {
            gap += if *c == '\t' { 2 } else { 1 };
            continue;
        }
        match out.last_mut() {
            Some((_, cell)) if gap < least => {
                cell.extend(std::iter::repeat_n(' ', gap));
                cell.push(*c);
            }
            _ => out.push((at, c.to_string())),
        }
        gap = 0;
    }
    out
}

/// Puts the words of a row behind those of another, as a cell of its own.
fn put_beside(row: &mut Row, other: &Row) {
    row.chars.extend([' ', ' ']);
    row.chars.extend(other.text().trim().chars());
}

fn row(line: u32, text: &str) -> Row {
    Row { line, chars: text.chars().collect() }
}

/// Cells between commas (with quotes around those that hold one) become cells between tabs.
fn commas(rows: Vec<Row>) -> Vec<Row> {
    let is_csv = |row: &Row| {
        let text = row.text();
        let cells: Vec<&str> = text.split(',').collect();
        cells.len() >= 4 && cells[..3].iter().all(|cell| is_number(cell.trim()) && !cell.trim().is_empty())
    };
    let count = rows.iter().filter(|row| is_csv(row)).count();
    if count < 3 || count * 2 < rows.len() {
        return rows;
    }
    rows.into_iter()
        .map(|row| {
            let mut quoted = false;
            let chars = row.chars.iter().filter_map(|c| match c {
                '"' => {
                    quoted = !quoted;
                    None
                }
                ',' if !quoted => Some('\t'),
                c => Some(*c),
            });
            Row { line: row.line, chars: chars.collect() }
        })
        .collect()
}

/// Widest cell that a column is made as wide as.
const WIDEST: usize = 60;

/// A table whose cells are apart by tabs, some of them empty, with its columns one below the other as they were seen.
fn aligned(rows: Vec<Row>) -> Vec<Row> {
    let cells =
        |row: &Row| -> Vec<String> { row.text().split('\t').map(|cell| cell.trim().to_owned()).collect() };
    let tabbed: Vec<bool> = rows.iter().map(|row| cells(row).len() >= 4).collect();
    let whole = rows.iter().zip(&tabbed).filter(|(_, tabbed)| **tabbed).map(|(row, _)| cells(row));
    let Some(heads) = whole.clone().find(|cells| cells.iter().all(|cell| !cell.is_empty())) else {
        return rows;
    };
    let columns = heads.len();
    // Percent beside the values say the same once more.
    let valued = heads.iter().any(|head| listed(VALUE_HEADS, &plain(head)));
    let percent: Vec<bool> = heads
        .iter()
        .map(|head| {
            valued
                && (head == "%"
                    || listed("percent|prozent|pourcentage|porcentaje|percentuale|procent", &plain(head)))
        })
        .collect();
    let table: Vec<Vec<String>> = whole.collect();
    let holes = table.iter().filter(|cells| cells.iter().any(String::is_empty)).count();
    if table.len() < 4 || holes < 2 || table.iter().any(|cells| cells.len() > columns) {
        return rows;
    }
    let width = |at: usize| {
        let cells = table.iter().filter_map(|cells| cells.get(at));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0).min(WIDEST)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let lay = |row: Row, tabbed: bool| {
        if !tabbed {
            return row;
        }
        let mut chars: Vec<char> = Vec::new();
        for ((cell, width), percent) in cells(&row).iter().zip(&widths).zip(&percent) {
            let cell = if *percent { "" } else { cell };
            chars.extend(cell.chars());
            let pad = (width + 2).saturating_sub(cell.chars().count()).max(2);
            chars.extend(std::iter::repeat_n(' ', pad));
        }
        let end = chars.iter().rposition(|c| *c != ' ').map_or(0, |at| at + 1);
        chars.truncate(end);
        Row { line: row.line, chars }
    };
    rows.into_iter().zip(tabbed).map(|(row, tabbed)| lay(row, tabbed)).collect()
}

/// Where a row that heads a table begins the heads of a second table beside the first; and, where both share the column
/// of channel numbers, the width of that.
fn second_head(row: &Row) -> Option<(usize, usize)> {
    let text = row.text();
    let mut first: Option<(String, usize)> = None;
    let mut values: Option<(String, usize)> = None;
    let mut at = 0;
    for cell in text.split("  ") {
        let start = at;
        at += cell.chars().count() + 2;
        let name = plain(cell);
        let known = listed(CHANNEL_HEADS, &name);
        let lead = cell.chars().take_while(|c| c.is_whitespace()).count();
        let valued = name != "dmx" && listed(VALUE_HEADS, &name);
        if valued
            && let Some((earlier, width)) = &values
            && *earlier == name
            && first.is_some()
        {
            return Some((start + lead, *width));
        }
        if valued {
            values.get_or_insert((name.clone(), start + lead));
        }
        if !known {
            continue;
        }
        if first.as_ref().is_some_and(|(earlier, _)| *earlier == name) {
            return Some((start + lead, 0));
        }
        first.get_or_insert((name, start + lead));
    }
    None
}

/// Two tables side by side: the left one, then the right one.
fn side_by_side(rows: Vec<Row>) -> Vec<Row> {
    let Some((head, (column, shared))) =
        rows.iter().enumerate().find_map(|(index, row)| second_head(row).map(|at| (index, at)))
    else {
        return rows;
    };
    let blank = |row: &Row, at: usize| row.chars.get(at).is_none_or(|c| c.is_whitespace());
    let parts = |row: &Row| blank(row, column.saturating_sub(1)) && blank(row, column.saturating_sub(2));
    // Headings right above belong to the tables when something stands on both sides.
    let mut from = head;
    while from > 0 && head - from < 2 && parts(&rows[from - 1]) && rows[from - 1].chars.len() > column {
        from -= 1;
    }
    let mut to = head + 1;
    while to < rows.len() && parts(&rows[to]) {
        to += 1;
    }
    // Below the last row of the right one a heading begins another table.
    let beside =
        |row: &Row| row.chars.get(column..).is_some_and(|right| right.iter().any(|c| !c.is_whitespace()));
    let last = (from..to).rev().find(|at| beside(&rows[*at])).unwrap_or(head);
    if let Some(heading) = (last + 1..to).find(|at| heads::counts_only(&rows[*at])) {
        to = heading;
    }
    let (mut left, mut right) = (Vec::new(), Vec::new());
    for row in &rows[from..to] {
        let at = column.min(row.chars.len());
        let (one, other) = row.chars.split_at(at);
        for (side, chars) in [(&mut left, one), (&mut right, other)] {
            if chars.iter().any(|c| !c.is_whitespace()) {
                side.push(Row { line: row.line, chars: chars.to_vec() });
            }
        }
        // The channel's number stands on the left for both.
        if shared > 0
            && other.iter().any(|c| !c.is_whitespace())
            && let Some(last) = right.last_mut()
        {
            let mut chars = one[..shared.min(one.len())].to_vec();
            chars.resize(shared, ' ');
            chars.extend_from_slice(other);
            last.chars = chars;
        }
    }
    let mut out: Vec<Row> = rows[..from].to_vec();
    out.extend(left);
    out.extend(right);
    out.extend_from_slice(&rows[to..]);
    out
}

/// The cells of a row, apart by two blanks or a tab.
fn cells(row: &Row) -> Vec<String> {
    let text = row.text().replace('\t', "  ");
    text.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).map(str::to_owned).collect()
}

/// A grid: colours in the head, a row for each head with its channel numbers.
fn grids(rows: Vec<Row>) -> Vec<Row> {
    let mut out = Vec::with_capacity(rows.len());
    let mut colours: Vec<String> = Vec::new();
    for row_of_text in rows {
        let of_row = cells(&row_of_text);
        let head = of_row.len() >= 2
            && of_row.iter().all(|cell| {
                matches!(subject::subject(cell), Some(Subject::Emitter(_)))
                    && !cell.chars().any(|c| c.is_ascii_digit())
            });
        if head {
            colours = of_row;
            continue;
        }
        let numbers: Vec<u32> =
            of_row.iter().rev().take(colours.len()).filter_map(|cell| channel_number(cell)).collect();
        if colours.len() >= 2 && numbers.len() == colours.len() && of_row.len() == colours.len() + 1 {
            let name = &of_row[0];
            for (colour, number) in colours.iter().zip(numbers.iter().rev()) {
                out.push(row(row_of_text.line, &format!("CH{number}  {name} {colour}")));
            }
        } else {
            if !of_row.is_empty() {
                colours.clear();
            }
            out.push(row_of_text);
        }
    }
    out
}

/// "CH12", "12".
fn channel_number(cell: &str) -> Option<u32> {
    let text = plain(cell).replace("channel", "").replace("ch", "").replace("kanal", "");
    text.trim().parse().ok().filter(|number| (1..=512).contains(number))
}

/// "CH1 Red / CH2 Green": each channel on a row of its own, and what stands before the first as well.
fn several_channels(row_of_text: Row) -> Vec<Row> {
    let chars = &row_of_text.chars;
    let mut starts: Vec<usize> = Vec::new();
    let mut numbers: Vec<u32> = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        // Behind a bracket a condition begins: "(CH1: 0-15)".
        let begins = at == 0 || !chars[at - 1].is_alphanumeric() && chars[at - 1] != '(';
        if begins && let Some((number, end)) = label_at(chars, at) {
            starts.push(at);
            numbers.push(number);
            at = end;
        } else {
            at += 1;
        }
    }
    let worded = starts.windows(2).all(|pair| {
        let between: String = chars[pair[0]..pair[1]].iter().collect();
        let said = Said::new(&between);
        said.words().filter(|word| word.chars().any(char::is_alphabetic) && !is_label_word(word)).count() >= 1
    });
    // "CH10 Speed of CH9": channels of one row count up.
    let rises = numbers.windows(2).all(|pair| pair[1] > pair[0]);
    let text = row_of_text.text();
    let conditional = Said::new(&text).has(CONDITION_WORDS);
    if starts.len() < 2 || !worded || !rises || conditional {
        return vec![row_of_text];
    }
    let mut out = Vec::new();
    let mut ends: Vec<usize> = starts[1..].to_vec();
    ends.push(chars.len());
    if starts[0] > 0 {
        out.push(Row { line: row_of_text.line, chars: trimmed(&chars[..starts[0]]) });
    }
    for (start, end) in starts.iter().zip(ends) {
        out.push(Row { line: row_of_text.line, chars: trimmed(&chars[*start..end]) });
    }
    out.retain(|row| row.chars.iter().any(|c| c.is_alphanumeric()));
    out
}

/// Without separators at its end.
fn trimmed(chars: &[char]) -> Vec<char> {
    let end = chars
        .iter()
        .rposition(|c| !c.is_whitespace() && !matches!(c, '/' | ',' | ';' | '.'))
        .map_or(0, |at| at + 1);
    chars[..end].to_vec()
}

fn is_label_word(word: &str) -> bool {
    matches!(
        word.trim_end_matches(|c: char| c.is_ascii_digit()),
        "ch" | "channel" | "kanal" | "canal" | "canale" | "voie" | "chan"
    )
}

/// "CH 3" at a place: its number, and where it ends.
fn label_at(chars: &[char], at: usize) -> Option<(u32, usize)> {
    let word: String = chars[at..].iter().take_while(|c| c.is_alphabetic()).collect();
    if !is_label_word(&plain(&word)) {
        return None;
    }
    let mut end = at + word.chars().count();
    while chars.get(end).is_some_and(|c| matches!(c, '.' | ' ')) && end < at + word.chars().count() + 2 {
        end += 1;
    }
    let digits: String = chars[end.min(chars.len())..].iter().take_while(|c| c.is_ascii_digit()).collect();
    let number = Some(&digits).filter(|digits| (1..=3).contains(&digits.len()))?.parse().ok()?;
    Some((number, end + digits.len()))
}
