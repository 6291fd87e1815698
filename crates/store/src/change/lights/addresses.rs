//! Where lights answer: what is taken, what is free, and all laid out anew.

use std::collections::{BTreeMap, BTreeSet};

use lanthorn_dmx::{Address, Slot};
use lanthorn_rig::patch::Free;
use lanthorn_rig::{Rig, Run, Unit};

use super::table::set_listed;
use super::{called, capital};
use crate::change::sheet::Sheet;
use crate::change::value::Value;
use crate::change::{Refused, opened};
use crate::ink::{list, quoted};
use crate::show_file::following;

/// What is known of every light's address and width, while the text changes.
pub(in crate::change) struct Known {
    pub(super) addresses: BTreeMap<u32, Option<Address>>,
    pub(in crate::change) footprints: BTreeMap<u32, u16>,
    /// Lights with an address of their own.
    own: BTreeSet<u32>,
}

impl Known {
    pub(in crate::change) fn new(rig: &Rig) -> Self {
        Self {
            addresses: rig.units.iter().map(|unit| (unit.number, unit.address())).collect(),
            footprints: rig.units.iter().map(|unit| (unit.number, unit.mode().footprint())).collect(),
            own: rig.units.iter().filter(|unit| is_own(unit)).map(|unit| unit.number).collect(),
        }
    }

    fn footprint(&self, light: u32) -> u16 {
        self.footprints.get(&light).copied().unwrap_or(1)
    }

    /// A light's address as the file writes it.
    pub(super) fn source(&self, light: u32) -> Option<String> {
        self.addresses.get(&light).copied().flatten().map(|address| quoted(&address.to_string()))
    }

    /// Addresses as the file writes them: the first, where the others follow by their channels.
    pub(super) fn joined(&self, addresses: &[Address], footprint: u16) -> String {
        let follow = addresses.windows(2).all(|pair| following(pair[0], footprint) == Some(pair[1]));
        let quoted = |address: &Address| quoted(&address.to_string());
        match addresses.first() {
            Some(first) if follow => quoted(first),
            _ => list(addresses.iter().map(quoted)),
        }
    }

    /// The same for lights of one table, from what the file writes for each.
    pub(super) fn joined_sources(&self, lights: &[u32], sources: &[String]) -> String {
        let read: Option<Vec<Address>> =
            sources.iter().map(|source| source.trim_matches('"').parse().ok()).collect();
        match (lights, read) {
            ([first, ..], Some(read)) => self.joined(&read, self.footprint(*first)),
            _ => list(sources.iter().cloned()),
        }
    }

    /// The addresses that are asked for: one for each light, or the first, which the others follow.
    pub(super) fn asked(
        &self,
        lights: &[u32],
        value: Option<&Value>,
    ) -> Result<BTreeMap<u32, Option<String>>, Refused> {
        let Some(value) = value else { return Ok(lights.iter().map(|light| (*light, None)).collect()) };
        let read = |value: &Value| -> Result<Address, Refused> {
            let Value::Text(text) = value else { return Err(no_address(value)) };
            text.trim().parse().map_err(|_| no_address(value))
        };
        let mut addresses = Vec::new();
        if let Value::List(items) = value {
            if items.len() != lights.len() {
                return Err(Refused::new(format!(
                    "address: there are {} for {} lights: give the first, or one for each",
                    items.len(),
                    lights.len()
                )));
            }
            for item in items {
                addresses.push(read(item)?);
            }
        } else {
            let mut next = Some(read(value)?);
            for light in lights {
                let address = next.ok_or_else(|| {
                    Refused::new("address: the universes end before the last of these lights: start lower")
                })?;
                addresses.push(address);
                next = following(address, self.footprint(*light));
            }
        }
        let source = |address: Address| Some(quoted(&address.to_string()));
        Ok(lights.iter().copied().zip(addresses.into_iter().map(source)).collect())
    }

    /// Moves lights that no longer fit where they are to the first free address. What was moved, as a sentence with a
    /// space before it.
    pub(in crate::change) fn refit(&mut self, sheet: &mut Sheet, lights: &[u32]) -> Result<String, Refused> {
        let mut free = Free::default();
        for light in self.own.iter().filter(|light| !lights.contains(light)) {
            if let Some(address) = self.addresses.get(light).copied().flatten() {
                free.put(address, self.footprint(*light));
            }
        }
        let mut moved = Vec::new();
        let mut values = BTreeMap::new();
        for light in lights.iter().filter(|light| self.own.contains(light)) {
            let Some(now) = self.addresses.get(light).copied().flatten() else { continue };
            let footprint = self.footprint(*light);
            let new = if free.put(now, footprint) { now } else { first_free(&mut free, footprint)? };
            if new != now {
                moved.push(format!("{} answers at {new} now.", capital(&called(&[*light]))));
            }
            values.insert(*light, Some(quoted(&new.to_string())));
            self.addresses.insert(*light, Some(new));
        }
        set_listed(sheet, self, "address", &values)?;
        Ok(moved.iter().map(|sentence| format!(" {sentence}")).collect())
    }
}

fn no_address(value: &Value) -> Refused {
    Refused::new(format!(
        "address: {} is none: write universe and start address with a point between, such as \"1.101\"",
        value.words()
    ))
}

fn is_own(unit: &Unit) -> bool {
    matches!(unit.run, Run::Driven { shares: None, .. })
}

/// The first address with so many free slots, taken.
pub(super) fn first_free(free: &mut Free, footprint: u16) -> Result<Address, Refused> {
    free.take(footprint).ok_or_else(|| {
        Refused::new(format!(
            "address: no universe has {} slots free in a row: choose a smaller mode",
            footprint.max(1)
        ))
    })
}

/// Gives every driven light an address anew: along the data lines by name, lights on none of them last.
pub(in crate::change) fn lay_out(sheet: &mut Sheet) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let known = Known::new(&file.rig);
    let mut units: Vec<&Unit> = file.rig.units.iter().filter(|unit| is_own(unit)).collect();
    units.sort_by_key(|unit| (unit.line.is_none(), unit.line.clone(), unit.line_order, unit.number));
    let mut values = BTreeMap::new();
    let mut next = Address::new(1, 1).ok();
    let mut last = None;
    for unit in &units {
        let footprint = unit.mode().footprint().max(1);
        let too_many =
            || Refused::new("address: there are not enough universes for these lights: take some out");
        let mut address = next.ok_or_else(too_many)?;
        if address.last_slot(footprint) > u32::from(Slot::COUNT) {
            address = Address::new(u32::from(address.universe.number()) + 1, 1).map_err(|_| too_many())?;
        }
        values.insert(unit.number, Some(quoted(&address.to_string())));
        last = Some(address);
        let after = address.last_slot(footprint) + 1;
        let universe = u32::from(address.universe.number());
        next = Address::new(universe, after).or_else(|_| Address::new(universe + 1, 1)).ok();
    }
    set_listed(sheet, &known, "address", &values)?;
    Ok(match last {
        None => "There is no driven light to give an address.".to_owned(),
        Some(last) => format!(
            "{} answer from 1.001 to {last} now, one behind another: set each light's menu anew.",
            capital(&crate::change::named::count(units.len(), "light"))
        ),
    })
}
