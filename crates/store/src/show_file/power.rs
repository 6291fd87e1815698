//! Mains, circuits, and how each light gets its power.

use std::collections::{BTreeMap, BTreeSet};

use lanthorn_physics::units::{Amps, Metres, VoltAmps, Volts, WattHours};
use lanthorn_rig::rig::Mains;
use lanthorn_rig::sums::cable::Size;
use lanthorn_rig::{Circuit, Feed, Lead, Stock};

use super::unit::Draft;
use super::{Unique, for_each};
use crate::quantity::{AMPS, FRACTION, LENGTH, VOLT_AMPS, VOLTS, WATT_HOURS};
use crate::tree::Data;
use crate::walk::{Fields, Report, Spot};
use crate::words::{CURVES, REGIONS};

/// The mains: what a region leaves open is said by its usual figures, and each may be said otherwise.
pub(super) fn mains(root: &Fields<'_>, report: &mut Report<'_>) -> Mains {
    let Some(table) = root.get("mains").and_then(|s| s.fields("mains".to_owned(), report)) else {
        return Mains::default();
    };
    let region = table.get("region").and_then(|s| report.choice(&s, REGIONS));
    let usual = region.map_or_else(Mains::default, Mains::of);
    let volts =
        table.get("volts").and_then(|s| report.measure(&s, VOLTS.between(90.0, 260.0))).map(Volts::new);
    let continuous = table.get("continuous").and_then(|s| report.measure(&s, FRACTION.between(0.1, 1.0)));
    let receptacle =
        table.get("receptacle").and_then(|s| report.measure(&s, AMPS.between(0.5, 125.0))).map(Amps::new);
    let rcd = rcd(&table, report);
    let generator = table.get("generator").and_then(|s| report.measure(&s, VOLT_AMPS)).map(VoltAmps::new);
    table.finish(report);
    Mains {
        volts: volts.unwrap_or(usual.volts),
        continuous: continuous.unwrap_or(usual.continuous),
        region,
        receptacle: receptacle.or(usual.receptacle),
        rcd: rcd.or(usual.rcd),
        generator,
    }
}

fn rcd(table: &Fields<'_>, report: &mut Report<'_>) -> Option<Amps> {
    table.get("rcd").and_then(|s| report.measure(&s, AMPS.between(0.001, 1.0))).map(Amps::new)
}

/// Lengths of the cables that one owns.
pub(super) fn stock(root: &Fields<'_>, report: &mut Report<'_>) -> Stock {
    let usual = Stock::default();
    let Some(table) = root.get("stock").and_then(|s| s.fields("stock".to_owned(), report)) else {
        return usual;
    };
    let lengths = |key, report: &mut Report<'_>| -> Option<Vec<Metres>> {
        let spot = table.get(key)?;
        let Some(items) = spot.items().filter(|items| !items.is_empty()) else {
            report.wrong(&spot, "this is a list of lengths", "write it such as [1.5, 3, 5, 10, 15, 20]");
            return None;
        };
        let length = |item: &Spot<'_>| report.measure(item, LENGTH.between(0.1, 200.0)).map(Metres::new);
        Some(items.iter().filter_map(length).collect())
    };
    let (data, power) = (lengths("data", report), lengths("power", report));
    table.finish(report);
    Stock { data: data.unwrap_or(usual.data), power: power.unwrap_or(usual.power) }
}

/// Circuits, and their places by name.
pub(super) fn circuits(
    root: &Fields<'_>,
    report: &mut Report<'_>,
) -> (Vec<Circuit>, BTreeMap<String, usize>) {
    let mut list = Vec::new();
    let mut by_name = BTreeMap::new();
    let mut seen = Unique::default();
    for mut table in root.tables("circuit", report) {
        let name = table.need("name", "\"kitchen\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "circuit", table.at, report);
            table.called(format!("circuit \"{name}\""));
        }
        let breaker = table.need("breaker", "\"16 A\"", report);
        let breaker = breaker.and_then(|s| report.measure(&s, AMPS.between(0.5, 1000.0)));
        let other_load = table.get("other_load").and_then(|s| report.measure(&s, AMPS)).map(Amps::new);
        let at = table.get("at").and_then(|s| report.point(&s));
        let reach = table.get("reach").and_then(|s| report.measure(&s, LENGTH.between(0.1, 500.0)));
        let lead = table.get("lead").and_then(|s| lead(&s, report));
        let phase = table.get("phase").and_then(|s| report.whole(&s, 1, 3)).map(|phase| phase as u8);
        let curve = table.get("curve").and_then(|s| report.choice(&s, CURVES));
        let rcd = rcd(&table, report);
        table.finish(report);
        if let Some(name) = name {
            by_name.entry(name.clone()).or_insert(list.len());
            let breaker = Amps::new(breaker.unwrap_or(16.0));
            let reach = reach.map(Metres::new);
            list.push(Circuit { name, breaker, other_load, at, reach, lead, phase, curve, rcd });
        }
    }
    (list, by_name)
}

/// `{ length = "15 m", cable = "1.5 mm2" }`, or a length alone.
fn lead(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Lead> {
    let lengths = LENGTH.between(0.1, 500.0);
    if !matches!(spot.node.data, Data::Table(_)) {
        return report.measure(spot, lengths).map(|length| Lead { length: Metres::new(length), cable: None });
    }
    let table = spot.fields(format!("{}, {}", spot.who, spot.key), report)?;
    let length = table.need("length", "\"15 m\"", report).and_then(|s| report.measure(&s, lengths));
    let cable = table.get("cable").and_then(|spot| {
        let name = report.name(&spot)?;
        let size = Size::read(&name);
        if size.is_none() {
            let remedy = "write 0.75, 1, 1.25, 1.5, 2.5, 4 or 6 mm2, or 18, 16, 14, 12, 10 or 8 AWG";
            report.wrong(&spot, "we have no figures for this cable", remedy);
        }
        size
    });
    table.finish(report);
    Some(Lead { length: Metres::new(length?), cable })
}

/// How each of `count` lights gets its power.
pub(super) fn feeds(table: &Fields<'_>, count: usize, report: &mut Report<'_>) -> Vec<Feed> {
    let is_one = |spot: &Spot<'_>| !matches!(spot.node.data, Data::List(_));
    let each = |key, report: &mut Report<'_>| {
        table.get(key).and_then(|spot| for_each(&spot, count, is_one, report)).unwrap_or_default()
    };
    let from: Vec<Option<i64>> =
        each("power_from", report).iter().map(|s| report.whole(s, 1, 99_999)).collect();
    let leads: Vec<Option<Lead>> = each("lead", report).iter().map(|s| lead(s, report)).collect();
    let battery = table.get("battery").and_then(|s| report.measure(&s, WATT_HOURS)).map(WattHours::new);
    let fixed = table.get("circuit_fixed").and_then(|s| report.flag(&s)).unwrap_or(false);
    let feed = |index: usize| Feed {
        from: from.get(index).copied().flatten().map(|number| number as u32),
        lead: leads.get(index).copied().flatten(),
        battery,
        fixed,
    };
    (0..count).map(feed).collect()
}

/// Whoever is fed by a light must be fed by one that there is, and not by itself in the end.
pub(super) fn feeders(drafts: &[Draft<'_>], mentioned: &BTreeSet<u32>, report: &mut Report<'_>) {
    let feeds: BTreeMap<u32, u32> =
        drafts.iter().filter_map(|draft| Some((draft.unit.number, draft.unit.feed.from?))).collect();
    for draft in drafts {
        let Some(from) = draft.unit.feed.from else { continue };
        let who = format!("unit {}", draft.unit.number);
        if !mentioned.contains(&from) {
            let what = format!("`power_from = {from}`: there is no light {from}");
            report.wrong_at(draft.at, &who, &what, "name a light that stands under `[[unit]]`");
            continue;
        }
        let mut met = BTreeSet::new();
        let mut now = Some(draft.unit.number);
        while let Some(number) = now.filter(|number| met.insert(*number)) {
            now = feeds.get(&number).copied();
        }
        if now == Some(draft.unit.number) {
            let what = "`power_from` leads back to the light itself";
            report.wrong_at(draft.at, &who, what, "let the first of the chain be plugged into a socket");
        }
    }
}
