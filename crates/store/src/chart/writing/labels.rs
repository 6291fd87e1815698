//! Channels that are numbered otherwise than by a word for them and their number.

use super::super::text::Row;
use super::super::words::listed;
use super::{put, words_of};

/// "S+3" at the start of a row: how far behind the start address, and where it ends.
fn offset_at(chars: &[char], at: usize) -> Option<(u32, usize)> {
    let word = chars[at..].iter().take_while(|c| c.is_alphabetic()).count();
    let mut end = at + word;
    while chars.get(end) == Some(&' ') && end < at + word + 2 {
        end += 1;
    }
    if word == 0 || word > 8 || chars.get(end) != Some(&'+') {
        return None;
    }
    end += 1 + usize::from(chars.get(end + 1) == Some(&' '));
    let digits = chars[end..].iter().take_while(|c| c.is_ascii_digit()).count();
    let text: String = chars[end..end + digits].iter().collect();
    let number = text.parse().ok().filter(|number| *number < 512)?;
    Some((number, end + digits))
}

/// Channels counted from the start address ("S+0", "Start + 1"): the first is 0.
pub(super) fn offsets(mut rows: Vec<Row>) -> Vec<Row> {
    let label = |row: &Row| {
        let start = row.chars.iter().take_while(|c| c.is_whitespace()).count();
        let (first, mut end) = offset_at(&row.chars, start)?;
        let mut last = first;
        let mut next = end;
        while row.chars.get(next).is_some_and(|c| matches!(c, ' ' | ',' | '/' | '-' | '&')) && next < end + 3
        {
            next += 1;
        }
        if next > end
            && let Some((second, behind)) = offset_at(&row.chars, next)
            && second > first
        {
            (last, end) = (second, behind);
        }
        let rest: String = row.chars[end..].iter().take(2).collect();
        let apart = rest.is_empty() || rest == "  " || rest.starts_with(['\t', ':', ')', '.', '-']);
        apart.then_some((start, end, first, last))
    };
    let found: Vec<u32> = rows.iter().filter_map(|row| label(row).map(|(_, _, first, _)| first)).collect();
    if found.len() < 3 || !found.contains(&0) {
        return rows;
    }
    for row in &mut rows {
        if let Some((start, end, first, last)) = label(row) {
            let text = if last > first {
                format!("CH{}/CH{}", first + 1, last + 1)
            } else {
                format!("CH{}", first + 1)
            };
            put(&mut row.chars, start, end, &text);
        }
    }
    rows
}

/// "Slot 4" at the start or the end of rows is the fourth channel, where the slots of a text count up from 1; elsewhere a
/// slot is one of a wheel's.
pub(super) fn slots(mut rows: Vec<Row>) -> Vec<Row> {
    const SLOT: &str =
        "slot|slots|adresse|address|indirizzo|direccion|adres|dmx address|byte|steuerkreis|kreis";
    let place = |row: &Row| {
        let words = words_of(&row.chars);
        let number = |from: usize, to: usize, last: bool| {
            let gap = row.chars[to..].iter().take_while(|c| **c == ' ').count();
            let digits = row.chars[to + gap..].iter().take_while(|c| c.is_ascii_digit()).count();
            let end = to + gap + digits;
            let number: u32 = row.chars[to + gap..end].iter().collect::<String>().parse().ok()?;
            let closed = if last {
                end == row.chars.len()
            } else {
                row.chars.get(end).is_none_or(|c| !c.is_alphanumeric())
            };
            (gap <= 2 && closed && (1..=512).contains(&number)).then_some((from, to, number))
        };
        if let Some((from, to, word)) = words.first()
            && listed(SLOT, word)
            && row.chars[..*from].iter().all(|c| c.is_whitespace())
        {
            return number(*from, *to, false);
        }
        // Behind a row's words, apart from them.
        let (from, to, word) = words.last()?;
        let apart =
            row.chars[..*from].iter().rev().take(2).filter(|c| matches!(c, ' ' | '.' | '\t' | '_')).count()
                == 2;
        if listed(SLOT, word) && apart { number(*from, *to, true) } else { None }
    };
    let found: Vec<u32> = rows.iter().filter_map(|row| place(row).map(|(_, _, number)| number)).collect();
    let counted = found.first() == Some(&1)
        && found.windows(2).filter(|pair| pair[1] == pair[0] + 1).count() >= 2
        && found.windows(2).all(|pair| pair[1] == 1 || pair[1] > pair[0]);
    if !counted {
        return rows;
    }
    for row in &mut rows {
        if let Some((from, to, _)) = place(row) {
            put(&mut row.chars, from, to, "CH");
        }
    }
    rows
}

/// "K1", "C 2", "V3" at the start of rows, counting up from 1: Kanal, canal, voie.
pub(super) fn initial_labels(mut rows: Vec<Row>) -> Vec<Row> {
    let place = |row: &Row| {
        let start = row.chars.iter().take_while(|c| c.is_whitespace()).count();
        let letter =
            row.chars.get(start).map(char::to_ascii_lowercase).filter(|c| matches!(c, 'k' | 'c' | 'v'))?;
        let at = start + 1 + usize::from(matches!(row.chars.get(start + 1), Some(' ' | '.')));
        let digits = row.chars[at.min(row.chars.len())..].iter().take_while(|c| c.is_ascii_digit()).count();
        let number: u32 = row.chars.get(at..at + digits)?.iter().collect::<String>().parse().ok()?;
        let apart = row.chars.get(at + digits).is_none_or(|c| matches!(c, ' ' | '\t' | ':' | '.' | ')'));
        apart.then_some((start, at, number, letter))
    };
    let found: Vec<(u32, char)> =
        rows.iter().filter_map(|row| place(row).map(|(_, _, number, letter)| (number, letter))).collect();
    let counts =
        found.windows(2).all(|pair| pair[1].1 == pair[0].1 && (pair[1].0 == pair[0].0 + 1 || pair[1].0 == 1));
    if found.len() < 3 || found.first().is_none_or(|(number, _)| *number != 1) || !counts {
        return rows;
    }
    let letter = found[0].1;
    for row in &mut rows {
        if let Some((start, at, ..)) = place(row) {
            row.chars.splice(start..at, ['C', 'H']);
        }
        named_by(row, letter);
    }
    rows
}

/// "C.1" and "K3" among the words of a row ("only if C.1 = 0-9") are channels too, where channels are labelled so.
fn named_by(row: &mut Row, letter: char) {
    let mut at = 1;
    while at + 1 < row.chars.len() {
        let begins = !row.chars[at - 1].is_alphanumeric() && row.chars[at].eq_ignore_ascii_case(&letter);
        let digits_at = at + 1 + usize::from(row.chars[at + 1] == '.');
        let digits =
            row.chars[digits_at.min(row.chars.len())..].iter().take_while(|c| c.is_ascii_digit()).count();
        let behind = row.chars.get(digits_at + digits).is_none_or(|c| !c.is_alphanumeric());
        if begins && (1..=3).contains(&digits) && behind {
            row.chars.splice(at..digits_at, ['C', 'H']);
        }
        at += 1;
    }
}
