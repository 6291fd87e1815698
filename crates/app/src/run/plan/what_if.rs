//! Changes to try on a rig, without saving: what `--what-if` says, made in a copy.

use std::sync::Arc;

use lanthorn_fixture::Profile;
use lanthorn_physics::units::{Metres, Radians, Volts};
use lanthorn_rig::patch::next_free;
use lanthorn_rig::plan::plan;
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{Feed, Found, PlaceKind, Rig, Run, Unit};

/// Most lights added at once.
const MOST: u32 = 100;
const KINDS: &str = "write add:PROFILE@PLACE[:COUNT], without:N, mode:N=NAME, circuit:N=NAME, or volts:120";

/// Makes one change; says in words what was done.
pub(super) fn make(text: &str, rig: &mut Rig, carried: &[Arc<Profile>]) -> Result<String, String> {
    let (kind, rest) = text.split_once(':').ok_or(KINDS)?;
    match kind.trim() {
        "add" => add(rest, rig, carried),
        "without" => without(rest, rig),
        "mode" => mode(rest, rig),
        "circuit" => circuit(rest, rig),
        "volts" => volts(rest, rig),
        _ => Err(KINDS.to_owned()),
    }
}

/// The one of that name; failing that, the only one whose name holds the text.
fn find(wanted: &str, kind: &str, names: &[&str]) -> Result<usize, String> {
    let wanted = wanted.trim();
    let alike = |name: &&str| name.eq_ignore_ascii_case(wanted);
    if let Some(index) = names.iter().position(alike) {
        return Ok(index);
    }
    let lower = wanted.to_lowercase();
    let holding: Vec<usize> =
        (0..names.len()).filter(|index| names[*index].to_lowercase().contains(&lower)).collect();
    match holding[..] {
        [only] if !lower.is_empty() => Ok(only),
        _ => Err(format!("there is no {kind} \"{wanted}\"; there is {}", names.join(", "))),
    }
}

fn add(rest: &str, rig: &mut Rig, carried: &[Arc<Profile>]) -> Result<String, String> {
    let (name, rest) =
        rest.split_once('@').ok_or("write it as add:PROFILE@PLACE or add:PROFILE@PLACE:COUNT")?;
    let (place, count) = match rest.rsplit_once(':') {
        Some((place, count)) => {
            let count = count.trim().parse::<u32>().ok().filter(|count| (1..=MOST).contains(count));
            (place, count.ok_or_else(|| format!("the count is a whole number from 1 to {MOST}"))?)
        }
        None => (rest, 1),
    };
    let mut profiles: Vec<Arc<Profile>> = carried.to_vec();
    for unit in &rig.units {
        if !profiles.iter().any(|known| known.name == unit.profile.name) {
            profiles.push(unit.profile.clone());
        }
    }
    let own = profiles.len();
    for more in lanthorn_store::library::all() {
        if !profiles.iter().any(|known| known.name == more.name) {
            profiles.push(more);
        }
    }
    let names: Vec<&str> = profiles.iter().map(|profile| profile.name.as_str()).collect();
    // A part of a name means a kind that the show has, if it fits one of them.
    let whole = names.iter().position(|known| known.eq_ignore_ascii_case(name.trim()));
    let of_show = || find(name, "profile", &names[..own]).ok();
    let found = whole.or_else(of_show).map_or_else(|| find(name, "profile", &names), Ok)?;
    let profile = profiles[found].clone();
    let names: Vec<&str> = rig.room.places.iter().map(|place| place.name.as_str()).collect();
    let place = find(place, "place", &names)?;
    // The mode that others of its kind are in, or its first.
    let alike = rig.units.iter().find(|unit| unit.profile.name == profile.name).map_or(0, |unit| unit.mode);
    let mode = if alike < profile.modes.len() { alike } else { 0 };
    let footprint = profile.modes.get(mode).map_or(0, lanthorn_fixture::Mode::footprint);
    let addresses = next_free(rig, None, footprint, count as usize);
    let first = rig.units.iter().map(|unit| unit.number).max().unwrap_or(0) + 1;
    for (number, index) in (first..).zip(0..count) {
        let address = addresses.get(index as usize).copied();
        let unit = one(rig, number, &profile, mode, place, Run::Driven { address, shares: None });
        rig.units.push(unit);
    }
    plug_in(rig, first);
    let place = &rig.room.places[place].name;
    Ok(format!("{count} more {} on {place}", profile.name))
}

/// In the widest gap of its place.
fn one(rig: &Rig, number: u32, profile: &Arc<Profile>, mode: usize, place: usize, run: Run) -> Unit {
    let hanging = &rig.room.places[place];
    let half = hanging.length.get() / 2.0;
    let mut there: Vec<f64> =
        rig.units.iter().filter(|unit| unit.place == place).map(|unit| unit.offset.get()).collect();
    let offset = if there.is_empty() {
        0.0
    } else {
        // The ends count as half a gap away: a light beside the end is as far from nothing.
        there.extend([-half, half]);
        there.sort_by(f64::total_cmp);
        let widest = there.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
        widest.map_or(0.0, |pair| (pair[0] + pair[1]) / 2.0)
    };
    Unit {
        number,
        profile: profile.clone(),
        mode,
        place,
        offset: Metres::new(offset),
        up: match hanging.kind {
            PlaceKind::Bar | PlaceKind::Truss => WayUp::Hanging,
            PlaceKind::Stand | PlaceKind::Floor => WayUp::Standing,
        },
        turn: Radians::ZERO,
        lean: Radians::ZERO,
        pan_invert: false,
        tilt_invert: false,
        swap: false,
        focus: None,
        run,
        circuit: None,
        line: rig.units.iter().find_map(|unit| unit.line.clone()),
        line_order: rig.units.iter().map(|unit| unit.line_order).max().unwrap_or(0) + 1,
        feed: Feed::default(),
        case: None,
        found: Found::default(),
    }
}

/// New lights go where the search for circuits puts them.
fn plug_in(rig: &mut Rig, first: u32) {
    let Some(assignment) = plan(rig).assignment else { return };
    for one in assignment.moves.iter().filter(|one| one.unit >= first) {
        let to = rig.circuits.iter().position(|circuit| circuit.name == one.to);
        if let Some(unit) = rig.units.iter_mut().find(|unit| unit.number == one.unit) {
            unit.circuit = to;
        }
    }
}

fn numbered<'r>(rig: &'r mut Rig, number: &str) -> Result<&'r mut Unit, String> {
    let wrong = || format!("there is no light {}", number.trim());
    let number: u32 = number.trim().parse().map_err(|_| wrong())?;
    rig.units.iter_mut().find(|unit| unit.number == number).ok_or_else(wrong)
}

fn without(rest: &str, rig: &mut Rig) -> Result<String, String> {
    let number = numbered(rig, rest)?.number;
    let index = rig.index_of(number).ok_or_else(|| format!("there is no light {number}"))?;
    rig.units.remove(index);
    for group in &mut rig.groups {
        group.units.retain(|unit| *unit != index);
        group.units.iter_mut().filter(|unit| **unit > index).for_each(|unit| *unit -= 1);
    }
    Ok(format!("without light {number}"))
}

fn mode(rest: &str, rig: &mut Rig) -> Result<String, String> {
    let (number, name) = rest.split_once('=').ok_or("write it as mode:N=NAME")?;
    let unit = numbered(rig, number)?;
    let names: Vec<&str> = unit.profile.modes.iter().map(|mode| mode.name.as_str()).collect();
    let mode = find(name, "mode", &names)?;
    let said = format!("light {} in {}", unit.number, names[mode]);
    unit.mode = mode;
    Ok(said)
}

fn circuit(rest: &str, rig: &mut Rig) -> Result<String, String> {
    let (number, name) = rest.split_once('=').ok_or("write it as circuit:N=NAME")?;
    let names: Vec<&str> = rig.circuits.iter().map(|circuit| circuit.name.as_str()).collect();
    let index = find(name, "circuit", &names)?;
    let name = rig.circuits[index].name.clone();
    let unit = numbered(rig, number)?;
    unit.circuit = Some(index);
    Ok(format!("light {} on {name}", unit.number))
}

fn volts(rest: &str, rig: &mut Rig) -> Result<String, String> {
    let bare = rest.trim().trim_end_matches(['V', 'v']).trim();
    let volts = bare.parse::<f64>().ok().filter(|volts| (90.0..=260.0).contains(volts));
    let volts = volts.ok_or("the mains lies from 90 to 260 V")?;
    rig.mains.volts = Volts::new(volts);
    Ok(format!("mains of {volts:.0} V"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanthorn_rig::plan::compare;

    fn demo() -> Rig {
        crate::files::open("demo").unwrap().file.rig
    }

    #[test]
    fn changes_are_made_in_a_copy_and_told() {
        let rig = demo();
        let before = plan(&rig);
        for (text, said) in [
            ("add:small spot head@front bar", "1 more small spot head on front bar"),
            ("add:spot@front:2", "2 more small spot head on front bar"),
            ("without:11", "without light 11"),
            ("mode:9=9 ch", ""),
            ("volts:120", "mains of 120 V"),
            ("circuit:5=kitchen", "light 5 on kitchen"),
        ] {
            let mut changed = rig.clone();
            match make(text, &mut changed, &[]) {
                Ok(done) => {
                    assert_eq!(done, said);
                    let after = plan(&changed);
                    assert_ne!(compare(&before, &after), lanthorn_rig::plan::Difference::default(), "{text}");
                }
                Err(why) => assert!(said.is_empty() && why.contains("there is"), "{text}: {why}"),
            }
        }
        assert_eq!(compare(&before, &plan(&rig)), lanthorn_rig::plan::Difference::default());
    }

    #[test]
    fn a_new_light_has_an_address_a_circuit_and_room() {
        let mut rig = demo();
        make("add:small spot head@front bar:3", &mut rig, &[]).unwrap();
        let after = plan(&rig);
        for number in 12..=14 {
            let unit = after.units.iter().find(|unit| unit.number == number).unwrap();
            assert!(unit.address.is_some() && unit.circuit.is_some(), "{number}");
        }
        let codes: Vec<&str> = after.findings.iter().map(|finding| finding.code).collect();
        assert!(!codes.contains(&"overlap") && !codes.contains(&"beyond-end"), "{codes:?}");
    }

    #[test]
    fn what_cannot_be_is_said() {
        let mut rig = demo();
        for (text, said) in [
            ("more", "write add:"),
            ("paint:3", "write add:"),
            ("add:small spot head", "@PLACE"),
            ("add:zebra@front bar", "there is no profile"),
            ("add:small spot head@attic", "there is no place"),
            ("add:small spot head@front bar:0", "from 1 to 100"),
            ("without:99", "no light 99"),
            ("mode:1=huge", "there is no mode"),
            ("volts:9", "from 90 to 260"),
        ] {
            let error = make(text, &mut rig, &[]).unwrap_err();
            assert!(error.contains(said), "{text}: {error}");
        }
    }
}
