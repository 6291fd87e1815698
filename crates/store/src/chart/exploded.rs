//! A table whose columns came one after the other: all channel numbers, all values, all words. They are paired by order.

use super::chain::{self, Role};
use super::table::{RawChannel, RawRange, Table, append};
use super::text::Row;
use super::token::{Token, What};
use super::{subject, words};

/// A row of nothing but words.
#[derive(Clone)]
struct Line {
    line: u32,
    text: String,
    /// The values of other channels that it names as a condition.
    when: Vec<(u32, u32, u32)>,
}

/// Reads a table of such columns; none when it is not one.
pub(super) fn read(rows: &[Row], tokens: &[Token], expected: Option<u32>) -> Option<Table> {
    let (numbers, lines) = columns(rows, tokens)?;
    let (labels, values) = channel_column(&numbers);
    let values = starts_and_ends(&values);
    let chain = chain::read(&values, if labels.is_empty() { expected } else { None });
    let mut channels = blocks(rows, &values, &chain.roles);
    if channels.is_empty() || channels.len() == 1 && channels[0].ranges.len() < 3 {
        return None;
    }
    for (channel, token) in channels.iter_mut().zip(&labels) {
        if let What::Number(number) | What::Label(number, _) = token.what {
            channel.number = number;
            channel.numbered = true;
            channel.lines.push(rows.get(token.row).map_or(0, |row| row.line));
        }
    }
    let paired = pair(&mut channels, lines);
    let missing = labels.len().abs_diff(channels.len());
    let unpaired =
        if labels.is_empty() || missing == 0 { paired } else { Some((channels.len(), labels.len())) };
    Some(Table { channels, cost: chain.cost, dots: Vec::new(), paired: unpaired })
}

/// The numbers and the rows of words, where the table is one of columns: hardly a row has both, and several rows of
/// numbers follow each other.
fn columns<'a>(rows: &[Row], tokens: &'a [Token]) -> Option<(Vec<&'a Token>, Vec<Line>)> {
    let mut numbers: Vec<&Token> = Vec::new();
    let mut lines: Vec<Line> = Vec::new();
    let (mut mixed, mut plain, mut run, mut longest) = (0usize, 0usize, 0usize, 0usize);
    let mut at = 0;
    while at < tokens.len() {
        let row = tokens[at].row;
        let end = at + tokens[at..].iter().take_while(|token| token.row == row).count();
        let of_row = &tokens[at..end];
        at = end;
        let is_number =
            |token: &&Token| matches!(token.what, What::Number(_) | What::Span(..) | What::Label(..));
        let count = of_row.iter().filter(is_number).count();
        let values = of_row
            .iter()
            .any(|token| matches!(token.what, What::Span(..)) || matches!(token.what, What::Number(_)));
        if count == of_row.len() {
            numbers.extend(of_row);
            plain += 1;
            run += usize::from(values);
            longest = longest.max(run);
            continue;
        }
        let text = rows.get(row).map(Row::text).unwrap_or_default();
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let header = words::is_header(&[super::table::Bit::Words(super::table::Words {
            text: text.clone(),
            ..Default::default()
        })]);
        if header || words::is_noise(&text) {
            continue;
        }
        if of_row.iter().any(|token| matches!(token.what, What::Span(from, to) if from <= to && to <= 255))
            && !of_row.iter().all(|token| !token.apart || token.what == What::Word)
        {
            mixed += 1;
        }
        run = 0;
        let when = of_row.iter().filter_map(|token| match token.what {
            What::While(channel, from, to) => Some((channel, from, to)),
            _ => None,
        });
        lines.push(Line { line: rows.get(row).map_or(0, |row| row.line), text, when: when.collect() });
    }
    (plain >= 4 && longest >= 4 && mixed * 5 <= plain && lines.len() >= 2).then_some((numbers, lines))
}

/// The column of channel numbers, 1, 2, 3 … each on its row, and what is left without it.
fn channel_column<'a>(numbers: &[&'a Token]) -> (Vec<&'a Token>, Vec<&'a Token>) {
    let value = |token: &Token| match token.what {
        What::Number(number) | What::Label(number, None) => Some(number),
        _ => None,
    };
    let mut best: (usize, usize) = (0, 0);
    let mut at = 0;
    while at < numbers.len() {
        let mut end = at;
        while let Some(token) = numbers.get(end)
            && value(token) == u32::try_from(end - at + 1).ok()
        {
            end += 1;
        }
        if end - at > best.1 - best.0 {
            best = (at, end);
        }
        at = end.max(at + 1);
    }
    if best.1 - best.0 < 3 {
        return (Vec::new(), numbers.to_vec());
    }
    let rest = numbers[..best.0].iter().chain(&numbers[best.1..]).copied().collect();
    (numbers[best.0..best.1].to_vec(), rest)
}

/// A column of starts and a column of ends become ranges.
fn starts_and_ends(values: &[&Token]) -> Vec<Token> {
    let as_they_are = || values.iter().map(|token| (*token).clone()).collect::<Vec<_>>();
    let numbers: Option<Vec<u32>> = values
        .iter()
        .map(|token| match token.what {
            What::Number(number) => Some(number),
            _ => None,
        })
        .collect();
    let Some(numbers) = numbers.filter(|numbers| numbers.len() >= 4 && numbers.len().is_multiple_of(2))
    else {
        return as_they_are();
    };
    let half = numbers.len() / 2;
    let (starts, ends) = numbers.split_at(half);
    let fits = |index: usize| {
        let next = starts.get(index + 1).copied().unwrap_or(0);
        starts[index] <= ends[index] && (next == ends[index] + 1 || next == 0)
    };
    if starts[0] != 0 || (0..half).filter(|index| fits(*index)).count() * 5 < half * 4 {
        return as_they_are();
    }
    let mut out = Vec::with_capacity(half);
    for (index, token) in values.iter().take(half).enumerate() {
        out.push(Token { what: What::Span(starts[index], ends[index]), ..(*token).clone() });
    }
    out
}

fn blocks(rows: &[Row], tokens: &[Token], roles: &[Role]) -> Vec<RawChannel> {
    let mut channels: Vec<RawChannel> = Vec::new();
    for (token, role) in tokens.iter().zip(roles) {
        let line = rows.get(token.row).map_or(0, |row| row.line);
        match *role {
            Role::Channel { number, fine, back } => {
                if back && let Some(last) = channels.last_mut() {
                    (last.number, last.fine, last.numbered) = (number, fine, true);
                } else {
                    channels.push(RawChannel {
                        number,
                        fine,
                        numbered: true,
                        lines: vec![line],
                        ..RawChannel::default()
                    });
                }
            }
            Role::Range { from, to, opens, again } => {
                let fresh = channels.last().is_none_or(|last| !last.ranges.is_empty());
                if opens && !again && fresh {
                    let number = channels.last().map_or(1, |last| last.number + 1);
                    channels.push(RawChannel { number, ..RawChannel::default() });
                }
                if let Some(channel) = channels.last_mut() {
                    channel.lines.push(line);
                    channel.ranges.push(RawRange {
                        from,
                        to,
                        lines: vec![line],
                        again,
                        ..RawRange::default()
                    });
                }
            }
            Role::Text | Role::Tail => {}
        }
    }
    channels
}

/// Gives the words to channels and ranges by their order. Counts that do not agree are returned: ranges, words.
fn pair(channels: &mut [RawChannel], mut lines: Vec<Line>) -> Option<(usize, usize)> {
    let ranges: usize = channels.iter().map(|channel| channel.ranges.len()).sum();
    let several: usize =
        channels.iter().filter(|channel| channel.ranges.len() > 1).map(|channel| channel.ranges.len()).sum();
    let count = channels.len();
    let wanted = [ranges, ranges + count, count + several, count];
    // What stands apart below the column is no part of it.
    let blocks = (1..lines.len()).filter(|at| lines[*at].line > lines[at - 1].line + 1);
    if !wanted.contains(&lines.len())
        && let Some(end) = blocks.rev().find(|at| wanted.contains(at))
    {
        lines.truncate(end);
    }
    // A heading above the column, or words that were broken over two lines.
    if !wanted.contains(&lines.len()) {
        let fewer: Vec<Line> = lines.iter().fold(Vec::new(), |mut out, line| {
            let goes_on = line.text.starts_with(|c: char| c.is_lowercase() || c == '(');
            match out.last_mut() {
                Some(Line { text, .. }) if goes_on => append(text, &line.text),
                _ => out.push(line.clone()),
            }
            out
        });
        if wanted.contains(&fewer.len()) {
            lines = fewer;
        } else if lines.len() > 1
            && wanted.contains(&(lines.len() - 1))
            && subject::subject(&lines[0].text).is_none()
        {
            lines.remove(0);
        }
    }
    let have = lines.len();
    if have == count && have != ranges {
        for (channel, line) in channels.iter_mut().zip(lines) {
            channel.name = line.text;
            channel.lines.push(line.line);
        }
        return None;
    }
    if have == ranges + count || have == count + several && several > 0 && have != ranges {
        let every = have == ranges + count;
        names_and_labels(channels, &lines, every);
        return None;
    }
    let mut lines = lines.into_iter();
    for range in channels.iter_mut().flat_map(|channel| channel.ranges.iter_mut()) {
        let Some(line) = lines.next() else { break };
        range.label = line.text;
        range.when = line.when;
        range.lines.push(line.line);
    }
    (have != ranges).then_some((ranges, have))
}

/// Each channel's name and then its ranges' words; or all names first. The order in which more names are known wins.
fn names_and_labels(channels: &mut [RawChannel], lines: &[Line], every: bool) {
    let labelled = |channel: &RawChannel| every || channel.ranges.len() > 1;
    let mut mixed: Vec<usize> = Vec::new();
    let mut at = 0;
    for channel in channels.iter() {
        mixed.push(at);
        at += 1 + if labelled(channel) { channel.ranges.len() } else { 0 };
    }
    // Names are known more often than the words beside values are.
    let is_known = |at: usize| lines.get(at).is_some_and(|line| subject::subject(&line.text).is_some());
    let known = |names: &[usize]| -> i32 {
        (0..lines.len()).filter(|at| is_known(*at)).map(|at| if names.contains(&at) { 1 } else { -1 }).sum()
    };
    let first: Vec<usize> = (0..channels.len()).collect();
    // A block of as many lines as there are channels is one of names.
    let apart = |at: usize| lines[at].line > lines[at - 1].line + 1;
    let block = lines.len() > first.len() && (1..first.len()).all(|at| !apart(at)) && apart(first.len());
    let interleaved = !block && known(&mixed) >= known(&first);
    let mut next = channels.len();
    for (index, channel) in channels.iter_mut().enumerate() {
        let name = if interleaved { mixed[index] } else { index };
        if let Some(line) = lines.get(name) {
            channel.name.clone_from(&line.text);
            channel.lines.push(line.line);
        }
        if !labelled(channel) {
            continue;
        }
        for (offset, range) in channel.ranges.iter_mut().enumerate() {
            let at = if interleaved { name + 1 + offset } else { next };
            next += 1;
            if let Some(line) = lines.get(at) {
                range.label.clone_from(&line.text);
                range.when.clone_from(&line.when);
                range.lines.push(line.line);
            }
        }
    }
}
