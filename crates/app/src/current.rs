//! The show and rig as they are now: one owner, with the way to the machine that runs them. Whoever names a light or a look
//! by its place asks here for the places, and what is sent counts by the same ones.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use lanthorn_dmx::Frames;
use lanthorn_fixture::Profile;
use lanthorn_live::{Commands, Snapshot, SwapError, Trial};
use lanthorn_music::Pulse;
use lanthorn_physics::Instant;
use lanthorn_rig::Rig;
use lanthorn_rig::aim::Head;
use lanthorn_show::player::Seen;
use lanthorn_show::{Command, Rename, Show, Status};
use lanthorn_store::change::Value;
use lanthorn_store::values::{ShowValues, Table, values};
use lanthorn_store::{KeptChart, ShowFile, Swatch, chart, kept_charts};

/// So many generations are remembered: the machine is never further behind.
const REMEMBERED: usize = 8;
/// Good news of the file is shown for so long, real time.
const SHOWN: std::time::Duration = std::time::Duration::from_secs(8);

/// What of a show's text its editors need beyond what it means.
#[derive(Clone, Debug, Default)]
pub(crate) struct Text {
    /// The values as they are written.
    pub(crate) values: ShowValues,
    /// The named colours.
    pub(crate) swatches: Vec<Swatch>,
    /// The profiles that it carries.
    pub(crate) profiles: Vec<Arc<Profile>>,
    /// The charts that they were read from.
    pub(crate) charts: Vec<Chart>,
}

/// A chart that a show keeps.
#[derive(Clone, Debug)]
pub(crate) struct Chart {
    pub(crate) chart: KeptChart,
    /// Questions about it that nobody has answered.
    pub(crate) open: u32,
}

impl Chart {
    fn new(chart: KeptChart) -> Self {
        let reading = chart::read(&chart.text, &chart.answers);
        let open = reading.questions.iter().filter(|question| question.answered.is_none()).count();
        Self { chart, open: u32::try_from(open).unwrap_or(u32::MAX) }
    }
}

impl Text {
    /// Of a text and what was read from it.
    pub(crate) fn new(text: &str, file: &ShowFile) -> Self {
        Self {
            values: values(text),
            swatches: file.swatches.clone(),
            profiles: file.profiles.clone(),
            charts: kept_charts(text).into_iter().map(Chart::new).collect(),
        }
    }

    /// How long a look fades, as the text has it.
    pub(crate) fn fade_of(&self, look: &str) -> Option<Value> {
        let named = |table: &&Table| table.get("name") == Some(&Value::from(look));
        self.values.looks.iter().find(named)?.get("fade").cloned()
    }
}

/// What can be taken back and done again, in words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Edits {
    pub(crate) undo: Option<String>,
    pub(crate) redo: Option<String>,
    /// How often the show was given a name since the machine began: who reads the history reads it anew.
    pub(crate) names: u32,
}

/// What the machine did last.
#[derive(Clone, Debug)]
pub(crate) struct Last {
    /// Places count in the show and the rig of this one.
    pub(crate) generation: u64,
    /// The moment of the machine's clock that it was done for.
    pub(crate) now: Instant,
    pub(crate) status: Status,
    pub(crate) frames: Frames,
    /// Of each light.
    pub(crate) seen: Vec<Seen>,
    /// The level over each group.
    pub(crate) groups: Vec<f64>,
}

/// A show and a rig that belong together.
#[derive(Clone, Debug)]
pub(crate) struct Both {
    /// As in [`Snapshot::generation`](lanthorn_live::Snapshot::generation).
    pub(crate) generation: u64,
    pub(crate) show: Arc<Show>,
    /// As it is believed to hang.
    pub(crate) rig: Arc<Rig>,
    /// What they were read from.
    pub(crate) text: Arc<Text>,
}

/// The owner.
#[derive(Debug)]
pub(crate) struct Current {
    inner: Mutex<Inner>,
    /// One replacement is made ready at a time.
    replacing: Mutex<()>,
    file: Mutex<Option<FileNews>>,
    last: Mutex<Option<Last>>,
    edits: Mutex<Edits>,
}

#[derive(Debug)]
struct Inner {
    /// Newest last, never empty.
    both: Vec<Both>,
    commands: Commands,
}

/// What is to be said of the show's file.
#[derive(Clone, Debug)]
struct FileNews {
    says: String,
    /// It stays wrong until somebody puts it right; good news goes by.
    wrong: bool,
    at: std::time::Instant,
}

impl Current {
    /// What the machine was started with, and the way to it.
    pub(crate) fn new(show: Arc<Show>, rig: Arc<Rig>, text: Arc<Text>, commands: Commands) -> Self {
        let inner = Inner { both: vec![Both { generation: 0, show, rig, text }], commands };
        Self {
            inner: Mutex::new(inner),
            replacing: Mutex::default(),
            file: Mutex::default(),
            last: Mutex::default(),
            edits: Mutex::default(),
        }
    }

    /// The newest.
    pub(crate) fn both(&self) -> Both {
        lock(&self.inner).newest().clone()
    }

    /// Those of a generation, while it is remembered.
    pub(crate) fn of(&self, generation: u64) -> Option<Both> {
        lock(&self.inner).both.iter().find(|both| both.generation == generation).cloned()
    }

    /// Sends the command that `ask` makes of the newest show and rig. A full ring is counted there.
    pub(crate) fn ask(&self, at: Instant, ask: impl FnOnce(&Both) -> Option<Command>) {
        let mut inner = lock(&self.inner);
        if let Some(command) = ask(inner.newest()) {
            inner.commands.send(command, at);
        }
    }

    /// Tells the machine the music as it is at the moment `at`; none when nothing listens any more.
    pub(crate) fn hear(&self, pulse: Option<Pulse>, at: Instant) {
        lock(&self.inner).commands.hear(pulse, at);
    }

    /// Has a value tried on one slot, or ends that, as `ask` has it of the newest show and rig. A refusal is a sentence.
    pub(crate) fn try_slot(
        &self,
        ask: impl FnOnce(&Both) -> Option<Result<Option<Trial>, String>>,
    ) -> Result<(), String> {
        let mut inner = lock(&self.inner);
        if let Some(trial) = ask(inner.newest()) {
            inner.commands.try_slot(trial?);
        }
        Ok(())
    }

    /// Has a light aimed by another head; `false` when there is no room: try again. What was found of a generation that
    /// is gone is dropped.
    pub(crate) fn renew(&self, generation: u64, unit: usize, head: Head) -> bool {
        let mut inner = lock(&self.inner);
        inner.newest().generation != generation || inner.commands.renew(unit, head)
    }

    /// Lights of the newest rig are believed to hang otherwise; of no use when it is not that generation any more.
    pub(crate) fn found(&self, generation: u64, rig: &Arc<Rig>) {
        let mut inner = lock(&self.inner);
        if let Some(both) = inner.both.last_mut().filter(|both| both.generation == generation) {
            both.rig = rig.clone();
        }
    }

    /// Has the machine go on with another show and rig: see [`Player::take_over`](lanthorn_show::Player::take_over). Takes
    /// some milliseconds. The new generation.
    pub(crate) fn replace(
        &self,
        show: Arc<Show>,
        rig: Arc<Rig>,
        text: Arc<Text>,
        renames: &[Rename],
    ) -> Result<u64, SwapError> {
        let _one = lock(&self.replacing);
        let preparer = lock(&self.inner).commands.preparer();
        let replacement = preparer.prepare(show.clone(), rig.clone(), renames)?;
        let mut inner = lock(&self.inner);
        let generation = inner.commands.replace(replacement)?;
        inner.both.push(Both { generation, show, rig, text });
        if inner.both.len() > REMEMBERED {
            inner.both.remove(0);
        }
        Ok(generation)
    }

    /// Takes what the machine did last, from whoever reads its snapshots.
    pub(crate) fn see(&self, snapshot: &Snapshot) {
        let Snapshot { generation, now, status, frames, seen, groups, .. } = snapshot;
        let mut last = lock(&self.last);
        match &mut *last {
            Some(last) => {
                (last.generation, last.now, last.status) = (*generation, *now, *status);
                last.frames.copy_from(frames);
                last.seen.clone_from(seen);
                last.groups.clone_from(groups);
            }
            None => {
                *last = Some(Last {
                    generation: *generation,
                    now: *now,
                    status: *status,
                    frames: frames.clone(),
                    seen: seen.clone(),
                    groups: groups.clone(),
                });
            }
        }
    }

    /// What the machine did last, once it has begun.
    pub(crate) fn last(&self) -> Option<Last> {
        lock(&self.last).clone()
    }

    /// Sets what can be taken back and done again.
    pub(crate) fn set_edits(&self, edits: Edits) {
        *lock(&self.edits) = edits;
    }

    /// What can be taken back and done again.
    pub(crate) fn edits(&self) -> Edits {
        lock(&self.edits).clone()
    }

    /// Says something of the show's file.
    pub(crate) fn say_of_file(&self, says: String, wrong: bool) {
        *lock(&self.file) = Some(FileNews { says, wrong, at: std::time::Instant::now() });
    }

    /// Nothing is wrong with the file any more.
    pub(crate) fn file_is_right(&self) {
        let mut news = lock(&self.file);
        if news.as_ref().is_some_and(|news| news.wrong) {
            *news = None;
        }
    }

    /// What is to be said of the show's file now, and whether that is bad.
    pub(crate) fn file_says(&self) -> Option<(String, bool)> {
        let news = lock(&self.file);
        let shown = news.as_ref().filter(|news| news.wrong || news.at.elapsed() < SHOWN)?;
        Some((shown.says.clone(), shown.wrong))
    }
}

impl Inner {
    fn newest(&self) -> &Both {
        // Never empty: see `Current::new`.
        &self.both[self.both.len() - 1]
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests;
