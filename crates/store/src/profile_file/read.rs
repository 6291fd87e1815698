//! From keys and values to a profile.

use std::collections::BTreeSet;
use std::sync::Arc;

use lanthorn_fixture::profile::{
    Body, Data, Emitter, Kept, Measured, Menu, Movement, Optics, Power, Programme, RdmModel, Wheel, WheelSlot,
};
use lanthorn_fixture::response::{Curve, Response};
use lanthorn_fixture::{Attribute, Fact, Origin, Profile};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{
    Amps, Candela, Decibels, Kilograms, Lumens, Metres, Radians, Seconds, Volts, WattHours, Watts,
};

mod chart;
mod sense;

use crate::quantity::{
    AMPS, ANGLE, CANDELA, FRACTION, LENGTH, LUMENS, Measure, NOISE, PLAIN, TIME, VOLTS, WATT_HOURS, WATTS,
    WEIGHT,
};
use crate::tree::Data as Value;
use crate::walk::{Fields, Report, Spot};
use crate::words::{ADDRESSINGS, KINDS, ON_LOSS, RESPONSES, attribute, slip};

/// A profile from its table.
pub(crate) fn profile(mut fields: Fields<'_>, report: &mut Report<'_>) -> Option<Profile> {
    let wrong_before = report.errors();
    let name = fields.need("name", "\"small wash head\"", report).and_then(|spot| report.name(&spot));
    if let Some(name) = &name {
        fields.called(format!("profile \"{name}\""));
    }
    let kind = fields.need("kind", "\"par\"", report).and_then(|spot| report.choice(&spot, KINDS));
    let body = part(&fields, "body", report, body).unwrap_or_default();
    let power = part(&fields, "power", report, power).unwrap_or_default();
    let data = part(&fields, "data", report, data).unwrap_or_default();
    let movement = part(&fields, "movement", report, movement);
    let optics = part(&fields, "optics", report, optics).unwrap_or_default();
    let menu = part(&fields, "menu", report, menu).unwrap_or_default();
    let noise = measured(&fields, "noise", NOISE, Decibels::new, report);
    let emitters = each(&fields, "emitter", report, emitter);
    let wheels = each(&fields, "wheel", report, wheel);
    let programmes = each(&fields, "programme", report, programme);
    if emitters.len() > 8 {
        report.wrong_at(
            fields.at,
            &fields.who,
            "a profile has at most 8 emitters",
            "name the eight strongest",
        );
    }
    let modes = each(&fields, "mode", report, chart::mode);
    if modes.is_empty() {
        report.wrong_at(
            fields.at,
            &fields.who,
            "a profile has at least one mode",
            "add `[[mode]]` with its channels",
        );
    }
    let mut names = BTreeSet::new();
    for mode in &modes {
        if !names.insert(mode.name.as_str()) {
            let what = format!("two modes are called \"{}\"", mode.name);
            report.wrong_at(fields.at, &fields.who, &what, "give each mode a name of its own");
        }
    }
    let kept = kept(&fields, report);
    // The chart that it was read from is kept for whoever asks later: see `crate::kept_charts`.
    part(&fields, "chart", report, chart_text);
    fields.finish(report);
    let profile = Profile {
        name: name?,
        kind: kind?,
        body,
        power,
        data,
        movement,
        optics,
        emitters,
        wheels,
        noise,
        programmes,
        menu,
        modes,
        kept,
    };
    // What could not be read leaves holes that are no fault of the chart.
    if report.errors() == wrong_before {
        sense::sense(&fields, &profile, report);
    }
    Some(profile)
}

/// Letters of one kept thing, and of all kept things of a profile, at most.
pub(crate) const LONGEST_KEPT: usize = 64 * 1024;
/// How many kept things at most.
pub(crate) const MOST_KEPT: usize = 2_000;

/// What another file said and nothing here understands.
pub(crate) fn kept(fields: &Fields<'_>, report: &mut Report<'_>) -> Vec<Kept> {
    let list = each(fields, "kept", report, |fields, report| {
        let at = fields.need("at", "\"FixtureType@Manufacturer\"", report);
        let at = at.and_then(|spot| report.text(&spot)).filter(|at| !at.is_empty());
        let text = fields.need("text", "\"as it stood\"", report);
        let text = text.and_then(|spot| report.long_text(&spot, LONGEST_KEPT));
        fields.finish(report);
        Some(Kept { at: at?, text: text? })
    });
    if list.len() > MOST_KEPT {
        let what = format!("at most {MOST_KEPT} things are kept");
        report.wrong_at(fields.at, &fields.who, &what, "take out those that nobody will want back");
    }
    list
}

/// An attribute; a name that looks like a slip of the fingers is doubted.
pub(super) fn does(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Attribute> {
    let name = report.name(spot)?;
    if let Some(near) = slip(&name) {
        let what = "this is no attribute that we know, so nothing is done with it";
        report.doubt(spot, what, &format!("did you mean \"{near}\"?"));
    }
    Some(attribute(&name))
}

fn part<T>(
    fields: &Fields<'_>,
    key: &'static str,
    report: &mut Report<'_>,
    read: fn(&Fields<'_>, &mut Report<'_>) -> T,
) -> Option<T> {
    let inner = fields.get(key)?.fields(format!("{}, {key}", fields.who), report)?;
    let value = read(&inner, report);
    inner.finish(report);
    Some(value)
}

fn each<T>(
    fields: &Fields<'_>,
    key: &'static str,
    report: &mut Report<'_>,
    read: fn(Fields<'_>, &mut Report<'_>) -> Option<T>,
) -> Vec<T> {
    let tables = fields.tables(key, report);
    tables.into_iter().filter_map(|table| read(table, report)).collect()
}

/// A value with its origin: as it stands (stated), `{ guessed = … }`, `{ derived = … }`, `{ default = … }`, or
/// "unknown"; a missing key is unknown too.
pub(super) fn fact<T>(
    spot: Option<Spot<'_>>,
    report: &mut Report<'_>,
    read: impl FnOnce(&mut Report<'_>, &Spot<'_>) -> Option<T>,
) -> Fact<T> {
    let Some(spot) = spot else { return Fact::unknown() };
    let known = |value: Option<T>, origin| value.map_or(Fact::unknown(), |value| Fact::new(value, origin));
    match &spot.node.data {
        Value::Text(text) if text == "unknown" => Fact::unknown(),
        Value::Table(entries) => {
            let origins = [
                ("stated", Origin::Stated),
                ("default", Origin::Default),
                ("derived", Origin::Derived),
                ("guessed", Origin::Guessed),
            ];
            let found = origins.iter().find(|(word, _)| matches!(&entries[..], [only] if only.key == *word));
            let Some((_, origin)) = found else {
                report.wrong(
                    &spot,
                    "a value with its origin has one key: stated, default, derived or guessed",
                    "write it such as { guessed = 0.6 }",
                );
                return Fact::unknown();
            };
            let inner = Spot { node: &entries[0].value, who: spot.who.clone(), key: spot.key.clone() };
            known(read(report, &inner), *origin)
        }
        _ => known(read(report, &spot), Origin::Stated),
    }
}

/// A measured value with its origin.
fn measured<T>(
    fields: &Fields<'_>,
    key: &'static str,
    measure: Measure,
    make: fn(f64) -> T,
    report: &mut Report<'_>,
) -> Fact<T> {
    fact(fields.get(key), report, |report, spot| report.measure(spot, measure).map(make))
}

fn text(fields: &Fields<'_>, key: &'static str, report: &mut Report<'_>) -> Fact<String> {
    fact(fields.get(key), report, |report, spot| report.text(spot))
}

fn body(fields: &Fields<'_>, report: &mut Report<'_>) -> Body {
    let length = LENGTH.between(0.0, 20.0);
    Body {
        width: measured(fields, "width", length, Metres::new, report),
        depth: measured(fields, "depth", length, Metres::new, report),
        height: measured(fields, "height", length, Metres::new, report),
        weight: measured(fields, "weight", WEIGHT.between(0.0, 500.0), Kilograms::new, report),
    }
}

fn power(fields: &Fields<'_>, report: &mut Report<'_>) -> Power {
    Power {
        watts: measured(fields, "watts", WATTS, Watts::new, report),
        power_factor: measured(fields, "power_factor", PLAIN.between(0.05, 1.0), |value| value, report),
        supply: fact(fields.get("supply"), report, |report, spot| {
            let [low, high] = report.span(spot, VOLTS)?;
            Some((Volts::new(low), Volts::new(high)))
        }),
        through: measured(fields, "through", AMPS, Amps::new, report),
        connector: text(fields, "connector", report),
        leakage: measured(fields, "leakage", AMPS.between(0.0, 1.0), Amps::new, report),
        inrush: measured(fields, "inrush", AMPS, Amps::new, report),
        battery: measured(fields, "battery", WATT_HOURS, WattHours::new, report),
    }
}

fn data(fields: &Fields<'_>, report: &mut Report<'_>) -> Data {
    Data {
        unit_load: measured(fields, "unit_load", PLAIN.between(0.0, 32.0), |value| value, report),
        connector: text(fields, "connector", report),
        on_loss: fact(fields.get("on_loss"), report, |report, spot| report.choice(spot, ON_LOSS)),
        addressing: fact(fields.get("addressing"), report, |report, spot| report.choice(spot, ADDRESSINGS)),
        counts_from: fact(fields.get("counts_from"), report, |report, spot| {
            report.whole(spot, 0, 1).map(|first| first as u8)
        }),
        rdm: fact(fields.get("rdm"), report, rdm),
    }
}

/// `rdm = "7ff0:0102"`: the maker's number and that of the model, hexadecimal.
fn rdm(report: &mut Report<'_>, spot: &Spot<'_>) -> Option<RdmModel> {
    let text = report.text(spot)?;
    let number = |text: &str| u16::from_str_radix(text, 16).ok();
    let both = text.split_once(':').and_then(|(maker, model)| number(maker).zip(number(model)));
    if both.is_none() {
        let what = "these are two numbers of four hexadecimal digits, the maker's and the model's";
        report.wrong(spot, what, "write it such as \"7ff0:0102\"");
    }
    both.map(|(manufacturer, model)| RdmModel { manufacturer, model })
}

fn movement(fields: &Fields<'_>, report: &mut Report<'_>) -> Movement {
    let travel = ANGLE.between(0.0, Radians::from_deg(720.0).get());
    let time = TIME.between(0.0, 120.0);
    Movement {
        pan_travel: measured(fields, "pan_travel", travel, Radians::new, report),
        tilt_travel: measured(fields, "tilt_travel", travel, Radians::new, report),
        pan_time: measured(fields, "pan_time", time, Seconds::new, report),
        tilt_time: measured(fields, "tilt_time", time, Seconds::new, report),
        pan_acceleration: measured(fields, "pan_acceleration", time, Seconds::new, report),
        tilt_acceleration: measured(fields, "tilt_acceleration", time, Seconds::new, report),
    }
}

fn optics(fields: &Fields<'_>, report: &mut Report<'_>) -> Optics {
    let angle = ANGLE.between(0.0, Radians::from_deg(360.0).get());
    let mut optics = Optics {
        beam: measured(fields, "beam", angle, Radians::new, report),
        field: measured(fields, "field", angle, Radians::new, report),
        peak: measured(fields, "peak", CANDELA, Candela::new, report),
        flux: measured(fields, "flux", LUMENS, Lumens::new, report),
        response: fact(fields.get("response"), report, response),
        measured: fields.get("ies").and_then(|spot| photometry(&spot, report)).map(Arc::new),
    };
    optics.fill_from_measured();
    optics
}

/// A photometric file, carried as text. What is odd about it is doubted, what keeps it from being used is wrong.
fn photometry(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Measured> {
    let Value::Text(text) = &spot.node.data else {
        report.wrong(spot, "the text of a photometric file stands here", "write ies = ''', the file, '''");
        return None;
    };
    match Measured::read(text) {
        Ok((measured, file)) => {
            for doubt in &file.doubts {
                let what = format!("line {} of the photometric file: {}", doubt.line, doubt.what);
                report.doubt(spot, &what, "ask the maker for a complete one, if it matters");
            }
            if measured.curve.intensity(Radians::ZERO) <= Candela::ZERO {
                let what = "this photometric file has no light along its axis (0°, straight down)";
                report.doubt(spot, what, "state the peak beside it, or leave the file out");
            }
            Some(measured)
        }
        Err(error) => {
            let what = format!("line {} of the photometric file: {}", error.line, error.what);
            report.wrong(spot, &what, "try lanthorn ies FILE on the file itself");
            None
        }
    }
}

/// "linear", "square", or measured pairs `[[value, light], …]`.
fn response(report: &mut Report<'_>, spot: &Spot<'_>) -> Option<Response> {
    let Some(items) = spot.items() else { return report.choice(spot, RESPONSES) };
    let mut points = Vec::with_capacity(items.len());
    for item in &items {
        let [value, light] = report.several(item, "[0.5, 120]: a value from 0 to 1 and the light there")?;
        let value = report.measure(&value, FRACTION);
        let light = report.measure(&light, PLAIN.between(0.0, 1e9));
        points.push([value?, light?]);
    }
    match Curve::new(&points) {
        Ok(curve) => Some(Response::Measured(curve)),
        Err(error) => {
            report.wrong(
                spot,
                error,
                "write it such as [[0, 0], [0.25, 8], [0.5, 31], [0.75, 70], [1, 125]]",
            );
            None
        }
    }
}

fn menu(fields: &Fields<'_>, report: &mut Report<'_>) -> Menu {
    Menu {
        address: text(fields, "address", report),
        leader: text(fields, "leader", report),
        follower: text(fields, "follower", report),
    }
}

fn chart_text(fields: &Fields<'_>, report: &mut Report<'_>) {
    if let Some(spot) = fields.need("text", "'''the chart'''", report) {
        // As it was copied, page breaks and all.
        if !matches!(spot.node.data, Value::Text(_)) {
            report.wrong(&spot, "the text of a chart stands here", "write text = ''', the chart, '''");
        }
    }
    for answer in fields.tables("answers", report) {
        for key in ["id", "value"] {
            answer.need(key, "\"…\"", report).and_then(|spot| report.text(&spot));
        }
        answer.finish(report);
    }
}

/// CIE 1931 `[x, y]`.
fn chromaticity(report: &mut Report<'_>, spot: &Spot<'_>) -> Option<Chromaticity> {
    let [x, y] = report.several(spot, "[0.3127, 0.3290]: CIE 1931 x and y")?;
    let x = report.measure(&x, PLAIN.between(0.0, 0.8));
    let y = report.measure(&y, PLAIN.between(0.001, 0.9));
    let (x, y) = (x?, y?);
    if x + y > 1.0 {
        report.wrong(spot, "x and y together are more than 1, which no light is", "check both figures");
        return None;
    }
    Some(Chromaticity { x, y })
}

fn emitter(fields: Fields<'_>, report: &mut Report<'_>) -> Option<Emitter> {
    let name = fields.need("name", "\"red\"", report).and_then(|spot| report.name(&spot));
    let does = fields.need("does", "\"ColorAdd_R\"", report).and_then(|spot| does(&spot, report));
    let colour = fact(fields.get("colour"), report, chromaticity);
    let output = measured(&fields, "output", PLAIN.between(0.0, 1e6), |value| value, report);
    let watts = measured(&fields, "watts", WATTS, Watts::new, report);
    fields.finish(report);
    Some(Emitter { name: name?, attribute: does?, chromaticity: colour, output, watts })
}

fn wheel(fields: Fields<'_>, report: &mut Report<'_>) -> Option<Wheel> {
    let does = fields.need("does", "\"Color1\"", report).and_then(|spot| does(&spot, report));
    let slots = each(&fields, "slots", report, |fields, report| {
        let name = fields.need("name", "\"open\"", report).and_then(|spot| report.name(&spot));
        let chromaticity = fact(fields.get("colour"), report, chromaticity);
        let transmission = measured(&fields, "passes", FRACTION, |value| value, report);
        fields.finish(report);
        Some(WheelSlot { name: name?, chromaticity, transmission })
    });
    if slots.is_empty() || slots.len() > 255 {
        report.wrong_at(
            fields.at,
            &fields.who,
            "a wheel has 1 to 255 slots",
            "add `slots = [{ name = \"open\" }, …]`",
        );
    }
    fields.finish(report);
    Some(Wheel { attribute: does?, slots })
}

fn programme(fields: Fields<'_>, report: &mut Report<'_>) -> Option<Programme> {
    let name = fields.need("name", "\"slow colours\"", report).and_then(|spot| report.name(&spot));
    let sound = fields.get("sound").and_then(|spot| report.flag(&spot)).unwrap_or(false);
    let menu = fields.need("menu", "\"Auto → 3\"", report).and_then(|spot| report.text(&spot));
    fields.finish(report);
    Some(Programme { name: name?, sound, menu: menu? })
}
