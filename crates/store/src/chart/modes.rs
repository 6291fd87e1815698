//! Modes side by side: the first cells of a row are the channel's number in each mode.

use super::heads::Named;
use super::table::{RawChannel, Table};
use super::token::{Token, What};
use super::words;

/// A table in which every row of a channel has a number for each mode; read as one table of rows 1, 2, 3 …
pub(super) struct Columns {
    /// The tokens, with one label for each row of a channel.
    pub(super) tokens: Vec<Token>,
    /// The numbers of each row in each mode.
    pub(super) numbers: Vec<Vec<Option<u32>>>,
}

/// Numbers that can as well be other modes': the rows, and the modes of the first of them as they are read and as they may be.
pub(super) struct Doubt {
    pub(super) rows: Vec<usize>,
    pub(super) number: u32,
    pub(super) read: Vec<usize>,
    pub(super) other: Vec<usize>,
}

/// Replaces the cells of channel numbers by one label each. `is_other` says of a doubt that the other is right.
pub(super) fn columns(
    modes: &[Named],
    tokens: &[Token],
    is_other: &mut dyn FnMut(&Doubt) -> bool,
) -> Columns {
    let rows: Vec<&[Token]> = tokens.chunk_by(|one, next| one.row == next.row).collect();
    let places = Search::new(modes, &rows).places(is_other);
    let mut numbers: Vec<Vec<Option<u32>>> = Vec::new();
    let mut out = Vec::with_capacity(tokens.len());
    for (of_row, place) in rows.into_iter().zip(places) {
        let Some(Cells { found, first, taken }) = place else {
            out.extend_from_slice(of_row);
            continue;
        };
        numbers.push(found);
        let label = u32::try_from(numbers.len()).unwrap_or(u32::MAX);
        out.push(Token {
            what: What::Label(label, None),
            text: String::new(),
            apart: true,
            ..of_row[first].clone()
        });
        out.extend_from_slice(&of_row[..first]);
        out.extend_from_slice(&of_row[first + taken..]);
    }
    Columns { tokens: out, numbers }
}

/// The channel numbers of a row: one for each mode, the first cell of them and how many cells they take.
#[derive(Clone, Debug)]
struct Cells {
    found: Vec<Option<u32>>,
    first: usize,
    taken: usize,
}

/// What has been read up to a row: the number that each mode waits for.
#[derive(Clone, Debug)]
struct State {
    next: Vec<u32>,
    /// Numbers of modes that came before their turn: a short mode may have its channels in another order.
    early: Vec<(usize, u32)>,
    cost: f64,
    /// What decides between ways that cost the same.
    rank: u32,
    /// The step that led here.
    step: usize,
}

/// A row's cells, and the step before.
struct Step {
    before: usize,
    cells: Option<Cells>,
    /// Another step that leads to the same at the same cost.
    tie: Option<usize>,
}

/// Finds whose channel each number is. A row that lacks a mode has fewer numbers than there are modes: they go to modes that
/// wait for just these, so that every mode ends at its count, and nearest to the words of their modes where columns were kept.
struct Search<'a> {
    modes: &'a [Named],
    rows: &'a [&'a [Token]],
    /// Columns were kept: where cells stand says whose they are.
    aligned: bool,
    steps: Vec<Step>,
}

/// States that are kept at each row, and the ways on from each.
const KEPT: usize = 24;
const WAYS: usize = 32;

impl<'a> Search<'a> {
    fn new(modes: &'a [Named], rows: &'a [&'a [Token]]) -> Self {
        let end = |mode: &Named| mode.at + mode.name.chars().count();
        let aligned = modes.windows(2).all(|pair| pair[1].at >= end(&pair[0]) + 2);
        Self { modes, rows, aligned, steps: Vec::new() }
    }

    /// The cells of every row.
    fn places(mut self, is_other: &mut dyn FnMut(&Doubt) -> bool) -> Vec<Option<Cells>> {
        let mut states = vec![State {
            next: vec![1; self.modes.len()],
            early: Vec::new(),
            cost: 0.0,
            rank: 0,
            step: usize::MAX,
        }];
        let mut last = None;
        for row in self.rows {
            let run = if goes_on(last, row) || is_foot(row) { None } else { self.run(row) };
            last = last_value(row).or(last);
            let mut ways: Vec<State> = Vec::new();
            let before = self.steps.len();
            for state in &states {
                // Numbers that are no channels.
                let cost = state.cost + if run.is_some() { 3.0 } else { 0.0 };
                ways.push(self.way(State { cost, ..state.clone() }, None));
                if let Some((first, count)) = run {
                    self.ways(state, row, first, count, &mut ways);
                }
            }
            let better = |a: &State, b: &State| a.cost.total_cmp(&b.cost).then(a.rank.cmp(&b.rank));
            ways.sort_by(|a, b| (&a.next, &a.early).cmp(&(&b.next, &b.early)).then(better(a, b)));
            ways.dedup_by(|later, earlier| {
                let same = later.next == earlier.next && later.early == earlier.early;
                if same && later.cost <= earlier.cost && !self.aligned {
                    self.steps[earlier.step].tie.get_or_insert(later.step);
                }
                same
            });
            ways.sort_by(better);
            ways.truncate(KEPT);
            self.forget(before, &mut ways);
            states = ways;
        }
        let short = |state: &State| {
            let missed = self
                .modes
                .iter()
                .zip(&state.next)
                .filter(|(mode, next)| mode.count.is_some_and(|count| count + 1 != **next));
            state.cost + 2.0 * missed.count() as f64
        };
        let best = states.iter().min_by(|a, b| short(a).total_cmp(&short(b))).map(|state| state.step);
        let mut found: Vec<Option<Cells>> = vec![None; self.rows.len()];
        let mut step = best.unwrap_or(usize::MAX);
        for at in (0..found.len()).rev() {
            if let Some(doubt) = self.doubt(step, at)
                && let Some(tie) = self.steps.get(step).and_then(|taken| taken.tie)
                && is_other(&doubt)
            {
                step = tie;
            }
            let Some(taken) = self.steps.get(step) else { break };
            found[at].clone_from(&taken.cells);
            step = taken.before;
        }
        found
    }

    /// What differs, up to a row, between a step and another that leads to the same.
    fn doubt(&self, step: usize, row: usize) -> Option<Doubt> {
        let (mut one, mut other) = (step, self.steps.get(step)?.tie?);
        let mut doubt = Doubt { rows: Vec::new(), number: 0, read: Vec::new(), other: Vec::new() };
        for at in (0..=row).rev() {
            if one == other {
                break;
            }
            let (Some(read), Some(may)) = (self.steps.get(one), self.steps.get(other)) else { break };
            let owners = |cells: &Option<Cells>| -> Vec<usize> {
                let found = cells.iter().flat_map(|cells| cells.found.iter().enumerate());
                found.filter(|(_, number)| number.is_some()).map(|(mode, _)| mode).collect()
            };
            (doubt.read, doubt.other) = (owners(&read.cells), owners(&may.cells));
            if doubt.read != doubt.other {
                doubt.rows.extend(self.rows[at].first().map(|token| token.row));
            }
            let numbers = read.cells.iter().flat_map(|cells| cells.found.iter().flatten());
            doubt.number = numbers.copied().next().unwrap_or(0);
            (one, other) = (read.before, may.before);
        }
        (!doubt.rows.is_empty() && !doubt.read.is_empty() && !doubt.other.is_empty()).then_some(doubt)
    }

    /// Notes the step to a state with a row's cells.
    fn way(&mut self, mut state: State, cells: Option<Cells>) -> State {
        self.steps.push(Step { before: state.step, cells, tie: None });
        state.step = self.steps.len() - 1;
        state
    }

    /// Forgets the steps from `first` on that led nowhere.
    fn forget(&mut self, first: usize, states: &mut [State]) {
        let mut steps: Vec<Option<Step>> = self.steps.split_off(first).into_iter().map(Some).collect();
        for state in states {
            let mut kept = steps.get_mut(state.step - first).and_then(Option::take);
            if let Some(step) = &mut kept {
                let tie = step.tie.and_then(|tie| steps.get_mut(tie - first).and_then(Option::take));
                step.tie = tie.map(|tie| {
                    self.steps.push(tie);
                    self.steps.len() - 1
                });
            }
            self.steps.extend(kept);
            state.step = self.steps.len() - 1;
        }
    }

    /// Where cells with numbers may stand in a row, and how many: first, or behind the values.
    fn run(&self, row: &[Token]) -> Option<(usize, usize)> {
        let is_cell = |token: &Token| matches!(token.what, What::Number(_) | What::Dash | What::Label(..));
        let lead = row.iter().take_while(|token| is_cell(token)).count();
        if lead > 0 {
            return Some((0, lead));
        }
        let under = |token: &Token| self.modes.iter().any(|mode| mode.at.abs_diff(token.at) <= 3);
        let behind = |at: usize| at > 0 && matches!(row[at - 1].what, What::Span(0, _));
        let fits = |at: usize| {
            is_cell(&row[at]) && if self.aligned { row[at].apart && under(&row[at]) } else { behind(at) }
        };
        let first = (0..row.len()).find(|at| fits(*at))?;
        let goes_on = |token: &&Token| is_cell(token) && (!self.aligned || under(token));
        let count = row[first..].iter().take_while(goes_on).count();
        (count <= self.modes.len()).then_some((first, count))
    }

    /// The ways to give a row's cells to the modes.
    fn ways(&mut self, state: &State, row: &[Token], first: usize, count: usize, out: &mut Vec<State>) {
        let cells = &row[first..first + count];
        let number = |token: &Token| match token.what {
            What::Number(number) | What::Label(number, None) => Some(number),
            _ => None,
        };
        let many = self.modes.len();
        if count >= many {
            // A cell for each: a number that is left out of print is missed later.
            let found: Vec<Option<u32>> = cells[..many].iter().map(number).collect();
            let filled = cells[..many]
                .iter()
                .zip(&found)
                .all(|(cell, found)| found.is_some() || cell.what == What::Dash);
            let exact = found.iter().zip(&state.next).any(|(found, next)| *found == Some(*next));
            for early in [false, true] {
                let after = self.after(state, &found, early).filter(|_| filled && exact);
                if let Some(after) = after {
                    out.push(self.way(after, Some(Cells { found: found.clone(), first, taken: many })));
                }
            }
        }
        let mut subsets = Vec::new();
        self.subsets(state, cells, &mut vec![None; many], (0, 0), 0.0, &mut subsets);
        for (found, taken, cost) in subsets {
            let Some(mut after) = self.after(state, &found, false) else { continue };
            // Numbers that are left over are values whose mark was lost.
            let left = cells[taken..].iter().filter(|cell| cell.what != What::Dash).count();
            if first > 0 && left > 0 {
                continue;
            }
            after.rank += if self.aligned { 0 } else { self.rank(&found) };
            after.cost += cost + 0.4 * left.min(4) as f64;
            out.push(self.way(after, Some(Cells { found, first, taken })));
        }
    }

    /// The state behind a row with these numbers. One that is not the next leaves some out, or came before its turn.
    fn after(&self, state: &State, found: &[Option<u32>], early: bool) -> Option<State> {
        let State { mut next, early: mut before, mut cost, rank, step } = state.clone();
        let mut any_early = false;
        for (mode, number) in found.iter().enumerate().filter_map(|(mode, number)| Some((mode, (*number)?))) {
            let place = (mode, number);
            if number == next[mode] {
                next[mode] += 1;
            } else if early
                && number > next[mode]
                && self.modes[mode].count.is_some_and(|count| number <= count)
                && !before.contains(&place)
            {
                before.push(place);
                any_early = true;
                cost += 1.0;
            } else if !early && number > next[mode] && number <= next[mode] + 2 {
                next[mode] = number + 1;
                cost += 0.6;
            } else {
                return None;
            }
            while before.contains(&(mode, next[mode])) {
                next[mode] += 1;
            }
        }
        before.sort_unstable();
        (any_early == early).then_some(State { next, early: before, cost, rank, step })
    }

    /// Every way to give cells to modes that wait for just these numbers, in the order of the modes.
    fn subsets(
        &self,
        state: &State,
        cells: &[Token],
        found: &mut Vec<Option<u32>>,
        (cell, mode): (usize, usize),
        cost: f64,
        out: &mut Vec<(Vec<Option<u32>>, usize, f64)>,
    ) {
        if out.len() >= WAYS {
            return;
        }
        let some = found.iter().any(Option::is_some);
        let Some(token) = cells.get(cell).filter(|_| mode < self.modes.len()) else {
            if some {
                out.push((found.clone(), cell, cost));
            }
            return;
        };
        let (What::Number(value) | What::Label(value, None)) = token.what else {
            if token.what == What::Dash {
                self.subsets(state, cells, found, (cell + 1, mode), cost, out);
            }
            return;
        };
        for place in (mode..self.modes.len()).filter(|place| state.next[*place] == value) {
            found[place] = Some(value);
            self.subsets(state, cells, found, (cell + 1, place + 1), cost + self.away(place, token), out);
            found[place] = None;
        }
        if some {
            out.push((found.clone(), cell, cost));
        }
    }

    /// How far a cell is from the word of its mode, where columns were kept.
    fn away(&self, place: usize, cell: &Token) -> f64 {
        let mode = &self.modes[place];
        let middle = mode.at + mode.name.chars().count() / 2;
        if self.aligned { 0.1 * middle.abs_diff(cell.at).min(40) as f64 } else { 0.0 }
    }

    /// Modes with more channels have more of what there is.
    fn rank(&self, found: &[Option<u32>]) -> u32 {
        let smaller = |mode: &Named| self.modes.iter().filter(|other| other.count > mode.count).count();
        let owners = self.modes.iter().zip(found).filter(|(_, number)| number.is_some());
        owners.map(|(mode, _)| u32::try_from(smaller(mode)).unwrap_or(0)).sum()
    }
}

/// The foot of a page, with its number.
fn is_foot(row: &[Token]) -> bool {
    let text: Vec<&str> = row.iter().map(|token| token.text.as_str()).collect();
    let values = row.iter().any(|token| matches!(token.what, What::Span(..)));
    let leads = row.first().is_some_and(|token| token.what == What::Word);
    leads && !values && words::is_noise(&text.join(" "))
}

/// Two numbers whose mark was lost, and no others, go on where the range above ends: they are values.
fn goes_on(last: Option<u32>, row: &[Token]) -> bool {
    let [from, to, rest @ ..] = row else { return false };
    let (What::Number(from), What::Number(to)) = (&from.what, &to.what) else { return false };
    let is_number = |token: &Token| matches!(token.what, What::Number(_) | What::Span(..));
    let others =
        rest.first().is_some_and(is_number) || rest.iter().any(|token| token.apart && is_number(token));
    to > from && !others && last.is_some_and(|last| last < 255 && *from == last + 1)
}

/// The last value of a row's range.
fn last_value(row: &[Token]) -> Option<u32> {
    let pair = |at: usize| match (&row[at].what, row.get(at + 1).map(|next| &next.what)) {
        (What::Span(_, to), _) => Some(*to),
        (What::Number(from), Some(What::Number(to))) if to >= from => Some(*to),
        _ => None,
    };
    (0..row.len()).rev().find_map(pair).filter(|to| *to <= 255)
}

/// The table of one of the modes.
pub(super) fn one_mode(table: &Table, numbers: &[Vec<Option<u32>>], mode: usize) -> Table {
    let mut channels: Vec<RawChannel> = Vec::new();
    for channel in &table.channels {
        let row = usize::try_from(channel.number).unwrap_or(0).checked_sub(1);
        let number =
            row.and_then(|row| numbers.get(row)).and_then(|numbers| numbers.get(mode)).copied().flatten();
        if let Some(number) = number {
            channels.push(RawChannel { number, numbered: true, ..channel.clone() });
        }
    }
    // A short mode may have its channels in another order.
    channels.sort_by_key(|channel| channel.number);
    Table { channels, cost: table.cost, dots: Vec::new(), paired: table.paired }
}
