//! From the words of a table to what its channels and ranges do.

mod purpose;

use super::Light;
use super::ask::{About, Asker};
use super::doubt_words::Place;
use super::meaning::{self, Around, Meaning, ONE_MOTOR};
use super::subject::{self, Subject};
use super::table::{RawChannel, RawRange, Table};
use super::text::plain;
use super::words::{self, Said};
use crate::reading::{ChannelReading, KindReading as Kind, ModeReading, RangeReading, Way, WhenReading};
use purpose::{around, by_light, named, second_wheels, subject, subtractive};

/// The longest name of a channel, in letters.
const MOST_OF_A_NAME: usize = 60;

/// The mode that a table describes, as printed. Doubts about words are asked here, doubts about numbers in
/// [`super::doubts`].
pub(super) fn mode(name: &str, table: &Table, light: Light, asker: &mut Asker<'_>) -> ModeReading {
    let channels: Vec<RawChannel> = table.channels.iter().map(named).collect();
    let mut subjects: Vec<Option<Subject>> = channels.iter().map(subject).collect();
    second_wheels(&channels, &mut subjects);
    subtractive(&mut subjects);
    by_light(&channels, &mut subjects, light);
    let around = around(&subjects, light);
    let mut mode = ModeReading { name: name.to_owned(), ..ModeReading::default() };
    let wheel_names = channels.iter().zip(&subjects);
    for (raw, subject) in wheel_names {
        let lines = lines(raw);
        let number = u16::try_from(raw.number).unwrap_or(u16::MAX);
        let fine = fine_of(&mode, raw, *subject, name, &lines, asker);
        let mut channel = ChannelReading {
            ch: number,
            name: shortened(&tidy(&raw.name)),
            fine_of: fine,
            lines,
            ..ChannelReading::default()
        };
        channel.ranges = ranges(raw, *subject, around, &channel, name, asker);
        if let Some(coarse) = fine {
            let attr = mode.channels.iter().find(|channel| channel.ch == coarse).and_then(|channel| {
                channel
                    .ranges
                    .iter()
                    .find(|range| range.kind == Kind::Level)
                    .or(channel.ranges.first())
                    .map(|range| range.attr.clone())
            });
            for range in &mut channel.ranges {
                range.attr = attr.clone().unwrap_or_else(|| range.attr.clone());
            }
        }
        if channel.name.is_empty() {
            channel.name = called(&channel).to_owned();
        }
        let twin = raw.fine.map(|fine| ChannelReading {
            ch: u16::try_from(fine).unwrap_or(u16::MAX),
            name: format!("{} fine", channel.name).trim().to_owned(),
            fine_of: Some(number),
            ranges: whole_level(&channel),
            ..channel.clone()
        });
        mode.channels.push(channel);
        mode.channels.extend(twin);
    }
    slots(&mut mode);
    heads(&mut mode);
    mode
}

/// The range of a fine byte: all of its values, for what its coarse one does.
fn whole_level(coarse: &ChannelReading) -> Vec<RangeReading> {
    let attr = coarse
        .ranges
        .iter()
        .find(|range| range.kind == Kind::Level)
        .or(coarse.ranges.first())
        .map(|range| range.attr.clone());
    vec![RangeReading {
        from: 0,
        to: 255,
        attr: attr.unwrap_or_else(|| "NoFeature".to_owned()),
        kind: Kind::Level,
        dir: Some(Way::Up),
        origin: "derived".to_owned(),
        lines: coarse.lines.clone(),
        ..RangeReading::default()
    }]
}

/// A channel that has no name in print is called by what it does.
fn called(channel: &ChannelReading) -> &'static str {
    let main = channel.ranges.iter().find(|range| range.kind != Kind::None).or(channel.ranges.first());
    let attr = main.map_or("", |range| range.attr.as_str());
    match attr {
        _ if channel.fine_of.is_some() => "fine",
        "Pan" => "pan",
        "Tilt" => "tilt",
        "PositionMSpeed" => "movement speed",
        "Dimmer" => "dimmer",
        "ColorAdd_R" => "red",
        "ColorAdd_G" => "green",
        "ColorAdd_B" => "blue",
        "ColorAdd_W" => "white",
        "ColorAdd_WW" => "warm white",
        "ColorAdd_CW" => "cold white",
        "ColorAdd_RY" => "amber",
        "ColorAdd_GY" => "lime",
        "ColorAdd_UV" => "ultraviolet",
        "ColorSub_C" => "cyan",
        "ColorSub_M" => "magenta",
        "ColorSub_Y" => "yellow",
        "ColorMacro1" => "colour mixes",
        "Color1" | "Color2" => "colour wheel",
        "Gobo1" | "Gobo2" => "gobos",
        "Effects1" => "own programmes",
        "Effects1Rate" => "programme speed",
        "FixtureGlobalReset" => "service",
        "Zoom" => "zoom",
        "Focus1" => "focus",
        "NoFeature" => "not used",
        _ if attr.starts_with("Shutter1") => "shutter",
        _ if attr.starts_with("Prism") => "prism",
        _ => "",
    }
}

fn lines(raw: &RawChannel) -> Vec<u32> {
    let mut lines: Vec<u32> =
        raw.lines.iter().chain(raw.ranges.iter().flat_map(|range| &range.lines)).copied().collect();
    lines.sort_unstable();
    lines.dedup();
    lines
}

/// The coarse channel of a fine byte; a fine byte that has none is asked about.
fn fine_of(
    mode: &ModeReading,
    raw: &RawChannel,
    subject: Option<Subject>,
    name: &str,
    lines: &[u32],
    asker: &mut Asker<'_>,
) -> Option<u16> {
    use Subject as S;
    let wanted: Option<&[&str]> = match subject {
        _ if raw.fine.is_some() => return None,
        Some(S::PanFine) => Some(&["Pan"]),
        Some(S::TiltFine) => Some(&["Tilt"]),
        Some(S::DimmerFine) => Some(&["Dimmer"]),
        Some(S::Fine) => None,
        // "X axis", the one of them with "fine tuning" beside its values.
        Some(S::Pan) if fine_range(raw) => Some(&["Pan"]),
        Some(S::Tilt) if fine_range(raw) => Some(&["Tilt"]),
        _ if is_fine(&raw.name)
            || raw.name.is_empty() && raw.ranges.len() == 1 && is_fine(&raw.ranges[0].label) =>
        {
            let coarse = coarse_name(if raw.name.is_empty() { &raw.ranges[0].label } else { &raw.name });
            let found = mode.channels.iter().rev().find(|channel| {
                channel.fine_of.is_none()
                    && (plain(&channel.name) == coarse
                        || channel.name.is_empty()
                            && channel.ranges.iter().any(|range| plain(&range.label) == coarse))
            });
            if let Some(channel) = found {
                return Some(channel.ch);
            }
            let attr = subject::subject(&coarse)
                .map(|subject| meaning::of(Some(subject), "", 1, Around::default()).attr);
            let by_attr = mode.channels.iter().rev().find(|channel| {
                channel.fine_of.is_none()
                    && channel.ranges.iter().any(|range| attr.as_ref() == Some(&range.attr))
            });
            return match by_attr {
                Some(channel) => Some(channel.ch),
                None => ask_fine(mode, raw, name, lines, asker),
            };
        }
        _ => return None,
    };
    let taken = |ch: u16| mode.channels.iter().any(|channel| channel.fine_of == Some(ch));
    let found = mode.channels.iter().rev().find(|channel| {
        channel.fine_of.is_none()
            && !taken(channel.ch)
            && match wanted {
                Some(attrs) => channel.ranges.iter().any(|range| attrs.contains(&range.attr.as_str())),
                None => u32::from(channel.ch) + 1 == raw.number,
            }
    });
    match found {
        Some(channel) => Some(channel.ch),
        None => ask_fine(mode, raw, name, lines, asker),
    }
}

fn fine_range(raw: &RawChannel) -> bool {
    matches!(raw.ranges.as_slice(), [range] if Said::new(&range.label).has("fine|fine tuning|fein|fin|fino|fijn"))
}

fn ask_fine(
    mode: &ModeReading,
    raw: &RawChannel,
    name: &str,
    lines: &[u32],
    asker: &mut Asker<'_>,
) -> Option<u16> {
    let ch = u16::try_from(raw.number).unwrap_or(u16::MAX);
    let text = format!(
        "Channel {ch} (\"{}\") is called a fine byte, and there is no coarse channel before it that it belongs to. Which one?",
        tidy(&raw.name)
    );
    let coarse: Vec<(String, String)> = mode
        .channels
        .iter()
        .filter(|channel| channel.fine_of.is_none())
        .map(|channel| (format!("of {}", channel.ch), format!("channel {} ({})", channel.ch, channel.name)))
        .collect();
    let mut choices: Vec<(&str, &str)> = vec![("alone", "it is a channel of its own")];
    choices.extend(coarse.iter().map(|(value, text)| (value.as_str(), text.as_str())));
    let about = About {
        kind: "fine_without_coarse",
        mode: Some(name),
        ch: Some(ch),
        which: 0,
        lines: lines.to_vec(),
    };
    let answer = asker.ask(about, text, &choices)?;
    answer.strip_prefix("of ")?.parse().ok()
}

fn is_fine(name: &str) -> bool {
    let said = Said::new(name);
    said.has(words::FINE) && !said.has("fin|adjustment") || said.has("fine adjustment")
}

fn coarse_name(name: &str) -> String {
    let said = Said::new(name);
    let kept: Vec<&str> = said
        .words()
        .filter(|word| {
            !matches!(
                *word,
                "fine"
                    | "16"
                    | "bit"
                    | "16bit"
                    | "lsb"
                    | "fein"
                    | "feines"
                    | "feinbyte"
                    | "byte"
                    | "octet"
                    | "fino"
                    | "fin"
                    | "fijn"
                    | "adjustment"
                    | "feineinstellung"
            )
        })
        .collect();
    kept.join(" ")
}

/// The ranges of a channel. One that is printed wrongly is left out and asked about.
fn ranges(
    raw: &RawChannel,
    subject: Option<Subject>,
    around: Around,
    channel: &ChannelReading,
    mode: &str,
    asker: &mut Asker<'_>,
) -> Vec<RangeReading> {
    let several = raw.ranges.len();
    let on = |range: &RawRange| {
        let said = Said::new(&range.label);
        said.only("on|open|full|light|led|leds|an|ein|aan|auf") && said.has("on|open|an|ein|aan|auf")
    };
    let around = Around { on_beside: raw.ranges.iter().any(on), ..around };
    let mut out: Vec<RangeReading> = Vec::new();
    let mut group_when: Vec<(u32, u32, u32)> = Vec::new();
    let mut resets = None;
    let divided: Vec<RawRange> = raw.ranges.iter().flat_map(alternatives).collect();
    for (which, range) in divided.iter().enumerate() {
        let which = u32::try_from(which).unwrap_or(u32::MAX);
        let (from, to) = narrow(range.from, range.to);
        if range.from > range.to || to > 255 {
            misprint(range, channel, mode, which, asker);
            continue;
        }
        if range.again {
            group_when.clear();
        }
        if !range.when.is_empty() {
            group_when.clone_from(&range.when);
        }
        let by_label = if channel.fine_of.is_some() { None } else { own_subject(range, subject, several) };
        let by_label = if strikes(raw, range, subject) { Some(Subject::Lamp) } else { by_label };
        let one_of = several;
        let label =
            if range.label.is_empty() && several == 1 { raw.name.as_str() } else { range.label.as_str() };
        let mut understood = meaning::of(by_label.or(subject), label, one_of, around);
        if from == 0 && several > 1 && may_be_nothing(&understood, label) {
            let attr = askable(&understood.attr);
            understood.either = attr.map(|attr| (attr, "NoFeature"));
        }
        if let Some(attr) = stops(label, out.last().filter(|_| from > 0)) {
            understood = Meaning { attr, kind: Kind::Fixed, state: Some("stop"), ..understood };
        }
        if channel.fine_of.is_some() {
            understood = Meaning { kind: Kind::Level, dir: Some(Way::Up), ..Meaning::default() };
        }
        if range.falls && understood.dir.is_some() && meaning::says_direction(label) {
            understood.dir = understood.dir.map(turned);
            understood.phys = understood.phys.map(|(from, to)| (to, from));
        }
        let mut reading = reading(range, from, to, understood.clone());
        // All resets of single motors are asked about at once.
        let which = if understood.either == Some(ONE_MOTOR) { *resets.get_or_insert(which) } else { which };
        let place = Place { mode, channel, raw: range, which };
        place.ask(&mut reading, &understood, asker);
        for when in &group_when {
            reading.when.get_or_insert(WhenReading {
                ch: u16::try_from(when.0).unwrap_or(u16::MAX),
                from: u16::try_from(when.1).unwrap_or(u16::MAX),
                to: u16::try_from(when.2).unwrap_or(u16::MAX),
            });
        }
        out.push(reading);
    }
    // "No rotation" below a window that turns is a stop as well.
    if let [first, second, ..] = out.as_mut_slice()
        && let Some(attr) = stops(&first.label, Some(second)).filter(|_| first.kind == Kind::None)
    {
        (first.attr, first.kind, first.state) = (attr, Kind::Fixed, Some("stop".to_owned()));
    }
    out
}

/// The first window of a wheel, a prism or colours of a light's own, in words that nobody knows: what it is taken for, or "out".
fn may_be_nothing(meaning: &Meaning, label: &str) -> bool {
    let said = Said::new(label);
    let known = said.is_empty()
        || said.words().any(words::is_number)
        || said.words().any(|word| words::split_number(word).is_some())
        || said.has("open|offen|ouvert|abierto|aperto|clear|klar|no|ohne|kein|sans|sin|senza|geen")
        || purpose::is_colour(label)
        || subject::subject(label).is_some();
    meaning.kind == Kind::Fixed
        && meaning.state.is_none()
        && meaning.either.is_none()
        && !meaning.unread
        && !known
}

/// The attributes of which that is asked.
fn askable(attr: &str) -> Option<&'static str> {
    ["Color1", "Color2", "Gobo1", "Gobo2", "ColorMacro1", "Prism1", "Prism2", "Frost1"]
        .into_iter()
        .find(|known| *known == attr)
}

fn turned(way: Way) -> Way {
    match way {
        Way::Up => Way::Down,
        Way::Down => Way::Up,
    }
}

/// "Macros (while channel 11 is 16-127) or chases (while it is 128-239)": one range for each condition.
fn alternatives(range: &RawRange) -> Vec<RawRange> {
    let lower = range.label.to_lowercase();
    let at = [" or ", " oder ", " ou "].iter().find_map(|or| lower.find(or).map(|at| (at, or.len())));
    match (range.when.as_slice(), at) {
        ([first, second], Some((at, len)))
            if range.label.is_char_boundary(at) && range.label.is_char_boundary(at + len) =>
        {
            let (one, other) = (range.label[..at].to_owned(), range.label[at + len..].to_owned());
            vec![
                RawRange { label: one, when: vec![*first], ..range.clone() },
                RawRange { label: other, when: vec![*second], again: true, ..range.clone() },
            ]
        }
        _ => vec![range.clone()],
    }
}

/// A range whose words name another thing than its channel's name does ("strobe" in a dimmer's channel) is read by them.
fn own_subject(range: &RawRange, subject: Option<Subject>, several: usize) -> Option<Subject> {
    use Subject as S;
    let own = subject::subject(&range.label)?;
    let conditional = range.again || !range.when.is_empty() || !range.mentions.is_empty();
    match (subject, own) {
        (None, own) if several == 1 => Some(own),
        (Some(S::Gobo(_)), S::Gobo(_) | S::GoboShake(_) | S::GoboSpin(_)) => None,
        (_, S::Nothing | S::Fine | S::Emitter(_) | S::Colour(_) | S::Control) if !conditional => None,
        // In a channel with several meanings each range speaks for itself.
        (_, S::Speed) if conditional => Some(S::ProgrammeSpeed),
        (_, own) if conditional => Some(own),
        (Some(S::FanMode), _) => None,
        (Some(S::Control | S::Reset), S::Dimmer | S::Fan | S::Pan | S::Tilt) => None,
        (
            Some(S::Control | S::Reset | S::Programme),
            own @ (S::Strobe | S::MoveSpeed | S::Macro | S::DimmerCurve),
        ) => Some(own),
        (Some(S::Dimmer), S::Strobe) => Some(S::Strobe),
        _ => None,
    }
}

/// "Lamp off" in a shutter's channel that says elsewhere where it is closed: the lamp is put out.
fn strikes(channel: &RawChannel, range: &RawRange, subject: Option<Subject>) -> bool {
    const LAMP: &str = "lamp|lampe|lampara|lampada|brenner";
    let said = Said::new(&range.label);
    let closed = |other: &RawRange| {
        let said = Said::new(&other.label);
        said.has(words::CLOSED) && !said.has(LAMP)
    };
    matches!(subject, Some(Subject::Shutter | Subject::Strobe))
        && said.has(LAMP)
        && said.has("on|off|strike|an|aus|ein|encendida|apagada|accesa|spenta|allumee|eteinte")
        && channel.ranges.iter().any(closed)
}

/// "No rotation" beside a window that turns is a stop, not nothing.
fn stops(label: &str, beside: Option<&RangeReading>) -> Option<String> {
    let still = Said::new(label).has("no rotation|without rotation|keine rotation|keine drehung|sans rotation|sin rotacion|nessuna rotazione");
    let turns = |range: &&RangeReading| range.attr.ends_with("Rotate") || range.attr.ends_with("Spin");
    beside.filter(|range| still && turns(range)).map(|range| range.attr.clone())
}

/// 16-bit values by their high bytes.
fn narrow(from: u32, to: u32) -> (u32, u32) {
    if to > 999 && to <= 65_535 { (from >> 8, to >> 8) } else { (from, to) }
}

fn misprint(range: &RawRange, channel: &ChannelReading, mode: &str, which: u32, asker: &mut Asker<'_>) {
    let why = if range.to > 255 { "a value is larger than 255" } else { "it ends before it starts" };
    let text = format!(
        "Channel {}: the range {}-{} (\"{}\") cannot be as it is printed: {why}. It is left out; correct the text where the manual is clear.",
        channel.ch,
        range.from,
        range.to,
        tidy(&range.label)
    );
    let about =
        About { kind: "misprint", mode: Some(mode), ch: Some(channel.ch), which, lines: range.lines.clone() };
    asker.ask(about, text, &[("leave", "leave it out")]);
}

fn reading(range: &RawRange, from: u32, to: u32, meaning: Meaning) -> RangeReading {
    RangeReading {
        from: u16::try_from(from).unwrap_or(u16::MAX),
        to: u16::try_from(to).unwrap_or(u16::MAX),
        attr: if meaning.attr.is_empty() { "NoFeature".to_owned() } else { meaning.attr },
        kind: meaning.kind,
        dir: meaning.dir,
        state: meaning.state.map(str::to_owned),
        slot: None,
        when: None,
        hold_s: meaning.hold_s,
        danger: meaning.danger.map(str::to_owned),
        phys: meaning.phys,
        unit: meaning.unit.map(str::to_owned),
        label: tidy(&range.label),
        origin: "stated".to_owned(),
        lines: range.lines.clone(),
    }
}

/// Counts the fixed windows of a wheel: the first is slot 1.
fn slots(mode: &mut ModeReading) {
    for attr in ["Color1", "Color2", "Gobo1", "Gobo2"] {
        let mut next: u8 = 1;
        for channel in &mut mode.channels {
            for range in
                channel.ranges.iter_mut().filter(|range| range.attr == attr && range.kind == Kind::Fixed)
            {
                range.slot = Some(next);
                next = next.saturating_add(1);
            }
            if next > 1 {
                break;
            }
        }
        let shaking = format!("{attr}SelectShake");
        let numbered: Vec<(u32, u8)> = mode
            .channels
            .iter()
            .flat_map(|channel| &channel.ranges)
            .filter(|range| range.attr == attr)
            .filter_map(|range| Some((last_number(&range.label)?, range.slot?)))
            .collect();
        for range in mode
            .channels
            .iter_mut()
            .flat_map(|channel| &mut channel.ranges)
            .filter(|range| range.attr == shaking)
        {
            range.slot = last_number(&range.label)
                .and_then(|number| numbered.iter().find(|(known, _)| *known == number))
                .map(|(_, slot)| *slot);
        }
    }
}

fn last_number(label: &str) -> Option<u32> {
    let said = Said::new(label);
    said.words().find_map(|word| word.parse().ok())
}

/// Heads that are told apart: the same colour on several channels.
fn heads(mode: &mut ModeReading) {
    let of = |channel: &ChannelReading| {
        let first = channel.ranges.iter().find(|range| range.kind == Kind::Level)?;
        (channel.fine_of.is_none()
            && (first.attr.starts_with("ColorAdd_") || first.attr == "Dimmer" || first.attr == "Tilt"))
            .then(|| first.attr.clone())
    };
    let mut counts: std::collections::BTreeMap<String, usize> = std::collections::BTreeMap::new();
    for channel in &mode.channels {
        if let Some(attr) = of(channel) {
            *counts.entry(attr).or_default() += 1;
        }
    }
    let most = counts.values().copied().max().unwrap_or(0);
    if most < 2 {
        return;
    }
    let mut seen: std::collections::BTreeMap<String, u8> = std::collections::BTreeMap::new();
    for channel in &mut mode.channels {
        let Some(attr) = of(channel).filter(|attr| counts.get(attr) == Some(&most)) else { continue };
        let next = seen.entry(attr).or_insert(0);
        channel.head = Some(*next);
        *next = next.saturating_add(1);
    }
    let heads: Vec<(u16, Option<u8>)> =
        mode.channels.iter().map(|channel| (channel.ch, channel.head)).collect();
    for channel in &mut mode.channels {
        if let Some(coarse) = channel.fine_of {
            channel.head = heads.iter().find(|(ch, _)| *ch == coarse).and_then(|(_, head)| *head);
        }
    }
}

/// As much of a name as a profile keeps.
pub(super) fn shortened(name: &str) -> String {
    name.chars().take(MOST_OF_A_NAME).collect::<String>().trim().to_owned()
}

/// Words with single blanks, nothing loose at their ends.
pub(super) fn tidy(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").trim_matches(|c: char| matches!(c, ':' | '-' | '=' | ',' | ';' | ' ')).to_owned()
}
