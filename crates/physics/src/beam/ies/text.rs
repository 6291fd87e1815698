//! Lines and numbers of a photometric file. Lines end in LF, CR LF or CR; numbers are parted by white space or commas and
//! may be wrapped anywhere.

use super::IesError;

/// A value and the line that it stands on.
#[derive(Clone, Copy, Debug)]
pub(super) struct At<T> {
    pub(super) line: usize,
    pub(super) value: T,
}

/// What is left of the text.
#[derive(Clone, Debug)]
pub(super) struct Tokens<'t> {
    rest: &'t str,
    line: usize,
}

impl<'t> Tokens<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Self { rest: text.trim_start_matches('\u{feff}'), line: 1 }
    }

    /// The whole next line with its number.
    pub(super) fn line(&mut self) -> Option<(usize, &'t str)> {
        if self.rest.is_empty() {
            return None;
        }
        let line = self.line;
        let end = self.rest.find(['\n', '\r']).unwrap_or(self.rest.len());
        let text = &self.rest[..end];
        self.rest = &self.rest[end..];
        self.end_line();
        Some((line, text))
    }

    /// Where the text ends, for messages.
    pub(super) fn last_line(&self) -> usize {
        if self.rest.is_empty() { self.line.saturating_sub(1).max(1) } else { self.line }
    }

    /// The next number. `what` it is to be, for the message.
    pub(super) fn number(&mut self, what: &str) -> Result<At<f64>, IesError> {
        let Some((line, word)) = self.word() else {
            return Err(IesError::new(self.last_line(), format!("the file ends where {what} should stand")));
        };
        let number: Option<f64> = word.parse().ok().filter(|number: &f64| number.is_finite());
        match number {
            Some(value) => Ok(At { line, value }),
            None => {
                let shown: String = word.chars().take(20).collect();
                Err(IesError::new(line, format!("\"{shown}\" stands where {what} should stand, a number")))
            }
        }
    }

    /// The next whole number, 0 to `most`.
    pub(super) fn count(&mut self, what: &str, most: usize) -> Result<At<usize>, IesError> {
        let number = self.number(what)?;
        let whole = number.value.fract().abs() < 1e-9 && (0.0..=most as f64).contains(&number.value);
        if whole {
            Ok(At { line: number.line, value: number.value as usize })
        } else {
            Err(IesError::new(number.line, format!("{what} is a whole number, at most {most}")))
        }
    }

    /// The line of the first thing that is left.
    pub(super) fn rest(&mut self) -> Option<usize> {
        self.word().map(|(line, _)| line)
    }

    fn word(&mut self) -> Option<(usize, &'t str)> {
        loop {
            let first = self.rest.chars().next()?;
            if first == '\n' || first == '\r' {
                self.end_line();
            } else if separates(first) {
                self.rest = &self.rest[first.len_utf8()..];
            } else {
                break;
            }
        }
        let end = self.rest.find(separates).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        Some((self.line, word))
    }

    /// Steps over a line's end, if the text is at one.
    fn end_line(&mut self) {
        let after = self.rest.strip_prefix("\r\n").or_else(|| self.rest.strip_prefix(['\n', '\r']));
        if let Some(after) = after {
            self.rest = after;
        }
        self.line += 1;
    }
}

fn separates(letter: char) -> bool {
    letter == ',' || letter.is_whitespace() || letter.is_control()
}
