//! Rows that are not printed: "…" between the first and the last segments of a pixel bar.

use super::figures::without_percent;
use super::table::{RawChannel, Table};
use super::words::{Said, is_number, split_number};

/// What was filled in.
#[derive(Clone, Debug, Default)]
pub(super) struct Filled {
    /// First and last number of channels that were filled in by the pattern of those before them.
    pub(super) channels: Option<(u32, u32)>,
    /// First and last number of channels that are left out, with no pattern to fill them in.
    pub(super) open: Vec<(u32, u32)>,
    pub(super) lines: Vec<u32>,
}

/// One row for several channels ("CH1-CH3: red, green, blue") as so many channels.
pub(super) fn unfold(table: &mut Table) {
    let mut out: Vec<RawChannel> = Vec::with_capacity(table.channels.len());
    let mut shift = 0;
    for (index, channel) in table.channels.iter().enumerate() {
        let first = out.len();
        match channel.fine.and_then(|last| several(channel, last)) {
            Some(list) => out.extend(list),
            None => out.push(channel.clone()),
        }
        let more = out.len() - first - 1;
        for (_, after) in table.dots.iter_mut().filter(|(_, after)| *after >= index + shift) {
            *after += more;
        }
        shift += more;
    }
    table.channels = out;
}

/// The channels of a row whose name lists a colour for each of them.
fn several(channel: &RawChannel, last: u32) -> Option<Vec<RawChannel>> {
    let count = usize::try_from(last.checked_sub(channel.number)? + 1).ok()?;
    let in_name = !channel.name.is_empty() && channel.name.contains([',', '/', '+', '&']);
    let text = if in_name { channel.name.clone() } else { channel.ranges.first()?.label.clone() };
    if let Some(names) = initials(&text, count) {
        return Some(named(channel, &names));
    }
    let parts: Vec<&str> =
        text.split([',', '/', '+', '&']).map(str::trim).filter(|part| !part.is_empty()).collect();
    let (head, first) = parts.first()?.rsplit_once(' ').unwrap_or(("", parts.first()?));
    let colours: Vec<&str> = std::iter::once(first).chain(parts[1..].iter().copied()).collect();
    let known = colours
        .iter()
        .all(|colour| matches!(super::subject::subject(colour), Some(super::subject::Subject::Emitter(_))));
    if colours.len() != count || !known {
        if let Some(list) = numbered(channel, count) {
            return Some(list);
        }
        // Three or more that are told as one do the same, each by itself; two are a coarse and a fine byte.
        return (count >= 3).then(|| {
            let name = (0..count).map(|_| String::new()).collect::<Vec<_>>();
            named(channel, &name)
        });
    }
    let names: Vec<String> =
        colours.iter().map(|colour| format!("{head} {colour}").trim().to_owned()).collect();
    Some(named(channel, &names))
}

/// "Cell 1 RGBW": a word of initials, one for each channel.
fn initials(text: &str, count: usize) -> Option<Vec<String>> {
    let word = text.split_whitespace().find(|word| word.len() >= 3 && word.starts_with("RG"))?;
    let mut letters: Vec<&str> = Vec::new();
    let mut rest = word.trim_end_matches([',', ':', ';', ')']);
    while !rest.is_empty() {
        let letter = ["WW", "CW", "UV", "R", "G", "B", "W", "A", "L"]
            .iter()
            .find(|letter| rest.starts_with(**letter))?;
        letters.push(letter);
        rest = rest.strip_prefix(letter)?;
    }
    let lime = |letter: &str| if letter == "L" { "lime" } else { letter }.to_owned();
    (letters.len() == count)
        .then(|| letters.iter().map(|letter| text.replacen(word, &lime(letter), 1)).collect())
}

/// "CH3-CH12: lamp 1 - lamp 10", "cells 1-8 red": the things that a name counts, as many as there are channels.
fn numbered(channel: &RawChannel, count: usize) -> Option<Vec<RawChannel>> {
    let label = channel.ranges.first().map_or("", |range| range.label.as_str());
    let text = if channel.name.is_empty() { label } else { &channel.name };
    let said = Said::new(text);
    let numbers: Vec<u32> = said
        .words()
        .filter_map(|word| word.parse().ok().or_else(|| split_number(word).map(|(_, number)| number)))
        .collect();
    let ([from, to] | [from, to, ..]) = numbers[..] else { return None };
    if to < from || usize::try_from(to - from + 1) != Ok(count) || count < 2 {
        return None;
    }
    let mut words: Vec<&str> = Vec::new();
    for word in said.words() {
        let stem = split_number(word).map_or(word, |(stem, _)| stem);
        if !is_number(word)
            && !words.contains(&stem)
            && !matches!(stem, "to" | "bis" | "a" | "t" | "m" | "al")
        {
            words.push(stem);
        }
    }
    let stem = words.join(" ");
    let names: Vec<String> = (from..=to).map(|number| format!("{stem} {number}")).collect();
    Some(named(channel, &names))
}

/// One channel for each name, from its own on; an empty name leaves what is said.
fn named(channel: &RawChannel, names: &[String]) -> Vec<RawChannel> {
    let list = names.iter().enumerate().map(|(index, said)| {
        let mut one = channel.clone();
        one.number += u32::try_from(index).unwrap_or(0);
        one.fine = None;
        if said.is_empty() {
            return one;
        }
        match one.ranges.first_mut() {
            Some(range) if channel.name.is_empty() => range.label.clone_from(said),
            _ => one.name.clone_from(said),
        }
        one
    });
    list.collect()
}

/// Fills in what dots stand for, where the rows around them say how.
pub(super) fn dots(mut table: Table) -> (Table, Filled) {
    let mut filled = Filled::default();
    let mut out: Vec<RawChannel> = Vec::with_capacity(table.channels.len());
    let channels = std::mem::take(&mut table.channels);
    for (index, channel) in channels.iter().enumerate() {
        let last = out.last().map_or(0, |last: &RawChannel| last.fine.unwrap_or(last.number));
        let hole = channel.number > last + 1 && index > 0;
        let dotted = table.dots.iter().find(|(_, after)| *after + 1 == index).map(|(line, _)| *line);
        if hole && let Some(line) = dotted {
            filled.lines.push(line);
            match pattern(&out, channel.number - last - 1, &channels[index..]) {
                Some(more) => {
                    filled.channels = Some((last + 1, channel.number - 1));
                    out.extend(more);
                }
                None => filled.open.push((last + 1, channel.number - 1)),
            }
        }
        out.push(channel.clone());
    }
    for (line, after) in &table.dots {
        if *after + 1 >= channels.len() && !channels.is_empty() {
            filled.lines.push(*line);
        }
    }
    table.channels = out;
    (table, filled)
}

/// The channels between: the last ones before repeat with their numbers counted on, so that they meet those after.
fn pattern(before: &[RawChannel], count: u32, after: &[RawChannel]) -> Option<Vec<RawChannel>> {
    let count = usize::try_from(count).ok().filter(|count| *count <= 512)?;
    let stem = |channel: &RawChannel| {
        let label = channel.ranges.first().map_or("", |range| range.label.as_str());
        stem(if channel.name.is_empty() { label } else { &channel.name })
    };
    let next = stem(after.first()?)?;
    for period in 1..=before.len().min(12) {
        let tail = &before[before.len() - period..];
        let stems: Option<Vec<(String, u32)>> = tail.iter().map(stem).collect();
        let Some(stems) = stems else { continue };
        // The step of the number over one period.
        let step = match before.len().checked_sub(2 * period).and_then(|at| stem(&before[at])) {
            Some((name, number)) if name == stems[0].0 && stems[0].1 > number => stems[0].1 - number,
            _ if stems.iter().all(|(_, number)| *number == stems[0].1) => 1,
            _ => continue,
        };
        let meets = count % period == 0
            && next.0 == stems[0].0
            && u32::try_from(count / period + 1).is_ok_and(|times| next.1 == stems[0].1 + times * step);
        if !meets {
            continue;
        }
        let last = before.last()?;
        let last = last.fine.unwrap_or(last.number);
        return Some(
            (0..count)
                .map(|index| {
                    let model = &tail[index % period];
                    let times = u32::try_from(index / period + 1).unwrap_or(1);
                    let (name, number) = &stems[index % period];
                    let mut channel = model.clone();
                    channel.number = last + 1 + u32::try_from(index).unwrap_or(0);
                    let said = format!("{name} {}", number + times * step);
                    match channel.ranges.first_mut() {
                        Some(range) if channel.name.is_empty() => range.label = said,
                        _ => channel.name = said,
                    }
                    channel.numbered = true;
                    channel
                })
                .collect(),
        );
    }
    None
}

/// "Segment 12 red" as its words and the number in them.
fn stem(name: &str) -> Option<(String, u32)> {
    let (_, name) = without_percent(name);
    let said = Said::new(&name);
    let mut words: Vec<String> = Vec::new();
    let mut number = None;
    for word in said.words() {
        if let Ok(value) = word.parse::<u32>() {
            number.get_or_insert(value);
        } else if let Some((begins, value)) = split_number(word) {
            number.get_or_insert(value);
            words.push(begins.to_owned());
        } else {
            words.push(word.to_owned());
        }
    }
    number.map(|number| (words.join(" "), number))
}
