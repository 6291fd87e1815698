//! Makes a profile that can be used out of one that was read: what makes no sense is taken back, and said.

use lanthorn_fixture::check::ProfileProblem as Wrong;
use lanthorn_fixture::mode::RangeKind;
use lanthorn_fixture::{Attribute, Channel, Fact, Origin, Profile, Range, check};

/// Takes back what the model's own check finds wrong. What was done is told by mode: its name, what, and what instead.
pub(super) fn make_sense(profile: &mut Profile) -> Vec<(String, String, &'static str)> {
    let mut told = Vec::new();
    for mode in &mut profile.modes {
        for channel in &mut mode.channels {
            channel
                .ranges
                .sort_by_key(|range| (range.from, range.when.map(|when| (when.channel, when.from))));
        }
    }
    for round in 0..3 {
        let mut any = false;
        for wrong in check(profile) {
            any |= put_right(profile, &wrong, round == 2, &mut told);
        }
        if !any {
            break;
        }
    }
    told
}

/// `true` where something was changed.
fn put_right(
    profile: &mut Profile,
    wrong: &Wrong,
    last: bool,
    told: &mut Vec<(String, String, &'static str)>,
) -> bool {
    let (mode_name, channel_name) = wrong.place();
    let (Some(mode_name), Some(channel_name)) = (mode_name, channel_name) else { return false };
    let Some(mode) = profile.modes.iter_mut().find(|mode| mode.name == mode_name) else { return false };
    // Channels may share a name: what is wrong with one is no reason to touch another.
    let meant = |channel: &&mut Channel| channel.name == channel_name && concerns(channel, wrong);
    let Some(channel) = mode.channels.iter_mut().find(meant) else { return false };
    let mut tell = |instead| {
        let text = wrong.to_string();
        let what = text.rsplit_once(": ").map_or(text.as_str(), |(what, _)| what);
        told.push((mode_name.to_owned(), what.to_owned(), instead));
    };
    if last && !matches!(wrong, Wrong::Gap { .. } | Wrong::MissingSlot { .. }) {
        channel.ranges = vec![raw(channel.full())];
        channel.home = Fact::unknown();
        tell("its values are left alone");
        return true;
    }
    match wrong {
        Wrong::Gap { from, to, .. } => {
            let filled = fill_gap(channel, *from, *to);
            if filled {
                tell("nothing is taken to happen there");
            }
            filled
        }
        Wrong::MissingSlot { .. } => false,
        Wrong::BadPhysical { from, to, .. } => {
            ranges_at(channel, *from, *to).for_each(|range| range.physical = None);
            tell("its figures are taken as not known");
            open_or_closed(channel);
            true
        }
        Wrong::NoSuchSlot { from, to, .. } => {
            ranges_at(channel, *from, *to).for_each(without_slot);
            tell("which slot it is, is taken as not known");
            true
        }
        Wrong::OpenOrClosed { .. } => {
            open_or_closed(channel);
            tell("it is not used");
            true
        }
        Wrong::NoSuchCondition { .. } | Wrong::ConditionRing { .. } => {
            channel.ranges.iter_mut().for_each(|range| range.when = None);
            without_overlaps(channel);
            tell("it is taken to hold always");
            true
        }
        Wrong::Overlap { .. } => {
            without_overlaps(channel);
            tell("the first of them is taken");
            true
        }
        Wrong::DangerousHome { .. } => {
            channel.home = Fact::unknown();
            tell("the file's default is not taken");
            true
        }
        Wrong::NoRanges { .. } => {
            channel.ranges = vec![raw(channel.full())];
            tell("nothing is taken to happen there");
            true
        }
        Wrong::NowhereToRest { .. } => {
            free_one_value(channel);
            tell("the file's own default is taken to be free of it");
            true
        }
        _ => false,
    }
}

/// `true` where there was room for it.
fn fill_gap(channel: &mut Channel, from: u16, to: u16) -> bool {
    let free = channel.ranges.iter().all(|range| range.when.is_none());
    if !free || channel.ranges.len() >= super::function::MOST_RANGES {
        return false;
    }
    channel.ranges.push(Range { from, to, origin: Origin::Guessed, ..raw(channel.full()) });
    channel.ranges.sort_by_key(|range| range.from);
    true
}

/// Whether this channel can be the one that something is wrong with.
fn concerns(channel: &Channel, wrong: &Wrong) -> bool {
    let ranges = &channel.ranges;
    let there = |from: &u16, to: &u16| ranges.iter().any(|range| (range.from, range.to) == (*from, *to));
    match wrong {
        Wrong::NoRanges { .. } => ranges.is_empty(),
        Wrong::NowhereToRest { .. } => !ranges.is_empty() && ranges.iter().all(Range::is_dangerous),
        Wrong::Gap { from, to, .. } => !ranges.iter().any(|range| range.from <= *to && *from <= range.to),
        Wrong::BadPhysical { from, to, .. }
        | Wrong::NoSuchSlot { from, to, .. }
        | Wrong::OpenOrClosed { from, to, .. } => there(from, to),
        Wrong::DangerousHome { home, .. } => channel.home.value() == Some(*home),
        _ => true,
    }
}

fn ranges_at(channel: &mut Channel, from: u16, to: u16) -> impl Iterator<Item = &mut Range> {
    channel.ranges.iter_mut().filter(move |range| (range.from, range.to) == (from, to))
}

fn without_slot(range: &mut Range) {
    range.slot = None;
    range.kind = RangeKind::Select;
}

/// Windows of a shutter or a dimmer that do not say what they do are not used.
fn open_or_closed(channel: &mut Channel) {
    for range in &mut channel.ranges {
        let windowed = matches!(range.attribute, Attribute::Shutter1 | Attribute::Dimmer);
        if windowed && range.kind == RangeKind::Fixed && range.physical.is_none() {
            range.kind = RangeKind::Select;
        }
    }
}

/// Of two ranges that hold together for a value, the earlier has it.
fn without_overlaps(channel: &mut Channel) {
    let mut kept: Vec<Range> = Vec::new();
    for range in std::mem::take(&mut channel.ranges) {
        let together =
            |other: &&Range| other.when == range.when || other.when.is_none() || range.when.is_none();
        let taken = kept.iter().filter(together).map(|other| u32::from(other.to) + 1).max().unwrap_or(0);
        let from = u32::from(range.from).max(taken);
        if from <= u32::from(range.to) {
            kept.push(Range { from: from as u16, ..range });
        }
    }
    channel.ranges = kept;
}

/// A channel that is dangerous everywhere is free of it where the file itself leaves it.
fn free_one_value(channel: &mut Channel) {
    let home = channel.home.value().unwrap_or(0).min(channel.full());
    let mut split = Vec::with_capacity(channel.ranges.len() + 2);
    for range in std::mem::take(&mut channel.ranges) {
        if !(range.from..=range.to).contains(&home) {
            split.push(range);
            continue;
        }
        if range.from < home {
            split.push(Range { to: home - 1, ..range.clone() });
        }
        let label = "as the file leaves it".to_owned();
        let free = Range {
            from: home,
            to: home,
            label,
            origin: Origin::Guessed,
            when: range.when,
            ..raw(channel.full())
        };
        split.push(free);
        if range.to > home {
            split.push(Range { from: home + 1, ..range });
        }
    }
    channel.ranges = split;
}

/// All values, of which nothing is known.
fn raw(full: u16) -> Range {
    Range::nothing(0, full, "", Origin::Guessed)
}
