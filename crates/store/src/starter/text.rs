//! The text, as a careful person would write it.

use std::fmt::Write;

use super::Wanted;
use super::groups::{Class, SWITCHES};
use super::hang::{Hung, Spot};
use super::room::{Space, dm};
use super::show::Show;
use crate::ink::{line, list, number, quoted};
use crate::profile_file;

/// Beats a minute at the start.
const TEMPO: &str = "104";

/// The first lines.
pub(super) fn head(name: &str, start: Option<&str>) -> String {
    let mut out = String::new();
    // A name is one line: the remark cannot end early.
    let _ = writeln!(out, "# {name}: a first show. Everything in it is there to be changed.");
    out.push_str(
        "# Points are [right, back, up] in metres, as the audience sees it, from the middle of the stage front or, where\n\
         # there is no stage, from where those who speak have their place.\n\nlanthorn = 1\n\n[show]\n",
    );
    line(&mut out, "name", &quoted(name));
    line(&mut out, "tempo", TEMPO);
    if let Some(start) = start {
        line(&mut out, "start", &quoted(start));
    }
    out
}

/// Room, places and lights.
pub(super) fn placed(space: &Space, wanted: &[Wanted], hung: &[Hung]) -> String {
    let mut out = String::new();
    room(&mut out, space);
    out.push_str(
        "\n# What lights hang on and stand on. How much a bar or a stand may carry is written on it or known to its owner:\n\
         # put it down as `rated`; without it nothing may hang there.\n",
    );
    for spot in Spot::ALL {
        let there: Vec<&Hung> = hung.iter().filter(|light| light.spot == spot).collect();
        let used = there.iter().map(|light| light.at.abs()).reduce(f64::max);
        if let Some(half) = used {
            place(&mut out, space, spot, half);
        }
    }
    out.push_str(
        "\n# Which socket feeds which light is not said yet: name each as a [[circuit]] with what its breaker is marked, and\n\
         # give every light its `circuit`.\n\n[limits]\nflash = \"3 Hz\"\n\n\
         # The lights, numbered from left to right. Addresses follow each other: set each light's menu as the plan says.\n",
    );
    for units in hung.chunk_by(together) {
        unit(&mut out, space, &wanted[units[0].of], units);
    }
    out
}

/// A room with a bar and nothing on it.
pub(super) fn empty(space: &Space) -> String {
    let mut out = String::new();
    room(&mut out, space);
    out.push_str("\n# What lights hang on. Put down as `rated` what it may carry: its owner knows.\n");
    place(&mut out, space, Spot::FrontBar, space.longest_bar() / 2.0 - 0.5);
    out
}

/// Lights that one `[[unit]]` can name.
fn together(a: &Hung, b: &Hung) -> bool {
    let universe = |light: &Hung| light.address.map(|address| address.universe.number());
    (a.of, a.spot, a.line, universe(a)) == (b.of, b.spot, b.line, universe(b))
}

fn area(out: &mut String, heading: &str, name: &str, x: [f64; 2], y: [f64; 2]) {
    let _ = write!(out, "\n[[room.{heading}]]\n");
    line(out, "name", &quoted(name));
    line(out, "x", &list(x.map(number)));
    line(out, "y", &list(y.map(number)));
}

fn room(out: &mut String, space: &Space) {
    out.push_str("\n[room]\n");
    line(out, "name", &quoted(&space.name));
    let half = space.width / 2.0;
    line(out, "x", &list([-half, half].map(number)));
    line(
        out,
        "y",
        &format!(
            "{} # the audience's end, and the wall behind whoever speaks",
            list([space.near, space.far].map(number))
        ),
    );
    line(out, "height", &metres(space.height));
    let side = space.half_of_people();
    if space.stage {
        let stage = space.stage_half();
        area(out, "platform", "stage", [-stage, stage], [0.0, space.far]);
        line(out, "height", &metres(space.floor));
    }
    out.push_str("\n# Where people are: eyes are looked after there.\n");
    area(out, "audience", "dance floor", [-side, side], space.dance);
    if let Some(seats) = space.seats {
        area(out, "audience", "seats on the left", [-side, -AISLE], seats);
        area(out, "audience", "seats on the right", [AISLE, side], seats);
    }
    out.push_str("\n# What is aimed at. Move a mark, and every look goes with it.\n");
    let [wall_x, wall_z] = space.wall_spot();
    let [face_y, face_z] = space.face;
    for (name, at, remark) in [
        ("speaker", [0.0, face_y, face_z], " # the face of somebody who stands"),
        ("dance floor", [0.0, space.dance_middle(), 0.0], ""),
        ("aisle", [0.0, space.aisle(), 0.0], ""),
        ("back wall left", [-wall_x, space.far, wall_z], ""),
        ("back wall right", [wall_x, space.far, wall_z], ""),
    ] {
        out.push_str("\n[[room.mark]]\n");
        line(out, "name", &quoted(name));
        line(out, "at", &format!("{}{remark}", list(at.map(number))));
    }
}

/// Half of the way between the seats, metres.
const AISLE: f64 = 0.9;

fn place(out: &mut String, space: &Space, spot: Spot, half: f64) {
    let far = space.far - if space.stage { 0.7 } else { 0.5 };
    let stand = dm((space.height - 0.4).min(2.4));
    let aside = space.width / 2.0 - 0.7;
    let (kind, middle, turned) = match spot {
        Spot::FrontBar => ("bar", [0.0, space.front_bar, space.bar_height], false),
        Spot::BackBar => ("bar", [0.0, space.back_bar, space.bar_height], false),
        Spot::LeftStand => ("stand", [-aside - 0.1, space.front_bar - 0.4, stand], false),
        Spot::RightStand => ("stand", [aside + 0.1, space.front_bar - 0.4, stand], false),
        Spot::BackFloor => ("floor", [0.0, far, space.floor], false),
        Spot::LeftSide => ("floor", [-aside, space.side()[0], 0.0], true),
        Spot::RightSide => ("floor", [aside, space.side()[0], 0.0], true),
    };
    out.push_str("\n[[room.place]]\n");
    line(out, "name", &quoted(spot.name()));
    line(out, "kind", &quoted(kind));
    line(out, "middle", &list(middle.map(dm).map(number)));
    // To the half metre, and some way beyond the last light.
    let length = (((half + 0.25) * 2.0) * 2.0).ceil() / 2.0;
    line(out, "length", &metres(if kind == "stand" { 1.2 } else { length }));
    if turned {
        line(out, "turn", &quoted("90°"));
    }
}

fn unit(out: &mut String, space: &Space, lights: &Wanted, units: &[Hung]) {
    out.push_str("\n[[unit]]\n");
    let numbers: Vec<u32> = units.iter().map(|light| light.number).collect();
    match numbers[..] {
        [only] => line(out, "number", &only.to_string()),
        _ => line(out, "numbers", &named(&numbers)),
    }
    line(out, "profile", &quoted(&lights.profile.name));
    line(out, "mode", &quoted(&lights.profile.modes[lights.mode].name));
    let spot = units[0].spot;
    line(out, "place", &quoted(spot.name()));
    let each = |sources: Vec<String>| match &sources[..] {
        [only] => only.clone(),
        _ => list(sources),
    };
    line(out, "at", &each(units.iter().map(|light| number(light.at)).collect()));
    if matches!(spot, Spot::LeftStand | Spot::RightStand) {
        line(out, "up", &quoted("hanging"));
    }
    if let Some(address) = units[0].address {
        line(out, "address", &quoted(&address.to_string()));
    }
    let focus: Vec<[f64; 3]> = units.iter().filter_map(|light| focus(space, lights, light)).collect();
    if !focus.is_empty() {
        line(out, "focus", &each(focus.iter().map(|at| list(at.map(number))).collect()));
    }
    line(out, "line", &quoted(&line_name(units[0].line)));
}

/// A, B, … Z, line 27, …
fn line_name(index: usize) -> String {
    match u8::try_from(index) {
        Ok(letter) if letter < 26 => char::from(b'A' + letter).to_string(),
        _ => (index + 1).to_string(),
    }
}

/// Where a light that does not move is pointed when it is rigged.
fn focus(space: &Space, lights: &Wanted, light: &Hung) -> Option<[f64; 3]> {
    let cm = |value: f64| (value * 100.0).round() / 100.0 + 0.0;
    let class = Class::of(&lights.profile, lights.mode);
    let (x, y) = (light.at, space.far);
    let up = space.floor + ((space.height - space.floor) * 0.5).min(2.4);
    let at = match (class, light.spot) {
        (Class::Wash | Class::Spot | Class::Hazer | Class::Pack | Class::Switch | Class::Extra, _) => {
            return None;
        }
        (Class::Strobe, Spot::LeftSide) => [-space.width / 2.0 + 1.0, space.side()[0] + x, space.height],
        (Class::Strobe, Spot::RightSide) => [space.width / 2.0 - 1.0, space.side()[0] + x, space.height],
        // At the ceiling, never at people.
        (Class::Strobe, Spot::BackFloor) => [x, y - 1.5, space.height],
        (Class::Strobe, _) => [x, space.front_bar + 0.6, space.height],
        (_, Spot::FrontBar) => [x - (x * 0.8).clamp(-1.2, 1.2), space.face[0], space.face[1]],
        (_, Spot::LeftStand) => [-0.3, space.face[0], space.face[1]],
        (_, Spot::RightStand) => [0.3, space.face[0], space.face[1]],
        (_, Spot::BackBar) => space.under_back_bar(x * 0.8),
        (_, Spot::BackFloor) => [x, y, up],
        (_, Spot::LeftSide) => [-space.width / 2.0, space.side()[0] + x, up - space.floor],
        (_, Spot::RightSide) => [space.width / 2.0, space.side()[0] + x, up - space.floor],
    };
    Some(at.map(cm))
}

fn metres(value: f64) -> String {
    quoted(&format!("{} m", number(value)))
}

/// Numbers as the file names them: `"1-4"`, or a list.
fn named(numbers: &[u32]) -> String {
    match numbers {
        [only] => only.to_string(),
        [first, .., last] if numbers.len() > 2 && numbers.windows(2).all(|pair| pair[1] == pair[0] + 1) => {
            quoted(&format!("{first}-{last}"))
        }
        _ => list(numbers.iter().map(u32::to_string)),
    }
}

/// Groups, colours, figures, looks, chases and cues.
pub(super) fn show(show: &Show) -> String {
    let mut out = String::new();
    if !show.left_out.is_empty() {
        let _ = write!(out, "\n# No look has {}: not every mark is in reach.\n", named(&show.left_out));
    }
    for (name, numbers) in &show.groups {
        if *name == SWITCHES && show.groups.len() > 1 {
            out.push_str(
                "\n# No look switches these: nobody but you knows what is plugged in, and how often it may be switched.\n",
            );
        }
        table(&mut out, "group", &quoted(name), &[("units", named(numbers))]);
    }
    if !show.swatches.is_empty() {
        out.push_str("\n# Colours by name: change one here, and it changes in every look.\n");
    }
    for (name, colour) in &show.swatches {
        table(&mut out, "swatch", &quoted(name), &[("colour", quoted(colour))]);
    }
    if !show.figures.is_empty() {
        out.push_str("\n# Paths of spots on the dance floor.\n");
    }
    for figure in &show.figures {
        table(&mut out, "figure", &quoted(figure.name), &figure.lines);
    }
    out.push_str("\n# Looks.\n");
    for look in &show.looks {
        let fade = quoted(&format!("{} s", look.fade));
        table(&mut out, "look", &with_remark(look.name, look.remark), &[("fade", fade)]);
        for part in &look.parts {
            out.push_str("\n[[look.part]]\n");
            part.iter().for_each(|(key, value)| line(&mut out, key, value));
        }
    }
    moods(&mut out, show);
    if !show.chases.is_empty() {
        out.push_str("\n# Chases: they keep to the tempo.\n");
    }
    for chase in &show.chases {
        let steps = list(chase.steps.iter().map(|step| quoted(step)));
        let mut lines = vec![("fade", quoted(chase.own_fade))];
        if chase.order != "forward" {
            lines.push(("order", quoted(chase.order)));
        }
        lines.extend([
            ("step_time", quoted(chase.time)),
            ("step_fade", quoted(chase.fade)),
            ("steps", steps),
        ]);
        table(&mut out, "chase", &with_remark(chase.name, chase.remark), &lines);
    }
    if !show.cues.is_empty() {
        out.push_str("\n# The evening.\n");
    }
    for (place, cue) in show.cues.iter().enumerate() {
        out.push_str("\n[[cue]]\n");
        line(&mut out, "number", &(place + 1).to_string());
        line(&mut out, "name", &quoted(cue.name));
        line(&mut out, "note", &quoted(cue.note));
        line(&mut out, "look", &quoted(cue.look));
        if let Some(chases) = &cue.chases {
            line(&mut out, "chases", &list(chases.iter().map(|name| quoted(name))));
        }
        line(&mut out, "fade", &quoted(&format!("{} s", cue.fade)));
        if let Some(tempo) = cue.tempo {
            line(&mut out, "tempo", &tempo.to_string());
        }
    }
    out
}

fn moods(out: &mut String, show: &Show) {
    if !show.moods.is_empty() {
        out.push_str("\n# Looks for the music to pick from, once it is asked to.\n\n[music]\n");
    }
    for (mood, looks) in &show.moods {
        line(out, mood, &list(looks.iter().map(|look| quoted(look))));
    }
}

fn table(out: &mut String, heading: &str, name: &str, lines: &[(&'static str, String)]) {
    let _ = write!(out, "\n[[{heading}]]\n");
    line(out, "name", name);
    lines.iter().for_each(|(key, value)| line(out, key, value));
}

/// The kinds of light, once each, as their manuals describe them: so that the file opens anywhere.
pub(super) fn profiles(wanted: &[Wanted]) -> String {
    let mut out = String::new();
    let mut seen: Vec<&str> = Vec::new();
    for lights in wanted {
        let name = lights.profile.name.as_str();
        if !seen.contains(&name) {
            if seen.is_empty() {
                out.push_str(
                    "\n# The lights as their manuals describe them, so that this file opens anywhere.\n",
                );
            }
            seen.push(name);
            out.push('\n');
            out.push_str(&profile_file::write_table(&lights.profile));
        }
    }
    out
}

/// A name in quotation marks with its remark behind it.
fn with_remark(name: &str, remark: &str) -> String {
    if remark.is_empty() { quoted(name) } else { format!("{} # {remark}", quoted(name)) }
}
