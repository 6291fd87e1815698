//! Lists in which only the first value of each range is printed.

use super::super::text::{Row, plain};
use super::super::words::listed;
use super::{put, words_of};

/// "From 16", "ab 16", ">= 16", "16 and up" at the start of a row, with no other end: where the number stands.
fn first_value(row: &Row) -> Option<(usize, usize, u32)> {
    const FROM: &str = "from|ab|desde|dal|da|vanaf|starting|begins|beginnt|des|depuis|partir|von";
    const UP: &str = "and up|and above|and more|and higher|upwards|onwards|und mehr|und hoher|aufwarts|et plus|y mas|e oltre|en hoger|up";
    let start = row.chars.iter().take_while(|c| c.is_whitespace()).count();
    let mut at = start;
    let mut said = false;
    for (from, to, word) in words_of(&row.chars).iter().take(4) {
        let filler = matches!(
            word.as_str(),
            "a" | "at" | "value" | "wert" | "bei" | "valeur" | "valor" | "valore" | "de" | "la" | "dmx"
        );
        if row.chars[at..*from].iter().any(|c| !c.is_whitespace()) || !(listed(FROM, word) || filler) {
            break;
        }
        said |= listed(FROM, word);
        at = *to;
    }
    while row.chars.get(at).is_some_and(|c| c.is_whitespace() || matches!(c, '>' | '=' | '≥')) {
        said |= matches!(row.chars[at], '>' | '≥');
        at += 1;
    }
    let digits = row.chars[at..].iter().take_while(|c| c.is_ascii_digit()).count();
    let end = at + digits;
    let number: u32 =
        row.chars[at..end].iter().collect::<String>().parse().ok().filter(|number| *number <= 255)?;
    let behind: String = row.chars[end..].iter().take(14).collect();
    let words = plain(&behind);
    let up = UP.split('|').find(|up| words == **up || words.starts_with(&format!("{up} ")));
    let plus = behind.starts_with('+') && !behind[1..].starts_with(|c: char| c.is_alphanumeric());
    let ended = behind.trim_start().starts_with(['-', '~', '→', '.', '%', '°'])
        || matches!(
            words.split(' ').next(),
            Some("to" | "bis" | "a" | "al" | "tot" | "t" | "thru" | "hz" | "s")
        );
    let end = match up {
        Some(_) => row.chars.len().min(
            end + behind.chars().count() - behind.trim_start().chars().count()
                + behind.trim_start().chars().take_while(|c| c.is_alphabetic() || *c == ' ').count(),
        ),
        None => end + usize::from(plus),
    };
    (said || plus || up.is_some()).then_some(()).filter(|()| !ended || up.is_some())?;
    Some((start, end, number))
}

/// A list of first values alone: each goes on to the value before the next, the last to 255. They rise from 0 in every
/// channel, or the list is none.
pub(super) fn first_values(mut rows: Vec<Row>) -> Vec<Row> {
    let found: Vec<(usize, (usize, usize, u32))> = rows
        .iter()
        .enumerate()
        .filter_map(|(index, row)| first_value(row).map(|place| (index, place)))
        .collect();
    let groups = found.iter().filter(|(_, (_, _, number))| *number == 0).count();
    let rises = found.first().is_some_and(|(_, (_, _, number))| *number == 0)
        && found.windows(2).all(|pair| pair[1].1.2 == 0 || pair[1].1.2 > pair[0].1.2);
    if groups < 2 || found.len() < 5 || !rises {
        return rows;
    }
    for (at, (index, (start, end, number))) in found.iter().enumerate() {
        let next = found.get(at + 1).map(|(_, (_, _, next))| *next).filter(|next| *next > 0);
        let last = next.map_or(255, |next| next - 1);
        let Some(row) = rows.get_mut(*index) else { continue };
        put(&mut row.chars, *start, *end, &format!("{number}-{last}"));
    }
    rows
}
