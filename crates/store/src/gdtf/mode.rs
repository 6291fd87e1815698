//! Modes: which channel stands where once references to parts are followed, what that takes of each DMX break, and the
//! channels of our own.

use std::collections::BTreeMap;

use lanthorn_fixture::mode::Condition;
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Range};
use roxmltree::Node;

use super::function::{Function, Meant, functions, narrow, ranges};
use super::geometry::{Drawn, Parts};
use super::heads::{Heads, heads};
use super::meaning::channel_name;
use super::value::{DmxValue, full, offsets};
use super::{Break, GdtfError, ModeRead};
use crate::xml::notes::{Notes, child, children, plain_name, unused};

/// Slots of a universe.
const SLOTS: u32 = 512;
/// Channels of all modes over all parts; an honest file has some thousands.
const MOST_PLACED: usize = 400_000;
/// Ranges of all modes; what goes beyond is not turned into a mode.
const MOST_RANGES: usize = 120_000;

/// A channel as the file lists it.
pub(super) struct Listed<'a> {
    pub(super) node: Node<'a, 'a>,
    /// "Part_Attribute", by which others refer to it.
    pub(super) name: String,
    /// Of its first logical channel.
    attribute: &'a str,
    offsets: Vec<u32>,
    /// None: "Overwrite".
    number: Option<u16>,
    functions: Vec<Function<'a>>,
}

/// A listed channel on one of the parts that it acts on.
pub(super) struct Placed {
    pub(super) listed: usize,
    pub(super) part: usize,
    number: u16,
    addresses: Vec<u32>,
}

/// What modes share while a file is read.
pub(super) struct Reading<'a, 'n, 't> {
    pub(super) drawn: &'n Drawn<'a>,
    pub(super) notes: &'n mut Notes<'t>,
    /// Wheel and word of a slot to its number.
    pub(super) slots: &'n dyn Fn(&str, &str) -> Option<u8>,
    pub(super) placed: usize,
    pub(super) ranges: usize,
}

/// A mode with the place in ours of each listed channel, by its element.
pub(super) struct ModeMade<'a> {
    pub(super) read: ModeRead,
    pub(super) mode: Option<Mode>,
    pub(super) places: Vec<(Node<'a, 'a>, Option<u16>)>,
}

impl<'a> Reading<'a, '_, '_> {
    /// One mode; `taken` are the names that others have.
    pub(super) fn mode(&mut self, node: Node<'a, 'a>, taken: &[String]) -> Result<ModeMade<'a>, GdtfError> {
        let name = node.attribute("Name").and_then(plain_name).unwrap_or_else(|| "mode".to_owned());
        let name = unused(&name, |name| taken.iter().any(|known| known == name));
        let who = format!("mode \"{name}\"");
        let Some(root) = self.root(node, &who) else {
            let read = ModeRead { name, breaks: Vec::new(), virtual_channels: 0, in_profile: false };
            return Ok(ModeMade { read, mode: None, places: Vec::new() });
        };
        let parts = self.drawn.parts(root)?;
        let listed = self.listed(node, &who);
        let placed = self.place(&listed, &parts, &who)?;
        let breaks = footprints(&placed);
        let virtual_channels = listed.iter().filter(|channel| channel.offsets.is_empty()).count();
        let mut read = ModeRead { name, breaks, virtual_channels, in_profile: false };
        let bases = bases(&read.breaks);
        let places = listed.iter().enumerate().map(|(index, channel)| {
            let first = placed.iter().find(|one| one.listed == index);
            (channel.node, first.and_then(|one| place_of(one, &bases).first().copied()))
        });
        let places = places.collect();
        let mode = self.fits(node, &read, &who).then(|| {
            let heads = heads(&parts, &placed, &listed, node, &who, self.notes);
            self.make(&read, &listed, &placed, &heads, &bases, &who)
        });
        read.in_profile = mode.is_some();
        Ok(ModeMade { read, mode, places })
    }

    fn root(&mut self, node: Node<'a, 'a>, who: &str) -> Option<Node<'a, 'a>> {
        let wanted = node.attribute("Geometry").unwrap_or("");
        if let Some(root) = self.drawn.find(wanted) {
            return Some(root);
        }
        let root = self.drawn.first();
        let instead = root.map_or("its channels are left out", |_| "the first part that is drawn is taken");
        self.notes.doubt(node, who, &format!("no part \"{wanted}\" is drawn"), instead);
        root
    }

    fn listed(&mut self, mode: Node<'a, 'a>, who: &str) -> Vec<Listed<'a>> {
        let list = child(mode, "DMXChannels").into_iter().flat_map(|all| children(all, "DMXChannel"));
        let mut listed = Vec::new();
        for node in list {
            let text = node.attribute("Offset").or_else(|| node.attribute("Coarse")).unwrap_or("");
            let mut offsets = offsets(text).unwrap_or_else(|| {
                self.notes.doubt(
                    node,
                    who,
                    &format!("Offset=\"{text}\" is no list of addresses"),
                    "the channel is taken as virtual",
                );
                Vec::new()
            });
            if offsets.len() > 4 {
                self.notes.doubt(node, who, "a channel has more than four bytes", "the first four are taken");
                offsets.truncate(4);
            }
            let number = match node.attribute("DMXBreak").map(str::trim) {
                Some(text) if text.eq_ignore_ascii_case("overwrite") => None,
                Some(text) => Some(text.parse().ok().filter(|number| *number >= 1).unwrap_or(1)),
                None => Some(1),
            };
            let bytes = offsets.len().clamp(1, 4) as u8;
            let functions = functions(node, bytes, who, self.notes);
            let first =
                child(node, "LogicalChannel").and_then(|it| it.attribute("Attribute")).unwrap_or("NoFeature");
            let name = format!("{}_{first}", node.attribute("Geometry").unwrap_or(""));
            listed.push(Listed { node, name, attribute: first, offsets, number, functions });
        }
        listed
    }

    fn place(
        &mut self,
        listed: &[Listed<'a>],
        parts: &Parts<'a>,
        who: &str,
    ) -> Result<Vec<Placed>, GdtfError> {
        let mut placed = Vec::new();
        for (index, channel) in listed.iter().enumerate().filter(|(_, channel)| !channel.offsets.is_empty()) {
            let wanted = channel.node.attribute("Geometry").unwrap_or("");
            let mut on = parts.named(wanted);
            if on.is_empty() {
                let what = format!("a channel acts on \"{wanted}\", which is no part of it");
                self.notes.doubt(channel.node, who, &what, "it is taken to act on the whole light");
                on.push(0);
            }
            for part in on {
                let (number, shift) = parts.shift(part, channel.number);
                let addresses = channel.offsets.iter().map(|at| at + shift).collect();
                placed.push(Placed { listed: index, part, number, addresses });
                self.placed += 1;
                if self.placed > MOST_PLACED {
                    let what = format!("its modes have more than {MOST_PLACED} channels");
                    return Err(GdtfError::Geometry { line: super::line(channel.node), what });
                }
            }
        }
        Ok(placed)
    }

    /// Whether a profile can hold the mode.
    fn fits(&mut self, node: Node<'a, 'a>, read: &ModeRead, who: &str) -> bool {
        let total: u32 = read.breaks.iter().map(|one| one.footprint).sum();
        let instead = "it is left out of the profile";
        if total == 0 {
            self.notes.doubt(node, who, "it has no channel with an address", instead);
            return false;
        }
        if total > SLOTS {
            self.notes.doubt(
                node,
                who,
                &format!("it takes {total} slots, and a mode has 512 at most here"),
                instead,
            );
            return false;
        }
        if self.ranges > MOST_RANGES {
            self.notes.doubt(node, who, "the file has more ranges than can be kept", instead);
            return false;
        }
        if read.breaks.len() > 1 {
            let list: Vec<String> =
                read.breaks.iter().map(|one| format!("{} of {}", one.number, one.footprint)).collect();
            let what = format!("it has several DMX breaks ({} channels)", list.join(", "));
            self.notes.doubt(
                node,
                who,
                &what,
                "set their start addresses one behind the other: here they follow each other",
            );
        }
        true
    }

    fn make(
        &mut self,
        read: &ModeRead,
        listed: &[Listed<'a>],
        placed: &[Placed],
        heads: &Heads,
        bases: &BTreeMap<u16, u32>,
        who: &str,
    ) -> Mode {
        let masters = Masters { listed, placed, heads, bases };
        let mut channels: Vec<Channel> = Vec::new();
        let meanings = self.meanings(listed, who);
        let mut taken: BTreeMap<u16, ()> = BTreeMap::new();
        for one in placed {
            let channel = &listed[one.listed];
            let at = place_of(one, bases);
            let mut distinct = at.clone();
            distinct.sort_unstable();
            distinct.dedup();
            if distinct.len() < at.len() || at.iter().any(|place| taken.contains_key(place)) {
                let what = format!("two bytes are at one place (channel \"{}\")", channel.name);
                self.notes.doubt(channel.node, who, &what, "the later one is left out");
                continue;
            }
            taken.extend(at.iter().map(|place| (*place, ())));
            let head = heads.of(one.part);
            let ranges = self.conditioned(&meanings[one.listed], one, channel, &masters, who);
            self.ranges += ranges.len();
            let name = channel_name(&Attribute::from_name(channel.attribute.trim()));
            let name = match head {
                Some(head) => format!("{name} {}", head + 1),
                None => name,
            };
            let bytes = channel.offsets.len() as u8;
            let home = home(channel, bytes).map(|value| narrow(value, bytes));
            let home = home.map_or(Fact::unknown(), |home| Fact::new(home, Origin::Default));
            let fine = at.get(1).copied();
            channels
                .extend(at.iter().skip(2).zip(3_u8..).map(|(place, byte)| still(&name, *place, byte, head)));
            channels.push(Channel { name, coarse: at[0], fine, head, home, ranges });
        }
        channels.sort_by_key(|channel| channel.coarse);
        distinct_names(&mut channels);
        let breaks: Vec<u16> = read.breaks.iter().map(|one| one.footprint as u16).collect();
        let breaks = if breaks.len() > 1 { breaks } else { Vec::new() };
        Mode { name: read.name.clone(), menu: Fact::unknown(), breaks, heads: heads.count, channels }
    }

    fn meanings(&mut self, listed: &[Listed<'a>], who: &str) -> Vec<Vec<Meant<'a>>> {
        let of = |channel: &Listed<'a>| {
            let bytes = channel.offsets.len().clamp(1, 4) as u8;
            ranges(&channel.functions, bytes, self.slots, who, self.notes)
        };
        listed.iter().map(of).collect()
    }

    /// The ranges of a channel on one part, each with the channel that it depends on there.
    fn conditioned(
        &mut self,
        meant: &[Meant<'a>],
        one: &Placed,
        channel: &Listed<'a>,
        masters: &Masters<'_, 'a>,
        who: &str,
    ) -> Vec<Range> {
        let mut list: Vec<Range> = Vec::new();
        let mut full = u16::from(u8::MAX);
        for meant in meant {
            let when = meant.master.and_then(|master| {
                let found = masters.condition(master, one);
                if let Some((_, most)) = found {
                    full = full.max(most);
                } else {
                    let what =
                        format!("a function depends on \"{}\", which has no value of its own here", master.0);
                    self.notes.doubt(
                        channel.node,
                        who,
                        &what,
                        "it is taken to hold always, unless others do",
                    );
                }
                found.map(|(when, _)| when)
            });
            let lost = meant.master.is_some() && when.is_none();
            let overlaps = list.iter().any(|range| {
                range.from <= meant.range.to && range.to >= meant.range.from && range.when.is_none()
            });
            if !(lost && overlaps) {
                list.push(Range { when, ..meant.range.clone() });
            }
        }
        settle(list, full)
    }
}

/// What always holds holds only where nothing else does: it is given the values of the master that are left. `full` is
/// the master's largest value.
fn settle(list: Vec<Range>, full: u16) -> Vec<Range> {
    let mut settled = Vec::with_capacity(list.len());
    for range in &list {
        let clash = |other: &&Range| other.when.is_some() && other.from <= range.to && other.to >= range.from;
        let master = list.iter().find(clash).filter(|_| range.when.is_none()).and_then(|other| other.when);
        let Some(Condition { channel, .. }) = master else {
            settled.push(range.clone());
            continue;
        };
        let whens = list.iter().filter_map(|other| other.when).filter(|when| when.channel == channel);
        let mut spans: Vec<(u32, u32)> = whens.map(|when| (when.from.into(), when.to.into())).collect();
        spans.sort_unstable();
        let mut next: u32 = 0;
        for (from, to) in spans.into_iter().chain([(u32::from(full) + 1, u32::from(full) + 1)]) {
            if from > next {
                let when = Condition { channel, from: next as u16, to: (from - 1) as u16 };
                settled.push(Range { when: Some(when), ..range.clone() });
            }
            next = next.max(to + 1);
        }
    }
    settled
}

/// The channels of a mode as those that others depend on.
struct Masters<'m, 'a> {
    listed: &'m [Listed<'a>],
    placed: &'m [Placed],
    heads: &'m Heads,
    bases: &'m BTreeMap<u16, u32>,
}

impl Masters<'_, '_> {
    /// The master of a channel on a part: the one on the same head, else the first. With its largest value.
    fn condition(&self, master: (&str, Option<&str>, Option<&str>), of: &Placed) -> Option<(Condition, u16)> {
        let (path, from, to) = master;
        let mut steps = path.split('.');
        let name = steps.next()?;
        let function = steps.nth(1);
        let named = |exact: bool| {
            let same = |channel: &Listed<'_>| {
                if exact { channel.name == name } else { channel.name.eq_ignore_ascii_case(name) }
            };
            self.listed.iter().position(same)
        };
        let listed = named(true).or_else(|| named(false))?;
        let channel = &self.listed[listed];
        let mut candidates = self.placed.iter().filter(|one| one.listed == listed);
        let head = self.heads.of(of.part);
        let found =
            candidates.clone().find(|one| self.heads.of(one.part) == head).or_else(|| candidates.next())?;
        let bytes = channel.offsets.len() as u8;
        let value = |text: Option<&str>| text.and_then(DmxValue::read);
        let own = function.and_then(|name| {
            channel.functions.iter().enumerate().find(|(n, it)| {
                it.name.eq_ignore_ascii_case(name)
                    || (it.name.is_empty() && name == format!("{} {}", it.attribute, n + 1))
            })
        });
        let (usual_from, usual_to) = own.map_or((0, full(bytes)), |(_, it)| (it.from, it.to));
        let mut from = value(from).map_or(usual_from, |value| value.start(bytes));
        let mut to = value(to).map_or(usual_to, |value| value.wide(bytes));
        // Of a function that is named, "0 to 0" is a form that nobody filled in.
        if own.is_some() && (from, to) == (0, 0) {
            (from, to) = (usual_from, usual_to);
        }
        let coarse = place_of(found, self.bases).first().copied()?;
        let (from, to) = (narrow(from, bytes), narrow(to, bytes));
        (from <= to).then_some((Condition { channel: coarse, from, to }, narrow(full(bytes), bytes)))
    }
}

/// Highest address of each break over all parts, gaps included.
fn footprints(placed: &[Placed]) -> Vec<Break> {
    let mut highest: BTreeMap<u16, u32> = BTreeMap::new();
    for one in placed {
        let most = one.addresses.iter().copied().max().unwrap_or(0);
        let known = highest.entry(one.number).or_default();
        *known = most.max(*known);
    }
    highest.into_iter().map(|(number, footprint)| Break { number, footprint }).collect()
}

/// How many slots lie before each break here.
fn bases(breaks: &[Break]) -> BTreeMap<u16, u32> {
    let mut before = 0;
    let mut bases = BTreeMap::new();
    for one in breaks {
        bases.insert(one.number, before);
        before += one.footprint;
    }
    bases
}

fn place_of(one: &Placed, bases: &BTreeMap<u16, u32>) -> Vec<u16> {
    let base = bases.get(&one.number).copied().unwrap_or(0);
    one.addresses.iter().map(|at| u16::try_from(at + base).unwrap_or(u16::MAX)).collect()
}

/// A byte beyond the two that a channel has here: it stays at nothing.
fn still(name: &str, place: u16, byte: u8, head: Option<u8>) -> Channel {
    let range = Range::nothing(0, 255, "finer than is needed", Origin::Derived);
    let name = format!("{name}, byte {byte}");
    Channel {
        name,
        coarse: place,
        fine: None,
        head,
        home: Fact::new(0, Origin::Derived),
        ranges: vec![range],
    }
}

/// Channel's default: that of the function which the channel begins with, else its first, else its own (as in 1.0).
fn home(channel: &Listed<'_>, bytes: u8) -> Option<u32> {
    let initial = channel.node.attribute("InitialFunction").and_then(|path| path.rsplit('.').next());
    let named =
        initial.and_then(|name| channel.functions.iter().find(|it| !it.name.is_empty() && it.name == name));
    let function = named.or(channel.functions.first());
    let own = || channel.node.attribute("Default").and_then(DmxValue::read).map(|value| value.wide(bytes));
    function.and_then(|it| it.default).or_else(own).or(function.map(|it| it.from))
}

/// Channels of one name get numbers.
fn distinct_names(channels: &mut [Channel]) {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    channels.iter().for_each(|channel| *counts.entry(channel.name.clone()).or_default() += 1);
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for channel in
        channels.iter_mut().filter(|channel| counts.get(&channel.name).is_some_and(|count| *count > 1))
    {
        let number = seen.entry(channel.name.clone()).or_default();
        *number += 1;
        channel.name = format!("{} ({number})", channel.name);
    }
    for channel in channels {
        channel.name = plain_name(&channel.name).unwrap_or_else(|| "channel".to_owned());
    }
}
