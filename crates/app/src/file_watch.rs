//! The show's file is looked at while it is open: what another program writes there is taken in, and what cannot be read is
//! told until it is right again. What runs goes on.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use lanthorn_physics::units::Seconds;
use lanthorn_rig::sight::Sight;
use lanthorn_rig::{Found, Rig, Unit};
use lanthorn_show::renamed;
use lanthorn_store::disk::{self, Stamp};
use lanthorn_store::{Problem, read_show};

use crate::current::{Current, Text};

/// How often the file is looked at.
pub(crate) const LOOK: Duration = Duration::from_millis(500);

/// What the page is told when another program's text is taken in.
const TAKEN_IN: &str = "The file was changed by another program: taken in.";

/// The file as it was seen last.
#[derive(Debug)]
pub(crate) struct FileWatch {
    path: PathBuf,
    /// The text that was read last, taken in or not.
    text: String,
    stamp: Option<Stamp>,
    /// The stamp has changed since: it is read once it stays the same from one look to the next, so that nobody is
    /// caught in the middle of writing.
    stirring: bool,
    /// The text cannot be read.
    wrong: bool,
    /// It could not be taken yet for a reason that passes.
    again: bool,
}

impl FileWatch {
    /// Of a file whose text has just been read.
    pub(crate) fn new(path: PathBuf, text: String) -> Self {
        // What was written between the reading and now is found by its text.
        Self { path, text, stamp: None, stirring: true, wrong: false, again: false }
    }

    /// The text is one that we have just written ourselves.
    pub(crate) fn knows(&mut self, text: &str) {
        if self.text != text {
            text.clone_into(&mut self.text);
        }
        self.wrong = false;
    }

    /// Looks once; `true` when it has read another text.
    pub(crate) fn look(&mut self, current: &Current) -> bool {
        let stamp = match disk::stamp(&self.path) {
            Ok(stamp) => stamp,
            Err(why) => {
                (self.stamp, self.stirring) = (None, true);
                current.say_of_file(format!("{why}. What runs goes on."), true);
                return false;
            }
        };
        if self.stamp != Some(stamp) {
            (self.stamp, self.stirring) = (Some(stamp), true);
            return false;
        }
        if !std::mem::take(&mut self.stirring) && !self.again {
            return false;
        }
        match disk::load(&self.path) {
            // Gone for a moment, or written again as it was.
            Ok(text) if text == self.text && !self.again && !self.wrong => current.file_is_right(),
            Ok(text) => {
                self.text = text;
                self.read(current);
                return true;
            }
            Err(why) => current.say_of_file(format!("{why}. What runs goes on."), true),
        }
        false
    }

    fn read(&mut self, current: &Current) {
        self.again = false;
        let (file, problems) = read_show(&self.text);
        self.wrong = file.is_none();
        let name = self.path.display().to_string();
        let Some(file) = file else {
            let first = problems.iter().find(|problem| problem.is_error());
            let says = first.map(|problem: &Problem| problem.in_file(&name)).unwrap_or_default();
            current.say_of_file(format!("{says}. What runs goes on."), true);
            return;
        };
        let both = current.both();
        let text = Arc::new(Text::new(&self.text, &file));
        let mut show = file.show;
        // What a show starts with matters no more.
        show.start.clone_from(&both.show.start);
        if show == *both.show && same_rig(&file.rig, &both.rig) && text.values == both.text.values {
            current.file_is_right();
            return;
        }
        // Nobody tells what was only called otherwise; what runs is to go on under its new name.
        let renames = renamed(&both.show, &show);
        match current.replace(Arc::new(show), Arc::new(file.rig), text, &renames) {
            Ok(_) => current.say_of_file(TAKEN_IN.to_owned(), false),
            Err(why) => {
                self.again = true;
                current.say_of_file(format!("{name}: {why}. What runs goes on."), true);
            }
        }
    }
}

/// `true` for the same rig. Sights that we wrote ourselves stand in the file with fewer digits: they are the same when the
/// mark and what was sent are.
fn same_rig(file: &Rig, now: &Rig) -> bool {
    let near = |a: Option<Seconds>, b: Option<Seconds>| match (a, b) {
        (Some(a), Some(b)) => (a.get() - b.get()).abs() < 0.01,
        (a, b) => a.is_none() && b.is_none(),
    };
    let sight = |(a, b): (&Sight, &Sight)| {
        let at = a.mark.is_some() || a.at.distance(b.at).get() < 0.01;
        a.mark == b.mark && (a.pan, a.tilt) == (b.pan, b.tilt) && at
    };
    let found = |(a, b): (&Unit, &Unit)| {
        let (a, b) = (&a.found, &b.found);
        let times = near(a.pan_time, b.pan_time) && near(a.tilt_time, b.tilt_time);
        let sights = a.sights.len() == b.sights.len() && a.sights.iter().zip(&b.sights).all(sight);
        times && sights && a.pan_backwards == b.pan_backwards
    };
    as_planned(file) == as_planned(now) && file.units.iter().zip(&now.units).all(found)
}

/// A rig without what was found out about its lights.
fn as_planned(rig: &Rig) -> Rig {
    let mut rig = rig.clone();
    rig.units.iter_mut().for_each(|unit| unit.found = Found::default());
    rig
}

#[cfg(test)]
mod tests;
