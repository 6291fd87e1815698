//! From the rows of one mode to channels with their ranges and the words beside them.

use super::chain::{self, Role};
use super::exploded;
use super::text::{Row, plain};
use super::token::{self, Token, What};
use super::{subject, words};

/// A channel as it is printed.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct RawChannel {
    /// Its number; counted on from the one before where none is printed.
    pub(super) number: u32,
    /// Its fine byte, where both share a row.
    pub(super) fine: Option<u32>,
    /// Its number is printed.
    pub(super) numbered: bool,
    /// What it is called; empty when the ranges alone speak.
    pub(super) name: String,
    /// Lines that speak of it.
    pub(super) lines: Vec<u32>,
    pub(super) ranges: Vec<RawRange>,
}

/// A range as it is printed.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct RawRange {
    pub(super) from: u32,
    pub(super) to: u32,
    /// The words beside it.
    pub(super) label: String,
    pub(super) lines: Vec<u32>,
    /// Other channels' values while which it means this.
    pub(super) when: Vec<(u32, u32, u32)>,
    /// Other channels that it speaks of without values.
    pub(super) mentions: Vec<u32>,
    /// It begins another meaning of the same values.
    pub(super) again: bool,
    /// It is printed from its last value down to its first, its words too.
    pub(super) falls: bool,
}

/// The channels of a table, and what the reading of its numbers cost.
#[derive(Clone, Debug)]
pub(super) struct Table {
    pub(super) channels: Vec<RawChannel>,
    pub(super) cost: f64,
    /// Rows of dots, by their lines, each with the index of the channel that it follows.
    pub(super) dots: Vec<(u32, usize)>,
    /// Ranges and words were paired by their order alone.
    pub(super) paired: Option<(usize, usize)>,
}

/// Reads the rows of a table, which is said to have so many channels.
pub(super) fn read(rows: &[Row], tokens: &[Token], expected: Option<u32>) -> Table {
    if let Some(table) = exploded::read(rows, tokens, expected) {
        return table;
    }
    if let Some(turned) = turned(tokens) {
        let mut table = read(rows, &turned, expected);
        for channel in &mut table.channels {
            channel.ranges.reverse();
            for range in &mut channel.ranges {
                let (from, to) = (range.from.min(255), range.to.min(255));
                (range.from, range.to, range.falls) = (255 - to, 255 - from, true);
            }
        }
        return table;
    }
    let chain = chain::read(tokens, expected);
    let mut build = Build::new(rows, tokens, &chain.roles);
    build.walk();
    Table { channels: build.channels, cost: chain.cost, dots: build.dots, paired: None }
}

/// Where values are printed downwards ("255-248", "247-0"): the same read from the other end, so that they rise.
fn turned(tokens: &[Token]) -> Option<Vec<Token>> {
    let spans = || {
        tokens.iter().filter_map(|token| match token.what {
            What::Span(from, to) if from <= 255 && to <= 255 => Some((from, to)),
            _ => None,
        })
    };
    let falls = spans().filter(|(from, to)| from > to).count();
    let whole = spans().filter(|(from, _)| *from == 255).count();
    if falls < 4 || falls * 5 < spans().count() * 4 || whole < 2 {
        return None;
    }
    let turn = |token: &Token| {
        let what = match token.what {
            What::Span(from, to) if from <= 255 && to <= 255 => What::Span(255 - from, 255 - to),
            ref other => other.clone(),
        };
        Token { what, ..token.clone() }
    };
    Some(tokens.iter().map(turn).collect())
}

/// A piece of a row, after its numbers are understood.
#[derive(Clone, Debug)]
pub(super) enum Bit {
    Words(Words),
    Channel { number: u32, fine: Option<u32>, back: bool },
    Range { from: u32, to: u32, opens: bool, again: bool },
    Dots,
}

/// Words that stand together, a wide gap as two blanks.
#[derive(Clone, Debug, Default)]
pub(super) struct Words {
    pub(super) text: String,
    /// Where they begin in their row.
    pub(super) at: usize,
    /// Where those behind the last wide gap begin.
    pub(super) last_at: usize,
    /// They begin with a bracket.
    pub(super) bracketed: bool,
    pub(super) when: Vec<(u32, u32, u32)>,
    pub(super) mentions: Vec<u32>,
}

/// The pieces of every row.
pub(super) fn bits(rows: &[Row], tokens: &[Token], roles: &[Role]) -> Vec<(u32, Vec<Bit>)> {
    let mut out: Vec<(usize, Vec<Bit>)> = Vec::new();
    for (token, role) in tokens.iter().zip(roles) {
        if out.last().is_none_or(|(row, _)| *row != token.row) {
            out.push((token.row, Vec::new()));
        }
        let Some((_, bits)) = out.last_mut() else { continue };
        match *role {
            Role::Channel { number, fine, back } => bits.push(Bit::Channel { number, fine, back }),
            Role::Range { from, to, opens, again } => bits.push(Bit::Range { from, to, opens, again }),
            Role::Tail => {}
            Role::Text => {
                if token.what == What::Dots && bits.is_empty() {
                    bits.push(Bit::Dots);
                    continue;
                }
                if !matches!(bits.last(), Some(Bit::Words(_))) {
                    let bracketed = token.text.starts_with('(');
                    bits.push(Bit::Words(Words { at: token.at, bracketed, ..Words::default() }));
                }
                let Some(Bit::Words(words)) = bits.last_mut() else { continue };
                if !matches!(token.what, What::While(..))
                    && token.text.chars().any(|c| {
                        c.is_alphanumeric() || matches!(c, '(' | '%' | '°' | '-' | '→' | '~' | '>' | '<')
                    })
                {
                    if !words.text.is_empty() {
                        words.text.push_str(if token.apart { "  " } else { " " });
                    }
                    if words.text.is_empty() {
                        words.at = token.at;
                    }
                    if words.text.is_empty() || token.apart {
                        words.last_at = token.at;
                    }
                    words.text.push_str(&token.text);
                }
                match token.what {
                    What::While(channel, from, to) => words.when.push((channel, from, to)),
                    What::Mention(channel) => words.mentions.push(channel),
                    _ => {}
                }
            }
        }
    }
    out.into_iter().map(|(row, bits)| (rows.get(row).map_or(0, |row| row.line), bits)).collect()
}

struct Build {
    rows: Vec<(u32, Vec<Bit>)>,
    channels: Vec<RawChannel>,
    dots: Vec<(u32, usize)>,
    /// Words are before the values on their row.
    before: bool,
    /// Names of channels stand in rows of their own behind the channel's ranges.
    names_behind: bool,
    /// The words behind a channel's first values say what it is: no row above names it.
    told_behind: bool,
    /// The row that is read says what its channel is called.
    named_here: bool,
    /// Words that wait for the channel that begins next.
    pending: Vec<(u32, Words)>,
    /// The conditions that hold for the ranges to come.
    when: Vec<(u32, u32, u32)>,
    /// They were said in a row of their own since the last range.
    when_said: bool,
    /// Where the last range's words, and the last channel's name, began in their rows.
    label_at: usize,
    name_at: usize,
    /// Words that stand above the values that they belong to, in the middle of whose cell those are.
    ahead: Option<Words>,
    /// The last line of words that speak of the whole.
    remark: Option<u32>,
    /// What the values to come mean, where they mean something else ("OR show speed").
    otherwise: Option<String>,
    /// The last line of nothing but "or".
    or_line: Option<u32>,
}

impl Build {
    fn new(rows: &[Row], tokens: &[Token], roles: &[Role]) -> Self {
        let rows: Vec<(u32, Vec<Bit>)> =
            bits(rows, tokens, roles).into_iter().filter(|(_, bits)| !words::is_header(bits)).collect();
        let (mut behind, mut ahead) = (0, 0);
        for (_, bits) in &rows {
            for (index, bit) in bits.iter().enumerate() {
                if matches!(bit, Bit::Range { .. }) {
                    let after = matches!(bits.get(index + 1), Some(Bit::Words(_)));
                    let before = index > 0 && matches!(bits.get(index - 1), Some(Bit::Words(_)));
                    behind += usize::from(after);
                    ahead += usize::from(before && !after);
                }
            }
        }
        let before = ahead > 2 * behind;
        let names_behind = names_behind(&rows);
        let told_behind = told_behind(&rows);
        Self {
            rows,
            told_behind,
            channels: Vec::new(),
            dots: Vec::new(),
            before,
            names_behind,
            named_here: false,
            pending: Vec::new(),
            when: Vec::new(),
            when_said: false,
            label_at: 0,
            name_at: 0,
            ahead: None,
            remark: None,
            otherwise: None,
            or_line: None,
        }
    }

    fn walk(&mut self) {
        let rows = std::mem::take(&mut self.rows);
        for (index, (line, bits)) in rows.iter().enumerate() {
            self.named_here = is_named(bits);
            let has_range = bits.iter().any(|bit| matches!(bit, Bit::Range { .. }));
            let has_channel = bits.iter().any(|bit| matches!(bit, Bit::Channel { .. }));
            if has_range {
                self.values(*line, bits);
            } else if has_channel {
                self.number(*line, bits);
            } else {
                self.words(*line, bits, &rows[index + 1..]);
            }
        }
        // A page's foot after the last channel waits for nobody.
        self.pending.clear();
    }

    fn begin(&mut self, number: Option<(u32, Option<u32>)>, line: u32) {
        let next = self.channels.last().map_or(1, |last| last.fine.unwrap_or(last.number) + 1);
        let (number, fine, numbered) = match number {
            Some((number, fine)) => (number, fine, true),
            None => (next, None, false),
        };
        let mut channel = RawChannel { number, fine, numbered, lines: vec![line], ..RawChannel::default() };
        // What the first channel is called on its own row is its name; what stands above is the table's.
        let titled = self.channels.is_empty() && self.named_here;
        let pending = std::mem::take(&mut self.pending);
        for (line, words) in pending.into_iter().filter(|(above, _)| !titled || *above == line) {
            append(&mut channel.name, &words.text);
            channel.lines.push(line);
        }
        self.when.clear();
        self.channels.push(channel);
    }

    /// A row with values.
    fn values(&mut self, line: u32, bits: &[Bit]) {
        let mut waiting: Option<&Words> = None;
        let mut seen_range = false;
        for (index, bit) in bits.iter().enumerate() {
            match bit {
                Bit::Channel { number, fine, back } => {
                    if *back {
                        self.renumber(*number, *fine, line);
                    } else {
                        match waiting.take() {
                            Some(words) if seen_range && self.has_last_range() => self.label(words),
                            Some(words) => self.pending.push((line, words.clone())),
                            None => {}
                        }
                        self.begin(Some((*number, *fine)), line);
                    }
                }
                Bit::Range { .. } => {
                    let bare = !bits.iter().any(|bit| matches!(bit, Bit::Words(_)));
                    self.range(line, bit, waiting.take(), bare);
                    seen_range = true;
                }
                Bit::Words(words) => {
                    let more_ranges = bits[index + 1..].iter().any(|bit| matches!(bit, Bit::Range { .. }));
                    if seen_range && !(self.before && more_ranges) && waiting.is_none() {
                        self.label(words);
                    } else {
                        waiting = Some(words);
                    }
                }
                Bit::Dots => {}
            }
        }
        self.shared_label(bits);
        if let Some(words) = waiting {
            if seen_range { self.label(words) } else { self.pending.push((line, words.clone())) }
        }
    }

    /// A range, with the words before it on its row; a bare one has none at all.
    fn range(&mut self, line: u32, bit: &Bit, words: Option<&Words>, bare: bool) {
        let Bit::Range { from, to, opens, again } = bit else { return };
        let fresh = self.channels.last().is_none_or(|last| !last.ranges.is_empty());
        if *opens && fresh && !*again {
            self.begin(None, line);
        }
        let own = self.before && words.is_some();
        if let Some(words) = words.filter(|_| !own) {
            self.name_ahead(words, line);
        }
        if *again && !self.when_said {
            self.when.clear();
        }
        self.when_said = false;
        let when = self.when.clone();
        if let Some(channel) = self.channels.last_mut() {
            channel.lines.push(line);
            channel.ranges.push(RawRange {
                from: *from,
                to: *to,
                lines: vec![line],
                when,
                again: *again,
                ..RawRange::default()
            });
        }
        if let Some(said) = self.otherwise.take().filter(|_| *again) {
            self.label(&Words { text: said, ..Words::default() });
        }
        if let Some(words) = words.filter(|_| own) {
            self.split_label(words, line);
        }
        if let Some(words) = self.ahead.take().filter(|_| bare) {
            self.label(&words);
        }
    }

    /// Words before values on their row: the channel's name, or the condition that those values hold under.
    fn name_ahead(&mut self, words: &Words, line: u32) {
        if !words.when.is_empty() {
            self.when.clear();
            self.when_said = true;
        }
        self.name(words, line);
    }

    /// "0-127/128-255 off/on": the words of several ranges in one cell.
    fn shared_label(&mut self, bits: &[Bit]) {
        let count = bits.iter().filter(|bit| matches!(bit, Bit::Range { .. })).count();
        let Some(channel) =
            self.channels.last_mut().filter(|channel| count >= 2 && channel.ranges.len() >= count)
        else {
            return;
        };
        let first = channel.ranges.len() - count;
        let ranges = &mut channel.ranges[first..];
        let Some((last, others)) = ranges.split_last_mut() else { return };
        let parts: Vec<String> = last.label.split('/').map(|part| part.trim().to_owned()).collect();
        if others.iter().all(|range| range.label.is_empty()) && parts.len() == count {
            for (range, part) in others.iter_mut().chain(std::iter::once(last)).zip(parts) {
                range.label = part;
            }
        }
    }

    fn has_last_range(&self) -> bool {
        self.channels.last().is_some_and(|channel| !channel.ranges.is_empty())
    }

    /// A row with a channel's number and no values.
    fn number(&mut self, line: u32, bits: &[Bit]) {
        let mut before: Vec<&Words> = Vec::new();
        let mut begun = false;
        for bit in bits {
            match bit {
                Bit::Channel { number, fine, back } => {
                    if *back {
                        self.renumber(*number, *fine, line);
                    } else {
                        for words in before.drain(..) {
                            self.pending.push((line, words.clone()));
                        }
                        self.begin(Some((*number, *fine)), line);
                    }
                    begun = true;
                }
                Bit::Words(words) if begun => self.words_beside_number(words, line),
                Bit::Words(words) => before.push(words),
                _ => {}
            }
        }
        for words in before {
            self.words_beside_number(words, line);
        }
    }

    /// Words beside a number in the middle of its rows: those in the column of the last range's words go on with them.
    fn words_beside_number(&mut self, words: &Words, line: u32) {
        if !self.is_wrap(line) || !is_under(words.last_at, self.label_at) {
            self.name(words, line);
            return;
        }
        let (name, label) = words.text.rsplit_once("  ").unwrap_or(("", &words.text));
        if !name.is_empty() {
            self.name(&Words { text: name.to_owned(), when: Vec::new(), ..words.clone() }, line);
        }
        self.label_line(&Words { text: label.to_owned(), at: words.last_at, ..words.clone() }, line);
    }

    /// Words with a condition below a range: those in the column of names go on with the channel's name.
    fn condition_below(&mut self, words: &Words, line: u32) {
        let named = is_under(words.at, self.name_at) && !is_under(words.at, self.label_at);
        if !self.is_wrap(line) || !named {
            self.label(words);
            return;
        }
        let (name, label) = words.text.split_once("  ").unwrap_or((&words.text, ""));
        self.name(&Words { text: name.to_owned(), when: Vec::new(), ..words.clone() }, line);
        self.label(&Words { text: label.to_owned(), ..words.clone() });
    }

    fn renumber(&mut self, number: u32, fine: Option<u32>, line: u32) {
        if let Some(channel) = self.channels.last_mut() {
            channel.number = number;
            channel.fine = fine;
            channel.numbered = true;
            channel.lines.push(line);
        }
    }

    /// A row of nothing but words.
    fn words(&mut self, line: u32, bits: &[Bit], rest: &[(u32, Vec<Bit>)]) {
        if matches!(bits.first(), Some(Bit::Dots)) {
            self.dots.push((line, self.channels.len().saturating_sub(1)));
            return;
        }
        let Some(Bit::Words(words)) = bits.first() else { return };
        if words::is_noise(&words.text)
            || self.is_remark(line, &words.text, rest.iter().all(|(_, bits)| only_words(bits)))
        {
            self.remark = Some(line);
            return;
        }
        let next =
            rest.iter().find(|(_, bits)| bits.iter().any(|bit| !matches!(bit, Bit::Words(_) | Bit::Dots)));
        let next = next.map(|(_, bits)| bits.as_slice());
        let goes_on = next.and_then(|bits| {
            bits.iter().find_map(|bit| match bit {
                Bit::Range { opens, again, .. } => Some(!opens || *again),
                Bit::Channel { back, .. } => Some(*back),
                _ => None,
            })
        });
        let Some(channel) = self.channels.last_mut() else {
            self.pending.retain(|(earlier, _)| line.abs_diff(*earlier) <= 2);
            if next.is_some() && subject::subject(&words.text).is_some() {
                self.pending.push((line, words.clone()));
            }
            return;
        };
        if !words.when.is_empty()
            && let Some(number) = token::number_of(&words.text)
        {
            // "CH32 works only while CH31 is 10-239."
            for channel in self.channels.iter_mut().filter(|channel| channel.number == number) {
                channel.lines.push(line);
                channel.ranges.iter_mut().for_each(|range| range.when.clone_from(&words.when));
            }
            return;
        }
        if channel.ranges.is_empty() {
            append(&mut channel.name, &words.text);
            channel.lines.push(line);
            if !words.when.is_empty() {
                self.when.clone_from(&words.when);
                self.when_said = true;
            }
            return;
        }
        if !words.when.is_empty() || !words.mentions.is_empty() {
            self.condition(line, words, goes_on);
            return;
        }
        if !self.is_or(line, words, goes_on) {
            self.beside_ranges(line, words, rest, next, goes_on);
        }
    }

    /// Words with a condition below a range: they are of that range, or of the values to come.
    fn condition(&mut self, line: u32, words: &Words, goes_on: Option<bool>) {
        // Where columns are lost: the range above has no condition yet, and its words may break off.
        let last = self.channels.last().and_then(|channel| channel.ranges.last());
        let bare = last.is_some_and(|range| range.from == 0 && range.when.is_empty());
        let broken = last.is_some_and(|range| breaks_off(&range.label));
        let small = words.text.starts_with(char::is_lowercase);
        let under = is_under(words.at, self.label_at) && (words.bracketed || small);
        let wraps = self.is_wrap(line) && (under || bare && (words.bracketed || broken));
        if goes_on != Some(true) || !words.mentions.is_empty() || wraps {
            self.condition_below(words, line);
            return;
        }
        // "When CH1 is 10-229:" above the values that it speaks of; below an "or", with their name.
        if self.or_line == Some(line.saturating_sub(1)) && words.text.chars().any(char::is_alphabetic) {
            self.otherwise = Some(words.text.clone());
        }
        self.when.clone_from(&words.when);
        self.when_said = true;
    }

    /// "OR", "OR show speed": the values to come are the same, and mean something else.
    fn is_or(&mut self, line: u32, words: &Words, goes_on: Option<bool>) -> bool {
        let text = plain(&words.text);
        let (first, others) = text.split_once(' ').unwrap_or((&text, ""));
        if !words::is_or(first) || !others.is_empty() && goes_on != Some(true) {
            return false;
        }
        let said = words.text.split_once(' ').map_or("", |(_, said)| said);
        self.otherwise = Some(said.to_owned()).filter(|said| said.chars().any(char::is_alphabetic));
        self.or_line = Some(line);
        true
    }

    /// A row of words below a range: more of its words, the name of its channel, or of the next.
    fn beside_ranges(
        &mut self,
        line: u32,
        words: &Words,
        rest: &[(u32, Vec<Bit>)],
        next: Option<&[Bit]>,
        goes_on: Option<bool>,
    ) {
        let wraps = self.is_wrap(line);
        let centred = rest.first().is_some_and(|(next, bits)| {
            *next == line + 1
                && !bits.is_empty()
                && bits.iter().all(|bit| matches!(bit, Bit::Range { opens: _, .. }))
        });
        if centred && !wraps && is_under(words.at, self.label_at) {
            self.ahead = Some(words.clone());
            return;
        }
        let Some(channel) = self.channels.last() else { return };
        let bare = channel.ranges.last().is_some_and(|range| range.label.is_empty());
        let named = !channel.name.is_empty();
        let known = subject::subject(&words.text).is_some();
        let next_named = next.is_some_and(is_named);
        // Indented as the words of the row above are, or those break off in the middle.
        let under = is_under(words.at, self.label_at) && wraps;
        let small = self.told_behind && words.text.starts_with(char::is_lowercase);
        let broken =
            wraps && channel.ranges.last().is_some_and(|range| small && !bare || breaks_off(&range.label));
        let under_name = is_under(words.at, self.name_at)
            && !is_under(words.at, self.label_at)
            && channel.ranges.len() == 1
            && wraps
            && !channel.name.is_empty();
        if self.before && (wraps || bare) || under || broken {
            self.label_line(words, line);
        } else if under_name {
            self.name(words, line);
        } else if goes_on == Some(true) {
            if bare || named || !known { self.label_line(words, line) } else { self.name(words, line) }
        } else if bare && (named || channel.ranges.len() > 1 || !self.names_behind && next_named) {
            self.label_line(words, line);
        } else if !named && (next_named || self.names_behind || bare) {
            self.name(words, line);
        } else if next.is_some()
            && !next_named
            && !(self.told_behind && wraps)
            && (known || rest.first().is_some_and(|(_, bits)| !only_words(bits)))
        {
            self.pending.push((line, words.clone()));
        } else if next.is_some() || wraps {
            self.label_line(words, line);
        }
    }

    /// A sentence apart from the ranges above, or behind the last of them, speaks of the whole, not of them; what goes on
    /// right below it too.
    fn is_remark(&self, line: u32, text: &str, last: bool) -> bool {
        if last && self.remark == Some(line.saturating_sub(1)) {
            return true;
        }
        let in_sentences =
            self.channels.last().and_then(|channel| channel.ranges.last()).is_some_and(|range| {
                range.label.is_empty() || range.label.contains('.') || breaks_off(&range.label)
            });
        let behind = last && !in_sentences;
        let labelled = self.channels.last().is_some_and(|channel| {
            channel.ranges.last().is_some_and(|range| !range.label.is_empty())
                || channel.ranges.len() == 1 && !channel.name.is_empty()
        });
        let above = self.channels.last().and_then(|channel| channel.lines.iter().max());
        let apart = above.is_none_or(|above| line > above + 1);
        let words = text.split_whitespace().filter(|word| word.chars().any(char::is_alphabetic)).count();
        let ends = text.ends_with('.') || last && apart && labelled;
        let sentence = words >= 6 && ends && text.starts_with(char::is_uppercase);
        (apart || behind) && (sentence || last && words >= 2 && words::is_note(text))
            || apart && last && labelled && words::has_measure(text)
    }

    /// The line follows the last range's own.
    fn is_wrap(&self, line: u32) -> bool {
        let last = self.channels.last().and_then(|channel| channel.ranges.last());
        last.and_then(|range| range.lines.last()).is_some_and(|last| line == last + 1)
    }

    fn name(&mut self, words: &Words, line: u32) {
        self.name_at = words.at;
        if let Some(channel) = self.channels.last_mut() {
            append(&mut channel.name, &words.text);
            channel.lines.push(line);
        }
        self.when.extend(&words.when);
    }

    /// Words before the values: those apart from the last of them are the channel's name.
    fn split_label(&mut self, words: &Words, line: u32) {
        let single = self.channels.last().is_some_and(|channel| channel.ranges.len() == 1);
        match words.text.rsplit_once("  ") {
            Some((name, label)) if single => {
                self.name(&Words { text: name.to_owned(), ..Words::default() }, line);
                self.label(&Words { text: label.to_owned(), ..words.clone() });
            }
            _ => self.label(words),
        }
    }

    fn label_line(&mut self, words: &Words, line: u32) {
        self.label(words);
        if let Some(range) = self.channels.last_mut().and_then(|channel| channel.ranges.last_mut()) {
            range.lines.push(line);
        }
    }

    fn label(&mut self, words: &Words) {
        self.label_at = words.at;
        if let Some(range) = self.channels.last_mut().and_then(|channel| channel.ranges.last_mut()) {
            append(&mut range.label, &words.text);
            if !words.when.is_empty() && range.label.ends_with('(') {
                // The condition was in the bracket.
                range.label = range.label.trim_end_matches(['(', ' ']).to_owned();
            }
            range.when.extend(&words.when);
            range.mentions.extend(&words.mentions);
        }
    }
}

/// Something that begins at a place in its row stands in a column that is not the row's first.
fn is_under(at: usize, column: usize) -> bool {
    at > 0 && at.abs_diff(column) <= 1
}

/// Adds words behind words. A word that was divided at the end of a line becomes one again.
pub(super) fn append(text: &mut String, more: &str) {
    let more = more.trim();
    if text.ends_with('-') && more.starts_with(char::is_lowercase) {
        text.pop();
    } else if !text.is_empty() && !more.is_empty() {
        text.push(' ');
    }
    text.push_str(more);
}

/// Words that cannot be the end of what is said.
fn breaks_off(text: &str) -> bool {
    let last = plain(text).rsplit(' ').next().map(str::to_owned).unwrap_or_default();
    text.ends_with([',', '-', '(', '/', '+', '&', ';'])
        || matches!(
            last.as_str(),
            "of" | "to"
                | "from"
                | "the"
                | "and"
                | "by"
                | "with"
                | "or"
                | "on"
                | "for"
                | "in"
                | "a"
                | "at"
                | "depends"
                | "von"
                | "bis"
                | "und"
                | "mit"
                | "oder"
                | "de"
                | "du"
                | "la"
                | "et"
                | "avec"
                | "y"
                | "con"
                | "e"
                | "di"
                | "der"
                | "die"
                | "das"
                | "per"
                | "than"
        )
}

fn only_words(bits: &[Bit]) -> bool {
    bits.iter().all(|bit| matches!(bit, Bit::Words(_) | Bit::Dots))
}

/// A row that begins a channel and says its name: words before its values, or beside its number.
fn is_named(bits: &[Bit]) -> bool {
    let value = bits.iter().position(|bit| matches!(bit, Bit::Range { .. })).unwrap_or(bits.len());
    bits[..value].iter().any(|bit| matches!(bit, Bit::Words(_)))
}

/// Rows with a channel's number, its values and words behind them: most of these words say what it is.
fn told_behind(rows: &[(u32, Vec<Bit>)]) -> bool {
    let (mut told, mut all) = (0, 0);
    for (_, bits) in rows {
        if let [Bit::Channel { .. }, Bit::Range { .. }, Bit::Words(words)] = bits.as_slice() {
            all += 1;
            told += usize::from(subject::subject(&words.text).is_some());
        }
    }
    all >= 3 && told * 3 >= all * 2
}

/// Names of channels stand in rows of their own behind the ranges: more channels lack a name if such rows are read as
/// belonging to what comes after.
fn names_behind(rows: &[(u32, Vec<Bit>)]) -> bool {
    let first_value = rows.iter().position(|(_, bits)| !only_words(bits));
    let Some(first) = first_value else { return false };
    let before = first > 0
        && rows[..first].iter().any(|(_, bits)| match bits.first() {
            Some(Bit::Words(words)) => subject::subject(&words.text).is_some(),
            _ => false,
        });
    // The last row that holds values is followed by a name.
    let last = rows.iter().rposition(|(_, bits)| !only_words(bits)).unwrap_or(0);
    let after = rows.get(last + 1).is_some_and(|(_, bits)| match bits.first() {
        Some(Bit::Words(words)) => subject::subject(&words.text).is_some(),
        _ => false,
    });
    after && !before
}
