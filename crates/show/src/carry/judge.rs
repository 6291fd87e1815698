//! What a look keeps and what it loses with other lights: reach, colour, brightness, optics.

use lanthorn_fixture::Attribute;
use lanthorn_physics::Point;
use lanthorn_physics::units::{Hertz, Lux};
use lanthorn_rig::plan::{Finding, Severity};
use lanthorn_rig::{Rig, Run};

use crate::figure::Course;
use crate::light_level::{self, LuxAnswer};
use crate::matching;
use crate::player::{Layout, LookValues, lights_of};
use crate::tell;
use crate::{Aim, Look, Part, Show, Who};

mod light;

use light::Shining;

/// A beam this near to a point is on it.
pub(super) const ON_M: f64 = 0.1;

/// Less than this part of the light at home is said.
const HALF: f64 = 0.5;

/// Colours farther off than this in u′v′, and farther than at home, are said (the nearness that a colour wheel is
/// chosen by).
const OFF_UV: f64 = 0.012;

/// Less light than this is no light that anybody would miss (common practice, no source).
const FAINT_LUX: f64 = 1.0;

/// A look at home and the same one there.
pub(super) struct Pair<'c> {
    pub before: (&'c Look, &'c Show, &'c Rig),
    pub after: (&'c Look, &'c Show, &'c Rig),
    /// Places of the parts at home from which those there come.
    pub kept: &'c [usize],
}

/// One sentence here or there: its lights as they are in the end, later sentences taken off.
pub(super) struct Side<'c> {
    pub rig: &'c Rig,
    pub part: &'c Part,
    pub lights: Vec<Shining>,
    /// Numbers of its lights that do what a later sentence says.
    pub taken: Vec<u32>,
    /// What it takes for a light level asked for in lux.
    pub level: Option<LuxAnswer>,
}

pub(super) fn look(pair: &Pair<'_>, findings: &mut Vec<Finding>) {
    let (before, after) = (sides(pair.before), sides(pair.after));
    for (there, home) in after.iter().zip(pair.kept) {
        let Some(home) = before.get(*home) else { continue };
        let place = tell::who(&there.part.who, there.rig);
        size(home, there, &place, findings);
        taken(home, there, &place, findings);
        driven(there, &place, findings);
        reach(there, &place, findings);
        colour(home, there, &place, findings);
        meeting(home, there, &place, findings);
        level(there, &place, findings);
        brightness(home, there, &place, findings);
        optics(home, there, &place, findings);
        flashes(there, &place, findings);
    }
}

/// Each part with the lights that it has in the end.
fn sides<'c>((look, show, rig): (&'c Look, &'c Show, &'c Rig)) -> Vec<Side<'c>> {
    let values = LookValues::new(look, &show.figures, rig, &Layout::new(rig));
    let courses = Course::of_look(look, show, rig);
    let levels = light_level::solve(look, &show.figures, rig);
    let mut owner: Vec<Option<usize>> = vec![None; rig.units.len()];
    for (place, part) in look.parts.iter().enumerate() {
        for unit in lights_of(&part.who, rig) {
            owner[unit] = Some(place);
        }
    }
    let lights = |place: usize| {
        let own = owner.iter().enumerate().filter(|(_, owner)| **owner == Some(place));
        own.filter_map(|(unit, _)| {
            let course = courses.iter().find(|course| course.unit == unit);
            Shining::new(rig, unit, &values, course)
        })
        .collect()
    };
    let taken = |place: usize, part: &Part| {
        let taken = lights_of(&part.who, rig).into_iter().filter(|unit| owner[*unit] != Some(place));
        taken.map(|unit| rig.units[unit].number).collect()
    };
    let sides = look.parts.iter().enumerate();
    sides
        .map(|(place, part)| Side {
            rig,
            part,
            lights: lights(place),
            taken: taken(place, part),
            level: levels.get(place).cloned().flatten(),
        })
        .collect()
}

impl Side<'_> {
    fn numbers(&self, mut of: impl FnMut(&Shining) -> bool) -> Vec<u32> {
        self.lights.iter().filter(|light| of(light)).map(|light| self.rig.units[light.unit].number).collect()
    }

    fn has(&self, light: &Shining, attribute: &Attribute) -> bool {
        let channels = &self.rig.units[light.unit].mode().channels;
        channels.iter().any(|channel| channel.ranges.iter().any(|range| range.attribute == *attribute))
    }
}

/// A group that is empty, or has more or fewer lights than at home.
fn size(home: &Side<'_>, there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let count = |side: &Side<'_>| lights_of(&side.part.who, side.rig).len();
    let (before, after) = (count(home), count(there));
    if matches!(there.part.who, Who::All) || before == after {
        return;
    }
    let figure = format!("{before} at home, {after} there");
    findings.push(if after == 0 {
        caution("group-empty", place, "has no lights there".to_owned())
            .figure(figure)
            .rule("a group without lights shows nothing", "this tool")
            .remedy("Put lights into the group, or give another with --group")
    } else {
        note("group-size", place, "another number of lights".to_owned())
            .figure(figure)
            .rule("spreads and lines run over as many lights as there are", "this tool")
            .remedy("Have a look at how it is spread")
    });
}

/// Lights that do what a later sentence says, where at home none did.
fn taken(home: &Side<'_>, there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    if there.taken.is_empty() || !home.taken.is_empty() {
        return;
    }
    let what = format!("{} what a later sentence says", does(&there.taken, "does", "do"));
    let finding = if there.lights.is_empty() {
        caution("taken", place, format!("nothing of it is seen: {what}"))
    } else {
        note("taken", place, what)
    };
    findings.push(
        finding
            .units(&there.taken)
            .rule("of two sentences that name a light, the later has it", "this tool")
            .remedy("Give one of the two other lights"),
    );
}

fn driven(there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let driven =
        |light: &Shining| matches!(there.rig.units[light.unit].run, Run::Driven { address: Some(_), .. });
    let deaf = there.numbers(|light| !driven(light));
    if !deaf.is_empty() {
        findings.push(
            caution("not-driven", place, format!("{} no channel values", does(&deaf, "takes", "take")))
                .units(&deaf)
                .rule("only a driven light with an address follows a show", "this tool")
                .remedy("Give it an address and run it driven"),
        );
    }
}

/// Lights that cannot get to their point, and lights that do not move and point elsewhere.
fn reach(there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let target = match (&there.part.figure, &there.part.aim) {
        (Some(figure), _) => format!("all of the figure {figure}"),
        (None, Some(Aim::Mark(mark))) => format!("the {mark}"),
        (None, Some(Aim::At(at))) => tell::place(*at, &there.rig.room),
        (None, Some(Aim::Line { .. })) => "its point of the line".to_owned(),
        (None, None) => return,
    };
    for (moving, code, what) in [
        (true, "out-of-reach", "out of reach of pan and tilt"),
        (false, "stands-still", "no pan and tilt, and the beam passes by"),
    ] {
        let misses: Vec<(u32, f64)> = there
            .lights
            .iter()
            .filter(|light| light.moves == moving && light.miss_m.is_some_and(|miss| miss > ON_M))
            .filter_map(|light| Some((there.rig.units[light.unit].number, light.miss_m?)))
            .collect();
        let Some(worst) = misses.iter().map(|(_, miss)| *miss).reduce(f64::max) else { continue };
        let numbers: Vec<u32> = misses.iter().map(|(number, _)| *number).collect();
        let remedy = if moving {
            "Hang it elsewhere or turned, or aim another light there"
        } else {
            "Point it there by hand when rigging (focus), or give this sentence to lights that move"
        };
        findings.push(
            caution(code, place, format!("{} cannot light {target}: {what}", lights(&numbers)))
                .units(&numbers)
                .figure(format!("the axis of its beam passes {} off", length(worst)))
                .rule("the pan and tilt travel of its profile, from where it hangs", "geometry")
                .remedy(remedy),
        );
    }
}

/// Colours that these lights have not, and those at home had, or had nearer.
fn colour(home: &Side<'_>, there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    for ask in &there.part.colours {
        let at_home = home.lights.iter().filter_map(|light| light.off(ask)).reduce(f64::max).unwrap_or(0.0);
        let mut off: Vec<(String, u32)> = Vec::new();
        for light in there.lights.iter().filter(|light| light.asked(ask)) {
            let number = there.rig.units[light.unit].number;
            match light.off(ask) {
                Some(off_uv) if off_uv > OFF_UV.max(at_home + OFF_UV / 4.0) => {
                    off.push((light.shown_word(ask), number));
                }
                Some(_) => {}
                None => off.push(("its own light, whose colour is not known".to_owned(), number)),
            }
        }
        let mut said: Vec<&str> = Vec::new();
        for (word, _) in &off {
            if said.contains(&word.as_str()) {
                continue;
            }
            said.push(word);
            let numbers: Vec<u32> =
                off.iter().filter(|(other, _)| other == word).map(|(_, number)| *number).collect();
            findings.push(
                caution(
                    "colour",
                    place,
                    format!("{} cannot show {}; nearest: {word}", lights(&numbers), ask.text),
                )
                .units(&numbers)
                .rule("what its emitters mix or its colour wheel has", "the light's profile")
                .remedy("Choose a colour that these lights have, or leave it"),
            );
        }
    }
}

/// Unlike lights that do not meet as asked, where those at home did.
fn meeting(home: &Side<'_>, there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let at_home = matching::doubts(home.part, home.rig);
    for doubt in matching::doubts(there.part, there.rig).into_iter().filter(|doubt| !at_home.contains(doubt))
    {
        findings.push(
            caution("matched", place, doubt)
                .rule("unlike lights meet on what all of them can show", "the lights' profiles")
                .remedy("Choose a colour that all have, or leave `match` out"),
        );
    }
}

/// A light level in lux that is not reached, or that nobody can reckon.
fn level(there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let Some(answer) = there.level.as_ref().filter(|answer| !answer.is_met()) else { return };
    let asked = answer.asked.get();
    let finding = match answer.reached.map(Lux::get) {
        Some(reached) if reached < asked => {
            caution("lux", place, "the light level that is asked for is not reached".to_owned())
                .figure(format!("about {} lx of {} lx", rounded(reached), rounded(asked)))
                .remedy("Use more lights, bring them nearer, or ask for less")
        }
        Some(reached) => {
            caution("lux", place, "more light than is asked for, from other sentences".to_owned())
                .figure(format!("about {} lx of {} lx", rounded(reached), rounded(asked)))
                .remedy("Take the other lights down, or leave it")
        }
        None => note("lux", place, "nobody can reckon the light level that is asked for".to_owned())
            .figure(format!("{} lx asked for", rounded(asked)))
            .remedy("Have a look, and put the candela of these lights into their profile"),
    };
    findings
        .push(finding.rule("intensity of the profile over distance squared", "inverse-square law; profiles"));
}

/// Less than half of the light at home where the beams meet, or at their points on the average.
fn brightness(home: &Side<'_>, there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    if there.level.is_some() {
        return; // it is not as at home that counts, but as asked
    }
    let (Some(before), Some(after)) = (lux(home), lux(there)) else { return };
    let at = match there.part.aim {
        Some(Aim::Mark(_) | Aim::At(_)) => "there, all beams together",
        Some(Aim::Line { .. }) => "along the line, of each beam",
        None => "where they point, of each beam",
    };
    let rule = "intensity of the profile over distance squared, square to the beam";
    let finding = match (before, after) {
        (Ok(before), Ok(after)) if before > FAINT_LUX && after < before * HALF => {
            caution("dim", place, format!("less than half as bright as at home ({at})"))
                .figure(format!("about {} lx; at home {} lx", rounded(after), rounded(before)))
                .remedy("Raise the level, use more lights, or bring them nearer")
        }
        (Err(unknown), Ok(_)) => unknown_light(place, &unknown, "at home"),
        (_, Err(unknown)) => unknown_light(place, &unknown, "there"),
        _ => return,
    };
    findings.push(finding.rule(rule, "inverse-square law; profiles"));
}

fn unknown_light(place: &str, units: &[u32], where_at: &str) -> Finding {
    let what = format!(
        "nobody knows how bright {} {where_at}: the two cannot be compared",
        does(units, "is", "are")
    );
    note("brightness-unknown", place, what).remedy("Have a look, and put its candela into the profile")
}

/// Light of a sentence: at the point that all aim at, the sum; else the mean of each at its own. None: it gives no
/// light or points nowhere. Inside: the lights whose brightness is not known.
fn lux(side: &Side<'_>) -> Option<Result<f64, Vec<u32>>> {
    let lit: Vec<&Shining> = side.lights.iter().filter(|light| light.lit && light.target.is_some()).collect();
    if lit.is_empty() {
        return None;
    }
    let unknown = side.numbers(|light| light.lit && light.target.is_some() && light.lux.is_none());
    if !unknown.is_empty() {
        return Some(Err(unknown));
    }
    let sum: f64 = lit.iter().filter_map(|light| light.lux).sum();
    let together = matches!(side.part.aim, Some(Aim::Mark(_) | Aim::At(_)));
    Some(Ok(if together { sum } else { sum / lit.len() as f64 }))
}

/// What the beam is shaped with, haze and strobe.
fn optics(home: &Side<'_>, there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let part = there.part;
    let mut lost = |code, what: String, has: &dyn Fn(&Side<'_>, &Shining) -> bool| {
        let lacking = there.numbers(|light| !has(there, light));
        if lacking.is_empty() || !home.lights.iter().any(|light| has(home, light)) {
            return;
        }
        findings.push(
            caution(code, place, format!("{} no {what}", does(&lacking, "has", "have")))
                .units(&lacking)
                .rule("the channels and wheels of its mode", "the light's profile")
                .remedy("Leave it out, choose another, or use a mode or a light that has it"),
        );
    };
    let channel = |attribute: Attribute| move |side: &Side<'_>, light: &Shining| side.has(light, &attribute);
    if let Some(gobo) = part.gobo.as_ref().filter(|gobo| !gobo.trim().eq_ignore_ascii_case("open")) {
        lost("gobo", format!("gobo {gobo}"), &|_, light| light.gobo.is_some());
    }
    if part.prism {
        lost("prism", "prism".to_owned(), &channel(Attribute::Prism1));
    }
    if part.zoom.is_some() {
        lost("zoom", "zoom".to_owned(), &channel(Attribute::Zoom));
    }
    if part.focus.is_some() {
        lost("focus", "focus".to_owned(), &channel(Attribute::Focus1));
    }
    if part.frost > 0.0 {
        lost("frost", "frost".to_owned(), &channel(Attribute::Frost1));
    }
    if part.iris > 0.0 {
        lost("iris", "iris".to_owned(), &channel(Attribute::Iris));
    }
    if part.haze > 0.0 {
        let makes = |side: &Side<'_>, light: &Shining| {
            side.has(light, &Attribute::Haze1) || side.has(light, &Attribute::Fog1)
        };
        lost("haze", "haze".to_owned(), &makes);
    }
    if part.fan > 0.0 {
        lost("fan", "fan".to_owned(), &channel(Attribute::Fan1));
    }
    if part.strobe.is_some() {
        lost("strobe", "strobe".to_owned(), &|_, light| light.strobes);
    }
    gobo_number(home, there, place, findings);
}

/// A gobo by number is another picture on another wheel.
fn gobo_number(home: &Side<'_>, there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let Some(number) = there.part.gobo.as_ref().filter(|gobo| gobo.trim().parse::<usize>().is_ok()) else {
        return;
    };
    let first = |side: &Side<'_>| side.lights.iter().find_map(|light| light.gobo.clone());
    if let (Some(before), Some(after)) = (first(home), first(there))
        && before != after
    {
        findings.push(
            caution("gobo", place, format!("gobo {number} is {after} there; at home it was {before}"))
                .rule("a number counts the places of a light's own wheel", "the light's profile")
                .remedy("Name the gobo instead of counting it"),
        );
    }
}

fn flashes(there: &Side<'_>, place: &str, findings: &mut Vec<Finding>) {
    let limit: Hertz = there.rig.limits.in_force();
    if let Some(rate) = there.part.strobe.filter(|rate| *rate > limit) {
        findings.push(
            caution("flash-limit", place, "the strobe is held to the limit of the room".to_owned())
                .figure(format!("{} Hz of {} Hz", tell::number(limit.get()), tell::number(rate.get())))
                .rule("flashing light can bring on seizures", "the show file's limits")
                .remedy("Keep to the limit unless everybody in the room has been told and agrees"),
        );
    }
}

/// Lights of the same number and use, said so that a person can look.
pub(super) fn same_number(numbers: &[u32], home: &Rig, there: &Rig, place: &str) -> Finding {
    let kinds = |rig: &Rig| {
        let mut names: Vec<&str> = Vec::new();
        for unit in numbers.iter().filter_map(|number| rig.unit(*number)) {
            if !names.contains(&unit.profile.name.as_str()) {
                names.push(&unit.profile.name);
            }
        }
        names.join(", ")
    };
    let (before, after) = (kinds(home), kinds(there));
    let kind = if before == after { after } else { format!("{after} there, {before} at home") };
    note("same-number", place, format!("kept by number: {kind}"))
        .units(numbers)
        .rule("a number goes along to a light of the same number and use", "this tool")
        .remedy("Have a look whether it is the right one; --light gives another")
}

pub(super) fn caution(code: &'static str, place: &str, what: String) -> Finding {
    Finding::new(Severity::Caution, code, place, what)
}

pub(super) fn note(code: &'static str, place: &str, what: String) -> Finding {
    Finding::new(Severity::Note, code, place, what)
}

/// "light 4", "lights 1–4 and 9".
pub(super) fn lights(numbers: &[u32]) -> String {
    lanthorn_rig::plan::lights(numbers)
}

/// "light 4 has", "lights 4 and 5 have".
fn does(numbers: &[u32], one: &str, several: &str) -> String {
    format!("{} {}", lights(numbers), if numbers.len() == 1 { one } else { several })
}

fn length(metres: f64) -> String {
    if metres < 1.0 { format!("{:.0} cm", metres * 100.0) } else { format!("{metres:.1} m") }
}

/// Two digits: profiles do not know better.
fn rounded(lux: f64) -> String {
    let grain = if lux >= 100.0 { 10.0 } else { 1.0 };
    if lux < 10.0 { format!("{lux:.1}") } else { format!("{:.0}", (lux / grain).round() * grain) }
}

/// Shortest distance from a point to the axis of a beam.
pub(super) fn miss_m(from: Point, along: lanthorn_physics::Direction, at: Point) -> f64 {
    let distance = from.distance(at).get();
    let angle = from.towards(at).map_or(0.0, |towards| along.angle_to(towards).get());
    if angle > std::f64::consts::FRAC_PI_2 { distance } else { distance * libm::sin(angle) }
}
