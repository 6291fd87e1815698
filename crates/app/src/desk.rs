//! Where the show is made while it runs: changes one after another on a thread of their own, each durable in the history
//! and in the file before it is answered, and then put in the place of what runs.
//!
//! A show that is built in has no file: its texts are kept until it ends.

mod history;
mod keep;
mod kept;
mod rename;
#[cfg(test)]
mod tests;
mod what_if;

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use axum::extract::ws::Utf8Bytes;
use lanthorn_live::Clock;
use lanthorn_show::{Rename, renamed};
use lanthorn_store::change::Change;
use lanthorn_store::read_show;
use tokio::sync::mpsc::UnboundedSender;

use crate::current::{Current, Edits, Text};
use crate::file_watch::{FileWatch, LOOK};
use crate::stage::json;
use crate::wire::{HistoryView, Intent, ToPage};
use crate::words::{capital, small};
use kept::Stepped;
pub(crate) use kept::{Kept, NotMade};

/// So many changes may wait; a person's hand is slower.
const WAITING: usize = 64;
/// Who the history says it was.
const WHO: &str = "the page";

/// Where pages hand changes in.
#[derive(Clone, Debug)]
pub(crate) struct Desk {
    requests: SyncSender<Request>,
    clock: Clock,
}

#[derive(Debug)]
struct Request {
    ask: Ask,
    answer: UnboundedSender<Utf8Bytes>,
}

/// What a page asks for.
#[derive(Debug, PartialEq)]
enum Ask {
    /// Tells the history.
    History,
    /// Tells what a change would bring.
    WhatIf(Change),
    Make(Making),
}

/// What makes the show another, or says why not.
#[derive(Debug, PartialEq)]
enum Making {
    Change(Change),
    Undo,
    Redo,
    /// Makes the show what it was at that entry of its history.
    Restore(u32),
    /// Gives the show as it is a name in its history.
    Bookmark(String),
    /// Keeps what is lit with everything that was asked for before this moment of the machine's clock.
    Keep {
        name: String,
        units: Option<Vec<u32>>,
        asked: lanthorn_physics::Instant,
    },
}

impl Desk {
    /// Starts the thread, which looks after the show's file too; it ends with `stop`.
    pub(crate) fn start(
        path: Option<PathBuf>,
        text: String,
        current: Arc<Current>,
        clock: Clock,
        stop: Arc<AtomicBool>,
    ) -> std::io::Result<(Self, JoinHandle<()>)> {
        let (sender, requests) = sync_channel(WAITING);
        let watch = path.clone().map(|path| FileWatch::new(path, text.clone()));
        let mut worker = Worker { kept: Kept::new(path, text, WHO), names: 0, watch, current, requests };
        worker.tell();
        let thread =
            std::thread::Builder::new().name("lanthorn-desk".to_owned()).spawn(move || worker.run(&stop))?;
        Ok((Self { requests: sender, clock }, thread))
    }

    /// Hands in what asks for a change; `false` when the intent is of another kind. One answer comes for each that is
    /// taken, in order.
    pub(crate) fn take(&self, intent: &Intent, answer: &UnboundedSender<Utf8Bytes>) -> bool {
        let ask = match intent {
            Intent::Change { change } => Ask::Make(Making::Change(change.clone())),
            Intent::Undo => Ask::Make(Making::Undo),
            Intent::Redo => Ask::Make(Making::Redo),
            Intent::Restore { id } => Ask::Make(Making::Restore(*id)),
            Intent::Bookmark { name } => Ask::Make(Making::Bookmark(name.clone())),
            Intent::AskHistory => Ask::History,
            Intent::WhatIf { change } => Ask::WhatIf(change.clone()),
            Intent::KeepLook { name, units } => {
                let (name, units, asked) = (name.clone(), units.clone(), self.clock.now());
                Ask::Make(Making::Keep { name, units, asked })
            }
            _ => return false,
        };
        let told = !matches!(ask, Ask::Make(_));
        // What is only told is asked for again.
        if self.requests.try_send(Request { ask, answer: answer.clone() }).is_err() && !told {
            let says = "There are too many changes at once: try again in a moment.".to_owned();
            let _ = answer.send(json(&ToPage::Said { says, wrong: true }));
        }
        true
    }
}

struct Worker {
    kept: Kept,
    /// How often the show was given a name.
    names: u32,
    watch: Option<FileWatch>,
    current: Arc<Current>,
    requests: Receiver<Request>,
}

impl Worker {
    fn run(mut self, stop: &AtomicBool) {
        let mut looked = Instant::now();
        while !stop.load(Ordering::Acquire) {
            match self.requests.recv_timeout(Duration::from_millis(50)) {
                Ok(Request { ask, answer }) => {
                    // A page that has gone needs no answer.
                    let _ = answer.send(json(&self.answer(ask)));
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            if looked.elapsed() >= LOOK {
                looked = Instant::now();
                self.look();
            }
        }
    }

    fn answer(&mut self, ask: Ask) -> ToPage {
        match ask {
            Ask::History => {
                let told = self.kept.history();
                ToPage::History(Box::new(told.unwrap_or_else(|why| HistoryView {
                    none: Some(capital(&why)),
                    ..HistoryView::default()
                })))
            }
            Ask::WhatIf(change) => ToPage::WhatIf(Box::new(match self.kept.text() {
                Ok(text) => what_if::view(&text, &change),
                Err(why) => what_if::refused(&why),
            })),
            Ask::Make(making) => match self.make(making) {
                Ok(says) => ToPage::Said { says, wrong: false },
                Err(why) => ToPage::Said { says: capital(&why), wrong: true },
            },
        }
    }

    /// Takes in what another program wrote.
    fn look(&mut self) {
        let Some(watch) = &mut self.watch else { return };
        if watch.look(&self.current) {
            self.kept.look();
            self.tell();
        }
    }

    /// What was done, or why not: a sentence.
    fn make(&mut self, making: Making) -> Result<String, String> {
        match making {
            Making::Undo => {
                let stepped = self.kept.undo()?;
                self.follow(stepped, &[], "Taken back: ")
            }
            Making::Redo => {
                let stepped = self.kept.redo()?;
                self.follow(stepped, &[], "Done again: ")
            }
            Making::Restore(id) => {
                let stepped = self.kept.restore(id)?;
                self.follow(stepped, &[], "")
            }
            Making::Bookmark(name) => {
                let says = self.kept.bookmark(&name)?;
                self.names += 1;
                self.tell();
                Ok(says)
            }
            Making::Change(change) => self.change(&change),
            Making::Keep { name, units, asked } => {
                let last = keep::since(&self.current, asked)?;
                let change = keep::change(&self.current, &last, &name, units.as_deref())?;
                self.change(&change)
            }
        }
    }

    fn change(&mut self, change: &Change) -> Result<String, String> {
        let stepped = self.kept.change(change).map_err(NotMade::says)?;
        self.follow(stepped, &rename::renames(change), "")
    }

    /// Puts what the text says now in the place of what runs. What was done, in words.
    fn follow(&mut self, stepped: Stepped, renames: &[Rename], before: &str) -> Result<String, String> {
        let Stepped { text, says, note } = stepped;
        if let Some(watch) = &mut self.watch {
            watch.knows(&text);
        }
        let taken = self.take(&text, renames);
        self.tell();
        taken?;
        let says = if before.is_empty() { capital(&says) } else { format!("{before}{}", small(&says)) };
        Ok([says, note].join(" ").trim().to_owned())
    }

    fn take(&self, text: &str, renames: &[Rename]) -> Result<(), String> {
        let (file, problems) = read_show(text);
        let Some(mut file) = file else {
            let first = problems.iter().find(|problem| problem.is_error());
            return Err(first.map(|problem| problem.in_file("the show")).unwrap_or_default());
        };
        let both = self.current.both();
        // What a show starts with matters no more.
        file.show.start.clone_from(&both.show.start);
        if self.watch.is_none() {
            // What was sighted in stands in no text.
            for unit in &mut file.rig.units {
                if let Some(old) = both.rig.unit(unit.number).filter(|old| old.profile == unit.profile) {
                    unit.found.clone_from(&old.found);
                }
            }
            (0..file.rig.units.len()).for_each(|unit| file.rig.settle(unit));
        }
        let text = Arc::new(Text::new(text, &file));
        let mut all = renames.to_vec();
        let guessed = renamed(&both.show, &file.show);
        all.extend(guessed.into_iter().filter(|one| renames.iter().all(|known| known.old != one.old)));
        let replaced = self.current.replace(Arc::new(file.show), Arc::new(file.rig), text, &all);
        replaced.map(|_| ()).map_err(|why| {
            format!("it is in the show, but cannot run yet ({why}); what runs goes on as it was")
        })
    }

    /// Tells what can be taken back and done again.
    fn tell(&mut self) {
        self.current.set_edits(Edits { names: self.names, ..self.kept.edits() });
    }
}
