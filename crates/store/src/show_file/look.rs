//! Looks and colours.

use std::collections::{BTreeMap, BTreeSet};

use lanthorn_fixture::Attribute;
use lanthorn_physics::colour::Objective;
use lanthorn_physics::units::{Hertz, Lux, Radians};
use lanthorn_physics::{Point, Span};
use lanthorn_rig::{Rig, Room, Unit};
use lanthorn_show::{Aim, Ask, Figure, Level, Look, LuxAsk, Part, Spread, Who, matching};

use super::room::{Marks, inside, marks_of, place_or_mark};
use super::{Names, Unique, figure};
use crate::quantity::{ANGLE, FRACTION, LUX, RATE, TIME};
use crate::tree::Data;
use crate::walk::{Fields, Report, Spot, number_list};
use crate::words::{BANDS, MIXINGS, PLANES, SPREADS};

/// Looks, in the order of the file.
pub(super) fn looks(
    root: &Fields<'_>,
    rig: &Rig,
    names: &Names,
    figures: &[Figure],
    report: &mut Report<'_>,
) -> Vec<Look> {
    let groups = rig.groups.iter().map(|group| group.name.as_str()).collect();
    let reader = Reader { rig, names, marks: marks_of(&rig.room), groups, figures };
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in root.tables("look", report) {
        let name = table.need("name", "\"supper\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "look", table.at, report);
            table.called(format!("look \"{name}\""));
        }
        let fade = table.get("fade").and_then(|s| report.measure(&s, TIME)).map(Span::from_secs);
        let mut parts = Vec::new();
        for part in table.tables("part", report) {
            parts.extend(reader.part(&part, report));
            part.finish(report);
        }
        table.finish(report);
        list.extend(name.map(|name| Look { name, fade: fade.unwrap_or(Span::ZERO), parts }));
    }
    list
}

/// A colour as asked for: a swatch, or whatever the colour words know.
pub(super) fn colour(
    spot: &Spot<'_>,
    swatches: &BTreeMap<String, Ask>,
    report: &mut Report<'_>,
) -> Option<Ask> {
    let text = report.name(spot)?;
    if let Some(swatch) = swatches.get(&text) {
        return Some(Ask { chromaticity: swatch.chromaticity, text });
    }
    match lanthorn_physics::colour::parse(&text) {
        Ok(target) => Some(Ask { text, chromaticity: target.chromaticity }),
        Err(error) => {
            let error = error.to_string();
            let (what, remedy) =
                error.split_once(": ").unwrap_or((&error, "write a colour name, #rrggbb or \"3200 K\""));
            match crate::nearest::nearest(&text, swatches.keys().map(String::as_str)) {
                Some(near) => report.wrong(spot, what, &format!("did you mean the swatch \"{near}\"?")),
                None => report.wrong(spot, what, remedy),
            }
            None
        }
    }
}

/// A mark's name, `[x, y, z]`, or `{ from = …, to = … }`.
pub(super) fn aim(spot: &Spot<'_>, marks: &Marks, room: &Room, report: &mut Report<'_>) -> Option<Aim> {
    match &spot.node.data {
        Data::Text(name) => place_or_mark(spot, marks, report).map(|_| Aim::Mark(name.clone())),
        Data::Table(_) => {
            let line = spot.fields(format!("{}, {}", spot.who, spot.key), report)?;
            let end = |key, report: &mut Report<'_>| {
                let spot = line.need(key, "[-2, -4, 0]", report)?;
                match spot.node.data {
                    Data::Text(_) => place_or_mark(&spot, marks, report),
                    _ => point(&spot, room, report),
                }
            };
            let (from, to) = (end("from", report), end("to", report));
            line.finish(report);
            Some(Aim::Line { from: from?, to: to? })
        }
        _ => point(spot, room, report).map(Aim::At),
    }
}

fn point(spot: &Spot<'_>, room: &Room, report: &mut Report<'_>) -> Option<Point> {
    let at = report.point(spot)?;
    inside(spot, at, room, report);
    Some(at)
}

struct Reader<'r> {
    rig: &'r Rig,
    names: &'r Names,
    marks: Marks,
    groups: BTreeSet<&'r str>,
    figures: &'r [Figure],
}

impl Reader<'_> {
    fn part(&self, table: &Fields<'_>, report: &mut Report<'_>) -> Option<Part> {
        let who = table.need("who", "\"all\"", report).and_then(|s| self.who(&s, report));
        let aim = table.get("aim").and_then(|s| aim(&s, &self.marks, &self.rig.room, report));
        let colours = table.get("colour").map(|s| self.colours(&s, report)).unwrap_or_default();
        let lux = lux(table, report);
        let level = if lux.is_some() { None } else { fraction(table, "level", report) };
        let level_to = fraction(table, "level_to", report).map(Level);
        let strobe = table.get("strobe").and_then(|s| self.strobe(&s, report));
        let figure_spot = table.get("figure");
        let figure = figure_spot.as_ref();
        let figure =
            figure.and_then(|s| figure::of_part(s, table.peek("aim").is_some(), self.figures, report));
        let gobo = table.get("gobo").and_then(|s| self.gobo(&s, who.as_ref(), report));
        let (sound, mixing) = (table.get("sound"), table.get("mixing"));
        let sound_spot = table.get("sound_colour");
        let sound_colour = sound_spot.as_ref().and_then(|s| colour(s, &self.names.swatches, report));
        if let Some(spot) = sound_spot.filter(|_| sound.is_none()) {
            report.wrong(
                &spot,
                "this is the colour without a part of the sound, and `sound` does not say which part",
                "add such as sound = \"low\", or leave it out",
            );
        }
        let matched = table.get("match");
        let part = Part {
            aim,
            colours,
            colour_spread: spread(table, "colour_spread", report),
            level: Level(level.unwrap_or(1.0)),
            level_to,
            level_spread: spread(table, "level_spread", report),
            lux,
            mixing: mixing.as_ref().and_then(|s| report.choice(s, MIXINGS)).unwrap_or_default(),
            matched: matched.as_ref().and_then(|s| report.flag(s)).unwrap_or(false),
            figure: figure.map(|figure| figure.name.clone()),
            sound: sound.as_ref().and_then(|s| report.choice(s, BANDS)),
            sound_colour,
            strobe,
            gobo,
            prism: table.get("prism").and_then(|s| report.flag(&s)).unwrap_or(false),
            zoom: table
                .get("zoom")
                .and_then(|s| report.measure(&s, ANGLE.between(0.0, 3.1)))
                .map(Radians::new),
            focus: fraction(table, "focus", report),
            frost: fraction(table, "frost", report).unwrap_or(0.0),
            iris: fraction(table, "iris", report).unwrap_or(0.0),
            haze: fraction(table, "haze", report).unwrap_or(0.0),
            fan: fraction(table, "fan", report).unwrap_or(0.0),
            // Last, so that every key has been asked for.
            who: who?,
        };
        if let (Some(spot), Some(figure)) = (&figure_spot, figure) {
            figure::doubts(spot, figure, &part, self.rig, report);
        }
        if let Some(spot) = &matched {
            for doubt in matching::doubts(&part, self.rig) {
                report.doubt(spot, &doubt, "change the colour or the lights, or leave it so");
            }
        }
        if let Some(spot) = mixing.filter(|_| part.mixing == Objective::LeastPower) {
            self.watts(&spot, &part.who, report);
        }
        Some(part)
    }

    /// Mixing by watts that nobody knows is doubted.
    fn watts(&self, spot: &Spot<'_>, who: &Who, report: &mut Report<'_>) {
        let unknown = |unit: &&Unit| {
            let emitters = &unit.profile.emitters;
            emitters.len() > 1 && emitters.iter().any(|emitter| !emitter.watts.is_known())
        };
        let kinds: BTreeSet<&str> =
            self.lights(who).into_iter().filter(unknown).map(|unit| unit.profile.name.as_str()).collect();
        for kind in kinds {
            let what = format!(
                "nobody knows what each emitter of \"{kind}\" draws: those that are not known are taken as equal"
            );
            report.doubt(spot, &what, "write `watts` of each emitter in its profile");
        }
    }

    /// "all", a group, 3, [1, 2] or "1-4".
    fn who(&self, spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Who> {
        if let Data::Text(text) = &spot.node.data {
            if text == "all" {
                return Some(Who::All);
            }
            if self.groups.contains(text.as_str()) {
                return Some(Who::Group(text.clone()));
            }
            if number_list(text, 4096).is_none() {
                report.no_such(spot, "group", text, self.groups.iter().copied().chain(["all"]));
                return None;
            }
        }
        let numbers = report.numbers(spot)?;
        if let Some(missing) = numbers.iter().find(|number| !self.names.mentioned.contains(number)) {
            report.wrong(
                spot,
                &format!("there is no light {missing}"),
                "name lights that stand under `[[unit]]`",
            );
            return None;
        }
        Some(Who::Units(numbers))
    }

    fn colours(&self, spot: &Spot<'_>, report: &mut Report<'_>) -> Vec<Ask> {
        const MOST: usize = 64;
        let items = spot.items().unwrap_or_else(|| vec![spot.clone()]);
        if items.is_empty() || items.len() > MOST {
            report.wrong(
                spot,
                &format!("there are 1 to {MOST} colours"),
                "leave `colour` out for each light's own white",
            );
            return Vec::new();
        }
        items.iter().filter_map(|item| colour(item, &self.names.swatches, report)).collect()
    }

    fn strobe(&self, spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Hertz> {
        let rate = Hertz::new(report.measure(spot, RATE.between(0.0, 30.0))?);
        let limit = self.rig.limits.in_force();
        if rate > limit {
            let what = format!("this is faster than the limit of {limit}, to which it will be held");
            report.doubt(spot, &what, &format!("write {} Hz or less", limit.get()));
        }
        Some(rate)
    }

    /// A gobo by name or number; a warning when none of the lights has it.
    fn gobo(&self, spot: &Spot<'_>, who: Option<&Who>, report: &mut Report<'_>) -> Option<String> {
        let name = match spot.node.data {
            Data::Whole(_) => report.whole(spot, 1, 255)?.to_string(),
            _ => report.name(spot)?,
        };
        let number: Option<usize> = name.parse().ok();
        let has = |unit: &Unit| match number {
            Some(number) => (1..=gobo_names(unit).count()).contains(&number),
            None => gobo_names(unit).any(|slot| slot == name),
        };
        let lights = self.lights(who?);
        // Lights that could not be read are complained of where they stand.
        if !lights.is_empty() && !lights.iter().any(|unit| has(unit)) {
            let slots: BTreeSet<&str> = lights.into_iter().flat_map(gobo_names).collect();
            let list: Vec<String> = slots.iter().map(|slot| format!("\"{slot}\"")).collect();
            let remedy = if list.is_empty() {
                "leave it out".to_owned()
            } else {
                format!("they have {}", list.join(", "))
            };
            report.doubt(spot, "none of these lights has such a gobo", &remedy);
        }
        Some(name)
    }

    fn lights(&self, who: &Who) -> Vec<&Unit> {
        match who {
            Who::All => self.rig.units.iter().collect(),
            Who::Group(name) => {
                let members = self.rig.group(name).map(|group| group.units.as_slice()).unwrap_or_default();
                members.iter().filter_map(|index| self.rig.units.get(*index)).collect()
            }
            Who::Units(numbers) => numbers.iter().filter_map(|number| self.rig.unit(*number)).collect(),
        }
    }
}

fn gobo_names(unit: &Unit) -> impl Iterator<Item = &str> {
    let wheels = unit.profile.wheels.iter().filter(|wheel| wheel.attribute == Attribute::Gobo1);
    wheels.flat_map(|wheel| wheel.slots.iter().map(|slot| slot.name.as_str()))
}

/// A level that is asked for in lux, and what it is measured on.
fn lux(table: &Fields<'_>, report: &mut Report<'_>) -> Option<LuxAsk> {
    let spot = table.get("level");
    let is_lux = |spot: &Spot<'_>| match &spot.node.data {
        Data::Text(text) => LUX.units().any(|unit| text.trim().ends_with(unit)),
        _ => false,
    };
    let on = table.get("on");
    let Some(spot) = spot.filter(is_lux) else {
        if let Some(on) = on {
            report.wrong(
                &on,
                "this belongs to a level in lux",
                "write level = \"400 lx\", or leave `on` out",
            );
        }
        return None;
    };
    if let Some(to) = table.get("level_to") {
        let what = "with a level in lux all lights of a sentence stand at one level";
        report.wrong(&to, what, "leave `level_to` out");
    }
    let on = on.and_then(|on| report.choice(&on, PLANES));
    report.measure(&spot, LUX).and_then(Lux::checked).map(|lux| LuxAsk { lux, on })
}

fn fraction(table: &Fields<'_>, key: &'static str, report: &mut Report<'_>) -> Option<f64> {
    table.get(key).and_then(|spot| report.measure(&spot, FRACTION))
}

fn spread(table: &Fields<'_>, key: &'static str, report: &mut Report<'_>) -> Spread {
    table.get(key).and_then(|spot| report.choice(&spot, SPREADS)).unwrap_or_default()
}
