//! The text as it came, made even: one kind of dash, one kind of blank, Latin digits. Lines keep their numbers.

/// One line of the text that holds anything.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    /// Line in the text, from 1.
    pub(super) line: u32,
    /// Its characters, made even. A tab or a bar of a drawn table is a tab.
    pub(super) chars: Vec<char>,
}

impl Row {
    /// The row as text.
    pub(super) fn text(&self) -> String {
        self.chars.iter().collect()
    }
}

/// The most of a line that is read: what is longer is no table.
const MOST_CHARS: usize = 2_000;

/// The lines of a text that hold anything, made even.
pub(super) fn rows(text: &str) -> Vec<Row> {
    let mut rows = Vec::new();
    for (index, line) in text.split('\n').enumerate() {
        let chars = even(line);
        if chars.iter().any(|c| !c.is_whitespace()) {
            rows.push(Row { line: u32::try_from(index + 1).unwrap_or(u32::MAX), chars });
        }
    }
    rows
}

/// A text with an empty line behind each of its lines, as some programs copy, is closed up. What its lines were before, in
/// order: empty where it is no such text.
pub(super) fn close_up(rows: &mut [Row]) -> Vec<(u32, u32)> {
    let gaps = || rows.windows(2).map(|pair| pair[1].line - pair[0].line);
    let (close, double) = (gaps().filter(|gap| *gap == 1).count(), gaps().filter(|gap| *gap == 2).count());
    if rows.len() < 8 || close * 20 > rows.len() || double * 2 < rows.len() {
        return Vec::new();
    }
    let mut before = 0;
    let mut now = 0;
    let mut lines = Vec::with_capacity(rows.len());
    for row in rows {
        now += (row.line - before).div_ceil(2);
        before = row.line;
        lines.push((now, row.line));
        row.line = now;
    }
    lines
}

/// Look-alikes become one character.
fn even(line: &str) -> Vec<char> {
    let mut out = Vec::new();
    for c in line.chars().take(MOST_CHARS) {
        match c {
            '\u{00ad}' | '\u{200b}'..='\u{200f}' | '\u{feff}' | '\u{2060}' => {}
            '\t' | '|' | '│' | '┃' | '¦' => out.push('\t'),
            '─' | '━' | '═' | '┌' | '┐' | '└' | '┘' | '├' | '┤' | '┬' | '┴' | '┼' => {
                out.push('\t');
            }
            '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{fe58}' | '\u{fe63}' | '\u{ff0d}' => {
                out.push('-');
            }
            '～' | '〜' | '∼' | '˜' => out.push('~'),
            '→' | '⇒' | '➔' | '►' | '▶' | '➜' | '⟶' | '↔' | '⟷' | '⇔' | '\u{f0e0}' | '\u{f0e8}' => {
                out.push('→')
            }
            '\u{2026}' => out.extend(['.', '.', '.']),
            'ﬁ' => out.extend(['f', 'i']),
            'ﬂ' => out.extend(['f', 'l']),
            'ﬀ' => out.extend(['f', 'f']),
            '•' | '·' | '●' | '▪' | '■' | '◆' => out.push(' '),
            '’' | '‘' | '´' | '`' => out.push('\''),
            '“' | '”' | '„' | '«' | '»' => out.push('"'),
            '\u{ff01}'..='\u{ff5e}' => {
                out.push(char::from_u32(u32::from(c) - 0xfee0).unwrap_or(c));
            }
            c if c.is_whitespace() || c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    // A vertical ellipsis is a row of dots.
    for c in &mut out {
        if matches!(c, '⋮' | '︙' | '⁝') {
            *c = '…';
        }
    }
    while out.last().is_some_and(|c| c.is_whitespace()) {
        out.pop();
    }
    out
}

/// Lower case, without accents, with nothing but letters and digits between single blanks: how words are compared.
pub(super) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut blank = true;
    for c in text.chars().flat_map(char::to_lowercase) {
        let c = match c {
            'à' | 'á' | 'â' | 'ã' | 'å' => 'a',
            'ä' => 'a',
            'è' | 'é' | 'ê' | 'ë' => 'e',
            'ì' | 'í' | 'î' | 'ï' => 'i',
            'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' => 'o',
            'ù' | 'ú' | 'û' | 'ü' => 'u',
            'ç' => 'c',
            'ñ' => 'n',
            'ß' => {
                out.push('s');
                's'
            }
            other => other,
        };
        if c.is_alphanumeric() {
            out.push(c);
            blank = false;
        } else if c == '+' || c == '&' {
            if !blank {
                out.push(' ');
            }
            out.push_str("and ");
            blank = true;
        } else if !blank {
            out.push(' ');
            blank = true;
        }
    }
    out.truncate(out.trim_end().len());
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_with_a_gap_behind_every_line_is_closed_up() {
        let mut double = rows("a\n\nb\n\nc\n\n\n\nd\n\ne\n\nf\n\ng\n\nh\n\ni\n");
        let lines = close_up(&mut double);
        assert_eq!(double.iter().map(|row| row.line).collect::<Vec<_>>(), [1, 2, 3, 5, 6, 7, 8, 9, 10]);
        assert_eq!(lines[3], (5, 9));
        let mut single = rows("a\nb\nc\n\nd\ne\nf\n\ng\nh\ni\n");
        let before = single.clone();
        assert!(close_up(&mut single).is_empty());
        assert_eq!(single, before);
    }

    #[test]
    fn look_alikes_become_one() {
        let rows = rows("０００–２５５\u{a0}Pan\r\n\r\n 1\u{2002}…\u{2212}ﬁne");
        assert_eq!(rows[0].text(), "000-255 Pan");
        assert_eq!((rows[1].line, rows[1].text().as_str()), (3, " 1 ...-fine"));
        assert_eq!(plain("  Weiß/Größe: 100% "), "weiss grosse 100");
    }
}
