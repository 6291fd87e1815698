//! Tables that were copied one cell a line, each range of values followed by its words, or behind them: the words come beside
//! their values.

use super::super::heads;
use super::super::subject;
use super::super::text::Row;
use super::super::token::{self, Token, What};
use super::super::words::{is_column_head, is_noise};
use super::put_beside;

/// What a row is in such a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Is {
    /// Nothing but a channel's number, or its numbers in several modes.
    Number,
    /// Nothing but a range of values.
    Values,
    /// Nothing but words.
    Words,
    /// Anything else.
    Other,
}

/// The rows, with the words of each range beside it.
pub(super) fn beside(rows: Vec<Row>) -> Vec<Row> {
    let kinds = kinds(&rows);
    let is = |at: usize, kind: Is| kinds.get(at) == Some(&kind);
    let all = |kind: Is| (0..rows.len()).filter(move |at| is(*at, kind));
    let (values, numbers) = (all(Is::Values).count(), all(Is::Number).count());
    let runs = all(Is::Values).filter(|at| is(at + 1, Is::Values)).count();
    if values < 6 || numbers < 2 || runs * 10 > values {
        return rows;
    }
    // What stands right before a channel's number ends the channel above: its words, or its values. One with several ranges
    // says which, others may have no words at all.
    let ends = |kind: Is| {
        let at: Vec<usize> = all(Is::Number).collect();
        let several = |pair: &&[usize]| (pair[0]..pair[1]).filter(|at| is(*at, Is::Values)).count() >= 2;
        let ended = at.windows(2).filter(several).filter(|pair| is(pair[1] - 1, kind)).count();
        if at.windows(2).any(|pair| several(&pair)) {
            ended
        } else {
            at.iter().filter(|at| **at > 0 && is(**at - 1, kind)).count()
        }
    };
    let followed = all(Is::Values).filter(|at| is(at + 1, Is::Words)).count();
    let led = all(Is::Values).filter(|at| *at > 0 && is(at - 1, Is::Words)).count();
    if ends(Is::Words) > 3 * ends(Is::Values) && followed * 10 >= values * 7 && !is_named(&rows, &kinds) {
        words_behind(&rows, &kinds)
    } else if ends(Is::Values) > 3 * ends(Is::Words) && led * 10 >= values * 9 && is_led(&kinds) {
        words_before(&rows, &kinds)
    } else {
        rows
    }
}

/// A name stands above the first values, with no number above it: it would be told from words by nothing.
fn is_named(rows: &[Row], kinds: &[Is]) -> bool {
    let Some(first) = kinds.iter().position(|kind| *kind == Is::Values) else { return false };
    let words = kinds[..first].iter().rev().take_while(|kind| **kind == Is::Words).count();
    let numbered = first > words && kinds[first - words - 1] == Is::Number;
    !numbered && rows[first - words..first].iter().any(|row| subject::subject(&row.text()).is_some())
}

/// Numbers stand before their values, or behind them with a single name for the next in between.
fn is_led(kinds: &[Is]) -> bool {
    let first = |kind: Is| kinds.iter().position(|of_row| *of_row == kind);
    let numbers = || kinds.iter().enumerate().filter(|(_, kind)| **kind == Is::Number).map(|(at, _)| at);
    let single = numbers().filter(|at| kinds.get(at + 2) == Some(&Is::Values)).count();
    first(Is::Number) < first(Is::Values) || single * 10 >= numbers().count() * 7
}

/// All words that follow a range, line by line, belong to it.
fn words_behind(rows: &[Row], kinds: &[Is]) -> Vec<Row> {
    let mut out: Vec<Row> = Vec::with_capacity(rows.len());
    let mut joins = false;
    for (at, row) in rows.iter().enumerate() {
        joins = match kinds[at] {
            Is::Values => true,
            Is::Words => joins && row.line == rows[at - 1].line + 1,
            _ => false,
        };
        match out.last_mut() {
            Some(last) if joins && kinds[at] == Is::Words => {
                let gap = if last.chars.last().is_some_and(char::is_ascii_digit) { "  " } else { " " };
                last.chars.extend(gap.chars());
                last.chars.extend(row.text().trim().chars());
            }
            _ => out.push(row.clone()),
        }
    }
    out
}

/// The words right before a range belong to it; what stands before them is the channel's name.
fn words_before(rows: &[Row], kinds: &[Is]) -> Vec<Row> {
    let tokens = token::tokens(rows);
    let counts = |at: usize| token::of_row(&tokens, at).iter().any(|t| matches!(t.what, What::Span(..)));
    let mut out: Vec<Row> = Vec::with_capacity(rows.len());
    for (at, row) in rows.iter().enumerate() {
        let led = kinds[at] == Is::Values && at > 0 && kinds[at - 1] == Is::Words && !counts(at - 1);
        match out.last_mut() {
            Some(last) if led => {
                put_beside(last, row);
            }
            _ => out.push(row.clone()),
        }
    }
    out
}

fn kinds(rows: &[Row]) -> Vec<Is> {
    let tokens = token::tokens(rows);
    let is_number = |token: &Token| match token.what {
        What::Number(number) => (1..=512).contains(&number) && !token.text.starts_with('0'),
        What::Label(..) | What::Dash => true,
        _ => false,
    };
    let is_value = |token: &Token| matches!(token.what, What::Span(from, to) if from <= to && to <= 255);
    let kind = |index: usize| {
        let of_row = token::of_row(&tokens, index);
        let text = rows[index].text();
        match of_row {
            [] => Is::Other,
            [one] if is_value(one) => Is::Values,
            all if all.iter().all(is_number) => Is::Number,
            _ if is_noise(&text) || is_column_head(&text) || heads::counts_only(&rows[index]) => Is::Other,
            [first, ..] if matches!(first.what, What::Word) => Is::Words,
            _ => Is::Other,
        }
    };
    (0..rows.len()).map(kind).collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    #[test]
    fn the_words_of_each_range_come_beside_it() {
        let text = "Canale\nValore\nCH1\n0-255\nDimmer generale\nMaster dimmer\nCH2\n0-9\nNessuno strobo\nNo strobe\n10-255\n\
            Strobo\nStrobe\nCH3\n0-255\nRosso\nRed\nCH4\n0-255\nVerde\nGreen\nCH5\n0-255\nBlu\nBlue\n\nEnd of it\n";
        let read: Vec<String> = beside(rows(text)).iter().map(Row::text).collect();
        assert_eq!(
            read,
            [
                "Canale",
                "Valore",
                "CH1",
                "0-255  Dimmer generale Master dimmer",
                "CH2",
                "0-9  Nessuno strobo No strobe",
                "10-255  Strobo Strobe",
                "CH3",
                "0-255  Rosso Red",
                "CH4",
                "0-255  Verde Green",
                "CH5",
                "0-255  Blu Blue",
                "End of it"
            ]
        );
        // Words stand before their values as well.
        let text = "1\nPan\n0-255\n2\nTilt\n0-255\n3\nColours\nWhite\n0-9\nRed\n10-255\n4\nRed\n0-255\n5\nZoom\n0-255\n";
        let read: Vec<String> = beside(rows(text)).iter().map(Row::text).collect();
        assert_eq!(
            read,
            [
                "1",
                "Pan  0-255",
                "2",
                "Tilt  0-255",
                "3",
                "Colours",
                "White  0-9",
                "Red  10-255",
                "4",
                "Red  0-255",
                "5",
                "Zoom  0-255"
            ]
        );
        // Values one below the other are another kind of table.
        let text = "1\n2\n0-255\n0-255\n0-9\n10-255\n0-255\n0-255\n0-255\nPan\nTilt\n";
        assert_eq!(beside(rows(text)), rows(text));
    }
}
