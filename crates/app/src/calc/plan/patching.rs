//! Addresses by rule, with least change, and as switches.

use lanthorn_dmx::{Address, Slot};
use lanthorn_rig::patch::{
    Free, Rule, Wanted, by_rule, dip as switches, last_usable_start, readdress as least_change,
};
use serde_json::{Map, Value, json};

use super::fields::{COUNT, Fields, plain};
use super::power::LIGHTS;

const SOURCE: &str = "ANSI E1.11: 512 slots in a universe; a light does not straddle the end";
const MOST_LIGHTS: usize = 2000;
const FOOTPRINT: &[&str] = &["channels", "footprint", "slots", "ch", "channel_count", "width"];

/// A light of the case.
struct Light {
    name: String,
    number: u32,
    footprint: u16,
    now: Option<Address>,
    share: Option<String>,
}

/// "1.101", "1/101", "101", or a number; with the universe that is said beside it.
fn read_address(text: &str, universe: Option<u32>) -> Result<Address, String> {
    let wrong = || format!("\"{text}\" is no address: write 101, or \"1.101\" with the universe");
    let text = text.trim();
    let (universe, slot) = match text.split_once(['.', '/', ':']) {
        Some((universe, slot)) => (universe.trim().parse::<u32>().map_err(|_| wrong())?, slot),
        None => (universe.unwrap_or(1), text),
    };
    let slot: u32 = slot.trim().parse().map_err(|_| wrong())?;
    Address::new(universe, slot).map_err(|error| format!("\"{text}\": {error}"))
}

fn address(fields: &Fields, keys: &[&str], universe: Option<u32>) -> Result<Option<Address>, String> {
    let text = match fields.value(keys) {
        // A universe and a slot in one number, 1.101, would lose its zeros: 1.1 is 1.100 only as a text.
        Some(Value::Number(number)) if number.as_f64().is_some_and(|n| n.fract().abs() > 1e-9) => {
            return Err(format!("write the address {number} in quotation marks: \"1.{:03}\"", 100));
        }
        Some(_) => fields.text(keys)?,
        None => None,
    };
    text.map(|text| read_address(&text, universe)).transpose()
}

fn read_lights(case: &Fields) -> Result<Vec<Light>, String> {
    let entries = match case.entries(&[LIGHTS, &["footprints", "channels"]].concat(), "light", "channels") {
        Ok(Some(entries)) => entries,
        Err(error) => return Err(error),
        // So many alike ones.
        Ok(None) => {
            let what = "a list of {\"number\": …, \"channels\": …}; or \"count\" and \"channels\"";
            let count = case.count(&[COUNT, LIGHTS].concat())?.ok_or_else(|| case.missing("lights", what))?;
            let footprint = case.count(FOOTPRINT)?.ok_or_else(|| case.missing("channels", "of one light"))?;
            let light = |number: u32| Light {
                name: number.to_string(),
                number,
                footprint: width(footprint),
                now: None,
                share: None,
            };
            return Ok((1..=count.min(MOST_LIGHTS as u32)).map(light).collect());
        }
    };
    let usual = case.count(FOOTPRINT).ok().flatten();
    let universe = case.count(&["universe"])?;
    let mut lights: Vec<Light> = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        let footprint = entry
            .count(FOOTPRINT)?
            .or(usual)
            .ok_or_else(|| entry.missing("channels", "how many slots it takes"))?;
        if footprint == 0 {
            return Err(format!("light {}: \"channels\" is 1 or more", index + 1));
        }
        let said = entry.count(&["number", "no", "unit", "light", "id"]).ok().flatten();
        let count = entry.count(COUNT.get(..1).unwrap_or_default())?.unwrap_or(1);
        let own = entry.count(&["universe", "u"])?.or(universe);
        let now = address(entry, &["address", "now", "start", "current", "present", "dmx"], own)?;
        let share = entry.text(&["share", "shares", "shared", "group"])?;
        for copy in 0..count {
            let number = said.map_or(lights.len() as u32 + 1, |number| number + copy);
            let name =
                if count > 1 || !entry.has(&["name"]) { number.to_string() } else { entry.name(index)? };
            lights.push(Light {
                name,
                number,
                footprint: width(footprint),
                now: now.filter(|_| copy == 0),
                share: share.clone(),
            });
        }
        if lights.len() > MOST_LIGHTS {
            return Err(format!("at most {MOST_LIGHTS} lights at once"));
        }
    }
    Ok(lights)
}

fn width(footprint: u32) -> u16 {
    u16::try_from(footprint).unwrap_or(u16::MAX)
}

fn told(lights: &[Light], given: &[Option<Address>]) -> Value {
    let row = |(light, address): (&Light, &Option<Address>)| {
        json!({
            "name": light.name, "number": light.number, "channels": light.footprint,
            "address": address.map(|a| a.to_string()), "universe": address.map(|a| a.universe.number()),
            "start": address.map(|a| a.slot.number()), "last": address.map(|a| a.last_slot(light.footprint)),
        })
    };
    lights.iter().zip(given).map(row).collect()
}

/// Overlaps, and blocks past the end.
fn findings(lights: &[Light], given: &[Option<Address>], shared: bool) -> Vec<String> {
    let mut found = Vec::new();
    let placed: Vec<(&Light, Address)> =
        lights.iter().zip(given).filter_map(|(light, a)| Some((light, (*a)?))).collect();
    for (index, (light, at)) in placed.iter().enumerate() {
        let last = at.last_slot(light.footprint);
        if last > u32::from(Slot::COUNT) {
            let usable = last_usable_start(light.footprint)
                .map_or_else(|| "none".to_owned(), |slot| slot.number().to_string());
            found.push(format!(
                "Light {} runs past slot 512 (to {last}); its last usable start is {usable}",
                light.name
            ));
        }
        for (other, there) in &placed[..index] {
            let same = at.universe == there.universe;
            let (a, b) = (u32::from(at.slot.number()), u32::from(there.slot.number()));
            let apart = a > there.last_slot(other.footprint) || b > last;
            let agreed = at == there && (shared || light.share.is_some() && light.share == other.share);
            if same && !apart && !agreed && found.len() < 200 {
                found.push(format!(
                    "Lights {} and {} overlap from slot {}.{:03}",
                    other.name,
                    light.name,
                    at.universe.number(),
                    a.max(b)
                ));
            }
        }
    }
    found
}

fn universes(lights: &[Light], given: &[Option<Address>]) -> Value {
    let mut used: Map<String, Value> = Map::new();
    let mut taken: std::collections::BTreeMap<u16, [bool; 512]> = std::collections::BTreeMap::new();
    for (light, address) in lights.iter().zip(given) {
        let Some(address) = address else { continue };
        let slots = taken.entry(address.universe.number()).or_insert([false; 512]);
        let last = (address.last_slot(light.footprint) as usize).min(512);
        slots[address.slot.index()..last].fill(true);
    }
    for (universe, slots) in taken {
        let count = slots.iter().filter(|taken| **taken).count();
        used.insert(universe.to_string(), json!({ "used": count, "free": 512 - count }));
    }
    Value::Object(used)
}

fn answer(lights: &[Light], given: &[Option<Address>], shared: bool) -> Value {
    let findings = findings(lights, given, shared);
    let without = given.iter().filter(|address| address.is_none()).count();
    let says = match (without, findings.len()) {
        (0, 0) => "Every light has an address; none overlap, none passes slot 512.".to_owned(),
        (0, count) => format!("{count} to put right: {}.", findings[0]),
        (without, _) => format!("{without} without room."),
    };
    json!({
        "addresses": told(lights, given), "universes": universes(lights, given), "findings": findings, "ok": without == 0 && findings.is_empty(),
        "starts": given.iter().map(|a| a.map(|a| a.slot.number())).collect::<Vec<_>>(),
        "source": SOURCE, "says": says,
    })
}

pub(super) fn addresses(case: &Fields) -> Result<Value, String> {
    let lights = read_lights(case)?;
    let rule = case.text(&["rule", "by", "how", "mode", "scheme", "strategy"])?.map(|rule| plain(&rule));
    let step = case.count(&["step", "number_step", "every"])?;
    let gap = case.count(&["gap", "gaps", "leave", "spare_slots", "spacing"])?;
    let first =
        address(case, &["start", "first", "from", "start_address", "address"], case.count(&["universe"])?)?;
    let first = first
        .map_or_else(|| Address::new(case.count(&["universe"]).ok().flatten().unwrap_or(1), 1), Ok)
        .map_err(|error| error.to_string())?;
    let all_placed = lights.iter().all(|light| light.now.is_some());
    let rule = match rule.as_deref() {
        Some("check") => None,
        None if all_placed && !lights.is_empty() && step.is_none() && gap.is_none() => None,
        Some("by_number" | "number" | "numbered" | "step") => {
            Some(Rule::ByNumber { step: width(step.unwrap_or(10)) })
        }
        None if step.is_some() => Some(Rule::ByNumber { step: width(step.unwrap_or(10)) }),
        Some("shared" | "share" | "all_on_one" | "same") => Some(Rule::Shared),
        Some(
            "next_free" | "next" | "free" | "gaps" | "leave_gaps" | "gap" | "sequential" | "consecutive"
            | "compact" | "in_order",
        )
        | None => Some(Rule::NextFree { gap: width(gap.unwrap_or(0)) }),
        Some(other) => {
            return Err(format!("\"{other}\" is no rule: next free, by number, gaps, shared, or check"));
        }
    };
    let Some(rule) = rule else {
        let given: Vec<Option<Address>> = lights.iter().map(|light| light.now).collect();
        return Ok(answer(&lights, &given, false));
    };
    let rows: Vec<(u32, u16)> = lights.iter().map(|light| (light.number, light.footprint)).collect();
    let given = match taken(case)? {
        // Beside what others take: the first place with room, one light after another.
        Some(mut free) if matches!(rule, Rule::NextFree { .. }) => beside(&lights, &mut free, rule, first),
        _ => by_rule(&rows, rule, first),
    };
    let mut told = answer(&lights, &given, rule == Rule::Shared);
    told["rule"] = json!(match rule {
        Rule::NextFree { gap: 0 } => "next free".to_owned(),
        Rule::NextFree { gap } => format!("next free, {gap} slots left empty behind each"),
        Rule::ByNumber { step } =>
            format!("light 1 at the first address, light n at (n - 1) x {step} behind it"),
        Rule::Shared => "all on one address, moving as one".to_owned(),
    });
    Ok(told)
}

/// Slots that others take: `[{"start": 1, "channels": 16}, …]` or `[[1, 16], …]`, first and last.
fn taken(case: &Fields) -> Result<Option<Free>, String> {
    let keys = ["taken", "occupied", "used", "busy"];
    let Some(list) = case.value(&keys).and_then(Value::as_array).cloned() else { return Ok(None) };
    let mut free = Free::default();
    let universe = case.count(&["universe"])?;
    for (index, entry) in list.iter().enumerate() {
        let wrong =
            || format!("\"taken\" {}: write {{\"start\": 1, \"channels\": 16}} or [first, last]", index + 1);
        if let Some(pair) = entry.as_array() {
            let slot = |at: usize| {
                pair.get(at).and_then(Value::as_u64).and_then(|n| u32::try_from(n).ok()).ok_or_else(wrong)
            };
            let (from, to) = (slot(0)?, slot(1)?);
            let at = Address::new(universe.unwrap_or(1), from).map_err(|error| error.to_string())?;
            free.put(at, width(to.saturating_sub(from) + 1));
            continue;
        }
        let fields = Fields::new(entry.clone(), "start and channels")?;
        let at = address(&fields, &["start", "address", "from"], universe)?.ok_or_else(wrong)?;
        free.put(at, width(fields.count(FOOTPRINT)?.unwrap_or(1)));
    }
    Ok(Some(free))
}

fn beside(lights: &[Light], free: &mut Free, rule: Rule, first: Address) -> Vec<Option<Address>> {
    let gap = if let Rule::NextFree { gap } = rule { gap } else { 0 };
    // What lies before the first address is not to be used.
    if first.slot.number() > 1 {
        let mut slot = 1;
        while slot < u32::from(first.slot.number()) {
            if let Ok(at) = Address::new(first.universe.number().into(), slot) {
                free.put(at, 1);
            }
            slot += 1;
        }
    }
    let universes = first.universe.number()..=first.universe.number().saturating_add(16);
    let take = |light: &Light| {
        let wide = light.footprint.saturating_add(gap);
        universes.clone().find_map(|universe| {
            free.take_in(universe, wide).or_else(|| free.take_in(universe, light.footprint))
        })
    };
    lights.iter().map(take).collect()
}

pub(super) fn readdress(case: &Fields) -> Result<Value, String> {
    let lights = read_lights(case)?;
    let universes = case.numbers(&["universes", "allowed_universes"])?;
    let one = case.count(&["max_universe", "universe"])?;
    let universes: Option<Vec<u16>> = match (universes, one) {
        (Some(list), _) => Some(list.iter().map(|n| n.clamp(1.0, 63_999.0) as u16).collect()),
        (None, Some(one)) => Some(vec![width(one)]),
        (None, None) => None,
    };
    let mut names: Vec<&str> = lights.iter().filter_map(|light| light.share.as_deref()).collect();
    names.sort_unstable();
    names.dedup();
    let share = |light: &Light| {
        let name = light.share.as_deref()?;
        names.iter().position(|other| *other == name).and_then(|index| u32::try_from(index).ok())
    };
    let wanted: Vec<Wanted> = lights
        .iter()
        .map(|light| Wanted {
            number: light.number,
            footprint: light.footprint,
            now: light.now,
            share: share(light),
        })
        .collect();
    let found = least_change(&wanted, universes.as_deref());
    let mut told = answer(&lights, &found.addresses, false);
    let present = lights.iter().filter(|light| light.now.is_some()).count();
    let without = if found.without.is_empty() {
        String::new()
    } else {
        format!(" {} without room.", found.without.len())
    };
    told["says"] = json!(format!(
        "{} of {present} addresses stay as they are, {} lights get another or their first.{without}",
        found.kept.len(),
        found.changed.len()
    ));
    told["kept"] = json!(found.kept);
    told["kept_count"] = json!(found.kept.len());
    told["changed"] = json!(found.changed);
    told["changed_count"] = json!(found.changed.len());
    told["without"] = json!(found.without);
    told["exact"] = json!(found.exact);
    told["formula"] = json!(
        "the largest set of present places without overlap (interval scheduling), the rest in what is free"
    );
    Ok(told)
}

pub(super) fn dip(case: &Fields) -> Result<Value, String> {
    let from_zero = case.flag(&["from_zero", "counts_from_zero", "zero_based", "zero"])?
        || case.number(&["counts_from", "first"])?.is_some_and(|first| first.abs() < 1e-9);
    if let Some(on) = case.numbers(&["switches_on", "switches", "on", "dips"])? {
        let wrong = on.iter().any(|switch| switch.fract().abs() > 1e-9 || !(1.0..=10.0).contains(switch));
        if wrong {
            return Err("\"switches_on\" are numbers from 1 to 10".to_owned());
        }
        let mut numbers: Vec<u32> =
            on.iter().map(|switch| *switch as u32).filter(|switch| *switch <= 9).collect();
        numbers.sort_unstable();
        numbers.dedup();
        let number: u32 = numbers.iter().map(|switch| 1 << (switch - 1)).sum();
        let start = number + u32::from(from_zero);
        return Ok(json!({
            "number": number, "address": start.max(1), "start": start.max(1), "switches_on": numbers, "source": DIP_SOURCE,
            "says": format!("Switches {numbers:?} add up to {number}: start address {}.", start.max(1)),
        }));
    }
    let at = address(case, &["address", "start", "number", "slot", "start_address", "dmx"], None)?;
    let at = at.ok_or_else(|| case.missing("address", "1 to 512; or \"switches_on\""))?;
    let slot = at.slot.number();
    let Some(dip) = switches(at.slot, from_zero) else {
        return Err(format!("start address {slot} cannot be set: nine switches reach 511"));
    };
    let on = dip.switches_on();
    let words: Vec<String> = on.iter().map(u8::to_string).collect();
    let list = if words.is_empty() { "none".to_owned() } else { words.join(", ") };
    Ok(json!({
        "address": slot, "number": dip.number, "from_zero": from_zero, "switches_on": on, "on": dip.on, "switches": dip.on,
        "binary": dip.on.iter().map(|on| if *on { '1' } else { '0' }).collect::<String>(), "picture": dip.text(),
        "formula": "switch n weighs 2^(n-1); switches 1 to 9", "source": DIP_SOURCE,
        "caution": "Switch 10 does something else: see the manual. Some lights count from zero.",
        "says": format!("Switches on: {list}; all others of 1 to 9 off."),
    }))
}

const DIP_SOURCE: &str = "makers' manuals (names withheld): switch n weighs 2^(n-1)";
