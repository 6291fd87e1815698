//! Values in hexadecimal digits alone.

use super::super::text::{Row, plain};
use super::super::words::{Said, is_number};
use super::put;

/// Two digits of a hexadecimal number at a place, with the mark that says so ("0x1F", "$1F", "1Fh") or without.
fn hex_at(chars: &[char], at: usize) -> Option<(u32, usize, bool)> {
    if at > 0 && (chars[at - 1].is_alphanumeric() || matches!(chars[at - 1], '$' | '#')) {
        return None;
    }
    let lead = match chars.get(at..) {
        Some(['0', 'x' | 'X', ..]) => 2,
        Some(['$' | '#', ..]) => 1,
        _ => 0,
    };
    let digits: String = chars.get(at + lead..at + lead + 2)?.iter().collect();
    let value = u32::from_str_radix(&digits, 16).ok().filter(|_| !digits.starts_with('+'))?;
    let mut end = at + lead + 2;
    let tail = matches!(chars.get(end), Some('h' | 'H'));
    end += usize::from(tail);
    let over = chars.get(end).is_some_and(|c| c.is_alphanumeric());
    (!over).then_some((value, end, lead > 0 || tail))
}

/// "10h..1Fh" at a place: its values, where it ends, and whether both are marked as hexadecimal.
fn hex_span(chars: &[char], at: usize) -> Option<(u32, u32, usize, bool)> {
    let (from, mut end, first) = hex_at(chars, at)?;
    let start = end;
    while chars.get(end).is_some_and(|c| matches!(c, ' ' | '-' | '.' | '~' | '→' | '>' | '÷'))
        && end < start + 6
    {
        end += 1;
    }
    let marked = chars[start..end].iter().any(|c| *c != ' ');
    let (to, end, second) = hex_at(chars, end).filter(|_| marked)?;
    Some((from, to, end, first && second))
}

/// "000 103 00H 67H": what is marked as hexadecimal and says the two numbers before it once more is taken out, lest "2CH" be
/// a number of channels.
fn without_twins(row: &mut Row) {
    let chars = &row.chars;
    let mut words: Vec<(usize, usize)> = Vec::new();
    for at in 0..chars.len() {
        let begins = !chars[at].is_whitespace() && (at == 0 || chars[at - 1].is_whitespace());
        if begins {
            let length = chars[at..].iter().take_while(|c| !c.is_whitespace()).count();
            words.push((at, at + length));
        }
    }
    let text = |(from, to): (usize, usize)| chars[from..to].iter().collect::<String>();
    let number = |word| text(word).parse::<u32>().ok();
    let hex = |word: (usize, usize)| {
        let text = text(word);
        let digits = text.strip_suffix(['h', 'H']).filter(|digits| digits.len() == 2)?;
        u32::from_str_radix(digits, 16).ok()
    };
    let twins = words.windows(4).find(|four| {
        let said = number(four[0]).zip(number(four[1]));
        said.is_some() && said == hex(four[2]).zip(hex(four[3]))
    });
    if let Some((from, to)) = twins.map(|four| (four[2].0, four[3].1)) {
        row.chars[from..to].fill(' ');
    }
}

/// Values in hexadecimal digits alone become decimal ones. What bears no mark is taken so where the text says it.
pub(super) fn hexadecimal(mut rows: Vec<Row>) -> Vec<Row> {
    let spans = |row: &Row| -> Vec<(usize, (u32, u32, usize, bool))> {
        (0..row.chars.len()).filter_map(|at| hex_span(&row.chars, at).map(|span| (at, span))).collect()
    };
    let decimal = rows.iter().any(|row| {
        let text = plain(&row.text());
        let mut words = text.split(' ').peekable();
        std::iter::from_fn(|| {
            words.next().map(|word| (word.to_owned(), words.peek().copied().map(str::to_owned)))
        })
        .any(|(word, next)| word.trim_start_matches('0').is_empty() && next.is_some_and(|next| next == "255"))
    });
    let said = rows.iter().any(|row| Said::new(&row.text()).has("hex*|hexadezimal*|esadecimal*"));
    let whole = rows.iter().any(|row| spans(row).iter().any(|(_, (_, to, _, marked))| !marked && *to == 255));
    let bare = said && whole && !decimal;
    rows.iter_mut().for_each(without_twins);
    for row in &mut rows {
        // The same values beside them in decimal digits: those are read.
        let mut others = row.chars.clone();
        for (at, (.., end, _)) in spans(row) {
            others[at..end].fill(' ');
        }
        let others: Vec<u32> = plain(&others.iter().collect::<String>())
            .split(' ')
            .filter(|word| is_number(word))
            .filter_map(|word| word.parse().ok())
            .collect();
        for (at, (from, to, end, marked)) in spans(row).into_iter().rev() {
            let twin = others.windows(2).any(|pair| pair == [from, to]);
            if from <= to && !twin && (marked || bare) {
                put(&mut row.chars, at, end, &format!("{from}-{to}"));
            }
        }
    }
    rows
}
