//! `lanthorn calc colour`: levels of the emitters of one light for a colour.

use lanthorn_physics::colour::{
    Chromaticity, Emitter, LEAST_LIGHT, MAX_EMITTERS, Make, Mix, Mixer, Rendering, Spectrum, parse, white,
};
use lanthorn_physics::units::{Kelvin, Watts};
use serde_json::{Map, Value, json};

/// Most of each emitter's light and most watts that are read; far beyond any light.
const MOST: f64 = 1e12;
/// A luminance that misses the wanted one by less than this part of it is the wanted one.
const AS_GOOD_AS: f64 = 1e-9;

/// Colour mixing: one case. The schema is in docs/calculators.md.
pub(super) fn solve(case: Value) -> Result<Value, String> {
    let Value::Object(case) = case else {
        return Err(
            "a case is an object: write {\"task\": \"max\", \"target_xy\": [x, y], \"emitters\": [...]}"
                .to_owned(),
        );
    };
    Case::read(&case)?.answer()
}

/// What is to be found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Task {
    Max,
    Level,
    LeastPower,
    BestRendering,
}

/// What to do with a colour that cannot be mixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum OutOfGamut {
    Hue,
    Nearest,
}

struct Case {
    task: Task,
    target: Chromaticity,
    luminance: Option<f64>,
    lamps: Vec<Lamp>,
    limit: Option<f64>,
    /// The best rendering gives at least this part of the most light.
    least: f64,
    out_of_gamut: OutOfGamut,
}

/// One emitter as given.
struct Lamp {
    name: String,
    emitter: Emitter,
    watts: Option<f64>,
    make: Make,
    /// Peak and width at half of it, nm, of a diode that states them.
    band: Option<(f64, f64)>,
}

impl Case {
    fn read(case: &Map<String, Value>) -> Result<Self, String> {
        let task = match text(case, &["task"])?.unwrap_or("max") {
            "max" | "most_light" => Task::Max,
            "level" => Task::Level,
            "least_power" => Task::LeastPower,
            "best_rendering" => Task::BestRendering,
            other => {
                return Err(format!("task {other:?}: write max, level, least_power or best_rendering"));
            }
        };
        let luminance = number(case, &["Y", "luminance"])?;
        if luminance.is_some_and(|wanted| !(0.0..=MOST).contains(&wanted)) {
            return Err("Y: write the wanted light, 0 or more, in the unit of Ymax".to_owned());
        }
        if matches!(task, Task::Level | Task::LeastPower) && luminance.is_none() {
            return Err("Y is missing: this task needs the wanted light, in the unit of Ymax".to_owned());
        }
        let lamps = lamps(case)?;
        let limit = number(case, &["watts_limit"])?;
        if limit.is_some_and(|limit| !(0.0..=MOST).contains(&limit)) {
            return Err("watts_limit: write a number of watts, 0 or more".to_owned());
        }
        if (limit.is_some() || task == Task::LeastPower)
            && let Some(lamp) = lamps.iter().find(|lamp| lamp.watts.is_none())
        {
            let why = if limit.is_some() { "watts_limit" } else { "least_power" };
            return Err(format!(
                "emitter {:?} has no watts, and {why} needs those of every emitter: write what it draws at full",
                lamp.name
            ));
        }
        if task == Task::LeastPower
            && let Some(lamp) = lamps.iter().find(|lamp| lamp.watts.is_some_and(|watts| watts <= 0.0))
        {
            return Err(format!(
                "emitter {:?} draws 0 W, which no light does: write what it draws at full",
                lamp.name
            ));
        }
        let least = number(case, &["least"])?.unwrap_or(LEAST_LIGHT);
        if !(0.0..=1.0).contains(&least) {
            return Err("least: write the part of the most light to keep, 0 to 1".to_owned());
        }
        let out_of_gamut = match text(case, &["out_of_gamut"])?.unwrap_or("hue") {
            "hue" => OutOfGamut::Hue,
            "nearest" => OutOfGamut::Nearest,
            other => return Err(format!("out_of_gamut {other:?}: write hue or nearest")),
        };
        Ok(Self { task, target: target(case)?, luminance, lamps, limit, least, out_of_gamut })
    }

    fn answer(&self) -> Result<Value, String> {
        // Solved with the strongest emitter as 1, so that no unit is too large or too small for the solver.
        let strongest = self.lamps.iter().map(|lamp| lamp.emitter.luminance).fold(0.0, f64::max);
        let unit = if strongest > 0.0 { strongest } else { 1.0 };
        let emitters: Vec<Emitter> = self
            .lamps
            .iter()
            .map(|lamp| Emitter { luminance: lamp.emitter.luminance / unit, ..lamp.emitter })
            .collect();
        let mixer = Mixer::new(&emitters);
        let reached = mixer.in_gamut(self.target);
        let nearest = || mixer.clip(self.target);
        let mapped = match self.out_of_gamut {
            OutOfGamut::Nearest if !reached => nearest(),
            _ => mixer.reach(self.target),
        };
        let mapping = match (reached, mapped) {
            (true, _) => "none",
            (false, Some(mapped)) if self.is_nearest(&mixer, mapped) => "nearest",
            (false, _) => "hue",
        };
        let Some(mapped) = mapped else { return Ok(self.dark()) };
        let most = self.most(&mixer, mapped);
        let wanted = self.luminance.map(|wanted| wanted / unit);
        let enough = wanted.is_none_or(|wanted| wanted <= most.luminance * (1.0 + AS_GOOD_AS));
        let wanted = wanted.filter(|_| self.task != Task::Max);
        let mix = match wanted {
            _ if self.task == Task::BestRendering => self.best_rendering(&mixer, mapped, most, wanted),
            Some(wanted) if enough => self.at_level(&mixer, mapped, most, wanted),
            _ => most,
        };
        Ok(self.tell(&Found { mixer, mix, most, unit, mapped, mapping, enough }))
    }

    /// `true` when what was found is the nearest colour in u′v′ and not that of the same hue.
    fn is_nearest(&self, mixer: &Mixer, mapped: Chromaticity) -> bool {
        self.out_of_gamut == OutOfGamut::Nearest
            || !mixer.has_white() && mixer.clip(self.target).is_some_and(|near| near == mapped)
    }

    fn watts(&self) -> Vec<Watts> {
        self.lamps.iter().map(|lamp| Watts::new(lamp.watts.unwrap_or(0.0))).collect()
    }

    fn most(&self, mixer: &Mixer, colour: Chromaticity) -> Mix {
        match self.limit {
            Some(limit) => mixer.max_output_within(colour, &self.watts(), Watts::new(limit)),
            None => mixer.max_output(colour),
        }
    }

    fn at_level(&self, mixer: &Mixer, colour: Chromaticity, most: Mix, wanted: f64) -> Mix {
        let part = if most.luminance > 0.0 { wanted / most.luminance } else { 0.0 };
        if self.task == Task::LeastPower {
            let least = mixer.least_power(colour, wanted, &self.watts());
            // At the limit rounding may pass it by a hair; the most light within it is what was asked then.
            let within = self.limit.is_none_or(|limit| self.power(&least).is_none_or(|power| power <= limit));
            return if within { least } else { most.dimmed(part) };
        }
        most.dimmed(part)
    }

    /// The best rendering with the wanted light, else with some part of the most.
    fn best_rendering(&self, mixer: &Mixer, colour: Chromaticity, most: Mix, wanted: Option<f64>) -> Mix {
        let least = match wanted {
            Some(wanted) if most.luminance > 0.0 => wanted / most.luminance,
            _ => self.least,
        };
        if least >= 1.0 {
            return most;
        }
        let (mix, _) = mixer.best_rendering(colour, &self.rendering(), least);
        let mix = wanted.map_or(mix, |wanted| mix.dimmed(wanted / mix.luminance));
        match (self.limit, self.power(&mix)) {
            (Some(limit), Some(power)) if power > limit => mix.dimmed(limit / power),
            _ => mix,
        }
    }

    fn rendering(&self) -> Rendering {
        let emitters: Vec<_> =
            self.lamps.iter().map(|lamp| (lamp.spectrum(), lamp.emitter.luminance)).collect();
        Rendering::new(&emitters)
    }

    /// What the emitters draw; none where a lit one does not say.
    fn power(&self, mix: &Mix) -> Option<f64> {
        let of =
            |(lamp, level): (&Lamp, f64)| if level > 0.0 { Some(lamp.watts? * level) } else { Some(0.0) };
        self.lamps.iter().zip(mix.levels).map(of).sum()
    }

    /// No emitter gives any light.
    fn dark(&self) -> Value {
        let levels = vec![0.0; self.lamps.len()];
        json!({
            "levels_by_name": by_name(&self.lamps, &levels),
            "levels": levels,
            "xy": null,
            "Y": 0.0,
            "watts": 0.0,
            "feasible": false,
            "mapping": "none",
            "mapped_xy": null,
            "distance_uv": null,
            "max_Y": 0.0,
            "says": "None of these emitters gives light.",
        })
    }

    fn tell(&self, found: &Found) -> Value {
        let levels = &found.mix.levels[..self.lamps.len()];
        let light = found.mixer.light(levels);
        let distance = found.mapped.distance_uv(self.target);
        let mut answer = json!({
            "levels": levels,
            "levels_by_name": by_name(&self.lamps, levels),
            "xy": light.chromaticity().map(|colour| [colour.x, colour.y]),
            "Y": light.y * found.unit,
            "watts": self.power(&found.mix),
            "feasible": found.mapping == "none" && found.enough,
            "mapping": found.mapping,
            "mapped_xy": [found.mapped.x, found.mapped.y],
            "distance_uv": distance,
            "max_Y": found.most.luminance * found.unit,
            "says": self.sentence(found, distance),
        });
        if self.task == Task::BestRendering {
            let index = self.rendering().index(&found.mix.levels);
            answer["rendering_index"] = json!(index);
            answer["says"] = json!(format!(
                "{} {}",
                self.sentence(found, distance),
                match index {
                    Some(index) => format!(
                        "Colour rendering index Ra about {index:.0}, by {} spectra: a guide, no measurement.",
                        if self.lamps.iter().all(|lamp| lamp.band.is_some()) {
                            "modelled"
                        } else {
                            "typical"
                        }
                    ),
                    None => "Darkness renders no colours.".to_owned(),
                }
            ));
        }
        answer
    }

    fn sentence(&self, found: &Found, distance: f64) -> String {
        let colour = match found.mapping {
            "none" => "The colour can be mixed".to_owned(),
            "nearest" => format!(
                "The colour is out of reach; the nearest that can be mixed is {distance:.3} away in u'v'"
            ),
            _ => format!(
                "The colour is out of reach; the most of its hue that can be mixed is {distance:.3} away in u'v'"
            ),
        };
        let most = found.most.luminance * found.unit;
        let within = self.limit.map_or_else(String::new, |limit| format!(" within {limit} W"));
        let level = match self.luminance {
            Some(wanted) if self.task != Task::Max && found.enough => {
                format!("at {wanted} of at most {}{within}", figures(most))
            }
            Some(wanted) if self.task != Task::Max => {
                format!("{wanted} is more than there is{within}: this is the most, {}", figures(most))
            }
            _ if self.task == Task::BestRendering => {
                format!(
                    "with {} of at most {}{within}",
                    figures(found.mix.luminance * found.unit),
                    figures(most)
                )
            }
            _ => format!("at most {}{within}", figures(most)),
        };
        format!("{colour}, {level}.")
    }
}

impl Lamp {
    fn spectrum(&self) -> Spectrum {
        match self.band {
            Some((peak, width)) => Spectrum::narrow(peak, width),
            None => Spectrum::typical(self.make, self.emitter.chromaticity),
        }
    }
}

/// What was found.
struct Found {
    mixer: Mixer,
    mix: Mix,
    most: Mix,
    /// One of the solver's light in the case's unit.
    unit: f64,
    mapped: Chromaticity,
    mapping: &'static str,
    enough: bool,
}

fn by_name(lamps: &[Lamp], levels: &[f64]) -> Value {
    let named = lamps.iter().zip(levels).map(|(lamp, level)| (lamp.name.clone(), json!(level)));
    Value::Object(named.collect())
}

/// Four figures, as a person reads them.
fn figures(value: f64) -> String {
    if value <= 0.0 {
        return "0".to_owned();
    }
    let places = (3 - value.log10().floor() as i32).clamp(0, 9) as usize;
    format!("{value:.places$}")
}

fn lamps(case: &Map<String, Value>) -> Result<Vec<Lamp>, String> {
    let given = match case.get("emitters") {
        Some(Value::Array(given)) if !given.is_empty() => given,
        _ => return Err("emitters: write a list of at least one {name, x, y, Ymax, watts}".to_owned()),
    };
    if given.len() > MAX_EMITTERS {
        return Err(format!("emitters: there are {}, and a light has {MAX_EMITTERS} at most", given.len()));
    }
    let mut lamps: Vec<Lamp> = Vec::new();
    for (index, value) in given.iter().enumerate() {
        let mut lamp = lamp(value, index)?;
        if lamps.iter().any(|known| known.name == lamp.name) {
            lamp.name = format!("{} ({})", lamp.name, index + 1);
        }
        lamps.push(lamp);
    }
    Ok(lamps)
}

fn lamp(value: &Value, index: usize) -> Result<Lamp, String> {
    let who = format!("emitter {}", index + 1);
    let Value::Object(fields) = value else {
        return Err(format!("{who}: write {{name, x, y, Ymax, watts}}"));
    };
    let say = |error: String| format!("{who}: {error}");
    let name = text(fields, &["name"]).map_err(say)?.map_or_else(|| who.clone(), str::to_owned);
    let x = number(fields, &["x"]).map_err(say)?;
    let y = number(fields, &["y"]).map_err(say)?;
    let chromaticity = match (x, y, fields.get("xy").or_else(|| fields.get("chromaticity"))) {
        (Some(x), Some(y), _) => colour_of(x, y).map_err(say)?,
        (_, _, Some(pair)) => pair_of(pair).map_err(say)?,
        _ => return Err(say("x and y are missing: write its CIE 1931 chromaticity".to_owned())),
    };
    let luminance = number(fields, &["Ymax", "Y", "ymax", "luminance"])
        .map_err(say)?
        .ok_or_else(|| say("Ymax is missing: write its light at full".to_owned()))?;
    if !(0.0..=MOST).contains(&luminance) {
        return Err(say(format!("Ymax is {luminance}: write its light at full, 0 or more")));
    }
    let watts = number(fields, &["watts"]).map_err(say)?;
    if watts.is_some_and(|watts| !(0.0..=MOST).contains(&watts)) {
        return Err(say("watts: write what it draws at full, 0 or more".to_owned()));
    }
    let (make, band) = make(fields, &name).map_err(say)?;
    Ok(Lamp { name, emitter: Emitter { chromaticity, luminance }, watts, make, band })
}

/// How it makes its light: as it says, else as its name says, else as its colour suggests.
fn make(fields: &Map<String, Value>, name: &str) -> Result<(Make, Option<(f64, f64)>), String> {
    let peak = number(fields, &["peak_nm"])?;
    let width = number(fields, &["fwhm_nm"])?;
    let band = match (peak, width) {
        (None, _) => None,
        (Some(peak), width)
            if (360.0..=780.0).contains(&peak) && width.is_none_or(|w| (1.0..=200.0).contains(&w)) =>
        {
            Some((peak, width.unwrap_or(20.0)))
        }
        _ => return Err("peak_nm and fwhm_nm: write 360 to 780 and 1 to 200 nm".to_owned()),
    };
    let lower = name.to_lowercase();
    let words = ["white", "lime", "mint", "phosphor", "pc "];
    let make = match text(fields, &["make"])? {
        Some("narrow") => Make::Narrow,
        Some("phosphor") => Make::Phosphor,
        Some(other) => return Err(format!("make {other:?}: write narrow or phosphor")),
        None if words.iter().any(|word| lower.contains(word)) => Make::Phosphor,
        None => Make::Unknown,
    };
    Ok((make, band))
}

fn target(case: &Map<String, Value>) -> Result<Chromaticity, String> {
    let pair = ["target_xy", "xy", "target"].iter().find_map(|key| case.get(*key));
    let kelvin = number(case, &["kelvin", "cct", "target_kelvin"])?;
    let name = text(case, &["name", "colour", "color"])?;
    match (pair, kelvin, name) {
        (Some(Value::String(name)), ..) => named(name),
        (Some(pair), ..) => pair_of(pair).map_err(|error| format!("target_xy: {error}")),
        (None, Some(kelvin), _) => {
            let duv = number(case, &["duv", "tint"])?;
            if !(500.0..=25_000.0).contains(&kelvin) {
                return Err(format!("kelvin is {kelvin}: write 500 to 25000"));
            }
            if duv.is_some_and(|duv| duv.abs() > 0.05) {
                return Err("duv: write -0.05 to +0.05".to_owned());
            }
            Ok(white(Kelvin::new(kelvin), duv))
        }
        (None, None, Some(name)) => named(name),
        (None, None, None) => {
            Err("there is no colour: write target_xy [x, y], kelvin (and duv), or name".to_owned())
        }
    }
}

fn named(name: &str) -> Result<Chromaticity, String> {
    parse(name).map(|target| target.chromaticity).map_err(|error| error.to_string())
}

fn pair_of(pair: &Value) -> Result<Chromaticity, String> {
    let part = |at: usize, key: &str| pair.get(at).or_else(|| pair.get(key)).and_then(Value::as_f64);
    match (part(0, "x"), part(1, "y")) {
        (Some(x), Some(y)) => colour_of(x, y),
        _ => Err("write CIE 1931 chromaticity as two numbers [x, y]".to_owned()),
    }
}

/// Any chromaticity that a sum of positive tristimulus values has, inside the horseshoe of real colours or not, and
/// what a meter reads of one on the edge.
fn colour_of(x: f64, y: f64) -> Result<Chromaticity, String> {
    let error_of_meter = 0.02;
    if x >= -error_of_meter && y > 1e-6 && x + y <= 1.0 + error_of_meter {
        Ok(Chromaticity::new(x, y))
    } else {
        Err(format!("x {x}, y {y} is no colour of light: x is 0 or more, y above 0, and together at most 1"))
    }
}

/// A number under one of some keys; `null` counts as not there.
fn number(fields: &Map<String, Value>, keys: &[&str]) -> Result<Option<f64>, String> {
    let Some((key, value)) = keys.iter().find_map(|key| Some((key, fields.get(*key)?))) else {
        return Ok(None);
    };
    match value {
        Value::Null => Ok(None),
        value => match value.as_f64().filter(|number| number.is_finite()) {
            Some(number) => Ok(Some(number)),
            None => Err(format!("{key}: write a number")),
        },
    }
}

/// A text under one of some keys; `null` counts as not there.
fn text<'f>(fields: &'f Map<String, Value>, keys: &[&str]) -> Result<Option<&'f str>, String> {
    let Some((key, value)) = keys.iter().find_map(|key| Some((key, fields.get(*key)?))) else {
        return Ok(None);
    };
    match value {
        Value::Null => Ok(None),
        Value::String(text) => Ok(Some(text)),
        _ => Err(format!("{key}: write a text")),
    }
}

#[cfg(test)]
mod tests;
