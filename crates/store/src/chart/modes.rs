//! Modes side by side: the first cells of a row are the channel's number in each mode.

use super::heads::Named;
use super::table::{RawChannel, Table};
use super::token::{Token, What};

/// A table in which every row of a channel has a number for each mode; read as one table of rows 1, 2, 3 …
pub(super) struct Columns {
    /// The tokens, with one label for each row of a channel.
    pub(super) tokens: Vec<Token>,
    /// The numbers of each row in each mode.
    pub(super) numbers: Vec<Vec<Option<u32>>>,
}

/// Replaces the cells of channel numbers by one label each.
pub(super) fn columns(modes: &[Named], tokens: &[Token]) -> Columns {
    let mut next: Vec<u32> = vec![1; modes.len()];
    let mut numbers: Vec<Vec<Option<u32>>> = Vec::new();
    let mut out = Vec::with_capacity(tokens.len());
    let mut at = 0;
    while at < tokens.len() {
        let row = tokens[at].row;
        let end = at + tokens[at..].iter().take_while(|token| token.row == row).count();
        let of_row = &tokens[at..end];
        at = end;
        match cells(modes, &next, of_row) {
            Some((found, first, taken)) => {
                for (place, number) in found.iter().enumerate() {
                    if let Some(number) = number {
                        next[place] = number + 1;
                    }
                }
                numbers.push(found);
                let label = u32::try_from(numbers.len()).unwrap_or(u32::MAX);
                let head = &of_row[first];
                let kept: Vec<Token> = of_row
                    .iter()
                    .enumerate()
                    .filter(|(index, _)| *index < first || *index >= first + taken)
                    .map(|(_, token)| token.clone())
                    .collect();
                let mark = Token {
                    what: What::Label(label, None),
                    text: String::new(),
                    apart: true,
                    ..head.clone()
                };
                out.push(mark);
                out.extend(kept);
            }
            None => out.extend(of_row.iter().cloned()),
        }
    }
    Columns { tokens: out, numbers }
}

/// The channel numbers of a row: one for each mode, the first cell of them and how many cells they take.
fn cells(modes: &[Named], next: &[u32], row: &[Token]) -> Option<(Vec<Option<u32>>, usize, usize)> {
    let is_cell = |token: &Token| matches!(token.what, What::Number(_) | What::Dash | What::Label(..));
    let lead = row.iter().take_while(|token| is_cell(token)).count();
    if lead > 0 {
        return place(modes, next, &row[..lead]).map(|(found, taken)| (found, 0, taken));
    }
    // The numbers stand under the words of their modes, behind the values.
    let under = |token: &Token| modes.iter().any(|mode| mode.at.abs_diff(token.at) <= 3);
    let first = row.iter().position(|token| is_cell(token) && token.apart && under(token))?;
    let tail =
        row[first..].iter().take_while(|token| is_cell(token) && under(token)).count().min(modes.len());
    if tail > 0 {
        let (found, taken) = place(modes, next, &row[first..first + tail])?;
        return (taken == tail).then_some((found, first, taken));
    }
    None
}

/// Gives the cells to the modes: as many cells as modes go by their order, fewer by where they stand or by the number
/// that each mode waits for.
fn place(modes: &[Named], next: &[u32], cells: &[Token]) -> Option<(Vec<Option<u32>>, usize)> {
    let number = |token: &Token| match token.what {
        What::Number(number) | What::Label(number, None) => Some(number),
        _ => None,
    };
    let count = modes.len();
    if cells.len() >= count {
        let found: Vec<Option<u32>> = cells[..count].iter().map(number).collect();
        let fits = found
            .iter()
            .zip(next)
            .filter(|(found, _)| found.is_some())
            .all(|(found, next)| found.is_some_and(|found| found >= *next && found <= next + 2));
        let exact = found.iter().zip(next).any(|(found, next)| *found == Some(*next));
        let filled =
            cells[..count].iter().zip(&found).all(|(cell, found)| found.is_some() || cell.what == What::Dash);
        if filled && fits && exact {
            return Some((found, count));
        }
    }
    // By place: a cell under the word of its mode.
    let mut found: Vec<Option<u32>> = vec![None; count];
    let mut taken = 0;
    let mut from = 0;
    for cell in cells {
        let Some(value) = number(cell) else {
            if cell.what == What::Dash && taken < count {
                taken += 1;
                continue;
            }
            break;
        };
        let middle = |mode: &Named| mode.at + mode.name.chars().count() / 2;
        let nearest = (from..count)
            .filter(|place| next[*place] == value)
            .min_by_key(|place| middle(&modes[*place]).abs_diff(cell.at));
        let Some(place) = nearest else { break };
        found[place] = Some(value);
        from = place + 1;
        taken += 1;
        if from >= count {
            break;
        }
    }
    found.iter().any(Option::is_some).then_some((found, taken))
}

/// The table of one of the modes.
pub(super) fn one_mode(table: &Table, numbers: &[Vec<Option<u32>>], mode: usize) -> Table {
    let mut channels: Vec<RawChannel> = Vec::new();
    for channel in &table.channels {
        let row = usize::try_from(channel.number).unwrap_or(0).checked_sub(1);
        let number =
            row.and_then(|row| numbers.get(row)).and_then(|numbers| numbers.get(mode)).copied().flatten();
        if let Some(number) = number {
            channels.push(RawChannel { number, numbered: true, ..channel.clone() });
        }
    }
    Table { channels, cost: table.cost, dots: Vec::new(), paired: table.paired }
}
