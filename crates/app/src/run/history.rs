//! `lanthorn history SHOW`

use std::io::Write;

use lanthorn_store::History;
use lanthorn_store::history::{Entry, EntryId, Listed, Outcome, Seen, Standing, Step};
use serde::Serialize;

use super::Failure;
use crate::command;
use crate::files::{now, path_of};

/// Who does what is done here.
const WHO: &str = "command line";
/// How often a step is tried again when the show goes on at the same moment.
const TRIES: usize = 3;

/// One entry, for machines.
#[derive(Serialize)]
struct Printed {
    id: i64,
    parent: Option<i64>,
    /// Unix time, seconds.
    at: i64,
    /// The same on this machine's clock.
    when: String,
    who: String,
    says: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    bookmarks: Option<Vec<String>>,
    /// "now", "before", or "aside": undone, or another way that was left.
    #[serde(skip_serializing_if = "Option::is_none")]
    standing: Option<&'static str>,
}

/// What a step did, for machines.
#[derive(Serialize)]
struct PrintedStep {
    /// The entry that the show is now.
    now: i64,
    entries: Vec<Printed>,
}

/// Lists a show's history, or does one step in it.
pub(crate) fn run(options: &command::History) -> Result<(), Failure> {
    let Some(path) = path_of(&options.show) else {
        return Err(Failure::Input(
            "history: the built-in show is never changed; lanthorn new NAME --from demo makes one of your own"
                .to_owned(),
        ));
    };
    let (mut history, seen) = History::open(&path, now())?;
    say_seen(&seen, history.path());
    let json = options.json;
    if options.undo {
        let step = tried(&mut history, &seen, |history, base| history.undo(base, now()))?;
        return print_step(&step, "undone", json);
    }
    if options.redo {
        let step = tried(&mut history, &seen, |history, base| history.redo(base, now()))?;
        return print_step(&step, "redone", json);
    }
    if let Some(which) = &options.restore {
        let to = history.find(which)?;
        let step = tried(&mut history, &seen, |history, base| history.restore(base, to, WHO, now()))?;
        return print_step(&step, "recorded", json);
    }
    if let Some(name) = &options.bookmark {
        let entry = history.bookmark(name, now())?;
        let step = Step { version: seen.version, entries: vec![entry] };
        return print_step(&step, "bookmarked", json);
    }
    if let Some([from, to]) = options.compare.as_deref() {
        let lines = history.compare(history.find(from)?, history.find(to)?)?;
        return print_lines(&lines, json);
    }
    print_list(&history.list()?, json)
}

/// A step from where the show is, again where it has gone on meanwhile.
fn tried(
    history: &mut History,
    seen: &Seen,
    mut step: impl FnMut(&mut History, EntryId) -> Result<Outcome, lanthorn_store::history::HistoryError>,
) -> Result<Step, Failure> {
    let mut base = seen.version.id;
    for _ in 0..TRIES {
        match step(history, base)? {
            Outcome::Done(step) => return Ok(step),
            Outcome::Newer(newer) => base = newer.id,
        }
    }
    Err(anyhow::anyhow!("the show is being changed all the time; try again in a moment").into())
}

/// What opening found that a person should know.
fn say_seen(seen: &Seen, history: &std::path::Path) {
    if let Some(aside) = &seen.set_aside {
        eprintln!(
            "take care: {} was damaged; it is kept as {}, and a new history begins",
            history.display(),
            aside.display()
        );
    }
    if let Some(entry) = &seen.finished {
        eprintln!("an edit that was interrupted is in the file now: {}", entry.says);
    }
    if let Some(entry) = seen.taken_in.as_ref().filter(|entry| entry.parent.is_some()) {
        eprintln!("taken in: {}", entry.says);
    }
}

fn print_step(step: &Step, word: &str, json: bool) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    if json {
        let entries = step.entries.iter().map(|entry| printed(entry, None)).collect();
        let printed = PrintedStep { now: step.version.id.number(), entries };
        serde_json::to_writer_pretty(&mut out, &printed).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    if step.entries.is_empty() {
        writeln!(out, "the show is that already")?;
    }
    for entry in &step.entries {
        writeln!(out, "{word}: {}  {}", entry.id, entry.says)?;
    }
    writeln!(out, "the show is at {} now", step.version.id)?;
    Ok(())
}

fn print_lines(lines: &[String], json: bool) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    if json {
        serde_json::to_writer_pretty(&mut out, lines).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    if lines.is_empty() {
        writeln!(out, "nothing differs")?;
    }
    for line in lines {
        writeln!(out, "{line}")?;
    }
    Ok(())
}

fn print_list(list: &[Listed], json: bool) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    if json {
        let printed: Vec<Printed> = list.iter().map(|listed| printed(&listed.entry, Some(listed))).collect();
        serde_json::to_writer_pretty(&mut out, &printed).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    let width = |text: fn(&Entry) -> String| {
        list.iter().map(|listed| text(&listed.entry).chars().count()).max().unwrap_or(0)
    };
    let (number, who) = (width(|entry| entry.id.to_string()), width(|entry| entry.who.clone()));
    for Listed { entry, bookmarks, standing } in list {
        let head = if *standing == Standing::Now { '>' } else { ' ' };
        let names: String = bookmarks.iter().map(|name| format!("  [{name}]")).collect();
        let aside = if *standing == Standing::Aside { "  (undone)" } else { "" };
        writeln!(
            out,
            "{head} {:>number$}  {}  {:who$}  {}{names}{aside}",
            entry.id.number(),
            entry.when,
            entry.who,
            entry.says
        )?;
    }
    Ok(())
}

fn printed(entry: &Entry, listed: Option<&Listed>) -> Printed {
    Printed {
        id: entry.id.number(),
        parent: entry.parent.map(EntryId::number),
        at: entry.at.0,
        when: entry.when.clone(),
        who: entry.who.clone(),
        says: entry.says.clone(),
        bookmarks: listed.map(|listed| listed.bookmarks.clone()),
        standing: listed.map(|listed| match listed.standing {
            Standing::Now => "now",
            Standing::Before => "before",
            Standing::Aside => "aside",
        }),
    }
}
