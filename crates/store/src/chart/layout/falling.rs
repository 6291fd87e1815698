//! Rows that go from a channel's highest values down to 0 ("250-255", "10-249", "0-9"): turned round, so that they rise. What
//! stands in front of the values, the channel's number and name, stays where it is.

use super::super::text::Row;
use super::super::token::{self, What};

/// The rows, each channel's values from 0 up.
pub(super) fn upwards(rows: Vec<Row>) -> Vec<Row> {
    let values = values(&rows);
    let at_row = |at: usize| values.get(at).copied().flatten();
    let rises = |at: usize| match (at.checked_sub(1).and_then(at_row), at_row(at)) {
        (Some(before), Some(value)) => before.to + 1 == value.from,
        _ => false,
    };
    let mut runs: Vec<(usize, usize)> = Vec::new();
    let mut at = 0;
    while at < rows.len() {
        let mut end = at + 1;
        while at_row(end - 1).zip(at_row(end)).is_some_and(|(above, below)| above.from == below.to + 1) {
            end += 1;
        }
        let whole = at_row(at).is_some_and(|first| first.to == 255)
            && at_row(end - 1).is_some_and(|last| last.from == 0);
        if whole && end - at >= 2 && !rises(at) {
            runs.push((at, end));
        }
        at = end;
    }
    // Rows that rise are the rule: where they are the more, "10-255" above "0-9" ends one channel and begins another.
    let falling: usize = runs.iter().map(|(from, to)| to - from - 1).sum();
    if falling < 2 || falling <= (0..rows.len()).filter(|at| rises(*at)).count() {
        return rows;
    }
    let mut out = rows.clone();
    for (from, to) in runs {
        for (place, other) in (from..to).zip((from..to).rev()) {
            let (Some(own), Some(theirs)) = (at_row(place), at_row(other)) else { continue };
            let mut chars = rows[place].chars[..own.at].to_vec();
            chars.extend_from_slice(&rows[other].chars[theirs.at..]);
            out[place] = Row { line: rows[place].line, chars };
        }
    }
    out
}

/// The range of a row, and where it begins.
#[derive(Clone, Copy)]
struct Values {
    from: u32,
    to: u32,
    at: usize,
}

/// The one range of each row, and where it begins.
fn values(rows: &[Row]) -> Vec<Option<Values>> {
    let tokens = token::tokens(rows);
    let only = |index: usize| {
        let mut spans = token::of_row(&tokens, index).iter().filter_map(|token| match token.what {
            What::Span(from, to) if from <= to => Some(Values { from, to, at: token.at }),
            _ => None,
        });
        spans.next().filter(|_| spans.next().is_none())
    };
    (0..rows.len()).map(only).collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    #[test]
    fn values_that_fall_from_row_to_row_are_turned_round() {
        let text = "5  Strobe  >=250   Open\n           10-249  Strobe\n           0..9    Closed\n6  Red     0..255  Red\n";
        let read: Vec<String> = upwards(rows(text)).iter().map(Row::text).collect();
        assert_eq!(
            read,
            [
                "5  Strobe  0..9    Closed",
                "           10-249  Strobe",
                "           >=250   Open",
                "6  Red     0..255  Red"
            ]
        );
        let rising = "0-9 a\n10-255 b\n0-255 c\n";
        assert_eq!(upwards(rows(rising)), rows(rising));
    }
}
