//! What the show says of its mains, circuits and hanging places: words of a sentence, each of which opens its editor.

use lanthorn_rig::rig::Mains;
use lanthorn_rig::sums::bar::TUBES;
use lanthorn_rig::sums::electric::{Curve, Region};
use lanthorn_rig::{Circuit, HangingPlace, Lead, PlaceKind};

use crate::wire::{FieldChoice, FieldView};

/// One that is typed.
fn typed(field: &str, words: String, value: String, ask: &str) -> FieldView {
    FieldView { field: field.to_owned(), words, value, ask: ask.to_owned(), choices: Vec::new() }
}

/// One that is chosen from a few.
fn chosen(field: &str, words: String, value: &str, ask: &str, choices: &[(&str, &str)]) -> FieldView {
    let choice = |(words, value): &(&str, &str)| FieldChoice {
        words: (*words).to_owned(),
        value: (*value).to_owned(),
    };
    FieldView {
        field: field.to_owned(),
        words,
        value: value.to_owned(),
        ask: ask.to_owned(),
        choices: choices.iter().map(choice).collect(),
    }
}

/// A number without needless places, and its unit.
fn with(value: f64, unit: &str) -> String {
    let number = format!("{value:.3}");
    format!("{} {unit}", number.trim_end_matches('0').trim_end_matches('.'))
}

/// A value in the sentence, or that it is not known.
fn or_unknown(value: Option<String>, known: impl Fn(&str) -> String, unknown: &str) -> (String, String) {
    match value {
        Some(value) => (known(&value), value),
        None => (unknown.to_owned(), String::new()),
    }
}

/// What the plan reckons the supply to be.
pub(super) fn mains(mains: &Mains) -> Vec<FieldView> {
    let (region, word) = match mains.region {
        None => ("no region said", ""),
        Some(Region::Us) => ("as usual in North America", "us"),
        Some(Region::Uk) => ("as usual in the United Kingdom", "uk"),
        Some(Region::Eu) => ("as usual in continental Europe", "eu"),
        Some(Region::Jp) => ("as usual in Japan", "jp"),
    };
    let regions = [
        ("none", ""),
        ("North America", "us"),
        ("United Kingdom", "uk"),
        ("continental Europe", "eu"),
        ("Japan", "jp"),
    ];
    let volts = with(mains.volts.get(), "V");
    let share = with(mains.continuous * 100.0, "%");
    let (rcd, rcd_value) = residual(mains.rcd.map(|amps| amps.get()));
    let generator = mains.generator.map(|rated| with(rated.get() / 1e3, "kVA"));
    let (from, generator) =
        or_unknown(generator, |rated| format!("from a generator of {rated}"), "not from a generator");
    vec![
        typed("volts", format!("{volts} mains"), volts.clone(), "volts, such as 230 V"),
        chosen("region", region.to_owned(), word, "as usual in", &regions),
        typed(
            "continuous",
            format!("planned to {share} of a breaker"),
            share.clone(),
            "for hours of use, such as 80 %",
        ),
        typed("rcd", rcd, rcd_value, "residual current device, such as 30 mA"),
        typed("generator", from, generator, "generator, such as 5 kVA"),
    ]
}

fn residual(amps: Option<f64>) -> (String, String) {
    or_unknown(
        amps.map(|amps| with(amps * 1e3, "mA")),
        |rated| format!("a {rated} residual current device"),
        "residual current device not known",
    )
}

fn lead(lead: Option<Lead>) -> (String, String) {
    let value = lead.map(|lead| match lead.cable {
        Some(cable) => format!("{}, {}", with(lead.length.get(), "m"), cable.words()),
        None => with(lead.length.get(), "m"),
    });
    or_unknown(value, |value| format!("a lead of {value} to its lights"), "its lead not known")
}

/// What the show says of a circuit.
pub(super) fn circuit(circuit: &Circuit) -> Vec<FieldView> {
    let breaker = with(circuit.breaker.get(), "A");
    let other = circuit.other_load.map(|amps| with(amps.get(), "A"));
    let (load, other) = or_unknown(other, |amps| format!("{amps} of other load"), "other load not known");
    let (rcd, rcd_value) = residual(circuit.rcd.map(|amps| amps.get()));
    let (lead, lead_value) = lead(circuit.lead);
    let curve = match circuit.curve {
        None => "",
        Some(Curve::B) => "B",
        Some(Curve::C) => "C",
        Some(Curve::D) => "D",
    };
    let curves = [("not known", ""), ("B", "B"), ("C", "C"), ("D", "D")];
    let phase = circuit.phase.map(|phase| phase.to_string());
    let (phase_words, phase) = or_unknown(phase, |phase| format!("phase {phase}"), "phase not known");
    let at = circuit.at.map(|at| point([at.x(), at.y(), at.z()]));
    let (socket, at) = or_unknown(at, |at| format!("its socket at {at}"), "its socket’s place not known");
    vec![
        typed("breaker", format!("a breaker of {breaker}"), breaker.clone(), "breaker, such as 16 A"),
        typed("other_load", load, other, "what else hangs on it, such as 2 A"),
        typed("rcd", rcd, rcd_value, "residual current device, such as 30 mA"),
        chosen(
            "curve",
            if curve.is_empty() { "curve not known".to_owned() } else { format!("curve {curve}") },
            curve,
            "curve, as printed on it",
            &curves,
        ),
        typed("lead", lead, lead_value, "length and size, such as 15 m, 1.5 mm2"),
        typed("phase", phase_words, phase, "phase, 1 to 3"),
        typed("at", socket, at, "right, back, up in metres, such as 6.4, 0.2, 0.3"),
    ]
}

/// "0, -1, 3.6": right, back and up of the room's middle.
fn point(point: [f64; 3]) -> String {
    point.map(|metres| with(metres, "").trim_end().to_owned()).join(", ")
}

/// What the show says of a bar, truss, stand or stretch of floor.
pub(super) fn place(place: &HangingPlace) -> Vec<FieldView> {
    let middle = point([place.middle.x(), place.middle.y(), place.middle.z()]);
    let mut fields = vec![typed(
        "middle",
        format!("its middle at {middle}"),
        middle.clone(),
        "right, back, up in metres, such as 0, -1, 3.6",
    )];
    let length = with(place.length.get(), "m");
    fields.push(typed("length", format!("{length} long"), length.clone(), "end to end, such as 6 m"));
    if place.kind == PlaceKind::Floor {
        return fields;
    }
    let kilograms =
        |value: Option<lanthorn_physics::units::Kilograms>| value.map(|value| with(value.get(), "kg"));
    let (rated, rated_value) = or_unknown(
        kilograms(place.rated),
        |rated| format!("{rated} written on it"),
        "its written limit not known",
    );
    fields.push(typed("rated", rated, rated_value, "what its owner or maker has written, such as 80 kg"));
    let (own, own_value) =
        or_unknown(kilograms(place.own_weight), |own| format!("{own} itself"), "its own weight not known");
    fields.push(typed("own_weight", own, own_value, "its own weight, such as 5 kg"));
    fields.extend(if place.kind == PlaceKind::Stand { stand(place) } else { hung(place) });
    fields
}

/// The points and the tube of a bar.
fn hung(place: &HangingPlace) -> Vec<FieldView> {
    let points = place.held.points.map(|[left, right]| {
        [left, right].map(|metres| with(metres.get(), "").trim_end().to_owned()).join(", ")
    });
    let (points, points_value) =
        or_unknown(points, |at| format!("on points at {at}"), "its points not known");
    let rated = place.held.point_rated.map(|rated| with(rated.get(), "kg"));
    let (rated, rated_value) =
        or_unknown(rated, |rated| format!("{rated} written on each"), "their limit not known");
    let tube = place.held.tube.map_or("", |tube| tube.name);
    let mut tubes = vec![("not known", "")];
    tubes.extend(TUBES.iter().map(|tube| (tube.name, tube.name)));
    vec![
        typed("points", points, points_value, "two points, metres from its middle, such as -2, 2"),
        typed("point_rated", rated, rated_value, "what is written on each, such as 100 kg"),
        chosen(
            "tube",
            if tube.is_empty() { "its tube not known".to_owned() } else { format!("a tube of {tube}") },
            tube,
            "tube, millimetres",
            &tubes,
        ),
    ]
}

/// The legs of a stand.
fn stand(place: &HangingPlace) -> Vec<FieldView> {
    let legs = place.held.legs;
    let (count, count_value) = or_unknown(
        legs.map(|legs| legs.count.to_string()),
        |count| format!("{count} legs"),
        "its legs not known",
    );
    let (radius, radius_value) = or_unknown(
        legs.map(|legs| with(legs.radius.get(), "m")),
        |radius| format!("each {radius} out"),
        "how far they reach not known",
    );
    let ballast =
        legs.map(|legs| legs.ballast.get()).filter(|kilograms| *kilograms > 0.0).map(|kg| with(kg, "kg"));
    let (ballast, ballast_value) =
        or_unknown(ballast, |ballast| format!("{ballast} of ballast"), "no ballast");
    let outdoors = place.held.outdoors;
    vec![
        typed("legs", count, count_value, "how many legs, such as 3"),
        typed("leg_radius", radius, radius_value, "from the mast to a leg’s end, such as 0.6 m"),
        typed("ballast", ballast, ballast_value, "weight on its foot, such as 10 kg"),
        chosen(
            "outdoors",
            if outdoors { "outdoors" } else { "indoors" }.to_owned(),
            if outdoors { "true" } else { "" },
            "it stands",
            &[("indoors", ""), ("outdoors", "true")],
        ),
    ]
}
