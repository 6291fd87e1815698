//! What adding and moving lights needs: the kinds there are, and where more of them would answer.

use std::collections::BTreeSet;
use std::sync::Arc;

use lanthorn_fixture::Profile;
use lanthorn_physics::units::Radians;
use lanthorn_rig::Rig;
use lanthorn_rig::patch::{next_free, universes};
use lanthorn_store::library;

use super::symbol;
use crate::current::Chart;
use crate::wire::{FreeView, ModeView, OfferView, ProfileView};

/// So many addresses are told ahead: as many lights as are added at once on a page.
const AHEAD: usize = 24;
/// Free addresses are told for so many universes, the lowest in use first.
const UNIVERSES: usize = 8;

/// What a show carries, and what its lights are of besides.
pub(super) fn of_show(carried: &[Arc<Profile>], rig: &Rig) -> Vec<Arc<Profile>> {
    let mut list = carried.to_vec();
    for unit in &rig.units {
        if list.iter().all(|known| known.name != unit.profile.name) {
            list.push(unit.profile.clone());
        }
    }
    list
}

/// What the library describes otherwise than the show.
pub(super) fn offers(carried: &[Arc<Profile>], rig: &Rig) -> Vec<OfferView> {
    let view = |offer: library::Offer| OfferView {
        name: offer.has.name.clone(),
        own: offer.source == library::Source::Own,
        identity: library::identity(&offer.offered).to_string(),
        lights: offer.lights,
        differences: offer.differences.iter().map(ToString::to_string).collect(),
    };
    library::offers(carried, rig).into_iter().map(view).collect()
}

/// Every kind of light that can be added, the show's own first.
pub(super) fn profiles(own: &[Arc<Profile>], charts: &[Chart]) -> Vec<ProfileView> {
    let view = |profile: &Arc<Profile>, own| ProfileView {
        name: profile.name.clone(),
        symbol: symbol(profile.kind),
        sort: library::sort_word(profile.kind).to_owned(),
        own,
        usual: library::is_usual(&profile.name),
        questions: charts.iter().find(|kept| own && kept.chart.profile == profile.name).map(|kept| kept.open),
        modes: modes(profile),
    };
    let own_views = own.iter().map(|profile| view(profile, true));
    own_views
        .chain(other(own).iter().map(|profile| view(profile, false)))
        .filter(|kind| !kind.modes.is_empty())
        .collect()
}

/// Those of the library that the show has not.
fn other(own: &[Arc<Profile>]) -> Vec<Arc<Profile>> {
    library::all().into_iter().filter(|profile| own.iter().all(|one| one.name != profile.name)).collect()
}

pub(crate) fn modes(profile: &Profile) -> Vec<ModeView> {
    let view = |mode: &lanthorn_fixture::Mode| ModeView {
        name: mode.name.clone(),
        channels: mode.footprint().into(),
    };
    profile.modes.iter().map(view).collect()
}

/// For every width that a light can have: wherever there is room first, in each universe in use, and in the next one.
pub(super) fn free(rig: &Rig, own: &[Arc<Profile>]) -> Vec<FreeView> {
    let other = other(own);
    let kinds = own.iter().chain(&other);
    let widths: BTreeSet<u16> =
        kinds.flat_map(|profile| &profile.modes).map(lanthorn_fixture::Mode::footprint).collect();
    let mut places: Vec<Option<u16>> = vec![None];
    let used: Vec<u16> = universes(rig).iter().map(|universe| universe.universe).take(UNIVERSES).collect();
    places.extend(used.iter().map(|universe| Some(*universe)));
    places.extend(used.last().and_then(|last| last.checked_add(1)).map(Some));
    let mut views = Vec::new();
    for channels in widths.into_iter().filter(|width| *width > 0) {
        for universe in &places {
            let addresses = next_free(rig, *universe, channels, AHEAD);
            views.push(FreeView {
                channels: channels.into(),
                universe: universe.map(u32::from),
                addresses: addresses.iter().map(ToString::to_string).collect(),
            });
        }
    }
    views
}

/// Degrees to the tenth, never -0.
pub(super) fn degrees(angle: Radians) -> f64 {
    (angle.get().to_degrees() * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use lanthorn_store::change::{Change, apply};
    use lanthorn_store::{DEMO_TEXT, ShowFile, read_show};

    use super::*;

    fn opened(text: &str) -> ShowFile {
        read_show(text).0.unwrap()
    }

    #[test]
    fn the_addresses_told_before_are_those_that_lights_get() {
        let before = opened(DEMO_TEXT);
        for kind in profiles(&before.profiles, &[]) {
            for mode in kind.modes.iter().filter(|mode| mode.channels > 0) {
                let add = Change::LightAdd {
                    profile: kind.name.clone(),
                    mode: Some(mode.name.clone()),
                    place: before.rig.room.places[0].name.clone(),
                    count: 3,
                    universe: None,
                };
                let after = opened(&apply(DEMO_TEXT, &add).unwrap().text);
                let units = after.rig.units.iter().rev().take(3).rev();
                let got: Vec<String> =
                    units.filter_map(|unit| unit.address()).map(|at| at.to_string()).collect();
                let told = free(&before.rig, &before.profiles);
                let told = told.iter().find(|view| view.channels == mode.channels && view.universe.is_none());
                assert_eq!(told.unwrap().addresses[..3], got, "{} {}", kind.name, mode.name);
            }
        }
    }

    #[test]
    fn every_shipped_kind_can_be_added_once_each() {
        let demo = opened(DEMO_TEXT);
        let kinds = profiles(&demo.profiles, &[]);
        let names: BTreeSet<&str> = kinds.iter().map(|kind| kind.name.as_str()).collect();
        assert_eq!(names.len(), kinds.len());
        assert!(lanthorn_store::shipped().iter().all(|profile| names.contains(profile.name.as_str())));
        assert!(kinds.iter().take(demo.profiles.len()).all(|kind| kind.own));
        assert_eq!(profiles(&[], &[]).iter().filter(|kind| kind.own).count(), 0);
    }

    #[test]
    fn an_empty_rig_has_the_first_universe_free() {
        let mut rig = opened(DEMO_TEXT).rig;
        rig.units.clear();
        let told = free(&rig, &[]);
        let sixteen = told.iter().find(|view| view.channels == 16 && view.universe.is_none()).unwrap();
        assert_eq!(sixteen.addresses[..2], ["1.001", "1.017"]);
        assert_eq!(sixteen.addresses.len(), AHEAD);
    }

    #[test]
    fn each_universe_in_use_and_the_next_one_is_told() {
        let rig = opened(DEMO_TEXT).rig;
        let told = free(&rig, &[]);
        let universes: Vec<_> =
            told.iter().filter(|view| view.channels == 16).map(|view| view.universe).collect();
        assert_eq!(universes, [None, Some(1), Some(2)]);
        let next = told.iter().find(|view| view.channels == 16 && view.universe == Some(2)).unwrap();
        assert_eq!(next.addresses[0], "2.001");
    }
}
