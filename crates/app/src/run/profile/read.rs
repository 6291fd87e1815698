//! `lanthorn profile read FILE`

use std::io::Write;
use std::path::Path;

use lanthorn_fixture::Profile;
use lanthorn_store::chart::{self, Answer};
use lanthorn_store::reading::{KindReading, ModeReading, RangeReading, Reading, Way, of_profile};
use lanthorn_store::{disk, gdtf, read_profile, write_profile};

use super::super::Failure;
use crate::command::ProfileRead;
use crate::pdf_text;

/// What a file held.
pub(crate) struct Held {
    pub(crate) profile: Profile,
    pub(crate) reading: Reading,
    /// What is odd in it, a line for each.
    pub(crate) odd: Vec<String>,
    /// The file's own text, where it is a profile of ours.
    pub(crate) text: Option<String>,
}

/// Reads a file into a profile, whatever kind of file it is: by what is in it, not by its name.
pub(crate) fn run(options: &ProfileRead) -> Result<(), Failure> {
    let answers: Vec<Answer> = options.answer.iter().map(|text| answer(text)).collect::<Result<_, _>>()?;
    let held = read(&options.file, options.name.as_deref(), &answers)?;
    for answer in &answers {
        let asked = held.reading.questions.iter().find(|question| question.id == answer.id);
        if asked.is_none_or(|question| question.answered.is_none()) {
            let known = asked.map(|question| {
                question.answers.iter().map(|choice| choice.value.as_str()).collect::<Vec<_>>()
            });
            let hint = match known {
                Some(values) => format!("it can be answered by: {}", values.join(", ")),
                None => "no question has this id; --json prints them".to_owned(),
            };
            return Err(Failure::Input(format!("--answer {}={}: {hint}", answer.id, answer.value)));
        }
    }
    if let Some(out) = &options.out {
        disk::save_new(out, &write_profile(&held.profile))
            .map_err(|error| Failure::Input(error.to_string()))?;
    }
    let mut out = std::io::stdout().lock();
    if options.json {
        serde_json::to_writer_pretty(&mut out, &held.reading).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    tell(&mut out, &held)?;
    if let Some(path) = &options.out {
        writeln!(
            out,
            "\nWritten to {}. Weight, power and beam are not in a chart: fill them in.",
            path.display()
        )?;
    }
    Ok(())
}

fn answer(text: &str) -> Result<Answer, Failure> {
    let (id, value) = text.rsplit_once('=').ok_or_else(|| {
        Failure::Input(format!("--answer {text}: write it ID=VALUE, as --json prints both"))
    })?;
    Ok(Answer { id: id.to_owned(), value: value.to_owned() })
}

/// The profile in a file, with its reading.
pub(crate) fn read(path: &Path, name: Option<&str>, answers: &[Answer]) -> Result<Held, Failure> {
    let shown = path.display();
    let bytes =
        disk::load_bytes(path, pdf_text::MOST_BYTES).map_err(|error| Failure::Input(error.to_string()))?;
    let stem =
        path.file_stem().map_or_else(|| "light".to_owned(), |stem| stem.to_string_lossy().into_owned());
    let name = name.unwrap_or(&stem);
    if bytes.starts_with(b"%PDF") {
        let text = pdf_text::text_of(bytes).map_err(|why| Failure::Input(format!("{shown}: {why}")))?;
        return chart(&text, name, answers, &shown.to_string());
    }
    let is_xml =
        |bytes: &[u8]| bytes.trim_ascii_start().starts_with(b"<") || bytes.starts_with(b"\xef\xbb\xbf<");
    if bytes.starts_with(b"PK") || is_xml(&bytes) {
        return fixture_file(&bytes, &shown.to_string());
    }
    let text = lenient_text(bytes);
    if is_profile(&text) {
        let (profile, problems) = read_profile(&text);
        let odd: Vec<String> = problems.iter().map(|problem| problem.in_file(&shown.to_string())).collect();
        let profile = profile.ok_or_else(|| Failure::Input(odd.join("\n")))?;
        let reading = of_profile(&profile);
        return Ok(Held { profile, reading, odd, text: Some(text) });
    }
    chart(&text, name, answers, &shown.to_string())
}

/// A GDTF archive, or the description out of one.
fn fixture_file(bytes: &[u8], shown: &str) -> Result<Held, Failure> {
    let read = gdtf::read(bytes).map_err(|error| Failure::Input(format!("{shown}: {error}")))?;
    let mut reading = of_profile(&read.profile);
    // The footprint counts every DMX break; a profile's mode is laid out in one row.
    let mut modes: Vec<ModeReading> = std::mem::take(&mut reading.modes);
    for held in &read.modes {
        let known = modes.iter().position(|mode| mode.name == held.name);
        let mut mode = known.map_or_else(ModeReading::default, |at| modes.remove(at));
        mode.name.clone_from(&held.name);
        mode.footprint = u16::try_from(held.footprint()).unwrap_or(u16::MAX);
        mode.last_start_address = 513_u16.checked_sub(mode.footprint).filter(|last| *last > 0);
        reading.modes.push(mode);
    }
    let odd = read.problems.iter().map(|problem| problem.in_file(shown)).collect();
    Ok(Held { profile: read.profile, reading, odd, text: None })
}

/// Text in whatever encoding it was saved: what is no UTF-8 is taken as Windows' Western letters, in which charts are
/// saved by old programs.
fn lenient_text(bytes: Vec<u8>) -> String {
    let utf16 = |bytes: &[u8], of: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes.chunks_exact(2).map(|pair| of([pair[0], pair[1]])).collect();
        String::from_utf16_lossy(&units)
    };
    match bytes.as_slice() {
        [0xff, 0xfe, rest @ ..] => return utf16(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => return utf16(rest, u16::from_be_bytes),
        _ => {}
    }
    String::from_utf8(bytes).unwrap_or_else(|error| {
        error
            .into_bytes()
            .into_iter()
            .map(|byte| match byte {
                0x96 | 0x97 => '–',
                0x85 => '…',
                0x91 | 0x92 => '\'',
                0x93 | 0x94 => '"',
                byte => char::from(byte),
            })
            .collect()
    })
}

/// A profile of ours: `name = "…"` at the start of a line, and `[[mode]]`.
fn is_profile(text: &str) -> bool {
    text.lines().any(|line| line.starts_with("name = "))
        && text.lines().any(|line| line.trim_end() == "[[mode]]")
}

fn chart(text: &str, name: &str, answers: &[Answer], shown: &str) -> Result<Held, Failure> {
    let reading = chart::read(text, answers);
    if reading.modes.is_empty() {
        return Err(Failure::Input(format!(
            "{shown}: no channel table is found in it; give the lines from the mode's heading to its last value, as they were copied"
        )));
    }
    let profile = chart::profile(&reading, name, None);
    Ok(Held { profile, reading, odd: Vec::new(), text: None })
}

fn tell(out: &mut impl Write, held: &Held) -> std::io::Result<()> {
    for odd in &held.odd {
        writeln!(out, "take care: {odd}")?;
    }
    for mode in &held.reading.modes {
        tell_mode(out, mode)?;
    }
    let open: Vec<_> = held.reading.questions.iter().filter(|question| question.answered.is_none()).collect();
    if open.is_empty() {
        return Ok(());
    }
    writeln!(
        out,
        "\n{} to answer:",
        if open.len() == 1 { "1 question".to_owned() } else { format!("{} questions", open.len()) }
    )?;
    for question in open {
        let lines: Vec<String> = question.lines.iter().take(6).map(u32::to_string).collect();
        let at = if lines.is_empty() { String::new() } else { format!(" (line {})", lines.join(", ")) };
        writeln!(out, "  {}{at}", question.text)?;
        let choices: Vec<String> = question
            .answers
            .iter()
            .take(4)
            .map(|choice| format!("{} = {}", choice.value, choice.text))
            .collect();
        writeln!(out, "      --answer '{}=…'  {}", question.id, choices.join("; "))?;
    }
    Ok(())
}

fn tell_mode(out: &mut impl Write, mode: &ModeReading) -> std::io::Result<()> {
    let last =
        mode.last_start_address.map_or_else(String::new, |last| format!(", last start address {last}"));
    writeln!(out, "\n{}: {} channels{last}", mode.name, mode.footprint)?;
    for channel in &mode.channels {
        let fine =
            channel.fine_of.map_or_else(String::new, |coarse| format!("  (fine byte of channel {coarse})"));
        writeln!(out, "  {:>3}  {}{fine}", channel.ch, channel.name)?;
        for range in channel.ranges.iter().filter(|_| channel.fine_of.is_none()) {
            writeln!(out, "       {:>3}-{:<3}  {}", range.from, range.to, words(range))?;
        }
    }
    match &mode.steady_on {
        Some(slots) => {
            let slots: Vec<String> = slots.iter().map(u8::to_string).collect();
            writeln!(out, "  steady light, white and full: {}", slots.join(" "))?;
        }
        None => writeln!(out, "  no values are known that give steady light")?,
    }
    if mode.virtual_dimmer {
        writeln!(out, "  no dimmer of its own: its colours are dimmed together")?;
    }
    Ok(())
}

fn words(range: &RangeReading) -> String {
    let kind = match (range.kind, range.dir) {
        (KindReading::None, _) => "does nothing".to_owned(),
        (KindReading::Level, Some(Way::Up)) => format!("{}, rising", range.attr),
        (KindReading::Level, Some(Way::Down)) => format!("{}, falling", range.attr),
        (KindReading::Level, None) => format!("{}, which way is not told", range.attr),
        (KindReading::Select, _) => format!("{}, in steps", range.attr),
        (KindReading::Fixed, _) => {
            range.state.as_ref().map_or_else(|| range.attr.clone(), |state| format!("{} {state}", range.attr))
        }
    };
    let mut text = kind;
    if let Some((from, to)) = range.phys {
        text.push_str(&format!(", {from} to {to} {}", range.unit.as_deref().unwrap_or("")));
    }
    if let Some(when) = range.when {
        text.push_str(&format!(", while channel {} is {}-{}", when.ch, when.from, when.to));
    }
    if let Some(danger) = &range.danger {
        text.push_str(&format!(
            "  [{danger}{}]",
            range.hold_s.map_or_else(String::new, |hold| format!(", held {hold} s"))
        ));
    }
    if !range.label.is_empty() {
        text.push_str(&format!("  \"{}\"", range.label));
    }
    text
}
