//! What the sheets take from the rig's plan. Everything that is printed of it goes through here, so that what the plan
//! learns to say has one place to be added.

use lanthorn_fixture::profile::Kind;
use lanthorn_physics::Point;
use lanthorn_rig::plan::{CircuitPlan, LineKind, LinePlan, Plan, UnitPlan};
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{HangingPlace, PlaceKind, Rig, Unit};

pub(crate) use lanthorn_rig::plan::lights;

/// A real cable goes up, along and down: half as long again as the straight way, as the plan counts it.
pub(crate) const DETOUR: f64 = 1.5;

/// What a figure that is not known reads as.
pub(crate) const UNKNOWN: &str = "not known";

/// Where a light's base plate is; none where its hanging place does not exist or is nowhere.
pub(crate) fn position(rig: &Rig, unit: &Unit) -> Option<Point> {
    rig.room.places.get(unit.place).map(|place| place.at(unit.offset)).filter(|point| point.is_finite())
}

/// What it hangs on or stands on.
pub(crate) fn place<'r>(rig: &'r Rig, unit: &Unit) -> Option<&'r HangingPlace> {
    rig.room.places.get(unit.place)
}

/// The straight way to the first mark, or to where a light is pointed.
pub(crate) fn throw(plan: &UnitPlan) -> Option<f64> {
    plan.lands.first().and_then(|landing| landing.throw_m)
}

/// Whether a controller feeds it.
pub(crate) fn from_controller(line: &LinePlan) -> bool {
    line.kind == LineKind::Driven
}

/// A, B, C … for circuits in their order; two letters from the 27th on.
pub(crate) fn circuit_letter(plan: &Plan, name: &str) -> Option<String> {
    let index = plan.circuits.iter().position(|circuit| circuit.name == name)?;
    let letter = |n: usize| char::from(b'A' + u8::try_from(n % 26).unwrap_or(0));
    let mut letters = String::new();
    if index >= 26 {
        letters.push(letter(index / 26 - 1));
    }
    letters.push(letter(index));
    Some(letters)
}

/// "1.061–076": universe, first and last slot.
pub(crate) fn address(unit: &UnitPlan) -> Option<String> {
    let (universe, first) = unit.universe.zip(unit.address)?;
    Some(match unit.last_slot {
        Some(last) if last > u32::from(first) => format!("{universe}.{first:03}–{last:03}"),
        _ => format!("{universe}.{first:03}"),
    })
}

/// "hanging, 0.80 m left of the middle": as it is mounted.
pub(crate) fn way_up(rig: &Rig, unit: &Unit) -> String {
    let up = match unit.up {
        WayUp::Hanging => "hanging",
        WayUp::Standing => "standing",
    };
    let turn = unit.turn.deg();
    let turned = if turn.abs() >= 0.5 {
        format!(
            ", turned {:.0}° {}",
            turn.abs(),
            if turn > 0.0 { "anticlockwise from above" } else { "clockwise from above" }
        )
    } else {
        String::new()
    };
    let where_ = place(rig, unit).filter(|place| place.length.get() > 0.01).map_or_else(String::new, |_| {
        let along = unit.offset.get();
        match along {
            along if along.abs() < 0.005 => ", at the middle".to_owned(),
            along if along < 0.0 => format!(", {:.2} m left of the middle", -along),
            along => format!(", {along:.2} m right of the middle"),
        }
    });
    format!("{up}{where_}{turned}")
}

/// Whether something has to keep it from falling on people.
pub(crate) fn can_fall(rig: &Rig, unit: &Unit) -> bool {
    place(rig, unit).is_some_and(|place| place.kind != PlaceKind::Floor)
}

/// "bar", "truss", "stand", "floor".
pub(crate) const fn place_kind(kind: PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Bar => "bar",
        PlaceKind::Truss => "truss",
        PlaceKind::Stand => "stand",
        PlaceKind::Floor => "floor",
    }
}

/// One cable of a data line, in words.
pub(crate) struct Leg {
    pub(crate) line: String,
    pub(crate) from: String,
    pub(crate) to: String,
    /// As a straight line, metres.
    pub(crate) straight_m: Option<f64>,
    /// What to plan for it, metres.
    pub(crate) plan_m: Option<f64>,
}

/// Every data cable, in the order in which it is laid.
pub(crate) fn legs(plan: &Plan) -> Vec<Leg> {
    let leg = |line: &LinePlan, leg: &lanthorn_rig::plan::Leg| Leg {
        line: line.name.clone(),
        from: leg.from.map_or_else(|| "controller".to_owned(), |number| format!("light {number}")),
        to: format!("light {}", leg.to),
        straight_m: leg.straight_m,
        plan_m: leg.straight_m.map(|m| m * DETOUR),
    };
    plan.lines.iter().flat_map(|line| line.legs.iter().map(move |l| leg(line, l))).collect()
}

/// "after light 5, before light 3": where a light comes on its line.
pub(crate) fn on_line(plan: &Plan, number: u32) -> Option<(String, String)> {
    let line = plan.lines.iter().find(|line| line.units.contains(&number))?;
    let index = line.units.iter().position(|n| *n == number)?;
    let before = index.checked_sub(1).and_then(|n| line.units.get(n));
    let after = line.units.get(index + 1);
    let from = match before {
        Some(light) => format!("from light {light}"),
        None if line.legs.first().is_some_and(|leg| leg.from.is_none()) => "from the controller".to_owned(),
        None => "first in its chain: nothing into it".to_owned(),
    };
    let to = match after {
        Some(light) => format!("on to light {light}"),
        None if line.terminator == Some(number) => "last: the terminator goes here".to_owned(),
        None => "nothing behind it".to_owned(),
    };
    Some((line.name.clone(), format!("{from}, {to}")))
}

/// What stands on the packing list.
pub(crate) struct Packed {
    pub(crate) count: usize,
    pub(crate) what: String,
    pub(crate) note: String,
}

/// Everything to bring, as far as the plan knows it.
pub(crate) fn packing(rig: &Rig, plan: &Plan) -> Vec<Packed> {
    let mut list = Vec::new();
    let mut kinds: Vec<(&str, Kind, Vec<u32>)> = Vec::new();
    for unit in &plan.units {
        match kinds.iter_mut().find(|(name, ..)| *name == unit.profile) {
            Some((_, _, numbers)) => numbers.push(unit.number),
            None => kinds.push((&unit.profile, unit.kind, vec![unit.number])),
        }
    }
    kinds.sort_by_key(|(_, kind, numbers)| (*kind, numbers.first().copied()));
    for (name, _, numbers) in kinds {
        list.push(Packed { count: numbers.len(), what: name.to_owned(), note: lights(&numbers) });
    }
    let falls: Vec<u32> = rig.units.iter().filter(|u| can_fall(rig, u)).map(|u| u.number).collect();
    if !falls.is_empty() {
        let note = "one for each light that hangs or stands up high; rated for its weight".to_owned();
        list.push(Packed { count: falls.len(), what: "clamp or spigot".to_owned(), note: note.clone() });
        list.push(Packed { count: falls.len(), what: "steel bond".to_owned(), note });
    }
    let stands: Vec<&str> =
        plan.places.iter().filter(|p| p.kind == PlaceKind::Stand).map(|p| p.name.as_str()).collect();
    if !stands.is_empty() {
        list.push(Packed { count: stands.len(), what: "stand".to_owned(), note: stands.join(", ") });
    }
    let carry: usize = plan.lines.iter().map(|line| line.cables_to_carry).sum();
    let needed: usize = plan.lines.iter().map(|line| line.cables).sum();
    if carry > 0 {
        let note = format!("{needed} in use; the rest spare");
        list.push(Packed { count: carry, what: "data cable".to_owned(), note });
    }
    let ends = plan.lines.iter().filter(|line| line.terminator.is_some()).count();
    if ends > 0 {
        let note = "120 Ω, one for the end of each line; take a spare".to_owned();
        list.push(Packed { count: ends + 1, what: "terminator".to_owned(), note });
    }
    let powered = plan.units.len();
    if powered > 0 {
        let note =
            "one for each light, or fewer where power goes from light to light; and leads to the sockets"
                .to_owned();
        list.push(Packed { count: powered, what: "power lead".to_owned(), note });
    }
    list
}

/// Whether the sums of a circuit rest on something assumed or leave something out; a sentence.
pub(crate) fn doubts(circuit: &CircuitPlan) -> Option<String> {
    let mut doubts = Vec::new();
    if !circuit.unknown_watts.is_empty() {
        doubts.push(format!("watts not known for {}, so not in the sum", lights(&circuit.unknown_watts)));
    }
    if !circuit.assumed_power_factor.is_empty() {
        doubts.push(format!("power factor assumed for {}", lights(&circuit.assumed_power_factor)));
    }
    if circuit.other_amps.is_none() {
        doubts.push("what else hangs on it is not known".to_owned());
    }
    (!doubts.is_empty()).then(|| format!("{}: {}.", circuit.name, doubts.join("; ")))
}
