//! Tables that were copied cell by cell: the values of a channel, or of several that are named above them, one below the
//! other, and then what they mean, one below the other. Each value gets its words beside it, each channel its values.

use super::super::heads;
use super::super::text::Row;
use super::super::token::{self, Token, What};
use super::super::words::is_column_head;
use super::put_beside;

/// What a row is in such a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Is {
    /// Nothing but a range of values.
    Values(u32, u32),
    /// A channel's number and its name.
    Channel,
    /// Nothing but words.
    Words,
    /// Anything else.
    Other,
}

/// The rows in a better order, by their indexes, and the row whose words each gets behind its own.
struct Order {
    rows: Vec<usize>,
    words: Vec<Option<usize>>,
}

/// The rows, with the words of each channel's values beside them.
pub(super) fn beside(rows: Vec<Row>) -> Vec<Row> {
    let rows = under_names(rows);
    let kinds = kinds(&rows);
    let mut order = Order { rows: (0..rows.len()).collect(), words: vec![None; rows.len()] };
    let (mut found, mut missed) = (0, 0);
    let mut at = 0;
    while at < rows.len() {
        let end = at + kinds[at..].iter().take_while(|kind| matches!(kind, Is::Values(..))).count();
        if end - at < 2 {
            at = end.max(at + 1);
            continue;
        }
        let channels = channels(&kinds[at..end]);
        let done = match channels.as_slice() {
            [] => false,
            [_] => one(&rows, &kinds, (at, end), &mut order),
            several => group(&kinds, several, (at, end), &mut order),
        };
        if !done && channels.len() != 1 {
            // Values of many channels in one column: that is another kind of table.
            return rows;
        }
        found += if done { channels.len() } else { 0 };
        missed += usize::from(!done);
        at = end;
    }
    if found < 2 || missed * 3 > found {
        return rows;
    }
    let taken: Vec<usize> = order.words.iter().flatten().copied().collect();
    let left = order.rows.iter().filter(|index| !taken.contains(index));
    let with_words = left.map(|index| {
        let mut row = rows[*index].clone();
        if let Some(words) = order.words[*index] {
            put_beside(&mut row, &rows[words]);
        }
        row
    });
    with_words.collect()
}

/// Channels' numbers with their names, all of them first, and then each one's values with their words: the values under the
/// names, where there are as many channels of the one as of the other.
fn under_names(rows: Vec<Row>) -> Vec<Row> {
    let tokens = token::tokens(&rows);
    let number = |index: usize| match token::of_row(&tokens, index) {
        [Token { what: What::Number(number) | What::Label(number, None), .. }, rest @ ..]
            if !rest.is_empty() && rest.iter().all(|token| matches!(token.what, What::Word | What::Dash)) =>
        {
            Some(*number)
        }
        _ => None,
    };
    let values = |index: usize| match token::of_row(&tokens, index) {
        [Token { what: What::Span(from, to), .. }, ..] => Some(Is::Values(*from, *to)),
        _ => None,
    };
    let mut out: Vec<usize> = Vec::with_capacity(rows.len());
    let mut at = 0;
    while at < rows.len() {
        let names =
            (at..rows.len()).take_while(|row| number(*row) == u32::try_from(row - at + 1).ok()).count();
        let first = (at + names..rows.len()).take(3).find(|row| values(*row).is_some());
        let Some(first) = first.filter(|_| names >= 3) else {
            out.push(at);
            at += 1;
            continue;
        };
        // Up to the next channel's number; heads and feet of pages may stand between.
        let end = (first..rows.len()).find(|row| number(*row).is_some()).unwrap_or(rows.len());
        let below: Vec<usize> = (first..end).filter(|row| values(*row).is_some()).collect();
        let kinds: Vec<Is> = below.iter().filter_map(|row| values(*row)).collect();
        let counts = channels(&kinds);
        if counts.len() != names {
            out.extend(at..at + names);
            at += names;
            continue;
        }
        let mut next = below.iter();
        for (name, count) in (at..).zip(counts) {
            out.push(name);
            out.extend(next.by_ref().take(count));
        }
        let last = below.last().map_or(end, |last| last + 1);
        out.extend(last..end);
        at = end;
    }
    out.into_iter().filter_map(|row| rows.get(row).cloned()).collect()
}

fn kinds(rows: &[Row]) -> Vec<Is> {
    let tokens = token::tokens(rows);
    let kind = |index: usize| {
        let of_row = token::of_row(&tokens, index);
        let whats: Vec<&What> = of_row.iter().map(|token| &token.what).collect();
        match whats.as_slice() {
            [What::Span(from, to)] => Is::Values(*from, *to),
            [What::Number(from), What::Number(to)] if from <= to && *to <= 255 => Is::Values(*from, *to),
            [What::Label(..), What::Word | What::Dash, ..] if !of_row.iter().any(is_value) => Is::Channel,
            // The heading of the next mode is none of them.
            _ if heads::counts_only(&rows[index]) => Is::Other,
            [What::Word, ..] if !of_row.iter().any(is_value) => Is::Words,
            _ => Is::Other,
        }
    };
    (0..rows.len()).map(kind).collect()
}

/// A range that is no count ("programmes 1 - 8").
fn is_value(token: &Token) -> bool {
    match token.what {
        What::Span(from, to) => from != 1 || to > 32 || token.text.starts_with('0'),
        _ => false,
    }
}

/// How many ranges each channel has in a column of values, where each rises from the one before and ends at 255 as the
/// next begins; none when they are in any other order.
fn channels(values: &[Is]) -> Vec<usize> {
    let mut counts = vec![1];
    for pair in values.windows(2) {
        let [Is::Values(_, to), Is::Values(from, _)] = pair else { return Vec::new() };
        if *to == 255 && *from <= 1 {
            counts.push(1);
        } else if *from == to + 1
            && let Some(last) = counts.last_mut()
        {
            *last += 1;
        } else {
            return Vec::new();
        }
    }
    counts
}

/// One channel's values from `at` to `end`: as many rows of words are right below, or right above behind the name.
fn one(rows: &[Row], kinds: &[Is], (at, end): (usize, usize), order: &mut Order) -> bool {
    let count = end - at;
    // The words' column may have its head above it.
    let is_words = |kind: &&Is| **kind == Is::Words;
    let head = rows.get(end).is_some_and(|row| is_column_head(&row.text()))
        && kinds.get(end + 1) == Some(&Is::Words);
    let end = end + usize::from(head);
    let block = |from: usize| {
        let goes_on = move |row: &usize| *row == from || rows[*row].line == rows[row - 1].line + 1;
        (from..rows.len()).take_while(goes_on).count()
    };
    let below = kinds[end..].iter().take_while(is_words).count();
    let above = kinds[..at].iter().rev().take_while(is_words).count();
    let wrapped = |row: &Row| row.text().trim().starts_with(|c: char| c.is_lowercase() || c == '(');
    let words: Vec<usize> = if below == count || below > count && block(end) == count {
        (end..end + count).collect()
    } else if below > count {
        // Words that go on in a second row; and behind them the next channel's name, or the foot of the page.
        let heads: Vec<usize> = (end..end + below).filter(|row| !wrapped(&rows[*row])).collect();
        let next = kinds.get(end + below);
        if heads.len() < count && next.is_none() {
            (end..end + count).collect()
        } else if heads.len() < count || heads.len() > count + 1 && next == Some(&Is::Other) {
            return false;
        } else {
            heads[..count].to_vec()
        }
    } else if below < count && above >= count {
        (at - count..at).collect()
    } else {
        return false;
    };
    for (offset, word) in words.into_iter().enumerate() {
        order.words[at + offset] = Some(word);
    }
    true
}

/// Values of several channels whose names stand right above all of them, and perhaps as many rows of words below.
fn group(kinds: &[Is], counts: &[usize], (at, end): (usize, usize), order: &mut Order) -> bool {
    let many = counts.len();
    if at < many || kinds[at - many..at].iter().any(|kind| *kind != Is::Channel) {
        return false;
    }
    let values = end - at;
    let below = kinds[end..].iter().take_while(|kind| **kind == Is::Words).count();
    if below >= values {
        for offset in 0..values {
            order.words[at + offset] = Some(end + offset);
        }
    }
    let mut next = at;
    let mut place = at - many;
    for (channel, count) in (at - many..at).zip(counts) {
        order.rows[place] = channel;
        for offset in 1..=*count {
            order.rows[place + offset] = next;
            next += 1;
        }
        place += 1 + count;
    }
    true
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    fn read(text: &str) -> Vec<String> {
        beside(rows(text)).iter().map(Row::text).collect()
    }

    #[test]
    fn words_below_a_channels_values_come_beside_them() {
        let text = "CH1\nShow\n000-009\n010-255\nby hand\nshows 1 - 8\nCH2\nRed\n000-255\n0 to 100%\nCH3\nStrobe\n\
            000-009\n010-255\nsteady\nslow to\nFast\nfooter";
        assert_eq!(
            read(text),
            [
                "CH1",
                "Show",
                "000-009  by hand",
                "010-255  shows 1 - 8",
                "CH2",
                "Red",
                "000-255",
                "0 to 100%",
                "CH3",
                "Strobe",
                "000-009  steady",
                "010-255  slow to",
                "Fast",
                "footer"
            ]
        );
    }

    #[test]
    fn values_of_several_channels_come_under_their_names() {
        let text = "Channel 1 - Red\nChannel 2 - Strobe\n0-255\n0-9\n10-255\n0-100 %\nnone\nslow to fast";
        assert_eq!(
            read(text),
            ["Channel 1 - Red", "0-255  0-100 %", "Channel 2 - Strobe", "0-9  none", "10-255  slow to fast"]
        );
        // Names that are not as many as the columns of values say nothing.
        let text = "Channel 1 - Red\nChannel 2 - Green\nChannel 3 - Blue\n0-255\n0-255\n";
        assert_eq!(beside(rows(text)).len(), 5);
    }

    #[test]
    fn values_below_a_list_of_all_names_come_under_each() {
        let text = "1 Pan\n2 Tilt\n3 Strobe\n4 Red\nDMX value\n0-255 0-540\u{b0}\n0-255 0-200\u{b0}\n0-9 none\n\
            10-255 slow to fast\n0-255 0-100%\n";
        let read = read(text);
        assert_eq!(read[..4], ["1 Pan", "0-255 0-540\u{b0}", "2 Tilt", "0-255 0-200\u{b0}"]);
        assert_eq!(read[4..], ["3 Strobe", "0-9 none", "10-255 slow to fast", "4 Red", "0-255 0-100%"]);
        // One channel too few is no such text.
        assert_eq!(beside(rows(&text.replace("4 Red\n", "4 Red\n5 Blue\n"))).len(), 11);
    }
}
