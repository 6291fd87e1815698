//! Faults planted into the stand-in, to practise setting up at the kitchen table: lights that answer elsewhere, stand in
//! another mode, have no power, run backwards, or are behind a broken cable.
//!
//! What the lights then show follows from the bytes that are sent, by each light's own chart.

use lanthorn_dmx::Address;
use lanthorn_rig::aim::Head;
use lanthorn_rig::plan::{LineKind, LinePlan, plan};
use lanthorn_rig::setup::Fault;
use lanthorn_rig::{Rig, Run, Unit};

/// How many faults [`random`] plants.
const RANDOM_FAULTS: usize = 3;

/// The rig as it would really stand with these faults, for [`crate::StandIn::new`]. What names a light, a mode or a line
/// that is not there changes nothing.
///
/// A light without power and one behind a broken cable listen to nothing. A line without terminator and a light that leads
/// are not shown: what they garble is a matter of chance.
pub fn plant(rig: &Rig, faults: &[Fault]) -> Rig {
    let mut planted = rig.clone();
    for fault in faults {
        match fault {
            Fault::Address { unit, at } => put(&mut planted, *unit, *at),
            Fault::Exchanged { units: [one, other] } => {
                for (unit, from) in [(one, other), (other, one)] {
                    put(&mut planted, *unit, rig.unit(*from).and_then(Unit::address));
                }
            }
            Fault::Mode { unit, mode } => {
                change(&mut planted, *unit, |unit| {
                    if *mode < unit.profile.modes.len() {
                        unit.mode = *mode;
                    }
                });
            }
            Fault::NoPower { unit } => put(&mut planted, *unit, None),
            Fault::CircuitOff { units, .. } => units.iter().for_each(|unit| put(&mut planted, *unit, None)),
            Fault::PanBackwards { unit } => turn(&mut planted, rig, *unit, true),
            Fault::TiltBackwards { unit } => turn(&mut planted, rig, *unit, false),
            Fault::AxesExchanged { unit } => change(&mut planted, *unit, |unit| unit.swap = !unit.swap),
            Fault::Broken { line, to, .. } => {
                let lines = plan(rig).lines;
                let units = lines.iter().find(|plan| plan.name == *line).map_or(&[][..], |line| &line.units);
                let behind = units.iter().skip_while(|unit| *unit != to);
                behind.for_each(|unit| put(&mut planted, *unit, None));
            }
            Fault::NoLamp { .. }
            | Fault::OwnProgramme { .. }
            | Fault::Unterminated { .. }
            | Fault::Leads { .. } => {}
        }
    }
    planted
}

fn change(rig: &mut Rig, number: u32, how: impl FnOnce(&mut Unit)) {
    if let Some(place) = rig.index_of(number) {
        how(&mut rig.units[place]);
    }
}

/// Lets a light listen elsewhere, or to nothing.
fn put(rig: &mut Rig, number: u32, at: Option<Address>) {
    change(rig, number, |unit| {
        // Behind a break, or without power, nothing else counts.
        if matches!(unit.run, Run::Driven { .. }) {
            unit.run = match at {
                Some(_) => Run::Driven { address: at, shares: None },
                None => Run::OnItsOwn { programme: None },
            };
        }
    });
}

fn turn(planted: &mut Rig, rig: &Rig, number: u32, pan: bool) {
    let Some(head) = rig.unit(number).and_then(|unit| Head::new(rig, unit)) else { return };
    change(planted, number, |unit| {
        let mut pose = unit.found.pose.unwrap_or(head.pose());
        let axis = if pan { &mut pose.pan } else { &mut pose.tilt };
        axis.inverted = !axis.inverted;
        unit.found.pose = Some(pose);
    });
}

/// Reads faults as they are typed: "swap 2 3; double 4 5; dead 7; mode 5; pan 6; tilt 1; axes 2; address 8 120; broken A
/// after 3". "double 4 5": light 5 answers at light 4's address. "broken A after 3": behind the third light of line A.
///
/// # Errors
/// A sentence that names what cannot be read, and what it could be.
pub fn parse(text: &str, rig: &Rig) -> Result<Vec<Fault>, String> {
    let mut faults = Vec::new();
    for words in text.split(';').map(str::trim).filter(|words| !words.is_empty()) {
        faults.push(parse_one(words, rig).map_err(|why| format!("\"{words}\": {why}"))?);
    }
    Ok(faults)
}

fn parse_one(words: &str, rig: &Rig) -> Result<Fault, String> {
    let parts: Vec<&str> = words.split_whitespace().collect();
    let light = |word: &str| {
        let number = word.parse::<u32>().ok().filter(|number| rig.unit(*number).is_some());
        number.ok_or_else(|| format!("there is no light {word}"))
    };
    let head = |word: &str| {
        let number = light(word)?;
        let moves = rig.unit(number).is_some_and(Unit::moves);
        if moves { Ok(number) } else { Err(format!("light {number} has no pan and tilt")) }
    };
    match parts[..] {
        ["swap", one, other] => {
            let mut units = [light(one)?, light(other)?];
            units.sort_unstable();
            Ok(Fault::Exchanged { units })
        }
        ["double", one, other] => {
            let at = rig.unit(light(one)?).and_then(Unit::address);
            Ok(Fault::Address { unit: light(other)?, at })
        }
        ["address", unit, slot] => {
            let unit = light(unit)?;
            let universe = rig.unit(unit).and_then(Unit::address).map_or(1, |at| at.universe.number());
            let slot = slot.parse::<u32>().map_err(|_| format!("{slot} is no start address, 1 to 512"))?;
            let at = Address::new(universe.into(), slot).map_err(|why| why.to_string())?;
            Ok(Fault::Address { unit, at: Some(at) })
        }
        ["dead", unit] => Ok(Fault::NoPower { unit: light(unit)? }),
        ["mode", unit] => other_mode(rig, light(unit)?),
        ["pan", unit] => Ok(Fault::PanBackwards { unit: head(unit)? }),
        ["tilt", unit] => Ok(Fault::TiltBackwards { unit: head(unit)? }),
        ["axes", unit] => Ok(Fault::AxesExchanged { unit: head(unit)? }),
        ["broken", ref name @ .., "after", count] if !name.is_empty() => broken(rig, &name.join(" "), count),
        _ => Err("it reads as none of: swap 2 3, double 4 5, address 8 120, dead 7, mode 5, pan 6, tilt 6, axes 6, \
                  broken A after 3"
            .to_owned()),
    }
}

fn other_mode(rig: &Rig, number: u32) -> Result<Fault, String> {
    let unit = rig.unit(number).ok_or_else(|| format!("there is no light {number}"))?;
    let other = (0..unit.profile.modes.len()).find(|mode| *mode != unit.mode);
    let mode = other.ok_or_else(|| format!("light {number} has one mode only"))?;
    Ok(Fault::Mode { unit: number, mode })
}

fn broken(rig: &Rig, name: &str, count: &str) -> Result<Fault, String> {
    let lines: Vec<LinePlan> =
        plan(rig).lines.into_iter().filter(|line| line.kind == LineKind::Driven).collect();
    let called = |line: &&LinePlan| line.name == name || line.name == format!("line {name}");
    let Some(line) = lines.iter().find(called) else {
        let names: Vec<&str> = lines.iter().map(|line| line.name.as_str()).collect();
        return Err(format!("there is no line {name}; there is {}", names.join(", ")));
    };
    let most = line.units.len();
    let count = count.parse::<usize>().ok().filter(|count| *count < most);
    let count = count
        .ok_or_else(|| format!("after how many of its {most} lights: 0 to {}", most.saturating_sub(1)))?;
    Ok(Fault::Broken {
        line: line.name.clone(),
        after: count.checked_sub(1).map(|before| line.units[before]),
        to: line.units[count],
    })
}

/// Three faults of different lights, the same for the same seed.
pub fn random(rig: &Rig, seed: u64) -> Vec<Fault> {
    let mut dice = Dice(seed);
    let mut left: Vec<u32> = rig
        .units
        .iter()
        .filter(|unit| matches!(unit.run, Run::Driven { address: Some(_), shares: None }))
        .filter(|unit| unit.profile.kind.gives_light())
        .map(|unit| unit.number)
        .collect();
    let mut faults = Vec::new();
    // A kind of fault that a light cannot have is thrown again; the count is only against a rig that can have none.
    for _ in 0..200 {
        if faults.len() == RANDOM_FAULTS || left.is_empty() {
            break;
        }
        let unit = left[dice.below(left.len())];
        let other = left.iter().copied().find(|other| {
            let kind = |number| rig.unit(number).map(|unit| (&unit.profile.name, unit.mode));
            *other != unit && kind(*other) == kind(unit)
        });
        let text = match (dice.below(6), other) {
            (0, Some(other)) => format!("swap {unit} {other}"),
            (1, Some(other)) => format!("double {other} {unit}"),
            (2, _) => format!("dead {unit}"),
            (3, _) => format!("mode {unit}"),
            (4, _) => format!("pan {unit}"),
            (5, _) => format!("tilt {unit}"),
            _ => continue,
        };
        let Ok(fault) = parse_one(&text, rig) else { continue };
        left.retain(|number| *number != unit && Some(*number) != other);
        faults.push(fault);
    }
    faults
}

/// Random numbers of a seed (SplitMix64).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        // The remainder of 64 bits by a handful is even enough.
        usize::try_from((mixed ^ (mixed >> 31)) % most.max(1) as u64).unwrap_or(0)
    }
}
