//! New addresses with the least change, where today's cannot stay.

use serde::Serialize;

use crate::patch::{Wanted, footprint, readdress, share_root};
use crate::{Reckoning, Rig, Run};

/// What would have to change so that every driven light has an address of its own, or shares one on purpose.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReaddressPlan {
    /// Lights that would get another address, or their first.
    pub changes: Vec<AddressChange>,
    /// Lights that keep theirs.
    pub kept: Vec<u32>,
    /// That no more could keep theirs is certain.
    pub exact: bool,
    /// How it was found.
    pub how: Reckoning,
}

/// One light's address.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AddressChange {
    /// The light.
    pub unit: u32,
    /// Today; none: not addressed.
    pub from: Option<String>,
    /// Then; none: there is no room.
    pub to: Option<String>,
}

/// None when all is well as it is. Lights without channels are left out.
pub(crate) fn plan(rig: &Rig) -> Option<ReaddressPlan> {
    let driven =
        rig.units.iter().filter(|unit| matches!(unit.run, Run::Driven { .. }) && footprint(unit) > 0);
    let wanted: Vec<Wanted> = driven
        .map(|unit| Wanted {
            number: unit.number,
            footprint: footprint(unit),
            now: unit.address(),
            share: Some(share_root(rig, unit)),
        })
        .collect();
    let found = readdress(&wanted, None);
    let changes: Vec<AddressChange> = wanted
        .iter()
        .zip(&found.addresses)
        .filter(|(light, address)| light.now != **address)
        .map(|(light, address)| AddressChange {
            unit: light.number,
            from: light.now.map(|now| now.to_string()),
            to: address.map(|address| address.to_string()),
        })
        .collect();
    let how = Reckoning::new(
        "changes",
        "the largest set of present places without overlap stays (interval scheduling), the others take what is free",
        "exact search of this tool; ANSI E1.11: 512 slots in a universe",
    )
    .with("lights", wanted.len() as f64, "", "show file");
    (!changes.is_empty()).then_some(ReaddressPlan { changes, kept: found.kept, exact: found.exact, how })
}
