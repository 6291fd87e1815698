//! Ranges whose mark was lost on the way ("000 255"): where a whole text has lost them, each is put back that goes on as
//! ranges do.

use super::super::text::Row;
use super::super::token::{self, Token, What};

/// Two numbers side by side that may be a range: their row, where the first ends and the second begins, and where that ends.
struct Pair {
    row: usize,
    gap: (usize, usize),
    end: usize,
}

/// The rows with the marks of their ranges, if hardly any has one.
///
/// A range begins at 0, or at the value behind the last one, or at its end once more; what does otherwise is left as it is
/// printed.
pub(super) fn marks(mut rows: Vec<Row>) -> Vec<Row> {
    let tokens = token::tokens(&rows);
    let mut found: Vec<Pair> = Vec::new();
    let (mut marked, mut whole) = (0usize, 0usize);
    let mut next = 0;
    for row in 0..rows.len() {
        let of_row = token::of_row(&tokens, row);
        let span = of_row.iter().find_map(|token| match token.what {
            What::Span(from, to) if from == next && to <= 255 => Some(to),
            _ => None,
        });
        if let Some(to) = span {
            marked += 1;
            next = (to + 1) % 256;
            continue;
        }
        let begins = |from: u32| of_row.windows(2).rev().find_map(|two| pair(&two[0], &two[1], from));
        // "000 000" is a value by itself, if another range goes on behind.
        let goes_on = |from: u32| {
            let mut below = (row + 1..rows.len().min(row + 4)).map(|below| token::of_row(&tokens, below));
            below.any(|of_row| of_row.windows(2).any(|two| pair(&two[0], &two[1], from).is_some()))
        };
        // A channel that is printed short, or an end that is printed twice, ends nothing.
        let fits = begins(next)
            .filter(|(from, to, ..)| to > from || next == 0 && goes_on(1))
            .or_else(|| begins(0).filter(|(_, to, ..)| next != 0 && *to >= 3))
            .or_else(|| {
                // Two numbers alone may be a channel's in two modes.
                let last = begins(next.saturating_sub(1)).filter(|_| next > 1 && of_row.len() > 2)?;
                (last.1 > last.0 + 1).then_some(last)
            })
            // The first value is missing in print ("1 9"), if another range goes on behind.
            .or_else(|| begins(1).filter(|(_, to, ..)| next == 0 && goes_on(to + 1)));
        if let Some((from, to, gap, end)) = fits {
            whole += usize::from(from == 0);
            next = (to + 1) % 256;
            found.push(Pair { row, gap, end });
        }
    }
    if found.len() < 4 || whole < 2 || marked * 4 > found.len() {
        return rows;
    }
    for Pair { row, gap: (from, to), end } in found {
        let Some(row) = rows.get_mut(row) else { continue };
        // Columns behind it stay where they are.
        row.chars.splice(end..end, std::iter::repeat_n(' ', to - from - 1));
        row.chars.splice(from..to, ['-']);
    }
    rows
}

/// Two numbers that are the range to come: from and to, the gap between them, and where the second ends.
fn pair(first: &Token, second: &Token, next: u32) -> Option<(u32, u32, (usize, usize), usize)> {
    let (What::Number(from), What::Number(to)) = (&first.what, &second.what) else { return None };
    let bare = |token: &Token| token.text.chars().all(|c| c.is_ascii_digit());
    let fits = *from == next && (to > from || *to == 0) && *to <= 255 && second.at > first.end;
    (fits && bare(first) && bare(second)).then_some((*from, *to, (first.end, second.at), second.end))
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    fn read(text: &str) -> Vec<String> {
        marks(rows(text)).iter().map(Row::text).collect()
    }

    #[test]
    fn marks_that_were_lost_are_put_back_where_ranges_go_on() {
        let text = "1 1 Pan 000 255\n2   Strobe 0   9    off\n    3      10  255  on\n3 2 Red 0 255\n4 4 0 255 Blue 1 2";
        let marked = [
            "1 1 Pan 000-255",
            "2   Strobe 0-9      off",
            "    3      10-255   on",
            "3 2 Red 0-255",
            "4 4 0-255 Blue 1 2",
        ];
        assert_eq!(read(text), marked);
        // A misprint stays as it is printed, and so does a text that has its marks.
        let text = "1 0 255\n2 0 255\n3 0 255\n4 0 9\n12 255\n5 0 255\n6 0 255\n";
        assert_eq!(read(text)[4], "12 255");
        let text = "1 0-255\n2 0-255\n3 0-255\n4 0-255\n5 0 255\n6 0 255\n7 0 255\n8 0 255\n";
        assert_eq!(read(text)[6], "7 0 255");
    }
}
