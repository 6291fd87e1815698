//! What the numbers of a table are: the number of a channel, the ends of a range, or part of the words.
//!
//! A chart keeps to habits that a reader can lean on: a channel's ranges begin at 0, go on where the last one ended, and
//! end at 255; channel numbers rise by one. Every reading of the numbers has a cost, more for each habit that it breaks; the
//! reading of least cost over the whole table wins (a search that keeps the best [`KEPT`] part-readings at each
//! step). So a lost dash, a number in the middle of its rows or a misprint is read by what stands around it.

use super::token::{Token, What};
use super::words;

/// Part-readings kept at every token.
const KEPT: usize = 40;
/// Tokens of one table that are read.
const MOST_TOKENS: usize = 8_000;

/// What a token was read as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// Words, or a number among words.
    Text,
    /// The number of a channel, and of its fine byte; `back`: it stands in the middle of its ranges, or behind them.
    Channel { number: u32, fine: Option<u32>, back: bool },
    /// A range; `opens` begins a channel's ranges, `again` begins them once more (another meaning of the same channel).
    Range { from: u32, to: u32, opens: bool, again: bool },
    /// The second number of the range before it.
    Tail,
}

/// A reading of a table's numbers.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    /// One for each token.
    pub(super) roles: Vec<Role>,
    /// What the reading costs: 0 for a table that keeps to every habit.
    pub(super) cost: f64,
}

/// The ranges of the channel that is being read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Open {
    /// None yet.
    Nothing,
    /// Its number was read, no values yet.
    Numbered,
    /// Values up to `next` (not included) were read; `numbered`: and its number; `other`: words since then speak of
    /// another meaning ("or", "when channel 1 is …").
    Ranges { next: u32, last: u32, numbered: bool, other: bool },
}

#[derive(Clone, Copy, Debug)]
struct State {
    cost: f64,
    channel: u32,
    open: Open,
    step: usize,
}

/// A step of a reading: what the token before was read as, and the step before that.
#[derive(Clone, Copy, Debug)]
struct Step {
    before: usize,
    role: Role,
    tokens: usize,
}

/// Reads a table that is said to have `expected` channels.
pub(super) fn read(tokens: &[Token], expected: Option<u32>) -> Chain {
    let tokens = &tokens[..tokens.len().min(MOST_TOKENS)];
    let mut search = Search {
        tokens,
        expected,
        behind: is_behind(tokens),
        leading: is_leading(tokens),
        steps: Vec::new(),
        beams: vec![Vec::new(); tokens.len() + 2],
    };
    search.beams[0].push(State { cost: 0.0, channel: 0, open: Open::Nothing, step: usize::MAX });
    for at in 0..tokens.len() {
        let states = search.best(at);
        for state in states {
            search.extend(at, state);
        }
    }
    search.end()
}

/// The first channel's values stand before its number, and none begin behind the last number: all stand behind.
fn is_behind(tokens: &[Token]) -> bool {
    let opens = |token: &Token| matches!(token.what, What::Span(0, _));
    let label = |token: &Token| matches!(token.what, What::Label(..));
    let labels = tokens.iter().filter(|token| label(token)).count();
    let (Some(first), Some(last)) = (tokens.iter().position(label), tokens.iter().rposition(label)) else {
        return false;
    };
    labels >= 2
        && matches!(tokens[first].what, What::Label(1, _))
        && tokens[..first].iter().any(opens)
        && !tokens[last..].iter().any(opens)
}

/// Nearly all values stand first in their rows.
fn is_leading(tokens: &[Token]) -> bool {
    let spans = (0..tokens.len()).filter(|at| matches!(tokens[*at].what, What::Span(..)));
    let (mut first, mut all) = (0, 0);
    for at in spans {
        all += 1;
        first += usize::from(at == 0 || tokens[at - 1].row != tokens[at].row);
    }
    all >= 5 && first * 5 >= all * 4
}

struct Search<'a> {
    tokens: &'a [Token],
    expected: Option<u32>,
    /// Channels' numbers stand behind their values.
    behind: bool,
    /// Values stand first in their rows.
    leading: bool,
    steps: Vec<Step>,
    beams: Vec<Vec<State>>,
}

impl Search<'_> {
    /// The states at a token: of those that differ in nothing but their past the cheapest, and of these the best.
    fn best(&mut self, at: usize) -> Vec<State> {
        let mut states = std::mem::take(&mut self.beams[at]);
        states.sort_by(|a, b| (a.channel, a.open).cmp(&(b.channel, b.open)).then(a.cost.total_cmp(&b.cost)));
        states.dedup_by(|later, earlier| later.channel == earlier.channel && later.open == earlier.open);
        states.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        states.truncate(KEPT);
        states
    }

    #[expect(clippy::too_many_arguments, reason = "one step of the search, spelled out at each call")]
    fn push(
        &mut self,
        at: usize,
        from: State,
        role: Role,
        tokens: usize,
        cost: f64,
        channel: u32,
        open: Open,
    ) {
        self.steps.push(Step { before: from.step, role, tokens });
        let step = self.steps.len() - 1;
        self.beams[at + tokens].push(State { cost: from.cost + cost, channel, open, step });
    }

    fn extend(&mut self, at: usize, state: State) {
        let token = &self.tokens[at];
        match token.what {
            What::Word | What::Dash | What::Dots => {
                let open = if is_or(token) { other(state.open) } else { state.open };
                self.push(at, state, Role::Text, 1, 0.0, state.channel, open);
            }
            What::While(..) | What::Mention(_) => {
                self.push(at, state, Role::Text, 1, 0.0, state.channel, other(state.open));
            }
            What::Label(number, fine) => {
                let among = self.among_words(at);
                self.push(at, state, Role::Text, 1, if among { 0.6 } else { 6.0 }, state.channel, state.open);
                self.channel(at, state, number, fine, if among { 2.5 } else { 0.0 });
            }
            What::Span(from, to) => {
                let among = self.among_words(at);
                let text = if from > to || to > 255 && to != 65_535 { 3.0 } else { 4.0 };
                let page =
                    self.leading && !self.is_first(at) && self.is_last(at) && token.apart && to == from + 1;
                let text = if page { 0.5 } else { text };
                self.push(
                    at,
                    state,
                    Role::Text,
                    1,
                    if among { 0.9 } else { text },
                    state.channel,
                    state.open,
                );
                // "1-2 Pan 0-65535": a pair of places; "1-4 Cell 1 RGBW 0-255": so many.
                let next = to > from && from == state.channel + 1 && to < from + 64;
                if (to == from + 1 || next) && self.is_first(at) && self.row_has_values_after(at) {
                    self.channel(at, state, from, Some(to), 0.8);
                }
                self.range(at, state, from, to, 1, if among { 0.4 } else { 0.0 });
            }
            What::Number(number) => self.number(at, state, number),
        }
    }

    fn number(&mut self, at: usize, state: State, number: u32) {
        let first = self.is_first(at);
        let alone = first && self.is_last(at);
        let among = self.among_words(at);
        let follows = at > 0
            && self.tokens[at - 1].row == self.tokens[at].row
            && matches!(self.tokens[at - 1].what, What::Number(_));
        let text = if follows {
            2.5
        } else if among {
            0.35
        } else if alone {
            2.5
        } else if first {
            2.2
        } else {
            1.2
        };
        self.push(at, state, Role::Text, 1, text, state.channel, state.open);
        if (1..=512).contains(&number) {
            let behind = at > 0
                && self.is_last(at)
                && self.tokens[at].apart
                && matches!(self.tokens[at - 1].what, What::Span(..) | What::Number(_));
            let place = if first || behind {
                0.25
            } else if among {
                3.0
            } else {
                1.0
            };
            self.channel(at, state, number, None, place);
        }
        if number <= 255 {
            // A single value.
            let usual = matches!(state.open, Open::Ranges { next, .. } if next == number) || number == 0;
            let cost =
                if usual { 0.5 } else { 1.5 } + if among { 1.0 } else { 0.0 } + if alone { 0.7 } else { 0.0 };
            self.range(at, state, number, number, 1, cost);
        }
        // Two numbers whose mark was lost.
        if let Some(next) = self.tokens.get(at + 1)
            && let What::Number(to) = next.what
            && to >= number
            && number <= 255
        {
            let same_row = next.row == self.tokens[at].row;
            let across = alone && self.is_last(at + 1) && next.row == self.tokens[at].row + 1;
            if same_row || across {
                let cost = if same_row { 0.15 } else { 0.5 }
                    + if among { 1.0 } else { 0.0 }
                    + if to > 255 { 1.0 } else { 0.0 };
                self.range(at, state, number, to, 2, cost);
            }
        }
    }

    fn channel(&mut self, at: usize, state: State, number: u32, fine: Option<u32>, cost: f64) {
        let last = fine.unwrap_or(number);
        let jump = |from: u32| match number {
            n if n == from + 1 => 0.0,
            n if n > from => {
                if from == 0 {
                    1.5
                } else {
                    2.5
                }
            }
            // Another table begins.
            1 if from > 1 => 1.8,
            _ => 6.0,
        };
        let past = if self.expected.is_some_and(|expected| last > expected) { 1.5 } else { 0.0 };
        let role = Role::Channel { number, fine, back: false };
        match state.open {
            Open::Ranges { next, last: from, numbered: false, other } => {
                // In the middle of its rows, or behind them.
                let cost = cost + jump(state.channel) + past;
                let open = Open::Ranges { next, last: from, numbered: true, other };
                self.push(at, state, Role::Channel { number, fine, back: true }, 1, cost, last, open);
                // Or it opens the next, and the one before had no number.
                let missed = if next == 256 { 1.2 } else { 2.5 };
                self.push(
                    at,
                    state,
                    role,
                    1,
                    cost - jump(state.channel) + jump(state.channel + 1) + missed,
                    last,
                    Open::Numbered,
                );
            }
            Open::Ranges { next, numbered: true, .. } => {
                if number == state.channel {
                    self.push(at, state, Role::Text, 1, cost + 0.3, state.channel, state.open);
                    return;
                }
                let short = if next < 256 { 1.5 } else { 0.0 };
                self.push(
                    at,
                    state,
                    role,
                    1,
                    cost + jump(state.channel) + past + short,
                    last,
                    Open::Numbered,
                );
            }
            Open::Numbered => {
                self.push(at, state, role, 1, cost + jump(state.channel) + past + 0.5, last, Open::Numbered);
            }
            Open::Nothing => {
                self.push(at, state, role, 1, cost + jump(state.channel) + past, last, Open::Numbered)
            }
        }
    }

    fn range(&mut self, at: usize, state: State, from: u32, to: u32, tokens: usize, cost: f64) {
        // 16-bit values count by their high byte.
        let wide = to > 255 && to <= 65_535 && (to & 0xff == 0xff || from & 0xff == 0) && to > 999;
        let (low, high) = if wide { (from >> 8, to >> 8) } else { (from, to) };
        let odd = if high > 255 || high < low { 2.0 } else { 0.0 };
        let cost = cost + odd;
        let end = high.min(255).max(low.min(255)) + 1;
        let push = |search: &mut Self, cost: f64, channel: u32, opens: bool, again: bool, numbered: bool| {
            let role = Role::Range { from, to, opens, again };
            let open = Open::Ranges { next: end, last: low, numbered, other: false };
            search.push(at, state, role, tokens, cost, channel, open);
        };
        match state.open {
            Open::Nothing => {
                push(self, cost + if low == 0 { 0.7 } else { 3.5 }, state.channel, true, false, false)
            }
            Open::Numbered => push(
                self,
                cost + if low <= 1 && low == 1 {
                    1.6
                } else if low == 0 {
                    0.0
                } else {
                    2.0
                },
                state.channel,
                true,
                false,
                true,
            ),
            Open::Ranges { next, last, numbered, other } => {
                let goes_on = match low {
                    low if low == next => 0.0,
                    low if low > next => 2.2,
                    low if low >= last && low > 0 => 2.2,
                    _ => 4.5,
                };
                if next <= 255 || goes_on > 0.0 {
                    push(
                        self,
                        cost + goes_on + if next > 255 { 1.0 } else { 0.0 },
                        state.channel,
                        false,
                        false,
                        numbered,
                    );
                }
                // Another meaning of the same values: several conditions, one channel.
                if numbered && low == 0 && next > 0 {
                    let said = if other { 0.1 } else { 0.95 } + if self.behind { 1.0 } else { 0.0 };
                    push(
                        self,
                        cost + said + if next < 256 { 0.8 } else { 0.0 },
                        state.channel,
                        true,
                        true,
                        true,
                    );
                }
                // The next channel's ranges, whose number is still to come.
                let short = if next < 256 { 2.0 } else { 0.0 };
                let missed = if numbered { 0.0 } else { 1.0 };
                let opens = match low {
                    0 if self.behind && numbered => 0.0,
                    0 => 0.7,
                    _ => 3.5,
                };
                let channel = if numbered { state.channel } else { state.channel + 1 };
                push(self, cost + short + opens + missed, channel, true, false, false);
            }
        }
    }

    /// Words stand right before it on its row: it may be part of them ("gobo 3", "colour 1-8").
    fn among_words(&self, at: usize) -> bool {
        let token = &self.tokens[at];
        at > 0
            && !token.apart
            && self.tokens[at - 1].row == token.row
            && matches!(self.tokens[at - 1].what, What::Word)
            && !self.tokens[at - 1].text.ends_with([':', '=', '(', '['])
            && self.tokens[at - 1].text.chars().any(char::is_alphabetic)
    }

    fn is_first(&self, at: usize) -> bool {
        at == 0 || self.tokens[at - 1].row != self.tokens[at].row
    }

    fn is_last(&self, at: usize) -> bool {
        self.tokens.get(at + 1).is_none_or(|next| next.row != self.tokens[at].row)
    }

    fn row_has_values_after(&self, at: usize) -> bool {
        self.tokens[at + 1..]
            .iter()
            .take_while(|token| token.row == self.tokens[at].row)
            .any(|token| matches!(token.what, What::Span(..)))
    }

    fn end(mut self) -> Chain {
        let count = self.tokens.len();
        let mut last = self.best(count);
        for state in &mut last {
            if let Open::Ranges { next, numbered, .. } = state.open {
                state.cost += if next < 256 { 1.5 } else { 0.0 } + if numbered { 0.0 } else { 1.0 };
            } else if state.open == Open::Numbered {
                state.cost += 1.5;
            }
            let channels = match state.open {
                Open::Ranges { numbered: false, .. } => state.channel + 1,
                _ => state.channel,
            };
            if self.expected.is_some_and(|expected| expected != channels) {
                state.cost += 1.0;
            }
        }
        let best = last.iter().min_by(|a, b| a.cost.total_cmp(&b.cost));
        let mut roles = vec![Role::Text; count];
        let Some(best) = best else { return Chain { roles, cost: f64::MAX } };
        let (mut step, mut at) = (best.step, count);
        while let Some(taken) = self.steps.get(step) {
            at -= taken.tokens;
            roles[at] = taken.role;
            for tail in roles.iter_mut().skip(at + 1).take(taken.tokens - 1) {
                *tail = Role::Tail;
            }
            step = taken.before;
        }
        Chain { roles, cost: best.cost }
    }
}

/// "OR": the words go over to another meaning of the same channel.
fn is_or(token: &Token) -> bool {
    words::is_or(&token.text.trim_matches(['(', ')', ':', '-']).to_lowercase())
}

fn other(open: Open) -> Open {
    match open {
        Open::Ranges { next, last, numbered, .. } => Open::Ranges { next, last, numbered, other: true },
        rest => rest,
    }
}
