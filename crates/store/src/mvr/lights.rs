//! Lights of a scene as units of a rig, with the fixture files that they refer to.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::profile::{Body, Data, Kind, Menu, Optics, Power};
use lanthorn_fixture::{Channel, Fact, Mode, Origin, Profile, Range};
use lanthorn_rig::patch::Free;
use lanthorn_rig::rig::{Feed, Run};
use lanthorn_rig::{Found, Unit};
use roxmltree::Node;

use super::MOST_FIXTURE;
use super::places::Hung;
use super::scene::{Light, Scene};
use crate::archive::Archive;
use crate::gdtf;
use crate::library;
use crate::problem::Problem;
use crate::xml::keeping::Keeping;
use crate::xml::notes::{Notes, plain_name, unused};

/// Fixture files that one rig file may have read out of it.
const MOST_FILES: usize = 500;

/// The profiles of a scene.
pub(super) struct Profiles {
    /// In the order of their names.
    pub(super) list: Vec<Arc<Profile>>,
    /// Names of the files that they came from.
    pub(super) files: Vec<String>,
    by_spec: BTreeMap<String, Arc<Profile>>,
}

/// Reads every fixture file that a light refers to. What is not there is stood in for.
pub(super) fn profiles(
    scene: &Scene<'_>,
    archive: &mut Archive<'_>,
    notes: &mut Notes<'_>,
) -> (Profiles, Vec<(String, Problem)>) {
    let mut profiles = Profiles { list: Vec::new(), files: Vec::new(), by_spec: BTreeMap::new() };
    let mut problems = Vec::new();
    let specs: BTreeSet<&str> = scene.lights.iter().map(|light| light.spec.as_str()).collect();
    for spec in specs {
        let first = scene.lights.iter().find(|light| light.spec == spec);
        let mut profile = match found(spec, archive, profiles.files.len()) {
            Ok((file, read)) => {
                problems.extend(read.problems.into_iter().map(|problem| (file.clone(), problem)));
                profiles.files.push(file);
                read.profile
            }
            Err(why) => {
                let stem = spec.strip_suffix(".gdtf").unwrap_or(spec);
                let name = plain_name(stem.rsplit('@').next().unwrap_or(stem));
                let known = name.as_deref().and_then(library::shipped_profile);
                if let Some(first) = first {
                    let instead = match known {
                        Some(_) => "the light of that name in the library is taken",
                        None => {
                            "a light of one channel stands in for it: choose its profile before anything is addressed"
                        }
                    };
                    notes.doubt(first.node, &format!("light \"{}\"", first.name), &why, instead);
                }
                known.map_or_else(|| stand_in(scene, spec, name), |known| Profile::clone(&known))
            }
        };
        profile.name = unused(&profile.name, |name| {
            profiles.list.iter().any(|known| known.name == name && **known != profile)
        });
        let profile = Arc::new(profile);
        profiles.by_spec.insert(spec.to_owned(), profile.clone());
        if profiles.list.iter().all(|known| known.name != profile.name) {
            profiles.list.push(profile);
        }
    }
    (profiles, problems)
}

/// The file of a name, with its ending or without.
fn found(spec: &str, archive: &mut Archive<'_>, count: usize) -> Result<(String, gdtf::Read), String> {
    if spec.is_empty() {
        return Err("it names no fixture file".to_owned());
    }
    if count >= MOST_FILES {
        return Err(format!("more than {MOST_FILES} fixture files are not read"));
    }
    let longer = format!("{spec}.gdtf");
    let names = archive.names();
    let there = |name: &str| names.iter().any(|known| known.eq_ignore_ascii_case(name));
    let file = if there(spec) || !there(&longer) { spec.to_owned() } else { longer };
    let bytes = archive.read(&file, MOST_FIXTURE).map_err(|why| format!("fixture file \"{spec}\": {why}"))?;
    let read = gdtf::read(&bytes).map_err(|why| format!("fixture file \"{spec}\": {why}"))?;
    Ok((file, read))
}

/// A light of which only its modes' names are known.
fn stand_in(scene: &Scene<'_>, spec: &str, name: Option<String>) -> Profile {
    let mut names: Vec<String> = Vec::new();
    for light in scene.lights.iter().filter(|light| light.spec == spec) {
        let mode = plain_name(&light.mode).unwrap_or_else(|| "mode".to_owned());
        if !names.contains(&mode) {
            names.push(mode);
        }
    }
    let range = Range::nothing(0, 255, "not known", Origin::Guessed);
    let channel = Channel {
        name: "not known".to_owned(),
        coarse: 1,
        fine: None,
        head: None,
        home: Fact::unknown(),
        ranges: vec![range],
    };
    let mode = |name| Mode {
        name,
        menu: Fact::unknown(),
        breaks: Vec::new(),
        heads: 1,
        channels: vec![channel.clone()],
    };
    Profile {
        name: name.unwrap_or_else(|| "light that is not known".to_owned()),
        kind: Kind::Par,
        body: Body::default(),
        power: Power::default(),
        data: Data::default(),
        movement: None,
        optics: Optics::default(),
        emitters: Vec::new(),
        wheels: Vec::new(),
        noise: Fact::unknown(),
        programmes: Vec::new(),
        menu: Menu::default(),
        modes: names.into_iter().map(mode).collect(),
        kept: Vec::new(),
    }
}

/// The lights, by number.
pub(super) fn units(
    scene: &Scene<'_>,
    profiles: &Profiles,
    hung: &Hung,
    shift: [f64; 3],
    notes: &mut Notes<'_>,
    keeping: &mut Keeping,
) -> Vec<Unit> {
    let numbers = numbers(scene, notes);
    let mut units = Vec::new();
    for ((light, number), (place, offset)) in scene.lights.iter().zip(numbers).zip(hung) {
        let Some(profile) = profiles.by_spec.get(&light.spec) else { continue };
        let who = format!("light {number}, \"{}\"", light.name);
        let mode = mode(light, profile, &who, notes);
        let turned = light.frame.turned();
        if turned.off.deg() > 1.0 {
            let what = format!(
                "it hangs askew in a way that turn and lean cannot say, {:.0}° off",
                turned.off.deg()
            );
            notes.doubt(light.node, &who, &what, "the nearest that they can say is taken: sight it in");
        }
        let focus = light.focus.as_ref().and_then(|id| scene.points.iter().find(|point| point.id == *id));
        let mut unit = Unit {
            number,
            profile: profile.clone(),
            mode,
            place: *place,
            offset: *offset,
            up: turned.up,
            turn: turned.turn,
            lean: turned.lean,
            pan_invert: light.inverted[0],
            tilt_invert: light.inverted[1],
            swap: false,
            focus: None,
            run: Run::Driven { address: address(light, profile, mode, &who, notes), shares: None },
            circuit: None,
            line: None,
            line_order: 0,
            feed: Feed::default(),
            case: None,
            found: Found::default(),
        };
        let fixed = !unit.moves();
        unit.focus = focus.filter(|_| fixed).map(|point| point.frame.place_m(shift));
        Scene::keep_light(light, number, keeping, light.node.document().input_text());
        units.push((unit, light.node));
    }
    units.sort_by_key(|(unit, _)| unit.number);
    addressed(units, notes)
}

/// The lights, each on slots that no other has. Those of one kind and mode at the same address share it; any other that is
/// where an earlier one is, or does not fit before the end of its universe, is left without an address.
fn addressed(units: Vec<(Unit, Node<'_, '_>)>, notes: &mut Notes<'_>) -> Vec<Unit> {
    let mut free = Free::default();
    let mut done: Vec<Unit> = Vec::with_capacity(units.len());
    let mut first_at: BTreeMap<Address, usize> = BTreeMap::new();
    for (mut unit, node) in units {
        if let Some(address) = unit.address() {
            let first = first_at.get(&address).and_then(|at| done.get(*at));
            let alike =
                first.filter(|other| other.profile.name == unit.profile.name && other.mode == unit.mode);
            let who = format!("light {}", unit.number);
            if let Some(other) = alike {
                unit.run = Run::Driven { address: Some(address), shares: Some(other.number) };
                let what =
                    format!("it is at {address}, as light {} is, which is one of its kind", other.number);
                notes.doubt(
                    node,
                    &who,
                    &what,
                    "both do the same: give it an address of its own if they should not",
                );
            } else if free.fits(address, unit.mode().footprint()) {
                free.put(address, unit.mode().footprint());
                first_at.insert(address, done.len());
            } else {
                unit.run = Run::Driven { address: None, shares: None };
                let what = format!(
                    "at {address} it would be on slots that another light has, or that its universe has not"
                );
                notes.doubt(node, &who, &what, "it is left without an address: give it one");
            }
        }
        done.push(unit);
    }
    done
}

/// A number for each light: its own where that is one and is free, else the next that is.
fn numbers(scene: &Scene<'_>, notes: &mut Notes<'_>) -> Vec<u32> {
    let mut taken: BTreeSet<u32> = BTreeSet::new();
    let own: Vec<Option<u32>> =
        scene.lights.iter().map(|light| light.number.filter(|number| taken.insert(*number))).collect();
    let mut next = 1;
    let mut list = Vec::new();
    for (light, own) in scene.lights.iter().zip(own) {
        list.push(own.unwrap_or_else(|| {
            while !taken.insert(next) {
                next += 1;
            }
            let what = match light.number {
                Some(number) => format!("another light has the number {number} already"),
                None => "it has no number".to_owned(),
            };
            notes.doubt(
                light.node,
                &format!("light \"{}\"", light.name),
                &what,
                &format!("it is numbered {next}"),
            );
            next
        }));
    }
    list
}

fn mode(light: &Light<'_>, profile: &Profile, who: &str, notes: &mut Notes<'_>) -> usize {
    let wanted = plain_name(&light.mode).unwrap_or_default();
    let exact = profile.modes.iter().position(|mode| mode.name == wanted);
    let alike = || profile.modes.iter().position(|mode| mode.name.eq_ignore_ascii_case(&wanted));
    exact.or_else(alike).unwrap_or_else(|| {
        let first = profile.modes.first().map_or("", |mode| mode.name.as_str());
        let what = format!("\"{}\" has no mode \"{wanted}\" that can be driven", profile.name);
        notes.doubt(light.node, who, &what, &format!("\"{first}\" is taken: choose its mode"));
        0
    })
}

/// Its start address: that of its first break. Breaks of the file count from 0 and those of the mode from 1: the n-th
/// smallest of each belong together.
fn address(
    light: &Light<'_>,
    profile: &Profile,
    mode: usize,
    who: &str,
    notes: &mut Notes<'_>,
) -> Option<Address> {
    let (_, first) = light.addresses.first()?;
    let address = |slot: u32| Address::new((slot - 1) / 512 + 1, (slot - 1) % 512 + 1).ok();
    let breaks = &profile.modes.get(mode)?.breaks;
    let mut expected = *first;
    for ((_, slot), footprint) in light.addresses.iter().skip(1).zip(breaks) {
        expected += u32::from(*footprint);
        if *slot != expected {
            let wanted = address(expected).map_or_else(String::new, |it| it.to_string());
            let what = "its DMX breaks do not follow each other, as they have to here";
            notes.doubt(
                light.node,
                who,
                what,
                &format!("set the start address of the next break to {wanted}"),
            );
        }
    }
    if light.addresses.len() > breaks.len().max(1) {
        let what = "it has more start addresses than its mode has DMX breaks";
        notes.doubt(light.node, who, what, "the first is taken");
    }
    address(*first)
}
