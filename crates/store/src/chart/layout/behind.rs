//! Tables whose last column is the channel's number: it is put in front of its row, where all others have it.

use super::super::text::{Row, plain};
use super::super::words::listed;
use super::{CHANNEL_HEADS, VALUE_HEADS, cells_at};

/// How wide the column is that the numbers are put into.
const WIDTH: usize = 8;

/// The head of a table with a column of values whose last column is the channel: where that stands.
fn head(row: &Row) -> Option<(usize, usize)> {
    let cells = cells_at(row);
    let ((at, last), before) = cells.split_last()?;
    let valued = before.iter().any(|(_, cell)| listed(VALUE_HEADS, &plain(cell)));
    let once = before.iter().all(|(_, cell)| !listed(CHANNEL_HEADS, &plain(cell)));
    (before.len() >= 2 && valued && once && listed(CHANNEL_HEADS, &plain(last)))
        .then(|| (*at, at + last.chars().count()))
}

/// A number alone in the last cell of a row, below the head: it, and where it begins.
fn number(row: &Row, (from, to): (usize, usize)) -> Option<(u32, usize)> {
    let cells = cells_at(row);
    let (at, cell) = cells.last()?;
    let end = at + cell.chars().count();
    let number = cell.parse().ok().filter(|number| (1..=512).contains(number))?;
    (end + 2 >= from && *at <= to + 2).then_some((number, *at))
}

/// The rows with channels' numbers in front.
pub(super) fn in_front(rows: Vec<Row>) -> Vec<Row> {
    let mut out = Vec::with_capacity(rows.len());
    let mut column = None;
    for (index, row) in rows.iter().enumerate() {
        if let Some(found) = head(row) {
            let mut below = rows[index + 1..].iter().take_while(|row| head(row).is_none());
            column =
                (below.by_ref().filter(|row| number(row, found).is_some()).count() >= 3).then_some(found);
            out.push(row.clone());
            continue;
        }
        let Some(place) = column else {
            out.push(row.clone());
            continue;
        };
        let found = number(row, place);
        let mut chars: Vec<char> =
            found.map(|(number, _)| format!("CH{number}")).unwrap_or_default().chars().collect();
        chars.resize(WIDTH, ' ');
        chars.extend(&row.chars[..found.map_or(row.chars.len(), |(_, at)| at)]);
        while chars.last().is_some_and(|c| c.is_whitespace()) {
            chars.pop();
        }
        out.push(Row { line: row.line, chars });
    }
    out
}
