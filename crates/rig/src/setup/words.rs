//! Questions and faults in words.

use lanthorn_dmx::Address;

use super::Fault;
use super::ask::{Ask, AxisAsked};
use super::tell::owner;
use super::weigh::Model;
use crate::plan::lights;
use crate::{Rig, Unit};

/// A question, as it is put to a person.
pub(crate) fn question(rig: &Rig, ask: &Ask) -> String {
    let numbers =
        |places: &[usize]| places.iter().map(|place| rig.units[*place].number).collect::<Vec<u32>>();
    match ask {
        Ask::Lit(lit) if lit.len() == 1 => {
            format!("Light {} should be white now, and no other. What do you see?", numbers(lit)[0])
        }
        Ask::Lit(lit) => {
            let all = rig.units.len() == lit.len();
            let which = if all { "All lights".to_owned() } else { capital(&lights(&numbers(lit))) };
            format!("{which} should be white now, and no other. Which do something else?")
        }
        Ask::Swing(axis, heads) => {
            let way = match axis {
                AxisAsked::Pan => "to the left, as seen from the audience",
                AxisAsked::Tilt => "away from the audience",
            };
            let which = capital(&lights(&numbers(heads)));
            format!("{which} should swing {way}, and no other. Which do something else?")
        }
        Ask::Power(place) => {
            format!(
                "Is anything lit on light {} itself, a display or a small lamp?",
                rig.units[*place].number
            )
        }
    }
}

/// A fault: what seems to be the case, and what to do.
pub(crate) fn fault(model: &Model, fault: &Fault) -> (String, String) {
    match fault {
        Fault::Address { unit, at } => address(model, *unit, *at),
        Fault::Exchanged { units: [one, other] } => (
            format!("Lights {one} and {other} answer for each other: their start addresses are exchanged."),
            format!("{} {}", set_address(model, *one), set_address(model, *other)),
        ),
        Fault::Mode { unit, mode } => {
            let light = model.rig.unit(*unit);
            let name = |mode: usize| {
                light.and_then(|unit| unit.profile.modes.get(mode)).map_or("?", |mode| mode.name.as_str())
            };
            let planned = light.map_or(0, |unit| unit.mode);
            (
                format!("Light {unit} seems to be in its mode “{}”, not in “{}”.", name(*mode), name(planned)),
                format!("Set light {unit}’s mode to “{}”{}.", name(planned), menu(model, *unit, 0)),
            )
        }
        Fault::NoPower { unit } => (
            format!("Light {unit} seems to have no power."),
            format!(
                "Look at its plug, its switch, its fuse, and the light that passes power on to it. Unplug it before \
                 anything is opened; what lies behind a plug or inside a light is for a competent person{}.",
                light_circuit(model, *unit)
            ),
        ),
        Fault::NoLamp { unit } => (
            format!("Light {unit} hears, but gives no light."),
            "Look in its menu for a lamp that is switched off or a light that got too hot. Otherwise it is for repair: \
             take another."
                .to_owned(),
        ),
        Fault::OwnProgramme { unit } => (
            format!("Light {unit} seems to run a programme of its own."),
            format!("Set it to listen to the controller: mode{}; no automatic, no sound, no leader.", menu(model, *unit, 0)),
        ),
        Fault::PanBackwards { unit } => backwards(*unit, "Pan"),
        Fault::TiltBackwards { unit } => backwards(*unit, "Tilt"),
        Fault::AxesExchanged { unit } => (
            format!("Pan and tilt of light {unit} are exchanged."),
            "Switch off the exchange of pan and tilt in its own menu.".to_owned(),
        ),
        common => concerning_many(common),
    }
}

fn concerning_many(fault: &Fault) -> (String, String) {
    match fault {
        Fault::Broken { line, after: Some(after), to } => (
            format!("{} is broken between lights {after} and {to}: nothing behind hears.", capital(line)),
            format!(
                "Change the cable from light {after} to light {to}; look whether it goes from output to input, and \
                 whether a plug has pins 2 and 3 exchanged. Then check again: of the lights behind nothing is known yet."
            ),
        ),
        Fault::Broken { line, after: None, to } => (
            format!("Nothing comes through to {line}."),
            format!(
                "Look whether the output is on and sends the universe of this line; then change the cable from the \
                 controller to light {to}. Then check again."
            ),
        ),
        Fault::Unterminated { line, last } => (
            format!("{} seems to lack its terminator.", capital(line)),
            format!("Put the terminator into light {last}’s data output (120 Ω between pins 2 and 3)."),
        ),
        Fault::Leads { unit, line } => (
            format!("Light {unit} seems to lead: it talks on {line}, where the controller talks."),
            format!("Set light {unit} to listen to the controller, in its own menu; no leader, no automatic, no sound."),
        ),
        Fault::CircuitOff { circuit, units } => (
            format!("Circuit “{circuit}” seems to be off: {} have no power.", lights(units)),
            "Ask whoever looks after the building before a breaker is switched on again; one that trips twice is for a \
             licensed electrician."
                .to_owned(),
        ),
        _ => (String::new(), String::new()),
    }
}

fn backwards(unit: u32, axis: &str) -> (String, String) {
    (
        format!("{axis} of light {unit} runs backwards."),
        format!(
            "Switch its {} inversion in its own menu; or leave it, and sight it in, which finds it out and reckons with it.",
            axis.to_lowercase()
        ),
    )
}

fn address(model: &Model, unit: u32, at: Option<Address>) -> (String, String) {
    let own = model.rig.unit(unit).and_then(Unit::address);
    let number = |at: Address| {
        let elsewhere = own.is_some_and(|own| own.universe != at.universe);
        if elsewhere { at.to_string() } else { format!("{:03}", at.slot.number()) }
    };
    let says = match at {
        Some(at) => match owner(model, at).map(|other| other.number).filter(|other| *other != unit) {
            Some(other) => {
                format!(
                    "Light {unit} seems to stand at {}, the start address of light {other}: both answer there.",
                    number(at)
                )
            }
            None => format!("Light {unit} seems to stand at {}.", number(at)),
        },
        None => format!("Light {unit} seems to stand at an address where no light should."),
    };
    (says, set_address(model, unit))
}

fn set_address(model: &Model, unit: u32) -> String {
    let own = model.rig.unit(unit).and_then(Unit::address);
    let number = own.map_or_else(String::new, |own| format!(" to {:03}", own.slot.number()));
    format!("Set light {unit}’s start address{number}{}.", menu(model, unit, 1))
}

/// What is selected in its menu, in brackets.
fn menu(model: &Model, unit: u32, which: usize) -> String {
    let place = model.rig.index_of(unit);
    let words = place.and_then(|place| model.cases.menus.get(place)?.get(which));
    words.map_or_else(String::new, |words| format!(" ({words})"))
}

fn light_circuit(model: &Model, unit: u32) -> String {
    let circuit = model.rig.unit(unit).and_then(|unit| model.rig.circuits.get(unit.circuit?));
    circuit.map_or_else(String::new, |circuit| format!(" (it is planned on circuit “{}”)", circuit.name))
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
