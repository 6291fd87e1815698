//! `lanthorn carry SHOW --to ROOM-OR-RIG`

mod ask;
mod names;

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

use lanthorn_rig::plan::Severity;
use lanthorn_show::carry::{Carried, LookReport, Question, carry, questions};
use lanthorn_store::carry::{Written, carried_text};
use lanthorn_store::disk::DiskError;
use lanthorn_store::{BUILT_IN, ShowFile};
use serde::Serialize;

use super::{Failure, new};
use crate::command::Carry;
use crate::files::{self, Opened};

/// What is printed with `--json`.
#[derive(Serialize)]
struct Printed<'c> {
    show: &'c str,
    from: &'c str,
    to: &'c str,
    /// The file that was written; none while there are questions.
    file: Option<String>,
    questions: Vec<PrintedQuestion<'c>>,
    looks: &'c [LookReport],
}

#[derive(Serialize)]
struct PrintedQuestion<'c> {
    what: String,
    options: Vec<String>,
    looks: &'c [String],
    near: &'c [String],
}

/// Carries a show to another room or rig: writes a new file, and says what could not be kept.
pub(crate) fn run(options: &Carry) -> Result<(), Failure> {
    let show = files::open(&options.show)?;
    let there = files::open_room(&options.to)?;
    let path = out_path(options);
    if std::fs::symlink_metadata(&path).is_ok() {
        return Err(Failure::Input(DiskError::Exists { path }.to_string()));
    }
    let (intent, home, rig) = (&show.file.show, &show.file.rig, &there.file.rig);
    let mut answers = names::parse(options, rig).map_err(Failure::Input)?;
    answers.check(intent, home, rig).map_err(|error| Failure::Input(format!("carry: {error}")))?;
    let mut open = questions(intent, home, rig, &answers);
    if !open.is_empty() && !options.json && std::io::stdin().is_terminal() {
        ask::ask(&open, rig, &mut std::io::stdin().lock(), &mut std::io::stdout(), &mut answers)?;
        open = questions(intent, home, rig, &answers);
    }
    if !open.is_empty() {
        if options.json {
            print_json(&printed(&show, &there, None, &open, &[]))?;
        }
        return Err(Failure::Input(missing(options, &there, &open)));
    }
    show.print_warnings();
    there.print_warnings();
    let carried = carry(intent, home, rig, &answers);
    let text = carried_text(written(&show), written(&there), &carried);
    new::save(&path, &text)?;
    if options.json {
        let file = Some(path.display().to_string());
        return print_json(&printed(&show, &there, file, &[], &carried.looks));
    }
    print(&show.file, &there.file, &carried)?;
    new::say_written(&path)
}

fn written(opened: &Opened) -> Written<'_> {
    Written { text: &opened.text, file: &opened.file }
}

/// As asked for, or SHOW-ROOM beside the show.
fn out_path(options: &Carry) -> PathBuf {
    if let Some(out) = &options.out {
        return if out.extension().is_some_and(|ending| ending == "toml") {
            out.clone()
        } else {
            PathBuf::from(format!("{}.show.toml", out.display()))
        };
    }
    let stem = |name: &str| {
        let file = Path::new(name).file_name().map(|file| file.to_string_lossy().into_owned());
        let file = file.unwrap_or_else(|| "show".to_owned());
        file.strip_suffix(".toml").map_or(file.as_str(), |file| file).trim_end_matches(".show").to_owned()
    };
    let name = format!("{}-{}.show.toml", stem(&options.show), stem(&options.to));
    if BUILT_IN.contains(&options.show.as_str()) {
        PathBuf::from(name)
    } else {
        Path::new(&options.show).with_file_name(name)
    }
}

/// Every name that is missing, and the option to give for it.
fn missing(options: &Carry, there: &Opened, open: &[Question]) -> String {
    let count =
        if open.len() == 1 { "1 name means".to_owned() } else { format!("{} names mean", open.len()) };
    let mut text = format!(
        "carry {}: {count} nothing in {} ({}); say what stands for each",
        options.show, there.file.rig.room.name, there.name
    );
    for question in open {
        let options = names::options(question).join("  or  ");
        text.push_str(&format!("\n  the {} (in {}): {options}", question.name, question.looks.join(", ")));
    }
    text
}

fn printed<'c>(
    show: &'c Opened,
    there: &'c Opened,
    file: Option<String>,
    open: &'c [Question],
    looks: &'c [LookReport],
) -> Printed<'c> {
    let question = |question: &'c Question| PrintedQuestion {
        what: question.name.to_string(),
        options: names::options(question),
        looks: &question.looks,
        near: &question.near,
    };
    Printed {
        show: &show.file.show.name,
        from: &show.file.rig.room.name,
        to: &there.file.rig.room.name,
        file,
        questions: open.iter().map(question).collect(),
        looks,
    }
}

fn print_json(printed: &Printed<'_>) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    serde_json::to_writer_pretty(&mut out, printed).map_err(std::io::Error::from)?;
    writeln!(out)?;
    Ok(())
}

/// " (at the start; cues 1, 3; chase Waltz)".
fn used_by(look: &LookReport) -> String {
    let several = |noun: &str, names: &[String]| match names {
        [] => None,
        [one] => Some(format!("{noun} {one}")),
        names => Some(format!("{noun}s {}", names.join(", "))),
    };
    let start = look.start.then(|| "at the start".to_owned());
    let used: Vec<String> =
        [start, several("cue", &look.cues), several("chase", &look.chases)].into_iter().flatten().collect();
    if used.is_empty() { String::new() } else { format!(" ({})", used.join("; ")) }
}

/// What became of every look.
fn print(show: &ShowFile, there: &ShowFile, carried: &Carried) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{}: from {} to {}", show.show.name, show.rig.room.name, there.rig.room.name)?;
    for look in &carried.looks {
        let used = used_by(look);
        let [kept, of] = look.sentences;
        writeln!(out, "\n{}{used}: {kept} of {of} sentences", look.look)?;
        for finding in &look.findings {
            let figure = finding.figure.as_ref().map(|figure| format!(" ({figure})")).unwrap_or_default();
            let remedy = if finding.severity == Severity::Note {
                String::new()
            } else {
                format!("; {}", finding.remedy)
            };
            writeln!(out, "  {}: {}: {}{figure}{remedy}", finding.severity, finding.place, finding.what)?;
        }
    }
    let findings = carried.looks.iter().flat_map(|look| &look.findings);
    let notes = findings.clone().filter(|finding| finding.severity == Severity::Note).count();
    let sum = |place: usize| carried.looks.iter().map(|look| look.sentences[place]).sum::<usize>();
    writeln!(
        out,
        "\n{} of {} sentences in {} looks went along; {} to take care of, {notes} for your information",
        sum(0),
        sum(1),
        carried.looks.len(),
        findings.count() - notes
    )?;
    let (chases, cues) = (carried.show.chases.len(), carried.show.cues.len());
    writeln!(out, "chases ({chases}) and cues ({cues}) go along as they are\n")?;
    Ok(())
}
