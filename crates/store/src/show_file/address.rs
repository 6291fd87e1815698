//! Start addresses: following on by footprint, sharing, overlap.

use std::collections::{BTreeMap, BTreeSet};

use lanthorn_dmx::{Address, Slot};
use lanthorn_rig::Run;

use super::for_each;
use super::unit::Draft;
use crate::tree::Data;
use crate::walk::{Report, Spot};

/// The addresses that one `[[unit]]` asks for.
pub(super) struct Wanted<'n> {
    spots: Vec<Spot<'n>>,
    addresses: Vec<Option<Address>>,
}

impl<'n> Wanted<'n> {
    /// `address = "1.001"` is the first light's; the others follow by footprint, in the next universe where one would
    /// pass slot 512. A list has one for each. Lights that share another's address all take the same.
    pub(super) fn new(
        spot: Option<&Spot<'n>>,
        count: usize,
        footprint: u16,
        shared: bool,
        report: &mut Report<'_>,
    ) -> Self {
        let nothing = Self { spots: Vec::new(), addresses: Vec::new() };
        let Some(spot) = spot else { return nothing };
        let is_list = matches!(spot.node.data, Data::List(_));
        let is_one = |spot: &Spot<'n>| !matches!(spot.node.data, Data::List(_));
        let Some(spots) = for_each(spot, count, is_one, report) else { return nothing };
        let mut addresses = Vec::new();
        for (index, spot) in spots.iter().enumerate() {
            let address = match addresses.last().copied().flatten() {
                Some(before) if !is_list && shared => Some(before),
                Some(before) if !is_list => {
                    let next = following(before, footprint);
                    if next.is_none() {
                        report.wrong(
                            spot,
                            "the universes end before the last of these lights",
                            "start lower",
                        );
                    }
                    next
                }
                None if !is_list && index > 0 => None,
                _ => read(spot, footprint, report),
            };
            addresses.push(address);
        }
        Self { spots, addresses }
    }

    /// The address of the light at that place in the table, and where it is written.
    pub(super) fn of(&self, index: usize) -> (Option<Address>, Option<Spot<'n>>) {
        (self.addresses.get(index).copied().flatten(), self.spots.get(index).cloned())
    }
}

/// The start address of the next light of that footprint behind one.
pub(crate) fn following(before: Address, footprint: u16) -> Option<Address> {
    let universe = u32::from(before.universe.number());
    let slot = before.last_slot(footprint) + 1;
    let end = slot + u32::from(footprint.max(1)) - 1;
    if end <= u32::from(Slot::COUNT) { Address::new(universe, slot) } else { Address::new(universe + 1, 1) }
        .ok()
}

fn read(spot: &Spot<'_>, footprint: u16, report: &mut Report<'_>) -> Option<Address> {
    let Data::Text(text) = &spot.node.data else {
        let what = "an address is universe and start address with a point between, in quotation marks";
        report.wrong(spot, what, "write it such as \"1.101\"");
        return None;
    };
    let address: Address = match text.parse() {
        Ok(address) => address,
        Err(error) => {
            let error = error.to_string();
            let (what, remedy) = match error.split_once(": write ") {
                Some(_) => (
                    "this is no address",
                    "write universe and start address with a point between, such as \"1.101\"",
                ),
                None => (error.as_str(), "check the address"),
            };
            report.wrong(spot, what, remedy);
            return None;
        }
    };
    let last = address.last_slot(footprint);
    if last > u32::from(Slot::COUNT) {
        let slot = address.slot.number();
        let what = format!("{footprint} channels from slot {slot} end at {last}, past 512");
        let highest = (u32::from(Slot::COUNT) + 1).saturating_sub(u32::from(footprint));
        let universe = address.universe.number();
        let remedy = match Address::new(u32::from(universe), highest) {
            Ok(usable) => format!("the last usable start address is {usable}"),
            Err(_) => "choose a mode with fewer channels".to_owned(),
        };
        report.wrong(spot, &what, &remedy);
        return None;
    }
    Some(address)
}

/// Gives sharing lights the address that they share, and reports lights that answer to the same slots unasked.
pub(super) fn settle(drafts: &mut [Draft<'_>], mentioned: &BTreeSet<u32>, report: &mut Report<'_>) {
    share(drafts, mentioned, report);
    overlaps(drafts, report);
}

fn share(drafts: &mut [Draft<'_>], mentioned: &BTreeSet<u32>, report: &mut Report<'_>) {
    let by_number: BTreeMap<u32, usize> =
        drafts.iter().enumerate().map(|(index, draft)| (draft.unit.number, index)).collect();
    for index in 0..drafts.len() {
        let Run::Driven { address, shares: Some(shares) } = drafts[index].unit.run else { continue };
        let Some(spot) = drafts[index].shares.clone() else { continue };
        let unit = &drafts[index].unit;
        let Some(other) = by_number.get(&shares).map(|other| &drafts[*other].unit) else {
            if !mentioned.contains(&shares) {
                let what = format!("there is no light {shares}");
                report.wrong(&spot, &what, "name a light that has an address of its own");
            }
            continue;
        };
        let Run::Driven { address: theirs, shares: None } = other.run else {
            let what = format!("light {shares} has no address of its own");
            report.wrong(&spot, &what, "name a light that is driven and shares nobody's address");
            continue;
        };
        if other.profile.name != unit.profile.name || other.mode != unit.mode {
            let what = format!(
                "light {} is \"{}\" in mode \"{}\", light {shares} is \"{}\" in mode \"{}\"",
                unit.number,
                unit.profile.name,
                unit.mode().name,
                other.profile.name,
                other.mode().name
            );
            report.wrong(&spot, &what, "only lights of one kind and mode can share an address");
            continue;
        }
        match (address, theirs) {
            (Some(own), Some(theirs)) if own != theirs => {
                let what = format!("light {shares} is at {theirs}, and this one at {own}");
                report.wrong(&spot, &what, "leave `address` out: it is taken from the light it shares with");
            }
            _ => drafts[index].unit.run = Run::Driven { address: theirs, shares: Some(shares) },
        }
    }
}

fn overlaps(drafts: &[Draft<'_>], report: &mut Report<'_>) {
    let mut own: Vec<(Address, &Draft<'_>)> = drafts
        .iter()
        .filter_map(|draft| match draft.unit.run {
            Run::Driven { address: Some(address), shares: None } => Some((address, draft)),
            _ => None,
        })
        .collect();
    own.sort_by_key(|(address, draft)| (*address, draft.unit.number));
    let mut reaches: Option<(Address, &Draft<'_>)> = None; // whoever reaches furthest so far
    for (address, draft) in own {
        let last = |address: Address, draft: &Draft<'_>| address.last_slot(draft.unit.mode().footprint());
        if let Some((before, other)) = reaches.filter(|(before, _)| before.universe == address.universe) {
            if last(before, other) >= u32::from(address.slot.number()) {
                overlap((before, other), (address, draft), report);
            }
            if last(before, other) >= last(address, draft) {
                continue;
            }
        }
        reaches = Some((address, draft));
    }
}

fn overlap(
    (before, other): (Address, &Draft<'_>),
    (address, draft): (Address, &Draft<'_>),
    report: &mut Report<'_>,
) {
    let Some(spot) = &draft.address else { return };
    let slots = |address: Address, draft: &Draft<'_>| {
        let last = address.last_slot(draft.unit.mode().footprint());
        format!("light {} ({address} to {last:03})", draft.unit.number)
    };
    let line = report.line(other.address.as_ref().map_or(other.at, |spot| spot.node.from));
    let what = format!("{} overlaps {} of line {line}", slots(address, draft), slots(before, other));
    let number = other.unit.number;
    let remedy = match following(before, other.unit.mode().footprint()) {
        Some(free) => {
            format!("start it at {free} or later, or say `shares = {number}` if both are to do the same")
        }
        None => "choose another address".to_owned(),
    };
    report.wrong(spot, &what, &remedy);
}
