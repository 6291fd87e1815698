//! What is on, kept in the person's state folder while a show is open, so that one that ended unasked goes on where it was.
//!
//! One small file for each show's path; it is deleted when the show is ended as it should be.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, SystemTime};

use lanthorn_dmx::Frames;
use lanthorn_live::Resuming;
use lanthorn_physics::Span;
use lanthorn_physics::units::Radians;
use lanthorn_rig::Rig;
use lanthorn_show::Show;
use lanthorn_show::player::Resume;
use lanthorn_store::disk;
use serde::{Deserialize, Serialize};

use crate::current::{Current, Last};

/// What was written longer ago is not gone on with.
const FRESH: Duration = Duration::from_secs(12 * 3600);
/// How often it is looked whether something has changed; it is written no more often.
const PACE: Duration = Duration::from_millis(250);
/// Written again after so long though nothing has changed, so that it stays fresh.
const AGAIN: Duration = Duration::from_secs(600);
/// Heads that move are kept no more often than this.
const HEADS: Duration = Duration::from_secs(2);
/// The layout of the file.
const VERSION: u32 = 1;

/// The file.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
struct Kept {
    version: u32,
    /// The show's path, for people.
    show: String,
    /// Seconds since 1970 when it was written.
    written_s: f64,
    on: On,
    /// Where heads are: number, pan and tilt as they are sent, radians.
    heads: Vec<(u32, f64, f64)>,
}

/// What is on, by names.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
struct On {
    look: Option<String>,
    by_cue: bool,
    /// Its number as printed.
    cue: Option<String>,
    follows_in_s: Option<f64>,
    chases: Vec<KeptChase>,
    bpm: f64,
    beat: f64,
    since_s: f64,
    master: f64,
    /// Groups that have a level over them, by name.
    #[serde(default)]
    groups: Vec<(String, f64)>,
    blackout: bool,
    stillness: bool,
    strobe_stopped: bool,
    #[serde(default)]
    picks: bool,
}

#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
struct KeptChase {
    name: String,
    ran_s: f64,
    speed: f64,
}

/// What is to be gone on with, and what is to be said of it.
#[derive(Debug)]
pub(crate) struct Found {
    pub(crate) resuming: Resuming,
    pub(crate) lines: Vec<String>,
}

impl On {
    fn of(last: &Last, show: &Show, rig: &Rig) -> Self {
        let status = &last.status;
        let groups = rig.groups.iter().zip(&last.groups).filter(|(_, level)| **level < 1.0);
        let chase = |running: &lanthorn_show::player::RunningChase| {
            let name = show.chases.get(running.chase)?.name.clone();
            Some(KeptChase { name, ran_s: running.ran.secs(), speed: running.speed })
        };
        Self {
            look: status.look.and_then(|look| Some(show.looks.get(look)?.name.clone())),
            by_cue: status.by_cue,
            cue: status.cue.and_then(|cue| Some(show.cues.get(cue)?.number.clone())),
            follows_in_s: status.follows_in.map(Span::secs),
            chases: status.chases.iter().flatten().filter_map(chase).collect(),
            bpm: status.bpm,
            beat: status.beat,
            since_s: status.since.secs(),
            master: status.master,
            groups: groups.map(|(group, level)| (group.name.clone(), *level)).collect(),
            blackout: status.blackout,
            stillness: status.stillness,
            strobe_stopped: status.strobe_stopped,
            picks: status.music.picks,
        }
    }

    /// The same without what moves by itself.
    fn set(&self) -> Self {
        let chase = |chase: &KeptChase| KeptChase { ran_s: 0.0, ..chase.clone() };
        let chases = self.chases.iter().map(chase).collect();
        Self { chases, beat: 0.0, since_s: 0.0, follows_in_s: None, ..self.clone() }
    }

    /// By places in a show; what it has not got any more is named.
    fn resume(&self, show: &Show, rig: &Rig, gone: &mut Vec<String>) -> Resume {
        let mut find = |what: &str, name: &String, place: Option<usize>| {
            if place.is_none() {
                gone.push(format!("the {what} \"{name}\""));
            }
            place
        };
        let look = self.look.as_ref().and_then(|name| find("look", name, show.look_index(name)));
        let cue = self.cue.as_ref().and_then(|number| find("cue", number, show.cue_index(number)));
        let mut chases = Vec::new();
        for chase in &self.chases {
            if let Some(place) = find("chase", &chase.name, show.chase_index(&chase.name)) {
                chases.push((place, Span::from_secs(chase.ran_s), chase.speed));
            }
        }
        let group = |(name, level): &(String, f64)| {
            find("group", name, rig.group_index(name)).map(|place| (place, *level))
        };
        let groups = self.groups.iter().filter_map(group).collect();
        Resume {
            look,
            by_cue: self.by_cue,
            cue,
            follows_in: self.follows_in_s.map(Span::from_secs),
            chases,
            bpm: self.bpm,
            beat: self.beat,
            since: Span::from_secs(self.since_s),
            master: self.master,
            groups,
            blackout: self.blackout,
            stillness: self.stillness,
            strobe_stopped: self.strobe_stopped,
            picks: self.picks,
        }
    }

    /// What is on, for people.
    fn words(&self) -> String {
        let mut words = Vec::new();
        words.extend(self.cue.as_ref().map(|cue| format!("cue {cue}")));
        words.extend(self.look.as_ref().map(|look| format!("\"{look}\"")));
        words.extend(self.chases.iter().map(|chase| format!("\"{}\"", chase.name)));
        words.extend(self.blackout.then(|| "blackout".to_owned()));
        words.extend(self.stillness.then(|| "stillness".to_owned()));
        words.extend(self.strobe_stopped.then(|| "no strobe".to_owned()));
        words.extend(self.picks.then(|| "looks by the music".to_owned()));
        if words.is_empty() { "nothing on".to_owned() } else { words.join(", ") }
    }
}

/// The file of a show's path in a state folder.
pub(crate) fn file_of(state: &Path, show: &Path) -> PathBuf {
    file_in(state, "on", show)
}

/// The same in another folder there: each keeps something of its own of a show.
pub(crate) fn file_in(state: &Path, folder: &str, show: &Path) -> PathBuf {
    let whole = std::path::absolute(show).unwrap_or_else(|_| show.to_owned());
    let whole = whole.canonicalize().unwrap_or(whole);
    // FNV-1a, 64 bit: names of files need no more.
    let hash = whole.as_os_str().as_encoded_bytes().iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    state.join("lanthorn").join(folder).join(format!("{hash:016x}.json"))
}

/// What a show that ended unasked had on, if that is not too long ago.
pub(crate) fn find(file: &Path, show: &Show, rig: &Rig, now: SystemTime) -> Option<Found> {
    let text = disk::load(file).ok()?;
    // What cannot be read any more is no reason not to begin.
    let kept: Kept = serde_json::from_str(&text).ok()?;
    let written = SystemTime::UNIX_EPOCH + Duration::try_from_secs_f64(kept.written_s).ok()?;
    let ago = now.duration_since(written).unwrap_or_default();
    if kept.version != VERSION || ago > FRESH {
        return None;
    }
    let mut gone = Vec::new();
    let on = kept.on.resume(show, rig, &mut gone).later(Span::from_secs(ago.as_secs_f64()));
    let was_on = kept.on.look.is_some() || !kept.on.chases.is_empty();
    if was_on && on.look.is_none() && on.chases.is_empty() {
        return None;
    }
    let head = |(number, pan, tilt): &(u32, f64, f64)| {
        Some((rig.index_of(*number)?, Radians::new(*pan), Radians::new(*tilt)))
    };
    let mut lines = vec![format!(
        "goes on where it was {} ago: {}; --fresh starts anew",
        span_words(ago.as_secs()),
        kept.on.words()
    )];
    lines.extend(gone.iter().map(|what| format!("{what} is not in the show any more")));
    Some(Found { resuming: Resuming { on, heads: kept.heads.iter().filter_map(head).collect() }, lines })
}

fn span_words(secs: u64) -> String {
    match secs {
        0..120 => format!("{secs} s"),
        120..7200 => format!("{} min", secs / 60),
        _ => format!("{} h", secs / 3600),
    }
}

/// Keeps what is on, on a thread of its own.
#[derive(Debug)]
pub(crate) struct Keeper {
    stop: Arc<AtomicBool>,
    thread: std::thread::JoinHandle<Writer>,
}

/// What the thread owns.
#[derive(Debug)]
struct Writer {
    file: PathBuf,
    show: String,
    /// What was written last, without what moves by itself, and when.
    last: Option<(On, std::time::Instant)>,
    heads: Vec<(u32, f64, f64)>,
    complained: bool,
}

impl Keeper {
    /// Starts; what is on comes from `current`.
    pub(crate) fn start(file: PathBuf, show: &Path, current: Arc<Current>) -> std::io::Result<Self> {
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = stop.clone();
        let mut writer = Writer {
            file,
            show: show.display().to_string(),
            last: None,
            heads: Vec::new(),
            complained: false,
        };
        let thread = std::thread::Builder::new().name("lanthorn-on".to_owned()).spawn(move || {
            while !stopped.load(Ordering::Acquire) {
                writer.look(&current);
                std::thread::sleep(PACE);
            }
            writer
        })?;
        Ok(Self { stop, thread })
    }

    /// Ends it; a show that was ended as it should be leaves nothing to go on with.
    pub(crate) fn end(self, as_it_should: bool) {
        self.stop.store(true, Ordering::Release);
        if let Ok(writer) = self.thread.join()
            && as_it_should
        {
            disk::remove(&writer.file);
        }
    }
}

impl Writer {
    fn look(&mut self, current: &Current) {
        let Some(last) = current.last() else { return };
        let Some(both) = current.of(last.generation) else { return };
        let (on, heads) = (On::of(&last, &both.show, &both.rig), heads(&both.rig, &last.frames));
        let set = on.set();
        let due = self.last.as_ref().is_none_or(|(last, at)| {
            *last != set || at.elapsed() > AGAIN || (self.heads != heads && at.elapsed() > HEADS)
        });
        if !due {
            return;
        }
        let since_1970 = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
        let kept = Kept {
            version: VERSION,
            show: self.show.clone(),
            written_s: since_1970.as_secs_f64(),
            on,
            heads: heads.clone(),
        };
        // Plain data of ours always has a JSON form.
        let text = serde_json::to_string(&kept).unwrap_or_default();
        match disk::keep(&self.file, &text) {
            Ok(()) => (self.last, self.heads) = (Some((set, std::time::Instant::now())), heads),
            Err(why) if !self.complained => {
                self.complained = true;
                eprintln!("take care: a restart would not go on where it was: {why}");
            }
            Err(_) => {}
        }
    }
}

/// Where heads are sent now.
fn heads(rig: &Rig, frames: &Frames) -> Vec<(u32, f64, f64)> {
    let head = |unit: &lanthorn_rig::Unit| {
        let reading = unit.moves().then(|| unit.reading(frames)).flatten()?;
        Some((unit.number, reading.pan?.get(), reading.tilt?.get()))
    };
    rig.units.iter().filter_map(head).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn demo() -> lanthorn_store::ShowFile {
        lanthorn_store::demo().unwrap()
    }

    fn kept(show: &Show, written_s: f64) -> Kept {
        let on = On {
            look: Some(show.looks[1].name.clone()),
            by_cue: false,
            cue: Some(show.cues[2].number.clone()),
            follows_in_s: None,
            chases: vec![
                KeptChase { name: show.chases[0].name.clone(), ran_s: 4.0, speed: 0.5 },
                KeptChase { name: "gone".to_owned(), ran_s: 1.0, speed: 1.0 },
            ],
            bpm: 120.0,
            beat: 7.5,
            since_s: 60.0,
            master: 0.7,
            groups: Vec::new(),
            blackout: false,
            stillness: false,
            strobe_stopped: true,
            picks: true,
        };
        Kept {
            version: VERSION,
            show: "x".to_owned(),
            written_s,
            on,
            heads: vec![(1, 0.5, -0.25), (99, 0.0, 0.0)],
        }
    }

    #[test]
    fn what_is_fresh_is_gone_on_with_by_its_names() {
        let folder = tempfile::tempdir().unwrap();
        let file = file_of(folder.path(), Path::new("dance.show.toml"));
        let demo = demo();
        disk::keep(&file, serde_json::to_string(&kept(&demo.show, 1000.0)).unwrap()).unwrap();
        let at = |secs| SystemTime::UNIX_EPOCH + Duration::from_secs(secs);
        let found = find(&file, &demo.show, &demo.rig, at(1002)).unwrap();
        let on = &found.resuming.on;
        assert_eq!(
            (on.look, on.cue, on.by_cue, on.master, on.strobe_stopped, on.picks),
            (Some(1), Some(2), false, 0.7, true, true)
        );
        assert_eq!(on.chases, [(0, Span::from_secs(5.0), 0.5)], "two seconds have gone, at half time");
        assert!((on.beat - 11.5).abs() < 1e-9 && on.since == Span::from_secs(62.0));
        assert_eq!(found.resuming.heads, [(0, Radians::new(0.5), Radians::new(-0.25))]);
        assert!(found.lines[0].starts_with("goes on where it was 2 s ago: cue "), "{:?}", found.lines);
        assert_eq!(found.lines[1], "the chase \"gone\" is not in the show any more");
        assert!(find(&file, &demo.show, &demo.rig, at(1000 + 12 * 3600)).is_some());
        assert!(find(&file, &demo.show, &demo.rig, at(1001 + 12 * 3600)).is_none(), "too long ago");
        // Nothing of it is there any more.
        let empty = Show::default();
        assert!(find(&file, &empty, &demo.rig, at(1002)).is_none());
    }

    #[test]
    fn what_cannot_be_read_is_no_reason_not_to_begin() {
        let folder = tempfile::tempdir().unwrap();
        let file = file_of(folder.path(), Path::new("dance.show.toml"));
        let demo = demo();
        let whole = serde_json::to_string(&kept(&demo.show, 1000.0)).unwrap();
        let now = SystemTime::UNIX_EPOCH + Duration::from_secs(1001);
        let changed = [
            String::new(),
            whole[..whole.len() / 2].to_owned(),
            whole.replace("\"version\":1", "\"version\":2"),
            whole.replace("1000.0", "-1e300"),
            whole.replace("1000.0", "1e999"),
        ];
        for text in changed {
            disk::keep(&file, &text).unwrap();
            assert!(find(&file, &demo.show, &demo.rig, now).is_none(), "{text}");
        }
        assert!(find(Path::new("nowhere"), &demo.show, &demo.rig, now).is_none());
        // Numbers that make no sense are taken as nothing said.
        let odd = whole
            .replace("120.0", "-1e300")
            .replace("7.5", "1e300")
            .replace("\"ran_s\":4.0", "\"ran_s\":-9e99");
        disk::keep(&file, &odd).unwrap();
        let found = find(&file, &demo.show, &demo.rig, now).unwrap();
        let mut machine =
            lanthorn_live::Machine::new(Arc::new(demo.show.clone()), Arc::new(demo.rig.clone()));
        machine.resume(&found.resuming, lanthorn_physics::Instant::ZERO);
        machine.tick(lanthorn_physics::Instant::ZERO);
    }
}
