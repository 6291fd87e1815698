//! Colours that are asked of lights that have not got them: said, never passed over.

use lanthorn_fixture::{Attribute, Encoder};
use lanthorn_physics::colour::{Chromaticity, screen_hex};
use lanthorn_rig::plan::{Finding, Severity, lights};
use lanthorn_rig::{Rig, Unit};

use crate::player::{LookValues, lights_of};
use crate::{Ask, Look, Part, Show, matching, tell};

/// Colours farther off than this in u′v′ are said (the nearness that a colour wheel is chosen by).
const OFF_UV: f64 = 0.012;

/// What the lights of a show show in place of colours that they cannot: a wheel its nearest slot, emitters the most that
/// they can of its hue; and what unlike lights that are to match cannot.
pub fn colour_findings(show: &Show, rig: &Rig) -> Vec<Finding> {
    let encoders: Vec<Encoder> =
        rig.units.iter().map(|unit| Encoder::new(&unit.profile, unit.mode)).collect();
    let mut findings = Vec::new();
    for look in &show.looks {
        let values = LookValues::unsolved(look, &show.figures, rig);
        for part in &look.parts {
            if part.matched {
                let doubts = matching::doubts(part, rig);
                findings.extend(doubts.into_iter().map(|doubt| matched(look, &doubt)));
            } else {
                findings.extend(of_part(look, part, &values, rig, &encoders));
            }
        }
    }
    findings
}

/// One finding for each colour and for what comes out in its place.
fn of_part(look: &Look, part: &Part, values: &LookValues, rig: &Rig, encoders: &[Encoder]) -> Vec<Finding> {
    let mut off: Vec<(&Ask, String, f64, Vec<u32>)> = Vec::new();
    for unit in lights_of(&part.who, rig) {
        let light = &rig.units[unit];
        let heads = (0..usize::from(light.mode().heads)).filter_map(|head| values.head(unit, head));
        let asked: Vec<Chromaticity> =
            heads.filter(|head| head.is_lit()).filter_map(|head| head.colour).collect();
        for ask in part.colours.iter().filter(|ask| asked.contains(&ask.chromaticity)) {
            let Some((shown, off_uv)) = instead(light, &encoders[unit], ask) else { continue };
            match off.iter_mut().find(|(other, words, ..)| std::ptr::eq(*other, ask) && *words == shown) {
                Some((.., numbers)) => numbers.push(light.number),
                None => off.push((ask, shown, off_uv, vec![light.number])),
            }
        }
    }
    let finding = |(ask, shown, off_uv, numbers): (&Ask, String, f64, Vec<u32>)| {
        let what = format!("Look {}: {} cannot show {}: {shown}", look.name, lights(&numbers), ask.text);
        Finding::new(Severity::Note, "colour", format!("look {}", look.name), what)
            .units(&numbers)
            .figure(format!("{off_uv:.3} away in u\u{2032}v\u{2032}"))
            .rule("what its emitters mix or its colour wheel has", "the light's profile")
            .remedy("Choose a colour that these lights have, or leave it")
    };
    off.into_iter().map(finding).collect()
}

/// What a light shows in place of a colour that it has not got, and how far that is from it in u′v′. None where it has it
/// (or calls so what it has), gives no light, or nobody knows its colours.
fn instead(light: &Unit, encoder: &Encoder, ask: &Ask) -> Option<(String, f64)> {
    if !encoder.gives_light() {
        return None;
    }
    let nearest = encoder.reach(ask.chromaticity)?;
    let off_uv = nearest.distance_uv(ask.chromaticity);
    if off_uv <= OFF_UV {
        return None;
    }
    let hex = screen_hex(nearest);
    let word = tell::colour_word(&Ask { text: hex.clone(), chromaticity: nearest });
    let says = match encoder.nearest_slot(Some(ask.chromaticity)) {
        Some(slot) => {
            let wheel = light.profile.wheels.iter().find(|wheel| wheel.attribute == Attribute::Color1);
            let name = wheel.and_then(|wheel| wheel.slots.get(usize::from(slot) - 1)).map(|slot| &slot.name);
            // Whoever asks for amber has the wheel's own amber, whatever its maker calls so.
            if name.is_some_and(|name| name.eq_ignore_ascii_case(&ask.text)) {
                return None;
            }
            let name = name.map_or_else(String::new, |name| format!(", \"{name}\","));
            format!("slot {slot}{name} of the colour wheel is nearest ({hex})")
        }
        None if encoder.mixes() => format!("{word} ({hex}) is the most of its hue"),
        None => format!("it has {word} ({hex}) alone"),
    };
    Some((says, off_uv))
}

/// Unlike lights that do not meet as asked.
fn matched(look: &Look, doubt: &str) -> Finding {
    let what = format!("Look {}: {doubt}", look.name);
    Finding::new(Severity::Note, "matched", format!("look {}", look.name), what)
        .rule("unlike lights meet on what all of them can show", "the lights' profiles")
        .remedy("Choose a colour that all have, or leave `match` out")
}
