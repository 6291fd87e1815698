//! Numbers, ranges, channel labels and words of a row, each with its place. What a number means is decided later, by
//! [`super::chain`]; here only what cannot be a value of a channel ("230 V", "16 bit", "3,27 s") is kept out.

mod joined;

use super::text::{Row, plain};
use super::words::listed;
pub(super) use joined::CONDITION_WORDS;
use joined::{conditions, from_to, hex_twins, spread, unfinished};

/// A piece of a row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    pub(super) what: What,
    /// Index of the row.
    pub(super) row: usize,
    /// First character and the one behind the last.
    pub(super) at: usize,
    pub(super) end: usize,
    /// As it stands in the row.
    pub(super) text: String,
    /// A wide gap, a tab or the start of the line is before it.
    pub(super) apart: bool,
}

/// What a piece is by its form.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum What {
    /// Two numbers with a mark between them.
    Span(u32, u32),
    /// A number by itself.
    Number(u32),
    /// "CH 3", "Kanal 1/2".
    Label(u32, Option<u32>),
    /// "only while channel 6 is 32 to 223".
    While(u32, u32, u32),
    /// Another channel is spoken of, without values.
    Mention(u32),
    /// A cell with nothing but a dash or a cross in it.
    Dash,
    /// Dots that stand for rows that are not printed.
    Dots,
    /// Anything else.
    Word,
}

/// Units behind a number: then it is no value of a channel.
const UNITS: &str = "hz|khz|s|sec|secs|second|seconds|sek|sekunde|sekunden|seconde|secondes|segundos|secondi|ms|msec|v|va|w|watt|\
    watts|kg|g|m|mm|cm|k|a|ma|c|bit|bits|deg|degree|degrees|grad|degres|grados|gradi|rpm|bpm|lm|lx|lux|percent|\
    prozent|min|x|ft|lbs|times|mins|minutes|inch|ah|mah|db|dba|h|hours|bpm";
/// Words between the numbers of a range.
const BETWEEN: &str = "to|bis|a|à|al|thru|through|until|jusqu'a|ad|t/m|tot|tot en met|hasta|fino a|up to";
/// The most channels that one row can be for.
const MOST_OF_A_ROW: u32 = 64;
/// Words for a channel in front of its number, plain; misspelt ones as they are met.
const CHANNEL_WORDS: &str = "ch|passage|chan|channel|chanel|channnel|chnnel|cannel|channels|kanal|kan|canal|can|canale|voie|kanaal|dmx ch|cha|\
    chn|canaux|kanale|canales|canali|voies|kanalen|kanaele|chs";

/// The pieces of every row, in reading order.
pub(super) fn tokens(rows: &[Row]) -> Vec<Token> {
    let mut all = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        if is_and_so_on(row) {
            let text = row.text();
            all.push(Token { what: What::Dots, row: index, at: 0, end: row.chars.len(), text, apart: true });
            continue;
        }
        let pieces = unfinished(Scan { chars: &row.chars, row: index, at: 0 }.pieces());
        all.extend(hex_twins(spread(from_to(pieces))));
    }
    conditions(all)
}

/// The pieces of one row.
pub(super) fn of_row(tokens: &[Token], row: usize) -> &[Token] {
    let from = tokens.partition_point(|token| token.row < row);
    &tokens[from..tokens.partition_point(|token| token.row <= row)]
}

/// The number of the channel that a text begins with ("CH32 works …").
pub(super) fn number_of(text: &str) -> Option<u32> {
    let plain = plain(text);
    let word = plain.trim_start_matches(|c: char| c.is_alphabetic());
    let letters = &plain[..plain.len() - word.len()];
    let digits: String = word.trim_start().chars().take_while(char::is_ascii_digit).collect();
    listed(CHANNEL_WORDS, letters).then(|| digits.parse().ok())?
}

/// Words that stand for rows that are not printed.
fn is_and_so_on(row: &Row) -> bool {
    let text = plain(&row.text());
    matches!(
        text.as_str(),
        "and so on"
            | "etc"
            | "usw"
            | "und so weiter"
            | "et cetera"
            | "and so forth"
            | "u s w"
            | "et ainsi de suite"
            | "y asi sucesivamente"
            | "e cosi via"
            | "continued in the same way"
            | "continues in the same way"
            | "to"
    )
}

struct Scan<'a> {
    chars: &'a [char],
    row: usize,
    at: usize,
}

impl Scan<'_> {
    fn pieces(mut self) -> Vec<Token> {
        let mut out: Vec<Token> = Vec::new();
        loop {
            let mut apart = self.at == 0;
            let from = self.at;
            while self.peek(0).is_some_and(char::is_whitespace) {
                apart |= self.peek(0) == Some('\t');
                self.at += 1;
            }
            apart |= self.at - from >= 2;
            if self.at >= self.chars.len() {
                return out;
            }
            let at = self.at;
            let what = self.piece(&out);
            let text: String = self.chars[at..self.at].iter().collect();
            out.push(Token { what, row: self.row, at, end: self.at, text, apart });
        }
    }

    fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    /// Reads one piece and moves behind it.
    fn piece(&mut self, before: &[Token]) -> What {
        if let Some(label) = self.label(before) {
            return label;
        }
        if before.is_empty()
            && let Some(label) = self.numbered()
        {
            return label;
        }
        if let Some(span) = self.compared() {
            return span;
        }
        if self.peek(0).is_some_and(|c| c.is_ascii_digit())
            && let Some(what) = self.numbers(before.is_empty())
        {
            return what;
        }
        let start = self.at;
        while self.peek(0).is_some_and(|c| !c.is_whitespace()) {
            // A number that follows a bracket or a sign of a sentence is one by itself: "(0-9)", "OFF:0-7".
            let opens = matches!(self.peek(0), Some('(' | '[' | '=' | ':' | ',' | ';' | '{' | '<' | '>'));
            self.at += 1;
            let decimal = self.chars[self.at - 1] == ','
                && self.at >= start + 2
                && self.chars[self.at - 2].is_ascii_digit()
                && self.peek(0).is_some_and(|c| c.is_ascii_digit());
            if opens && !decimal && self.peek(0).is_some_and(|c| c.is_ascii_digit() || c.is_alphabetic()) {
                break;
            }
        }
        let word: String = self.chars[start..self.at].iter().collect();
        if matches!(word.as_str(), "-" | "--" | "---" | "x" | "/" | "X" | "N/A" | "n/a") {
            return What::Dash;
        }
        if word.chars().all(|c| matches!(c, '.' | '…' | '-' | ':'))
            && word.chars().filter(|c| *c == '.').count() >= 3
            || word.contains('…')
        {
            return What::Dots;
        }
        What::Word
    }

    /// "#1", "(1)", "DMX-1" at the start of a row.
    fn numbered(&mut self) -> Option<What> {
        let rest: String = self.chars[self.at..].iter().take(5).collect();
        let lower = rest.to_lowercase();
        let lead = if lower.starts_with('#') || lower.starts_with('(') {
            1
        } else if lower.starts_with("dmx-")
            || lower.starts_with("dmx ") && lower.chars().nth(4).is_some_and(|c| c.is_ascii_digit())
        {
            4
        } else {
            return None;
        };
        let (number, end) = self.digits(self.at + lead)?;
        let closes = !rest.starts_with('(') || self.chars.get(end) == Some(&')');
        let goes_on = self.chars.get(end).is_some_and(|c| c.is_alphanumeric() || matches!(c, '-' | '~'));
        // "DMX 8 channels" counts them, "DMX 5 240" are values.
        let behind: String = self.chars.get(end..).unwrap_or_default().iter().take(12).collect();
        let word = plain(&behind).split(' ').next().unwrap_or_default().to_owned();
        let named = word.starts_with(char::is_alphabetic) && !listed(CHANNEL_WORDS, &word);
        let wide = behind.starts_with("  ");
        let counts = lead == 4 && !behind.is_empty() && !wide && (!named || word.starts_with("mod"));
        if !closes || goes_on || counts || !(1..=512).contains(&number) || self.span_end(end).is_some() {
            return None;
        }
        self.at = end;
        self.skip_stop();
        Some(What::Label(number, None))
    }

    /// "<10", ">=250", "10+": values up to or from a number.
    fn compared(&mut self) -> Option<What> {
        let start = self.at;
        let sign: String =
            self.chars[start..].iter().take_while(|c| matches!(c, '<' | '>' | '=' | '≤' | '≥')).collect();
        let mut at = start + sign.chars().count();
        while !sign.is_empty() && self.chars.get(at) == Some(&' ') {
            at += 1;
        }
        let (number, end) = self.digits(at)?;
        if number > 255 || self.glued(end) {
            return None;
        }
        let plus = sign.is_empty()
            && self.chars.get(end) == Some(&'+')
            && self.chars.get(end + 1).is_none_or(|c| c.is_whitespace());
        let span = match sign.as_str() {
            "<" if number > 0 => What::Span(0, number - 1),
            "<=" | "≤" | "=<" => What::Span(0, number),
            ">=" | "≥" | "=>" => What::Span(number, 255),
            ">" if number < 255 => What::Span(number + 1, 255),
            "" if plus => What::Span(number, 255),
            _ => return None,
        };
        self.at = end + usize::from(plus);
        Some(span)
    }

    /// "CH1", "Ch. 3", "Kanal 1/2"; not "CH" alone, not "8CH".
    fn label(&mut self, before: &[Token]) -> Option<What> {
        let start = self.at;
        let mut end = start;
        while self.chars.get(end).is_some_and(|c| c.is_alphabetic()) {
            end += 1;
        }
        let word: String = self.chars[start..end].iter().collect();
        if !listed(CHANNEL_WORDS, &plain(&word)) {
            return None;
        }
        // "8 channels", "3 CH": the number is before it, and this is a count.
        let counted = before
            .last()
            .is_some_and(|token| matches!(token.what, What::Number(_)) && !token.text.is_empty());
        while self.chars.get(end).is_some_and(|c| matches!(c, '.' | ' ' | '#' | ':' | '°' | '-' | '_')) {
            end += 1;
        }
        for extra in ["no", "nr", "number", "n"] {
            let next: String = self.chars[end..].iter().take(extra.len() + 1).collect();
            let next = next.to_lowercase();
            if next.starts_with(extra) && next.chars().last().is_some_and(|c| !c.is_alphabetic() || c == 'º')
            {
                end += extra.len();
                while self.chars.get(end).is_some_and(|c| matches!(c, '.' | ' ' | '#' | ':' | '°' | 'º')) {
                    end += 1;
                }
            }
        }
        let (first, after) = self.digits(end)?;
        if first == 0 || first > 512 {
            return None;
        }
        // "3 CH 0-255" is a count before values, "CH 13CH" nonsense.
        if self.chars.get(after).is_some_and(|c| c.is_alphabetic()) {
            return None;
        }
        let mut other = None;
        let mut end = after;
        let mut mark = after;
        while self.chars.get(mark) == Some(&' ') {
            mark += 1;
        }
        if self.chars.get(mark).is_some_and(|c| matches!(c, '/' | '+' | '&' | ',' | '-' | '~')) {
            let mut next = mark + 1;
            while self.chars.get(next) == Some(&' ') {
                next += 1;
            }
            // "CH 6 - CH 9", "Kanal 6 - Kanal 9".
            let again: String = self.chars[next..].iter().take_while(|c| c.is_alphabetic()).collect();
            if !again.is_empty() && listed(CHANNEL_WORDS, &plain(&again)) {
                next += again.chars().count();
                while self.chars.get(next).is_some_and(|c| matches!(c, ' ' | '.')) {
                    next += 1;
                }
            }
            if let Some((second, after)) = self.digits(next)
                && second > first
                && second <= 512
                && second - first < MOST_OF_A_ROW
                && !self.chars.get(after).is_some_and(|c| c.is_alphanumeric() || *c == '-')
            {
                other = Some(second);
                end = after;
            }
        }
        if counted && other.is_none() && matches!(self.chars.get(end), Some('-' | '~')) {
            return None;
        }
        while self.chars.get(end).is_some_and(|c| matches!(c, ':' | '.' | ')' | '=')) {
            end += 1;
        }
        self.at = end;
        Some(What::Label(first, other))
    }

    /// Digits at a place: the number and where they end.
    fn digits(&self, at: usize) -> Option<(u32, usize)> {
        let mut end = at;
        while self.chars.get(end).is_some_and(char::is_ascii_digit) {
            end += 1;
        }
        if end == at || end - at > 5 {
            return None;
        }
        let text: String = self.chars[at..end].iter().collect();
        text.parse().ok().map(|number| (number, end))
    }

    /// A number or a span at the current place; none when it belongs to a quantity or a word.
    fn numbers(&mut self, first_of_row: bool) -> Option<What> {
        let start = self.at;
        let (from, after) = self.digits(start)?;
        if self.glued(after) {
            return None;
        }
        // "1/2/3/4 Cell 1 R/G/B/W": so many channels in one row.
        if first_of_row && let Some((last, end)) = self.list_end(from, after) {
            self.at = end;
            self.skip_stop();
            return Some(What::Label(from, Some(last)));
        }
        // "1/2 Pan": coarse and fine byte in one row.
        if first_of_row
            && matches!(self.chars.get(after), Some('/' | '+'))
            && let Some((fine, end)) = self.digits(after + 1)
            && fine == from + 1
            && !self.glued(end)
        {
            self.at = end;
            self.skip_stop();
            return Some(What::Label(from, Some(fine)));
        }
        let span = self.span_end(after);
        if let Some((to, end)) = span {
            // "0~255 G" is green, not a weight.
            let whole = (from, to) == (0, 255) && !self.glued(end);
            if whole || !self.glued(end) && !self.has_unit(end, false) {
                self.at = end;
                self.skip_stop();
                // "0-127/128-255".
                if self.peek(0) == Some('/') && self.peek(1).is_some_and(|c| c.is_ascii_digit()) {
                    self.at += 1;
                }
                return Some(What::Span(from, to));
            }
            if self.has_unit(end, false) || self.glued(end) {
                // "0 - 40 °C", "1-20Hz", "0-100%": one quantity, one word.
                self.at = self.unit_end(end);
                return Some(What::Word);
            }
        }
        if self.has_unit(after, first_of_row) {
            self.at = self.unit_end(after);
            return Some(What::Word);
        }
        self.at = after;
        self.skip_stop();
        Some(What::Number(from))
    }

    /// Behind the first of three or more numbers that count up with the same mark between them: the last, and its end.
    fn list_end(&self, from: u32, after: usize) -> Option<(u32, usize)> {
        let blank = |mut at: usize| {
            while self.chars.get(at) == Some(&' ') {
                at += 1;
            }
            at
        };
        let mark = self.chars.get(blank(after)).copied().filter(|c| matches!(c, '/' | '+' | ',' | '&'))?;
        let (mut last, mut end) = (from, after);
        while self.chars.get(blank(end)) == Some(&mark)
            && let Some((next, behind)) = self.digits(blank(blank(end) + 1))
            && next == last + 1
            && !self.glued(behind)
        {
            (last, end) = (next, behind);
        }
        (last >= from + 2 && last <= 512 && last - from < MOST_OF_A_ROW).then_some((last, end))
    }

    /// A stop, bracket or equals sign right behind a number belongs to it.
    fn skip_stop(&mut self) {
        while self.peek(0).is_some_and(|c| matches!(c, '.' | ')' | ':' | ',' | ';' | ']' | '=' | '}')) {
            self.at += 1;
        }
    }

    /// `true` when a number that ends here goes on as something else: "5CH", "0.1", "16bit", "360°".
    fn glued(&self, end: usize) -> bool {
        match self.chars.get(end) {
            Some('.' | ',') => self.chars.get(end + 1).is_some_and(char::is_ascii_digit),
            Some('°' | '%' | '″' | '"' | '\'' | 'º' | '′') => true,
            Some(c) => c.is_alphabetic(),
            None => false,
        }
    }

    /// Behind a number that ends at `at`: the mark of a range and its second number.
    fn span_end(&self, at: usize) -> Option<(u32, usize)> {
        let mut place = at;
        while self.chars.get(place) == Some(&' ') {
            place += 1;
        }
        let rest: String = self.chars[place..].iter().take(10).collect();
        let rest = rest.to_lowercase();
        let mark = ["...", "->", "=>", "..", "<->", "--", "-", "~", "→", "…", "÷", ">"]
            .iter()
            .find(|mark| rest.starts_with(**mark));
        let behind = match mark {
            Some(mark) => place + mark.chars().count(),
            None => {
                if place == at {
                    return None;
                }
                let word = BETWEEN
                    .split('|')
                    .find(|word| rest.strip_prefix(*word).is_some_and(|after| after.starts_with(' ')))?;
                place + word.chars().count()
            }
        };
        let mut next = behind;
        while self.chars.get(next) == Some(&' ') {
            next += 1;
        }
        self.digits(next)
    }

    /// `true` when a unit follows a number that ends at `end`.
    fn has_unit(&self, end: usize, first_of_row: bool) -> bool {
        let mut place = end;
        while self.chars.get(place) == Some(&' ') && place < end + 1 {
            place += 1;
        }
        if place == end && !matches!(self.chars.get(place), Some('°' | '%' | '″' | 'º')) {
            return false;
        }
        match self.chars.get(place) {
            Some('°' | '%' | '″' | 'º') => true,
            Some(c) if c.is_alphabetic() => {
                let word: String = self.chars[place..].iter().take_while(|c| c.is_alphabetic()).collect();
                let known = listed(UNITS, &plain(&word));
                // "255 S->F" goes from slow to fast, "192 255 S-curve" is a curve.
                let behind = self.chars.get(place + word.chars().count());
                // "8-15 G1" is the first gobo.
                if word.chars().count() == 1
                    && behind.is_some_and(|c| matches!(c, '-' | '→' | '>' | '/') || c.is_ascii_digit())
                {
                    return false;
                }
                // "4 W" at the start of a line is the fourth channel, white.
                known
                    && !(first_of_row && word.chars().count() == 1)
                    && !matches!(word.as_str(), "A" | "a" | "x" | "X" | "min" | "h")
            }
            _ => false,
        }
    }

    /// Where a quantity with its unit ends.
    fn unit_end(&self, end: usize) -> usize {
        let mut place = end;
        while self.chars.get(place).is_some_and(|c| matches!(c, ' ')) {
            place += 1;
        }
        while self.chars.get(place).is_some_and(|c| !c.is_whitespace()) {
            place += 1;
        }
        place
    }
}

#[cfg(test)]
mod tests {
    use super::super::text::rows;
    use super::*;

    fn whats(text: &str) -> Vec<What> {
        tokens(&rows(text)).into_iter().map(|token| token.what).collect()
    }

    #[test]
    fn every_mark_of_a_range_is_one() {
        for text in [
            "0-255",
            "000 – 255",
            "0~255",
            "0…255",
            "0...255",
            "0 .. 255",
            "0 to 255",
            "0 bis 255",
            "0 → 255",
            "000—255",
        ] {
            assert_eq!(whats(text), [What::Span(0, 255)], "{text}");
        }
    }

    #[test]
    fn a_channel_by_its_label() {
        for text in ["CH3", "CH 3", "Ch. 3:", "Channel 3", "Kanal 3", "Voie n° 3", "Chanel 03", "canal nº3"]
        {
            assert_eq!(whats(text), [What::Label(3, None)], "{text}");
        }
        assert_eq!(whats("CH1/2"), [What::Label(1, Some(2))]);
    }

    #[test]
    fn quantities_are_no_values() {
        for text in
            ["230V~50Hz", "16 bit", "0 - 40 °C", "3,27 s", "IP20", "540°", "1-20 Hz", "0-100%", "5 seconds"]
        {
            assert!(whats(text).iter().all(|what| *what == What::Word), "{text}: {:?}", whats(text));
        }
    }

    #[test]
    fn a_condition_is_one_piece() {
        assert_eq!(whats("only while CH6 is 032-223"), [What::While(6, 32, 223)]);
        assert_eq!(whats("please operate against channel 6")[2..], [What::Mention(6)]);
    }

    #[test]
    fn the_same_range_in_hexadecimal_is_said_once() {
        assert_eq!(whats("000-007 00-07 open"), [What::Span(0, 7), What::Word]);
        assert_eq!(whats("128-255 80h-FFh open"), [What::Span(128, 255), What::Word]);
    }
}
