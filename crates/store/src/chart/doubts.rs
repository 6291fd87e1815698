//! Doubts about the numbers of a mode: holes, overlaps, channels that are missing, a table that ends early.

use super::ask::{About, Asker};
use super::fill::Filled;
use super::table::Table;
use super::text::plain;
use crate::reading::{ChannelReading, KindReading as Kind, ModeReading, RangeReading, Way};

/// Asks what the numbers leave open, and does what was answered.
pub(super) fn mode(
    mode: &mut ModeReading,
    table: &Table,
    count: Option<u32>,
    heading: Option<u32>,
    filled: &Filled,
    asker: &mut Asker<'_>,
) {
    let name = mode.name.clone();
    pairs(&name, table, asker);
    filled_in(&name, filled, asker);
    order(mode, &name, table, filled, asker);
    values(mode, &name, asker);
    let cut = cut(mode, &name, count, asker);
    for index in 0..mode.channels.len() {
        let Some(channel) = mode.channels.get_mut(index) else { continue };
        let last = cut == Some(channel.ch);
        numbers(channel, &name, last, asker);
        twice(channel, &name, asker);
        steps(channel, asker);
        rest(channel, &name, asker);
    }
    counted(mode, &name, count, heading, asker);
    mode.channels.sort_by_key(|channel| channel.ch);
    mode.footprint = mode.channels.iter().map(|channel| channel.ch).max().unwrap_or(0);
    mode.last_start_address = 513_u16.checked_sub(mode.footprint).filter(|last| *last > 0);
    steady(mode, &name, asker);
}

fn pairs(name: &str, table: &Table, asker: &mut Asker<'_>) {
    if let Some((ranges, words)) = table.paired {
        let lines = table.channels.iter().flat_map(|channel| channel.lines.iter().copied()).collect();
        let text = format!(
            "The columns of \"{name}\" came one after the other: {ranges} of the one, {words} of the other, so some words may stand beside the wrong values. Compare each with the manual."
        );
        let about = About { kind: "count", mode: Some(name), ch: None, which: 1, lines };
        asker.ask(about, text, &[("right", "they are right")]);
    }
}

fn filled_in(name: &str, filled: &Filled, asker: &mut Asker<'_>) {
    if filled.lines.is_empty() {
        return;
    }
    let about = About { kind: "cut", mode: Some(name), ch: None, which: 0, lines: filled.lines.clone() };
    let text = match (filled.channels, filled.open.first()) {
        (Some((from, to)), _) => format!(
            "Channels {from} to {to} are not printed; they are filled in by the pattern of the rows before. Is that right?"
        ),
        (None, Some((from, to))) => {
            format!("Channels {from} to {to} are not printed, and no pattern tells what they do.")
        }
        (None, None) => "The table is cut by dots: what comes after them is not known.".to_owned(),
    };
    asker.ask(about, text, &[("right", "that is right")]);
}

/// Channel numbers: each once, none left out, all printed.
fn order(mode: &mut ModeReading, name: &str, table: &Table, filled: &Filled, asker: &mut Asker<'_>) {
    let mut added = Vec::new();
    let mut last: u32 = 0;
    for channel in &table.channels {
        let open = filled.open.iter().any(|(from, to)| *from == last + 1 && to + 1 == channel.number);
        if channel.number > last + 1 && !open {
            for missing in last + 1..channel.number.min(last + 33) {
                let ch = u16::try_from(missing).unwrap_or(u16::MAX);
                let text = format!("Channel {missing} of \"{name}\" is not in the text. What does it do?");
                let about = About {
                    kind: "missing_channel",
                    mode: Some(name),
                    ch: Some(ch),
                    which: 0,
                    lines: channel.lines.clone(),
                };
                if asker.ask(about, text, &[("nothing", "nothing: it is kept free")]).is_some() {
                    added.push(kept_free(ch));
                }
            }
        } else if channel.number <= last && last > 0 {
            let ch = u16::try_from(channel.number).unwrap_or(u16::MAX);
            let text = format!(
                "Channel {} comes twice, or after channel {last}. Correct its number in the text.",
                channel.number
            );
            let about = About {
                kind: "misprint",
                mode: Some(name),
                ch: Some(ch),
                which: 90,
                lines: channel.lines.clone(),
            };
            asker.ask(about, text, &[("right", "leave it")]);
        } else if !channel.numbered && table.channels.iter().any(|channel| channel.numbered) {
            let ch = u16::try_from(channel.number).unwrap_or(u16::MAX);
            let text = format!(
                "The number of a channel is not printed (\"{}\"): taken as channel {}. Is that right?",
                channel.name, channel.number
            );
            let about = About {
                kind: "missing_channel",
                mode: Some(name),
                ch: Some(ch),
                which: 1,
                lines: channel.lines.clone(),
            };
            asker.ask(about, text, &[("right", "that is right")]);
        }
        last = channel.fine.unwrap_or(channel.number).max(last);
    }
    mode.channels.extend(added);
}

fn kept_free(ch: u16) -> ChannelReading {
    ChannelReading {
        ch,
        name: "kept free".to_owned(),
        ranges: vec![RangeReading {
            from: 0,
            to: 255,
            attr: "NoFeature".to_owned(),
            origin: "guessed".to_owned(),
            ..RangeReading::default()
        }],
        ..ChannelReading::default()
    }
}

/// Channels whose values are not printed: all of them, as far as their name says what they do.
fn values(mode: &mut ModeReading, name: &str, asker: &mut Asker<'_>) {
    let printed = mode.channels.iter().filter(|channel| !channel.ranges.is_empty()).count();
    let last = mode.channels.iter().map(|channel| channel.ch).max();
    let bare: Vec<u16> = mode
        .channels
        .iter()
        .filter(|channel| channel.ranges.is_empty() && !(printed > 0 && Some(channel.ch) == last))
        .map(|channel| channel.ch)
        .collect();
    if bare.is_empty() {
        return;
    }
    for channel in mode.channels.iter_mut().filter(|channel| bare.contains(&channel.ch)) {
        let subject = super::subject::subject(&channel.name);
        let understood = super::meaning::of(subject, &channel.name, 1, super::meaning::Around::default());
        let unread = understood.unread || subject.is_none();
        channel.ranges.push(RangeReading {
            from: 0,
            to: 255,
            attr: if unread { "Control1".to_owned() } else { understood.attr },
            kind: if unread { Kind::Fixed } else { understood.kind },
            dir: understood.dir,
            state: understood.state.map(str::to_owned),
            danger: understood.danger.map(str::to_owned),
            origin: "derived".to_owned(),
            lines: channel.lines.clone(),
            ..RangeReading::default()
        });
        let Some(range) = channel.ranges.last_mut() else { continue };
        if channel.fine_of.is_some() {
            (range.kind, range.dir) = (Kind::Level, Some(Way::Up));
        } else if range.kind == Kind::Level && range.dir.is_none() {
            let text = format!(
                "Channel {}: which way does \"{}\" go? The chart does not say.",
                channel.ch, channel.name
            );
            let lines = channel.lines.clone();
            let about = About { kind: "direction", mode: Some(name), ch: Some(channel.ch), which: 0, lines };
            range.dir = asker.direction(about, text);
        }
    }
    let lines =
        mode.channels.iter().filter(|c| bare.contains(&c.ch)).flat_map(|c| c.lines.iter().copied()).collect();
    let list: Vec<String> = bare.iter().map(u16::to_string).collect();
    let text = format!(
        "No values are printed for channel {}: taken as one range 0-255 each. Is that right?",
        list.join(", ")
    );
    let about = About { kind: "values", mode: Some(name), ch: bare.first().copied(), which: 0, lines };
    asker.ask(about, text, &[("right", "that is right")]);
}

/// The last channel, when the text ends before its values do.
fn cut(mode: &ModeReading, name: &str, count: Option<u32>, asker: &mut Asker<'_>) -> Option<u16> {
    let last = mode.channels.iter().max_by_key(|channel| channel.ch)?;
    let end = last.ranges.iter().map(|range| range.to).max();
    let whole = end == Some(255);
    let alone = mode.channels.len() == 1 && end.is_some();
    let misprinted = asker.questions.iter().any(|question| {
        question.kind == "misprint" && question.mode.as_deref() == Some(name) && question.ch == Some(last.ch)
    });
    if whole || misprinted || alone && count != Some(1) {
        return None;
    }
    let text = match end {
        Some(end) => format!(
            "The text ends in channel {}: what its values from {} on do is not known.",
            last.ch,
            end + 1
        ),
        None => format!(
            "The text ends at channel {} (\"{}\"): what its values do is not known.",
            last.ch, last.name
        ),
    };
    let about =
        About { kind: "cut", mode: Some(name), ch: Some(last.ch), which: 1, lines: last.lines.clone() };
    asker.ask(about, text, &[("leave", "leave them out of use")]);
    Some(last.ch)
}

/// Holes and overlaps in the values of a channel.
fn numbers(channel: &mut ChannelReading, name: &str, cut: bool, asker: &mut Asker<'_>) {
    if channel.ranges.is_empty() || channel.fine_of.is_some() {
        return;
    }
    let lost: Vec<u32> = asker
        .questions
        .iter()
        .filter(|question| {
            question.kind == "misprint"
                && question.mode.as_deref() == Some(name)
                && question.ch == Some(channel.ch)
        })
        .flat_map(|question| question.lines.iter().copied())
        .collect();
    let ranges = channel.ranges.clone();
    // A range that is left out as a misprint stands between these two: the hole is its own.
    let left_out = |index: usize| {
        let before = index.checked_sub(1).and_then(|at| ranges.get(at)).and_then(|range| range.lines.first());
        let after = ranges.get(index).and_then(|range| range.lines.last());
        lost.iter()
            .any(|line| before.is_none_or(|before| line >= before) && after.is_none_or(|after| line <= after))
    };
    let mut next: u32 = 0;
    let mut inserted: Vec<(usize, RangeReading)> = Vec::new();
    let count = channel.ranges.len();
    for index in 0..count {
        let range = channel.ranges[index].clone();
        let (from, to) = (u32::from(range.from), u32::from(range.to));
        let other_meaning = index > 0 && from == 0 && next > 0;
        if other_meaning {
            told_twice(channel, name, index, asker);
            if next < 256 && !left_out(index) {
                hole(channel, name, (next, 255), index, &mut inserted, asker);
            }
            next = 0;
        }
        if from > next && !left_out(index) {
            hole(channel, name, (next, from - 1), index, &mut inserted, asker);
        } else if from < next && index > 0 && !other_meaning {
            overlap(channel, name, index, asker);
        }
        next = next.max(to + 1);
    }
    if next < 256 && !cut && !left_out(count) {
        hole(channel, name, (next, 255), count, &mut inserted, asker);
    }
    for (index, range) in inserted.into_iter().rev() {
        channel.ranges.insert(index, range);
    }
}

/// Values that two ranges have.
fn overlap(channel: &mut ChannelReading, name: &str, index: usize, asker: &mut Asker<'_>) {
    let ch = channel.ch;
    let (before, range) = (channel.ranges[index - 1].clone(), channel.ranges[index].clone());
    let same_start = before.from == range.from;
    let kind = if same_start { "misprint" } else { "overlap" };
    let text = format!(
        "Channel {ch}: {}-{} (\"{}\") and {}-{} (\"{}\") overlap. Where does the first one end?",
        before.from, before.to, before.label, range.from, range.to, range.label
    );
    let which = u32::try_from(index).unwrap_or(0) + 100;
    let lines = before.lines.iter().chain(&range.lines).copied().collect();
    let about = About { kind, mode: Some(name), ch: Some(ch), which, lines };
    let first = format!("at {}; the second starts at {}", before.to, before.to + 1);
    let second = format!("at {}, before the second starts", range.from.saturating_sub(1));
    let mut choices = Vec::new();
    if before.to < range.to {
        choices.push(("first", first.as_str()));
    }
    if before.from < range.from {
        choices.push(("second", second.as_str()));
    }
    match asker.ask(about, text, &choices).as_deref() {
        Some("first") => channel.ranges[index].from = before.to + 1,
        Some("second") => channel.ranges[index - 1].to = range.from - 1,
        _ => {}
    }
}

/// The same values told twice, with nothing that says when the one holds and when the other.
fn told_twice(channel: &ChannelReading, name: &str, index: usize, asker: &mut Asker<'_>) {
    let (Some(range), Some(before)) = (channel.ranges.get(index), channel.ranges.get(index - 1)) else {
        return;
    };
    let asked = asker.questions.iter().any(|question| {
        question.mode.as_deref() == Some(name)
            && question.ch == Some(channel.ch)
            && question.kind != "direction"
    });
    if range.when.is_some() || before.when.is_some() || asked {
        return;
    }
    let text = format!(
        "Channel {}: what its values do is printed twice, \"{}\" and \"{}\", and nothing says when each holds.",
        channel.ch, before.label, range.label
    );
    let which = u32::try_from(index).unwrap_or(0) + 300;
    let lines = before.lines.iter().chain(&range.lines).copied().collect();
    let about = About { kind: "condition", mode: Some(name), ch: Some(channel.ch), which, lines };
    asker.ask(about, text, &[("right", "leave it as it is printed")]);
}

/// Values that no range covers.
fn hole(
    channel: &mut ChannelReading,
    name: &str,
    (from, to): (u32, u32),
    index: usize,
    inserted: &mut Vec<(usize, RangeReading)>,
    asker: &mut Asker<'_>,
) {
    let (Ok(low), Ok(high)) = (u16::try_from(from), u16::try_from(to)) else { return };
    let before = index.checked_sub(1).and_then(|at| channel.ranges.get(at)).map(|range| range.label.clone());
    let after = channel.ranges.get(index).map(|range| range.label.clone());
    let values = if from == to { format!("value {from}") } else { format!("values {from} to {to}") };
    let text = format!("Channel {}: nothing is printed for {values}. What do they do?", channel.ch);
    let near = [index.checked_sub(1), Some(index)];
    let lines = near
        .iter()
        .flatten()
        .filter_map(|at| channel.ranges.get(*at))
        .flat_map(|range| range.lines.iter().copied())
        .collect();
    let about = About { kind: "gap", mode: Some(name), ch: Some(channel.ch), which: from, lines };
    let as_before = format!("the same as the values below (\"{}\")", before.as_deref().unwrap_or_default());
    let as_after = format!("the same as the values above (\"{}\")", after.as_deref().unwrap_or_default());
    let mut choices = vec![("nothing", "nothing")];
    if before.is_some() && from > 0 {
        choices.push(("below", as_before.as_str()));
    }
    if after.is_some() && to < 255 {
        choices.push(("above", as_after.as_str()));
    }
    match asker.ask(about, text, &choices).as_deref() {
        Some("below") => {
            if let Some(range) = index.checked_sub(1).and_then(|at| channel.ranges.get_mut(at)) {
                range.to = high;
            }
        }
        Some("above") => {
            if let Some(range) = channel.ranges.get_mut(index) {
                range.from = low;
            }
        }
        Some(_) => inserted.push((
            index,
            RangeReading {
                from: low,
                to: high,
                attr: "NoFeature".to_owned(),
                origin: "guessed".to_owned(),
                lines: channel.lines.clone(),
                ..RangeReading::default()
            },
        )),
        None => {}
    }
}

/// The same turning printed twice: one of the two most probably goes the other way.
fn twice(channel: &ChannelReading, name: &str, asker: &mut Asker<'_>) {
    let turns = |range: &RangeReading| range.attr.contains("Spin") || range.attr.contains("Rotate");
    for (index, range) in
        channel.ranges.iter().enumerate().filter(|(_, range)| turns(range) && range.kind == Kind::Level)
    {
        let Some(earlier) = channel.ranges[..index].iter().find(|earlier| {
            earlier.attr == range.attr
                && earlier.when == range.when
                && earlier.kind == Kind::Level
                && (plain(&earlier.label) == plain(&range.label)
                    || earlier.state.is_some() && earlier.state == range.state)
        }) else {
            continue;
        };
        let text = format!(
            "Channel {}: {}-{} and {}-{} are both printed as \"{}\". Does one of them turn the other way?",
            channel.ch, earlier.from, earlier.to, range.from, range.to, range.label
        );
        let lines = earlier.lines.iter().chain(&range.lines).copied().collect();
        let which = u32::try_from(index).unwrap_or(0) + 200;
        let about = About { kind: "misprint", mode: Some(name), ch: Some(channel.ch), which, lines };
        asker.ask(
            about,
            text,
            &[("other", "the second turns the other way"), ("same", "both turn the same way")],
        );
    }
}

/// Steps that were answered: a window is divided into so many equal ones.
fn steps(channel: &mut ChannelReading, asker: &Asker<'_>) {
    let mut out: Vec<RangeReading> = Vec::with_capacity(channel.ranges.len());
    for range in std::mem::take(&mut channel.ranges) {
        let answered = asker.questions.iter().find(|question| {
            question.kind == "steps"
                && question.ch == Some(channel.ch)
                && question.answered.is_some()
                && question.lines.iter().any(|line| range.lines.contains(line))
                && question.text.contains(&format!(" {}-{}:", range.from, range.to))
        });
        let count: Option<u16> =
            answered.and_then(|question| question.answered.as_deref()).and_then(|value| value.parse().ok());
        let width = range.to - range.from + 1;
        match count.filter(|count| range.kind == Kind::Select && *count >= 2 && *count <= width) {
            None => out.push(range),
            Some(count) => {
                let slots = out.iter().filter_map(|range| range.slot).max().unwrap_or(0);
                for step in 0..count {
                    let part = |step: u16| {
                        range.from
                            + u16::try_from(u32::from(width) * u32::from(step) / u32::from(count))
                                .unwrap_or(0)
                    };
                    out.push(RangeReading {
                        from: part(step),
                        to: part(step + 1) - 1,
                        kind: Kind::Fixed,
                        slot: (range.attr.starts_with("Gobo")
                            || range.attr.starts_with("Color1")
                            || range.attr.starts_with("Color2"))
                        .then(|| slots.saturating_add(u8::try_from(step + 1).unwrap_or(u8::MAX))),
                        label: format!("{} {}", range.label, step + 1).trim_start().to_owned(),
                        origin: "guessed".to_owned(),
                        ..range.clone()
                    });
                }
            }
        }
    }
    channel.ranges = out;
}

/// The number of channels in the heading against those in the table.
fn counted(
    mode: &mut ModeReading,
    name: &str,
    count: Option<u32>,
    heading: Option<u32>,
    asker: &mut Asker<'_>,
) {
    let have = mode.channels.iter().map(|channel| channel.ch).max().unwrap_or(0);
    let Some(count) = count.and_then(|count| u16::try_from(count).ok()).filter(|count| *count != have) else {
        return;
    };
    let text = format!("The heading says {count} channels, the table has {have}. Which is right?");
    let table = format!("the table: {have}");
    let more = format!("the heading: channels {} to {count} are kept free", have + 1);
    let mut choices = vec![("table", table.as_str())];
    if count > have {
        choices.push(("heading", more.as_str()));
    }
    let about =
        About { kind: "count", mode: Some(name), ch: None, which: 0, lines: heading.into_iter().collect() };
    if asker.ask(about, text, &choices).as_deref() == Some("heading") {
        mode.channels.extend((have + 1..=count).map(kept_free));
    }
}

/// A channel that does something dangerous at every value that is printed.
fn rest(channel: &mut ChannelReading, name: &str, asker: &mut Asker<'_>) {
    // What runs a programme only while another channel says so is guarded by that channel.
    let dangerous = |range: &RangeReading| range.danger.is_some() || range.hold_s.is_some();
    let guarded = |range: &RangeReading| range.when.is_some() && range.danger.as_deref() == Some("programme");
    if channel.ranges.is_empty()
        || !channel.ranges.iter().all(dangerous)
        || channel.ranges.iter().any(guarded)
    {
        return;
    }
    let what = match channel.ranges[0].danger.as_deref() {
        Some("programme") => "runs its own programmes",
        Some("sound") => "runs by sound",
        _ => "does what nobody wants by accident",
    };
    let text = format!(
        "Channel {} of \"{name}\" {what} at every value that is printed. At which value does it do nothing? Until that is said, 0 is kept.",
        channel.ch
    );
    let lines = channel.ranges.iter().flat_map(|range| range.lines.iter().copied()).collect();
    let about = About { kind: "danger", mode: Some(name), ch: Some(channel.ch), which: 0, lines };
    let choices = [("0", "at 0"), ("255", "at 255")];
    channel.home = match asker.ask(about, text, &choices).as_deref() {
        Some("255") => Some(255),
        Some("0") => Some(0),
        _ => channel.home,
    };
}

/// A flash whose channel has no value at which the light stays on.
fn steady(mode: &ModeReading, name: &str, asker: &mut Asker<'_>) {
    for channel in &mode.channels {
        let flashes = channel.ranges.iter().any(|range| range.attr.starts_with("Shutter1Strobe"));
        let rests = channel.ranges.iter().any(|range| {
            range.kind == Kind::None
                || range.attr == "Dimmer" && range.state.as_deref() != Some("off")
                || range.attr == "Shutter1" && range.state.as_deref() == Some("open")
                || range.attr == "Effects1" && range.when.is_some()
        });
        let whole =
            channel.ranges.len() == 1 && channel.ranges[0].from == 0 && channel.ranges[0].origin != "derived";
        if flashes && !rests && !whole {
            let text = format!(
                "Channel {}: no value is printed at which the light stays on without flashing. Is there one?",
                channel.ch
            );
            let about = About {
                kind: "no_steady",
                mode: Some(name),
                ch: Some(channel.ch),
                which: 0,
                lines: channel.lines.clone(),
            };
            asker.ask(about, text, &[("none", "no: it only flashes")]);
        }
    }
}
