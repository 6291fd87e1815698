//! What the sheets take from the rig's plan. Everything that is printed of it goes through here, so that what the plan
//! learns to say has one place to be added.

use lanthorn_physics::Point;
use lanthorn_rig::plan::{CircuitPlan, LineKind, LinePlan, Plan, UnitPlan};
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{HangingPlace, PlaceKind, Rig, Unit};

pub(crate) use lanthorn_rig::plan::lights;

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
    /// As a cable runs, metres.
    pub(crate) way_m: Option<f64>,
    /// What to take for it from one's own lengths, metres each; empty where the way is not known.
    pub(crate) take_m: Vec<f64>,
}

/// Every data cable, in the order in which it is laid.
pub(crate) fn legs(plan: &Plan) -> Vec<Leg> {
    let leg = |line: &LinePlan, leg: &lanthorn_rig::plan::Leg| Leg {
        line: line.name.clone(),
        from: leg.from.map_or_else(|| "controller".to_owned(), |number| format!("light {number}")),
        to: format!("light {}", leg.to),
        way_m: leg.way_m,
        take_m: leg.cables_m.clone(),
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

/// "5 m + 3 m"; none where nothing is known.
pub(crate) fn take(lengths: &[f64]) -> Option<String> {
    let words: Vec<String> = lengths.iter().map(|metres| format!("{metres} m")).collect();
    (!words.is_empty()).then(|| words.join(" + "))
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
