//! A piece of a table whose columns came one after the other: channels' numbers, and as many whole ranges, with as many words
//! before them, behind them or both. Each channel becomes a row again.

use super::super::text::Row;
use super::super::token::{self, Token, What};
use super::super::words::{is_column_head, is_noise};
use super::put_beside;

/// What a row is in such a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Is {
    /// Nothing but a channel's number.
    Number(u32),
    /// Nothing but a range from 0 to 255.
    Whole,
    /// Nothing but words.
    Words,
    /// The head of a column.
    Head,
    Other,
}

/// Fewest channels of such a piece.
const LEAST: usize = 3;

/// The rows, with each channel of such a piece in a row of its own.
pub(super) fn beside(rows: Vec<Row>) -> Vec<Row> {
    let kinds = kinds(&rows);
    let mut out: Vec<Row> = Vec::with_capacity(rows.len());
    let mut at = 0;
    while at < rows.len() {
        let Some((blocks, end)) = piece(&rows, &kinds, at) else {
            out.push(rows[at].clone());
            at += 1;
            continue;
        };
        let [(first, behind), others @ ..] = blocks.as_slice() else { return rows };
        for index in 0..behind - first {
            let mut row = rows[first + index].clone();
            for (other, _) in others {
                put_beside(&mut row, &rows[other + index]);
            }
            out.push(row);
        }
        at = end;
    }
    out
}

/// Rows from and up to.
type Block = (usize, usize);

/// The blocks of a piece that begins at a row, in their order, and where it ends.
fn piece(rows: &[Row], kinds: &[Is], at: usize) -> Option<(Vec<Block>, usize)> {
    let Some(Is::Number(first)) = kinds.get(at) else { return None };
    let counts = |index: &usize| match kinds[*index] {
        Is::Number(number) => Some(number) == u32::try_from(index - at).ok().map(|past| first + past),
        _ => false,
    };
    let count = (at..rows.len()).take_while(counts).count();
    if count < LEAST {
        return None;
    }
    let mut blocks = vec![(at, at + count)];
    let mut end = at + count;
    while let Some(next) = block(rows, kinds, end, count).filter(|_| blocks.len() < 4) {
        // Words behind words, or values behind values, are of another table.
        if blocks.len() > 1 && kinds[blocks[blocks.len() - 1].0] == kinds[next.0] {
            break;
        }
        blocks.push(next);
        end = next.1;
    }
    let values = blocks.iter().filter(|(from, _)| kinds[*from] == Is::Whole).count();
    (values == 1 && blocks.len() >= 3).then_some((blocks, end))
}

/// A block of just so many rows of one kind, below heads of columns.
fn block(rows: &[Row], kinds: &[Is], from: usize, count: usize) -> Option<Block> {
    let from = from + kinds.get(from..)?.iter().take_while(|kind| **kind == Is::Head).count();
    let kind = *kinds.get(from).filter(|kind| matches!(kind, Is::Whole | Is::Words))?;
    let goes_on = |index: &usize| {
        kinds[*index] == kind && (*index == from || rows[*index].line == rows[index - 1].line + 1)
    };
    let all = (from..rows.len()).take_while(goes_on).count();
    (all == count).then_some((from, from + count))
}

fn kinds(rows: &[Row]) -> Vec<Is> {
    let tokens = token::tokens(rows);
    let kind = |index: usize| {
        let text = rows[index].text();
        match token::of_row(&tokens, index) {
            [Token { what: What::Span(0, 255), .. }] => Is::Whole,
            [Token { what: What::Number(number) | What::Label(number, None), .. }] => Is::Number(*number),
            _ if is_column_head(&text) => Is::Head,
            [first, ..] if matches!(first.what, What::Word) && !is_noise(&text) => Is::Words,
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
    fn numbers_values_and_words_that_came_in_blocks_are_rows_again() {
        let text =
            "CH1  0-9 off\n10-255 on\nCH2\nCH3\nCH4\nValue\n0-255\n0-255\n0-255\nRed\nGreen\nBlue\nPage 2\n";
        let read: Vec<String> = beside(rows(text)).iter().map(Row::text).collect();
        assert_eq!(
            read,
            [
                "CH1  0-9 off",
                "10-255 on",
                "CH2  0-255  Red",
                "CH3  0-255  Green",
                "CH4  0-255  Blue",
                "Page 2"
            ]
        );
        let text = "1\n2\n3\nRed\nGreen\nBlue\n0-255\n0-255\n0-255\nDescription\n0-100 %\n0-100 %\n0-100 %\n";
        let read: Vec<String> = beside(rows(text)).iter().map(Row::text).collect();
        assert_eq!(read, ["1  Red  0-255  0-100 %", "2  Green  0-255  0-100 %", "3  Blue  0-255  0-100 %"]);
        // One word too few: nobody knows whose it is.
        let text = "CH2\nCH3\nCH4\n0-255\n0-255\n0-255\nRed\nGreen\n";
        assert_eq!(beside(rows(text)), rows(text));
    }
}
