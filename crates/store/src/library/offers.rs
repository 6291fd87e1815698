//! Offers: the library has another description of a light than a show. Nothing changes until an offer is taken.

use std::sync::Arc;

use lanthorn_fixture::Profile;
use lanthorn_rig::Rig;

use super::difference::{Difference, difference};
use super::identity::identity;
use super::{named, own, shipped};

/// Whose description it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// One's own folder.
    Own,
    /// The program's.
    Shipped,
}

/// Another description of a light than the show has.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// What the show has.
    pub has: Arc<Profile>,
    /// What it could have.
    pub offered: Arc<Profile>,
    /// Whose it is.
    pub source: Source,
    /// What would be another.
    pub differences: Vec<Difference>,
    /// Lights that are described so.
    pub lights: Vec<u32>,
}

/// Every offer for a show that carries these profiles, by the order of its lights, then of what it carries besides.
pub fn offers(carried: &[Arc<Profile>], rig: &Rig) -> Vec<Offer> {
    let mut seen: Vec<&str> = Vec::new();
    let used = rig.units.iter().map(|unit| &unit.profile);
    let mut list = Vec::new();
    for profile in used.chain(carried) {
        if seen.contains(&profile.name.as_str()) {
            continue;
        }
        seen.push(&profile.name);
        list.extend(offer_for(rig, profile));
    }
    list
}

/// The offer for one profile of a show, if there is one: one's own description goes before the shipped one.
pub fn offer_for(rig: &Rig, has: &Arc<Profile>) -> Option<Offer> {
    let of_own = named(&own(), &has.name).map(|profile| (profile, Source::Own));
    let (offered, source) =
        of_own.or_else(|| named(shipped(), &has.name).map(|profile| (profile, Source::Shipped)))?;
    if identity(&offered) == identity(has) {
        return None;
    }
    let lights = rig.units.iter().filter(|unit| unit.profile.name == has.name);
    Some(Offer {
        differences: difference(has, &offered),
        lights: lights.map(|unit| unit.number).collect(),
        has: has.clone(),
        offered,
        source,
    })
}
