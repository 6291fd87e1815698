//! A profile in words: its facts one by one, and its charts as tables.

use lanthorn_fixture::mode::{Danger, RangeKind, Sense};
use lanthorn_fixture::profile::{Kind, OnLoss, Response};
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Profile, Range};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Metres, Radians, Seconds};

use crate::ink::number;
use crate::words::{ADDRESSINGS, DANGERS, KINDS, word};

/// One fact, for people.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FactLine {
    /// What it is about ("weight").
    pub what: String,
    /// The value with its unit; none where nobody knows.
    pub value: Option<String>,
    /// Where it came from.
    pub origin: Origin,
}

/// One span of a channel's values, for people.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChartRow {
    /// Place of the channel, "1" or "1 and 2" for a coarse and a fine byte.
    pub place: String,
    /// As the chart calls the channel.
    pub channel: String,
    /// "0–9".
    pub values: String,
    /// What they do.
    pub meaning: String,
    /// What they may do by accident: nothing enters them by a fade, a chase or a master.
    pub danger: Option<&'static str>,
    /// Where this reading came from.
    pub origin: Origin,
}

impl FactLine {
    /// "28 W (guessed)", "not known".
    pub fn told(&self) -> String {
        match (&self.value, self.origin) {
            (None, _) => "not known".to_owned(),
            (Some(value), Origin::Stated) => value.clone(),
            (Some(value), origin) => format!("{value} ({})", origin_word(origin)),
        }
    }
}

/// "stated", "guessed".
pub fn origin_word(origin: Origin) -> &'static str {
    word(crate::words::ORIGINS, &origin)
}

/// What a sort of light is called in files: "wash head".
pub fn sort_word(kind: Kind) -> &'static str {
    word(KINDS, &kind)
}

/// Every fact there may be, the unknown ones too, in the order of the file.
pub fn facts(profile: &Profile) -> Vec<FactLine> {
    let mut lines = vec![FactLine {
        what: "kind".to_owned(),
        value: Some(word(KINDS, &profile.kind).to_owned()),
        origin: Origin::Stated,
    }];
    bodily(profile, &mut lines);
    moving(profile, &mut lines);
    lit(profile, &mut lines);
    let menu = &profile.menu;
    let text = |text: &String| format!("\"{text}\"");
    lines.push(line("menu for the address", &menu.address, text));
    lines.push(line("menu to lead", &menu.leader, text));
    lines.push(line("menu to follow", &menu.follower, text));
    lines
}

fn bodily(profile: &Profile, lines: &mut Vec<FactLine>) {
    let (body, power, data) = (&profile.body, &profile.power, &profile.data);
    let metres = |metres: &Metres| unit(metres.get(), "m");
    let plain = |value: &f64| number(*value);
    let words = |text: &String| text.clone();
    lines.push(line("noise at 1 m", &profile.noise, |noise| unit(noise.get(), "dBA")));
    lines.push(line("width", &body.width, metres));
    lines.push(line("depth", &body.depth, metres));
    lines.push(line("height", &body.height, metres));
    lines.push(line("weight", &body.weight, |weight| unit(weight.get(), "kg")));
    lines.push(line("power at full", &power.watts, |watts| unit(watts.get(), "W")));
    lines.push(line("power factor", &power.power_factor, plain));
    lines.push(line("supply", &power.supply, |(low, high)| {
        format!("{} to {} V", number(low.get()), number(high.get()))
    }));
    lines.push(line("may pass on", &power.through, |amps| unit(amps.get(), "A")));
    lines.push(line("power connector", &power.connector, words));
    lines.push(line("leakage", &power.leakage, |amps| unit(amps.get(), "A")));
    lines.push(line("peak at switch-on", &power.inrush, |amps| unit(amps.get(), "A")));
    lines.push(line("battery", &power.battery, |energy| unit(energy.get(), "Wh")));
    lines.push(line("unit load", &data.unit_load, plain));
    lines.push(line("data connector", &data.connector, words));
    lines.push(line("without data", &data.on_loss, |on_loss| {
        match on_loss {
            OnLoss::Hold => "keeps the last values",
            OnLoss::Dark => "goes dark",
            OnLoss::Programme => "starts a programme of its own",
        }
        .to_owned()
    }));
    lines.push(line("address set by", &data.addressing, |by| word(ADDRESSINGS, by).to_owned()));
    lines.push(line("counts from", &data.counts_from, u8::to_string));
}

fn moving(profile: &Profile, lines: &mut Vec<FactLine>) {
    let Some(movement) = &profile.movement else { return };
    let time = |time: &Seconds| unit(time.get(), "s");
    lines.push(line("pan travel", &movement.pan_travel, degrees));
    lines.push(line("tilt travel", &movement.tilt_travel, degrees));
    lines.push(line("pan from end to end", &movement.pan_time, time));
    lines.push(line("tilt from end to end", &movement.tilt_time, time));
    lines.push(line("pan to full speed", &movement.pan_acceleration, time));
    lines.push(line("tilt to full speed", &movement.tilt_acceleration, time));
}

fn lit(profile: &Profile, lines: &mut Vec<FactLine>) {
    if profile.kind.gives_light() {
        let optics = &profile.optics;
        lines.push(line("beam, at half", &optics.beam, degrees));
        lines.push(line("field, at a tenth", &optics.field, degrees));
        lines.push(line("peak", &optics.peak, |peak| unit(peak.get(), "cd")));
        lines.push(line("flux", &optics.flux, |flux| unit(flux.get(), "lm")));
        lines.push(line("response", &optics.response, response));
    }
    for emitter in &profile.emitters {
        let name = format!("emitter \"{}\" ({})", emitter.name, emitter.attribute.name());
        lines.push(line(&format!("{name}, colour"), &emitter.chromaticity, colour));
        lines.push(line(&format!("{name}, light at full"), &emitter.output, |output| number(*output)));
        if emitter.watts.is_known() {
            lines.push(line(&format!("{name}, power"), &emitter.watts, |watts| unit(watts.get(), "W")));
        }
    }
    for wheel in &profile.wheels {
        for (index, slot) in wheel.slots.iter().enumerate() {
            let name = format!("wheel {}, place {} \"{}\"", wheel.attribute.name(), index + 1, slot.name);
            if slot.chromaticity.is_known() {
                lines.push(line(&format!("{name}, colour"), &slot.chromaticity, colour));
            }
            lines.push(line(&format!("{name}, lets pass"), &slot.transmission, |part| number(*part)));
        }
    }
    for programme in &profile.programmes {
        let sound = if programme.sound { ", listens" } else { "" };
        lines.push(FactLine {
            what: format!("programme \"{}\"", programme.name),
            value: Some(format!("\"{}\"{sound}", programme.menu)),
            origin: Origin::Stated,
        });
    }
}

fn line<T>(what: &str, fact: &Fact<T>, tell: impl Fn(&T) -> String) -> FactLine {
    FactLine { what: what.to_owned(), value: fact.get().map(tell), origin: fact.origin() }
}

fn unit(value: f64, unit: &str) -> String {
    format!("{} {unit}", number(value))
}

fn degrees(angle: &Radians) -> String {
    format!("{}°", number((angle.deg() * 1e6).round() / 1e6))
}

fn colour(xy: &Chromaticity) -> String {
    format!("x {}, y {}", number(xy.x), number(xy.y))
}

fn response(response: &Response) -> String {
    match response {
        Response::Linear => "linear".to_owned(),
        Response::Square => "square".to_owned(),
        Response::Measured(curve) => {
            let points: Vec<String> = curve
                .points()
                .iter()
                .map(|[at, light]| format!("{}: {}", number(*at), number(*light)))
                .collect();
            format!("measured ({})", points.join(", "))
        }
    }
}

/// The chart of a mode, span by span.
pub fn chart(mode: &Mode) -> Vec<ChartRow> {
    let rows = |channel: &Channel| -> Vec<ChartRow> {
        let row = |range: &Range| ChartRow {
            place: place(channel),
            channel: channel.name.clone(),
            values: values(range.from, range.to),
            meaning: meaning(range),
            danger: range.danger.map(|danger| danger_words(&danger)).or(range.hold.map(|_| "acts when held")),
            origin: range.origin,
        };
        channel.ranges.iter().map(row).collect()
    };
    mode.channels.iter().flat_map(rows).collect()
}

/// "3", "1 and 2".
pub(super) fn place(channel: &Channel) -> String {
    channel.fine.map_or(channel.coarse.to_string(), |fine| format!("{} and {fine}", channel.coarse))
}

/// "0–9", "7".
pub(super) fn values(from: u16, to: u16) -> String {
    if from == to { from.to_string() } else { format!("{from}–{to}") }
}

fn danger_words(danger: &Danger) -> &'static str {
    match danger {
        Danger::Reset => "resets the motors",
        Danger::Heater => "switches heater, pump or lamp",
        Danger::Sound => "listens to its microphone",
        Danger::Programme => "runs by itself",
        Danger::Other => word(DANGERS, &Danger::Other),
    }
}

/// What the values of a range do: as the chart words it, with its figures.
pub(super) fn meaning(range: &Range) -> String {
    let nothing = range.kind == RangeKind::Nothing || range.attribute == Attribute::NoFeature;
    let mut words = match (range.label.is_empty(), nothing) {
        (true, true) => "nothing".to_owned(),
        (true, false) => range.attribute.name().to_owned(),
        (false, true) => range.label.clone(),
        (false, false) => format!("{} [{}]", range.label, range.attribute.name()),
    };
    match range.kind {
        RangeKind::Select => words.push_str(", in steps"),
        RangeKind::Level if range.direction == Sense::Down && range.physical.is_none() => {
            words.push_str(", downwards");
        }
        _ => {}
    }
    if let Some((from, to)) = range.physical {
        let same = (from - to).abs() <= 0.0;
        let unit = physical_unit(&range.attribute);
        let figures = if same { number(from) } else { format!("{} to {}", number(from), number(to)) };
        match range.attribute {
            Attribute::Shutter1 if same && from >= 1.0 => words.push_str(", open"),
            Attribute::Shutter1 if same && from <= 0.0 => words.push_str(", closed"),
            _ => words.push_str(&format!(", {figures}{unit}")),
        }
    }
    if let Some(slot) = range.slot {
        words.push_str(&format!(", place {slot} of the wheel"));
    }
    if let Some(when) = range.when {
        words.push_str(&format!(", while channel {} is {}", when.channel, values(when.from, when.to)));
    }
    if let Some(hold) = range.hold {
        words.push_str(&format!(", held for {} s", number(hold.get())));
    }
    words
}

/// With its space.
fn physical_unit(attribute: &Attribute) -> &'static str {
    match attribute {
        Attribute::Pan
        | Attribute::Tilt
        | Attribute::Zoom
        | Attribute::Gobo1Pos
        | Attribute::Gobo2Pos
        | Attribute::Prism1Pos => "°",
        Attribute::PanRotate
        | Attribute::TiltRotate
        | Attribute::Gobo1PosRotate
        | Attribute::Gobo2PosRotate
        | Attribute::Prism1PosRotate => "°/s",
        Attribute::Shutter1Strobe
        | Attribute::Shutter1StrobePulse
        | Attribute::Shutter1StrobeRandom
        | Attribute::Shutter1StrobeEffect
        | Attribute::StrobeFrequency
        | Attribute::StrobeRate => " Hz",
        Attribute::CTO | Attribute::CTB | Attribute::CTC => " K",
        Attribute::StrobeDuration => " s",
        _ => "",
    }
}
