//! Tables laid across: channel numbers in the head, a row for each mode with what its channels are called, and below it
//! what the values of each do, by name. Each mode becomes a table of its own.

use super::super::text::{Row, plain};
use super::super::words::listed;
use super::{CHANNEL_HEADS, cells_at, row};

/// A mode's row: its line, its name and the names of its channels with their numbers.
struct Mode {
    line: u32,
    name: String,
    channels: Vec<(u32, String)>,
}

/// The head: "CHANNEL 1 2 3 4": where each number stands.
fn head(of: &Row) -> Option<Vec<(usize, u32)>> {
    let cells = cells_at(of);
    let (first, rest) = cells.split_first()?;
    let numbers: Vec<(usize, u32)> = rest
        .iter()
        .filter_map(|(at, cell)| {
            Some((*at, cell.trim_start_matches(|c: char| c.is_alphabetic()).trim().parse().ok()?))
        })
        .collect();
    let counts =
        numbers.iter().enumerate().all(|(index, (_, number))| u32::try_from(index + 1) == Ok(*number));
    (listed(CHANNEL_HEADS, &plain(&first.1)) && numbers.len() >= 3 && numbers.len() == rest.len() && counts)
        .then_some(numbers)
}

/// A mode's row below the head: a name, and words below the numbers.
fn mode(of: &Row, numbers: &[(usize, u32)]) -> Option<Mode> {
    let cells = cells_at(of);
    let (name, rest) = cells.split_first()?;
    if rest.is_empty() || numbers.first().is_some_and(|(at, _)| name.0 + 1 >= *at) {
        return None;
    }
    let channels: Option<Vec<(u32, String)>> = rest
        .iter()
        .map(|(at, cell)| {
            let (place, number) = numbers.iter().min_by_key(|(place, _)| place.abs_diff(*at))?;
            let lettered = cell.chars().any(char::is_alphabetic);
            (place.abs_diff(*at) <= 4 && lettered).then(|| (*number, cell.clone()))
        })
        .collect();
    let channels = channels?;
    let rises = channels.windows(2).all(|pair| pair[1].0 == pair[0].0 + 1) && channels[0].0 == 1;
    rises.then(|| Mode { line: of.line, name: name.1.clone(), channels })
}

/// The rows of values of each name: from a row that begins with it up to the next that begins with one.
fn values<'a>(rows: &'a [Row], modes: &[Mode]) -> (Vec<(String, Vec<&'a Row>)>, usize) {
    let known = |name: &str| {
        modes.iter().flat_map(|mode| &mode.channels).any(|(_, known)| plain(known) == plain(name))
    };
    let mut out: Vec<(String, Vec<&Row>)> = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        let cells = cells_at(row);
        let Some((at, first)) = cells.first() else { continue };
        let digits = cells.iter().any(|(_, cell)| cell.starts_with(|c: char| c.is_ascii_digit()));
        if known(first) {
            out.push((plain(first), vec![row]));
        } else if *at > 0 && digits && !out.is_empty() {
            if let Some((_, rows)) = out.last_mut() {
                rows.push(row);
            }
        } else if !out.is_empty() {
            return (out, index);
        }
    }
    let end = rows.len();
    (out, end)
}

/// The rows with each mode as a table of its own.
pub(super) fn one_by_one(rows: Vec<Row>) -> Vec<Row> {
    let Some((at, numbers)) = rows.iter().enumerate().find_map(|(at, row)| head(row).map(|head| (at, head)))
    else {
        return rows;
    };
    let modes: Vec<Mode> = rows[at + 1..].iter().map_while(|row| mode(row, &numbers)).collect();
    if modes.is_empty() {
        return rows;
    }
    let below = at + 1 + modes.len();
    let (told, used) = values(&rows[below..], &modes);
    if told.is_empty() && modes.len() < 2 {
        return rows;
    }
    let mut out: Vec<Row> = rows[..at].to_vec();
    for mode in &modes {
        let counted = plain(&mode.name).chars().any(|c| c.is_ascii_digit());
        let name = if counted {
            mode.name.clone()
        } else {
            format!("{} ({} channels)", mode.name, mode.channels.len())
        };
        out.push(row(mode.line, &name));
        for (number, called) in &mode.channels {
            out.push(row(mode.line, &format!("CH{number}  {called}")));
            let found = told.iter().find(|(name, _)| *name == plain(called));
            for of in found.iter().flat_map(|(_, rows)| rows) {
                let cells = cells_at(of);
                let named = usize::from(cells.first().is_some_and(|(_, cell)| plain(cell) == plain(called)));
                let kept: Vec<&str> = cells.iter().skip(named).map(|(_, cell)| cell.as_str()).collect();
                out.push(row(of.line, &format!("      {}", kept.join("   "))));
            }
        }
    }
    if told.is_empty() {
        out.extend_from_slice(&rows[below..]);
    } else {
        out.extend_from_slice(&rows[below + used..]);
    }
    out
}
