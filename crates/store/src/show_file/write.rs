//! From a show to text.

mod score;

use std::collections::BTreeMap;

use lanthorn_physics::colour::Objective;
use lanthorn_physics::units::{Metres, Seconds};
use lanthorn_rig::room::Area;
use lanthorn_rig::sight::Sight;
use lanthorn_rig::{Found, Held, Lead, Rig, Room, Run, Stock, Unit};
use lanthorn_show::figure::{Pace, PhaseSpread, Plane};
use lanthorn_show::{
    Aim, Ask, Chase, Cue, Figure, Look, LuxAsk, Mood, MusicRule, Order, Part, Show, Spread, StepTime, Swing,
    Who,
};

use super::ShowFile;
use crate::ink::{angle, line, list, number, point, quoted, time, with_unit};
use crate::profile_file;
use crate::words::{
    BANDS, CURVES, DIRECTIONS, FIGURE_PLANES, FURNITURE, MIXINGS, ORDERS, PAN_RUNS, PHASE_SPREADS, PLACES,
    PLANES, REGIONS, SPREADS, STRIKES, WAYS_UP, shape_word, word,
};

/// The show as text. Reading it gives the same show.
pub fn write_show(file: &ShowFile) -> String {
    let mut out = String::new();
    line(&mut out, "lanthorn", &file.version.to_string());
    heading(&mut out, "show");
    line(&mut out, "name", &quoted(&file.show.name));
    if !file.notes.is_empty() {
        line(&mut out, "notes", &quoted(&file.notes));
    }
    if let Some(tempo) = file.show.tempo {
        line(&mut out, "tempo", &number(tempo));
    }
    if let Some(start) = &file.show.start {
        line(&mut out, "start", &quoted(start));
    }
    if let Some(tonight) = &file.show.tonight {
        line(&mut out, "tonight", &list(tonight.iter().map(|name| quoted(name))));
    }
    music(&mut out, &file.show);
    room(&mut out, &file.rig);
    power(&mut out, &file.rig);
    units(&mut out, &file.rig);
    found(&mut out, &file.rig);
    for swatch in &file.swatches {
        several(&mut out, "swatch");
        line(&mut out, "name", &quoted(&swatch.name));
        line(&mut out, "colour", &quoted(&swatch.colour.text));
    }
    file.show.figures.iter().for_each(|one| figure(&mut out, one));
    file.show.looks.iter().for_each(|one| look(&mut out, one));
    file.show.chases.iter().for_each(|one| chase(&mut out, one));
    file.show.cues.iter().for_each(|one| cue(&mut out, one));
    file.show.scores.iter().for_each(|one| score::score(&mut out, one));
    for profile in &file.profiles {
        several(&mut out, "profile");
        profile_file::write_into(&mut out, profile, "profile.");
    }
    profile_file::write_kept(&mut out, &file.kept, "");
    out
}

/// One look, as a show file writes it.
pub(crate) fn look_text(one: &Look) -> String {
    let mut out = String::new();
    look(&mut out, one);
    out
}

fn heading(out: &mut String, name: &str) {
    out.push_str(&format!("\n[{name}]\n"));
}

fn several(out: &mut String, name: &str) {
    out.push_str(&format!("\n[[{name}]]\n"));
}

fn room(out: &mut String, rig: &Rig) {
    let room = &rig.room;
    heading(out, "room");
    line(out, "name", &quoted(&room.name));
    line(out, "x", &list(room.x.map(|x| number(x.get()))));
    line(out, "y", &list(room.y.map(|y| number(y.get()))));
    line(out, "height", &number(room.height.get()));
    if let Some(controller) = rig.controller {
        line(out, "controller", &point(controller));
    }
    room.platforms.iter().for_each(|one| area(out, "room.platform", one));
    room.audience.iter().for_each(|one| area(out, "room.audience", one));
    room_things(out, room);
    for place in &room.places {
        several(out, "room.place");
        line(out, "name", &quoted(&place.name));
        line(out, "kind", &quoted(word(PLACES, &place.kind)));
        line(out, "middle", &point(place.middle));
        line(out, "length", &number(place.length.get()));
        if place.turn.get() != 0.0 {
            line(out, "turn", &angle(place.turn));
        }
        if let Some(rated) = place.rated {
            line(out, "rated", &with_unit(rated.get(), "kg"));
        }
        if let Some(own) = place.own_weight {
            line(out, "own_weight", &with_unit(own.get(), "kg"));
        }
        held(out, &place.held);
    }
}

fn held(out: &mut String, held: &Held) {
    if let Some(points) = held.points {
        line(out, "points", &list(points.map(|at| number(at.get()))));
    }
    if let Some(rated) = held.point_rated {
        line(out, "point_rated", &with_unit(rated.get(), "kg"));
    }
    if let Some(tube) = held.tube {
        line(out, "tube", &quoted(tube.name));
    }
    if let Some(legs) = held.legs {
        line(out, "legs", &legs.count.to_string());
        line(out, "leg_radius", &with_unit(legs.radius.get(), "m"));
        if legs.ballast.get() > 0.0 {
            line(out, "ballast", &with_unit(legs.ballast.get(), "kg"));
        }
    }
    if held.outdoors {
        line(out, "outdoors", "true");
    }
}

fn area(out: &mut String, heading: &str, area: &Area) {
    several(out, heading);
    line(out, "name", &quoted(&area.name));
    line(out, "x", &list(area.x.map(|x| number(x.get()))));
    line(out, "y", &list(area.y.map(|y| number(y.get()))));
    if area.height.get() != 0.0 {
        line(out, "height", &number(area.height.get()));
    }
}

fn room_things(out: &mut String, room: &Room) {
    for thing in &room.furniture {
        several(out, "room.furniture");
        line(out, "name", &quoted(&thing.name));
        line(out, "kind", &quoted(word(FURNITURE, &thing.kind)));
        line(out, "at", &point(thing.at));
        line(out, "size", &list(thing.size.map(|size| number(size.get()))));
        if thing.turn.get() != 0.0 {
            line(out, "turn", &angle(thing.turn));
        }
    }
    for mark in &room.marks {
        several(out, "room.mark");
        line(out, "name", &quoted(&mark.name));
        line(out, "at", &point(mark.at));
    }
}

fn power(out: &mut String, rig: &Rig) {
    heading(out, "mains");
    if let Some(region) = rig.mains.region {
        line(out, "region", &quoted(word(REGIONS, &region)));
    }
    line(out, "volts", &with_unit(rig.mains.volts.get(), "V"));
    line(out, "continuous", &number(rig.mains.continuous));
    for (key, value) in [("receptacle", rig.mains.receptacle), ("rcd", rig.mains.rcd)] {
        if let Some(value) = value {
            line(out, key, &with_unit(value.get(), "A"));
        }
    }
    if let Some(generator) = rig.mains.generator {
        line(out, "generator", &with_unit(generator.get(), "VA"));
    }
    stock(out, &rig.stock);
    heading(out, "limits");
    line(out, "flash", &with_unit(rig.limits.flash.get(), "Hz"));
    if let Some(reason) = &rig.limits.flash_reason {
        line(out, "flash_reason", &quoted(reason));
    }
    for circuit in &rig.circuits {
        several(out, "circuit");
        line(out, "name", &quoted(&circuit.name));
        line(out, "breaker", &with_unit(circuit.breaker.get(), "A"));
        if let Some(load) = circuit.other_load {
            line(out, "other_load", &with_unit(load.get(), "A"));
        }
        if let Some(at) = circuit.at {
            line(out, "at", &point(at));
        }
        if let Some(reach) = circuit.reach {
            line(out, "reach", &with_unit(reach.get(), "m"));
        }
        if let Some(lead) = circuit.lead {
            line(out, "lead", &lead_value(lead));
        }
        if let Some(phase) = circuit.phase {
            line(out, "phase", &phase.to_string());
        }
        if let Some(curve) = circuit.curve {
            line(out, "curve", &quoted(word(CURVES, &curve)));
        }
        if let Some(rcd) = circuit.rcd {
            line(out, "rcd", &with_unit(rcd.get(), "A"));
        }
    }
}

fn stock(out: &mut String, stock: &Stock) {
    if *stock != Stock::default() {
        heading(out, "stock");
        for (key, lengths) in [("data", &stock.data), ("power", &stock.power)] {
            line(out, key, &list(lengths.iter().map(|length| number(length.get()))));
        }
    }
}

fn lead_value(lead: Lead) -> String {
    let length = with_unit(lead.length.get(), "m");
    match lead.cable {
        Some(cable) => format!("{{ length = {length}, cable = {} }}", quoted(&cable.words())),
        None => length,
    }
}

fn feed(out: &mut String, unit: &Unit) {
    if let Some(from) = unit.feed.from {
        line(out, "power_from", &from.to_string());
    }
    if let Some(lead) = unit.feed.lead {
        line(out, "lead", &lead_value(lead));
    }
    if let Some(battery) = unit.feed.battery {
        line(out, "battery", &with_unit(battery.get(), "Wh"));
    }
    if unit.feed.fixed {
        line(out, "circuit_fixed", "true");
    }
    if let Some(case) = &unit.case {
        line(out, "case", &quoted(case));
    }
}

fn units(out: &mut String, rig: &Rig) {
    let mut lines: BTreeMap<&str, u32> = BTreeMap::new();
    for one in &rig.units {
        unit(out, rig, one);
        if let Some(name) = &one.line {
            let next = lines.entry(name).or_insert(0);
            *next += 1;
            line(out, "line", &quoted(name));
            if one.line_order != *next {
                line(out, "line_order", &one.line_order.to_string());
            }
        } else if one.line_order != 0 {
            line(out, "line_order", &one.line_order.to_string());
        }
    }
    for group in &rig.groups {
        several(out, "group");
        line(out, "name", &quoted(&group.name));
        let numbers = group.units.iter().filter_map(|index| rig.units.get(*index));
        line(out, "units", &list(numbers.map(|unit| unit.number.to_string())));
    }
}

/// What was found out about the lights.
fn found(out: &mut String, rig: &Rig) {
    for unit in &rig.units {
        for sight in &unit.found.sights {
            several(out, "sight");
            sight_lines(out, unit.number, sight);
        }
    }
    for unit in &rig.units {
        let lines = found_lines(&unit.found);
        if !lines.is_empty() {
            several(out, "found");
            line(out, "unit", &unit.number.to_string());
            lines.iter().for_each(|(key, value)| line(out, key, value));
        }
    }
}

/// The lines of a `[[sight]]` table.
pub(crate) fn sight_lines(out: &mut String, unit: u32, sight: &Sight) {
    line(out, "unit", &unit.to_string());
    if let Some(mark) = &sight.mark {
        line(out, "mark", &quoted(mark));
    }
    line(out, "at", &point(sight.at));
    line(out, "pan", &sight.pan.to_string());
    line(out, "tilt", &sight.tilt.to_string());
}

/// Keys and values of a `[[found]]` table, the light's number aside; none where nothing was found.
pub(crate) fn found_lines(found: &Found) -> Vec<(&'static str, String)> {
    let time = |time: Option<Seconds>| time.map(|time| with_unit(time.get(), "s"));
    let pan = found.pan_backwards.map(|backwards| quoted(word(PAN_RUNS, &backwards)));
    let all = [("pan", pan), ("pan_time", time(found.pan_time)), ("tilt_time", time(found.tilt_time))];
    all.into_iter().filter_map(|(key, value)| Some((key, value?))).collect()
}

fn unit(out: &mut String, rig: &Rig, unit: &Unit) {
    several(out, "unit");
    line(out, "number", &unit.number.to_string());
    line(out, "profile", &quoted(&unit.profile.name));
    line(out, "mode", &quoted(&unit.mode().name));
    if let Some(place) = rig.room.places.get(unit.place) {
        line(out, "place", &quoted(&place.name));
    }
    line(out, "at", &number(unit.offset.get()));
    line(out, "up", &quoted(word(WAYS_UP, &unit.up)));
    for (key, value) in [("turn", unit.turn), ("lean", unit.lean)] {
        if value.get() != 0.0 {
            line(out, key, &angle(value));
        }
    }
    let inverted = [("pan", unit.pan_invert), ("tilt", unit.tilt_invert)];
    if unit.pan_invert || unit.tilt_invert {
        let words = inverted.iter().filter(|(_, on)| *on).map(|(word, _)| quoted(word));
        line(out, "invert", &list(words));
    }
    if unit.swap {
        line(out, "swap", "true");
    }
    if let Some(focus) = unit.focus {
        line(out, "focus", &point(focus));
    }
    run(out, &unit.run);
    if let Some(circuit) = unit.circuit.and_then(|index| rig.circuits.get(index)) {
        line(out, "circuit", &quoted(&circuit.name));
    }
    feed(out, unit);
}

fn run(out: &mut String, run: &Run) {
    match run {
        Run::Driven { address, shares } => {
            match (shares, address) {
                (Some(shares), _) => line(out, "shares", &shares.to_string()),
                (None, Some(address)) => line(out, "address", &quoted(&address.to_string())),
                (None, None) => {}
            };
        }
        Run::Linked { leader, programme } => {
            line(out, "run", "\"linked\"");
            line(out, "leader", &leader.to_string());
            programme_line(out, programme.as_deref());
        }
        Run::OnItsOwn { programme } => {
            line(out, "run", "\"on its own\"");
            programme_line(out, programme.as_deref());
        }
    }
}

fn programme_line(out: &mut String, programme: Option<&str>) {
    if let Some(programme) = programme {
        line(out, "programme", &quoted(programme));
    }
}

fn figure(out: &mut String, figure: &Figure) {
    several(out, "figure");
    line(out, "name", &quoted(&figure.name));
    line(out, "shape", &quoted(shape_word(figure.shape)));
    let metres = |size: Metres| with_unit(size.get(), "m");
    match figure.shape.sizes() {
        (size, None) => line(out, "size", &metres(size)),
        (width, Some(height)) => line(out, "size", &list([width, height].map(metres))),
    }
    match figure.plane {
        Plane::Floor => {}
        Plane::Facing(faces) => {
            line(out, "plane", &format!("{{ faces = {} }}", list(faces.map(number))));
        }
        plane => line(out, "plane", &quoted(word(FIGURE_PLANES, &plane))),
    }
    if figure.turn.get() != 0.0 {
        line(out, "turn", &angle(figure.turn));
    }
    if figure.shape.moves() {
        let speed = match figure.pace {
            Pace::Speed(speed) => with_unit(speed.get(), "m/s"),
            Pace::Beats(beats) => with_unit(beats, "beats"),
            Pace::Round(span) => time(span),
        };
        line(out, "speed", &speed);
    }
    if figure.backwards {
        line(out, "direction", &quoted(word(DIRECTIONS, &true)));
    }
    if figure.shape.takes_phase() {
        line(out, "phase", &number(figure.phase));
    }
    if figure.phase_spread != PhaseSpread::default() {
        line(out, "phase_spread", &quoted(word(PHASE_SPREADS, &figure.phase_spread)));
    }
    aim(out, "centre", figure.centre.as_ref());
}

fn aim(out: &mut String, key: &str, aim: Option<&Aim>) {
    match aim {
        None => {}
        Some(Aim::Mark(name)) => line(out, key, &quoted(name)),
        Some(Aim::At(at)) => line(out, key, &point(*at)),
        Some(Aim::Line { from, to }) => {
            line(out, key, &format!("{{ from = {}, to = {} }}", point(*from), point(*to)));
        }
    }
}

fn look(out: &mut String, look: &Look) {
    several(out, "look");
    line(out, "name", &quoted(&look.name));
    line(out, "fade", &time(look.fade));
    for one in &look.parts {
        several(out, "look.part");
        part(out, one);
    }
}

/// Which lights.
pub(crate) fn who_value(who: &Who) -> String {
    match who {
        Who::All => quoted("all"),
        Who::Group(name) => quoted(name),
        Who::Units(numbers) => list(numbers.iter().map(u32::to_string)),
    }
}

fn part(out: &mut String, part: &Part) {
    line(out, "who", &who_value(&part.who));
    aim(out, "aim", part.aim.as_ref());
    if let Some(figure) = &part.figure {
        line(out, "figure", &quoted(figure));
    }
    let words = |asks: &[Ask]| list(asks.iter().map(|ask| quoted(&ask.text)));
    match &part.colours[..] {
        [] => {}
        [only] => line(out, "colour", &quoted(&only.text)),
        several => line(out, "colour", &words(several)),
    }
    spread(out, "colour_spread", part.colour_spread);
    if part.mixing != Objective::MostLight {
        line(out, "mixing", &quoted(word(MIXINGS, &part.mixing)));
    }
    if part.matched {
        line(out, "match", "true");
    }
    match part.lux {
        Some(LuxAsk { lux, on }) => {
            line(out, "level", &with_unit(lux.get(), "lx"));
            if let Some(on) = on {
                line(out, "on", &quoted(word(PLANES, &on)));
            }
        }
        None => line(out, "level", &number(part.level.0)),
    }
    if let Some(to) = part.level_to {
        line(out, "level_to", &number(to.0));
    }
    spread(out, "level_spread", part.level_spread);
    if let Some(band) = &part.sound {
        line(out, "sound", &quoted(word(BANDS, band)));
    }
    if let Some(colour) = &part.sound_colour {
        line(out, "sound_colour", &quoted(&colour.text));
    }
    if let Some(strobe) = part.strobe {
        line(out, "strobe", &with_unit(strobe.get(), "Hz"));
    }
    if let Some(gobo) = &part.gobo {
        line(out, "gobo", &quoted(gobo));
    }
    if part.prism {
        line(out, "prism", "true");
    }
    if let Some(zoom) = part.zoom {
        line(out, "zoom", &angle(zoom));
    }
    if let Some(focus) = part.focus {
        line(out, "focus", &number(focus));
    }
    let amounts = [("frost", part.frost), ("iris", part.iris), ("haze", part.haze), ("fan", part.fan)];
    for (key, value) in amounts.into_iter().filter(|(_, value)| *value != 0.0) {
        line(out, key, &number(value));
    }
}

fn spread(out: &mut String, key: &str, spread: Spread) {
    if spread != Spread::default() {
        line(out, key, &quoted(word(SPREADS, &spread)));
    }
}

fn music(out: &mut String, show: &Show) {
    let Show { music: rule, moods, .. } = show;
    if *rule == MusicRule::default() && moods.iter().all(Vec::is_empty) {
        return;
    }
    heading(out, "music");
    for (key, span) in [("lead", rule.lead), ("rise", rule.rise), ("fall", rule.fall)] {
        if let Some(span) = span {
            line(out, key, &time(span));
        }
    }
    for (key, bpm) in ["slowest", "fastest"].into_iter().zip(rule.range) {
        if let Some(bpm) = bpm {
            line(out, key, &number(bpm));
        }
    }
    for (mood, looks) in Mood::ALL.into_iter().zip(moods) {
        if !looks.is_empty() {
            line(out, mood.word(), &list(looks.iter().map(|look| quoted(look))));
        }
    }
}

fn chase(out: &mut String, chase: &Chase) {
    several(out, "chase");
    line(out, "name", &quoted(&chase.name));
    if chase.order != Order::default() {
        line(out, "order", &quoted(word(ORDERS, &chase.order)));
    }
    if chase.swing != Swing::EVEN {
        line(out, "swing", &number(chase.swing.0));
    }
    if let Some(rounds) = chase.rounds {
        line(out, "rounds", &rounds.to_string());
    }
    line(out, "fade", &time(chase.fade));
    if chase.calm {
        line(out, "calm", "true");
    }
    if let Some(strike) = &chase.at_each {
        line(out, "at_each", &quoted(word(STRIKES, strike)));
    }
    out.push_str("steps = [\n");
    for step in &chase.steps {
        let (look, time, fade) = (quoted(&step.look), step_time(step.time), step_time(step.fade));
        out.push_str(&format!("  {{ look = {look}, time = {time}, fade = {fade} }},\n"));
    }
    out.push_str("]\n");
}

fn step_time(step: StepTime) -> String {
    match step {
        StepTime::Time(span) => time(span),
        StepTime::Beats(beats) => with_unit(beats, "beats"),
        StepTime::Bars(bars) => with_unit(bars, "bars"),
    }
}

fn cue(out: &mut String, cue: &Cue) {
    several(out, "cue");
    line(out, "number", &quoted(&cue.number));
    for (key, text) in [("name", &cue.name), ("note", &cue.note)] {
        if !text.is_empty() {
            line(out, key, &quoted(text));
        }
    }
    if let Some(look) = &cue.look {
        line(out, "look", &quoted(look));
    }
    if let Some(chases) = &cue.chases {
        line(out, "chases", &list(chases.iter().map(|chase| quoted(chase))));
    }
    line(out, "fade", &time(cue.fade));
    if let Some(follow) = cue.follow {
        line(out, "follow", &time(follow));
    }
    if let Some(tempo) = cue.tempo {
        line(out, "tempo", &number(tempo));
    }
}

/// A score as a show file has it.
pub(crate) fn score_text(score: &lanthorn_show::Score) -> String {
    let mut out = String::new();
    score::score(&mut out, score);
    out
}
