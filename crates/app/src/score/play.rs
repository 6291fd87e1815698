//! A score played: its parts go to the machine when they are due, its bars as the pulse of the music.
//!
//! A thread of its own knows where the track is, and sends each part so much earlier as the show's lead says, so that it is seen
//! on its bar. What is on follows from the place alone: after a jump, it is what would be on had it been played from there.

use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use lanthorn_live::ears::{Brings, Feed, Source};
use lanthorn_live::{Clock, Ears};
use lanthorn_music::pulse::{Form, Phase, Pulse, Strike, Stroke};
use lanthorn_physics::{Instant, Span};
use lanthorn_show::player::CHANGE;
use lanthorn_show::score::{Line, LineKind, Standing};
use lanthorn_show::{Command, Score, Show};

use super::clock::{PageClock, PlaceClock};
use super::strokes::Strokes;
use crate::current::Current;
use crate::wire::{ScoreAsk, ScoreNow};

/// So many asks may wait; a page says where it is five times a second.
const WAITING: usize = 64;

/// How often the pulse is told, and a page that plays is looked after.
const LOOK: Span = Span::from_millis(50);

/// Parts are sent so much before they are to leave: the tick that leans towards that moment takes them.
const AHEAD: Span = Span::from_millis(3);

/// A page that has said nothing for so long is gone.
const GONE: Span = Span::from_millis(3000);

/// After a jump what is on comes in this time at most.
const JUMP_FADE: Span = Span::from_millis(500);

/// A part that began no longer ago than this begins now, and fades as it says.
const JUST: Span = Span::from_millis(200);

/// Where scores are played. Clones are the same.
#[derive(Clone, Debug)]
pub(crate) struct Scores {
    say: SyncSender<(ScoreAsk, Instant)>,
    shared: Arc<Mutex<Option<Shown>>>,
    clock: Clock,
}

/// What pages are told.
#[derive(Clone, Debug)]
struct Shown {
    score: String,
    place: PlaceClock,
    length: Span,
    player: u32,
    dark: bool,
}

/// What plays.
struct Playing {
    score: String,
    place: PlaceClock,
    feed: Feed,
    /// Which page plays the sound; 0: the machine, without sound.
    player: u32,
    /// When the page last said where it is.
    heard: Instant,
    /// When the pulse was last told.
    told: Option<Instant>,
    lit: Lit,
    strokes: Strokes,
}

/// A part as it was sent.
#[derive(Clone, Debug, PartialEq)]
struct Sent {
    at: Span,
    look: Option<String>,
    chases: Option<Vec<String>>,
}

impl Scores {
    /// Starts the thread, which ends with `stop`.
    pub(crate) fn start(
        current: Arc<Current>,
        ears: Ears,
        clock: Clock,
        folder: Option<PathBuf>,
        stop: Arc<AtomicBool>,
    ) -> std::io::Result<(Self, JoinHandle<()>)> {
        let (say, hear) = sync_channel(WAITING);
        let scores = Self { say, shared: Arc::default(), clock };
        let work = Work { current, ears, clock, shared: scores.shared.clone(), folder, playing: None };
        let thread = std::thread::Builder::new()
            .name("lanthorn-score".to_owned())
            .spawn(move || work.run(&hear, &stop))?;
        Ok((scores, thread))
    }

    /// Takes what a page asks. What comes while too much waits is dropped: a page says where it is again.
    pub(crate) fn take(&self, ask: &ScoreAsk) {
        let _ = self.say.try_send((ask.clone(), self.clock.now()));
    }

    /// What is played now, for pages.
    pub(crate) fn now(&self) -> Option<ScoreNow> {
        let shown = self.shared.lock().unwrap_or_else(PoisonError::into_inner).clone()?;
        let place = shown.place.place(self.clock.now());
        Some(ScoreNow {
            at_s: place.clamp(Span::ZERO, shown.length).secs(),
            score: shown.score,
            player: shown.player,
            dark: shown.dark,
        })
    }
}

struct Work {
    current: Arc<Current>,
    ears: Ears,
    clock: Clock,
    shared: Arc<Mutex<Option<Shown>>>,
    /// Where the show's file lies.
    folder: Option<PathBuf>,
    playing: Option<Playing>,
}

impl Work {
    fn run(mut self, hear: &Receiver<(ScoreAsk, Instant)>, stop: &AtomicBool) {
        let mut wait = LOOK;
        while !stop.load(Ordering::Acquire) {
            let micros = u64::try_from(wait.micros()).unwrap_or(0);
            match hear.recv_timeout(Duration::from_micros(micros)) {
                Ok((ask, at)) => self.take(ask, at),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return,
            }
            wait = self.step();
        }
    }

    fn take(&mut self, ask: ScoreAsk, now: Instant) {
        match ask {
            ScoreAsk::Play { score, at_s } if at_s.is_finite() && at_s >= 0.0 => {
                let place = PlaceClock::Own { at: Span::from_secs(at_s), since: now };
                let going = self.playing.as_mut().filter(|one| one.score == score && one.player == 0);
                match going {
                    Some(playing) => (playing.place, playing.lit.sent, playing.told) = (place, None, None),
                    None => self.begin(score, place, 0, now),
                }
            }
            ScoreAsk::At { score, at_s, clock_ms, player }
                if at_s.is_finite() && clock_ms.is_finite() && player > 0 =>
            {
                self.hear(score, at_s, clock_ms / 1e3, player, now);
            }
            ScoreAsk::Stop => self.end(None),
            ScoreAsk::Play { .. } | ScoreAsk::At { .. } => {}
        }
    }

    /// A page that plays the sound says where it is.
    fn hear(&mut self, score: String, at: f64, clock: f64, player: u32, now: Instant) {
        let going = self.playing.as_mut().filter(|one| one.score == score && one.player == player);
        if let Some(playing) = going
            && let PlaceClock::Page(page) = &mut playing.place
        {
            playing.heard = now;
            if page.hear(at, clock, now) {
                (playing.lit.sent, playing.told) = (None, None);
            }
            return;
        }
        let mut page = PageClock::new();
        page.hear(at, clock, now);
        self.begin(score, PlaceClock::Page(Box::new(page)), player, now);
    }

    fn begin(&mut self, score: String, place: PlaceClock, player: u32, now: Instant) {
        let both = self.current.both();
        let Some(index) = both.show.score_index(&score) else { return };
        // The ears of the program hear the drums of a file while it begins to play.
        let strokes = Strokes::of(&both.show.scores[index], self.folder.as_deref(), accents(&both.show));
        let dark = self.playing.take().is_some_and(|before| before.lit.dark);
        let lit = Lit { sent: None, dark };
        let feed = self.ears.open(Source { name: format!("the score {score}"), brings: Brings::Pulse });
        self.playing = Some(Playing { score, place, feed, player, heard: now, told: None, lit, strokes });
    }

    /// Plays no more: the light stays as it is, and the tempo.
    fn end(&mut self, why: Option<&str>) {
        let Some(playing) = self.playing.take() else { return };
        if playing.lit.dark {
            self.current.ask(self.clock.now(), |_| Some(Command::Dark(false)));
        }
        if playing.feed.counts() {
            playing.feed.end(why.map(str::to_owned));
        }
        self.show();
    }

    /// Does what is due; how long to wait.
    fn step(&mut self) -> Span {
        let Some(playing) = &mut self.playing else { return LOOK };
        let now = self.clock.now();
        let both = self.current.both();
        let Some(score) = both.show.score_index(&playing.score).map(|index| &both.show.scores[index]) else {
            self.end(Some("The score is not in the show any more."));
            return LOOK;
        };
        let place = playing.place.place(now);
        let ended = if place > score.length {
            Some("The track has ended.")
        } else if playing.player > 0 && now - playing.heard > GONE {
            Some("The page that played the track says nothing any more; the light stays as it is.")
        } else if !playing.feed.counts() {
            Some("")
        } else {
            None
        };
        if let Some(why) = ended {
            self.end(Some(why).filter(|why| !why.is_empty()));
            return LOOK;
        }
        let earlier = self.current.last().map_or(Span::ZERO, |last| last.status.music.earlier);
        let lead = both.show.music.lead() + earlier;
        let leaving = place + lead + AHEAD;
        let due = playing.lit.due(score, leaving);
        if let Some((standing, fade)) = &due.part {
            self.current.ask(now, |both| Some(command(standing, *fade, &both.show)));
        }
        if let Some(dark) = due.dark {
            self.current.ask(now, |_| Some(Command::Dark(dark)));
        }
        if playing.told.is_none_or(|told| now - told >= LOOK) {
            playing.told = Some(now);
            playing.strokes.hear();
            let pulse = pulse(score, (&playing.strokes, lead), place, now);
            playing.feed.pulse(pulse, now);
        }
        let next = score.next_change(leaving).map_or(LOOK, |next| next - leaving);
        self.show();
        next.clamp(Span::from_micros(200), LOOK)
    }

    fn show(&self) {
        let both = self.current.both();
        let shown = self.playing.as_ref().map(|playing| Shown {
            score: playing.score.clone(),
            place: playing.place.clone(),
            length: both
                .show
                .score_index(&playing.score)
                .map_or(Span::ZERO, |index| both.show.scores[index].length),
            player: playing.player,
            dark: playing.lit.dark,
        });
        *self.shared.lock().unwrap_or_else(PoisonError::into_inner) = shown;
    }
}

/// Whether any chase answers to drums: then they have to be heard.
fn accents(show: &Show) -> bool {
    show.chases.iter().any(|chase| chase.at_each.is_some_and(|strike| strike != Strike::Drop))
}

/// What of a score the machine has been told.
#[derive(Debug, Default)]
struct Lit {
    sent: Option<Sent>,
    dark: bool,
}

/// What it is to be told now.
#[derive(Debug, Default, PartialEq)]
struct Due<'s> {
    /// What is on, and its fade.
    part: Option<(Standing<'s>, Span)>,
    dark: Option<bool>,
}

impl Lit {
    /// What is due at a place, where that is not what was sent; it counts as sent.
    fn due<'s>(&mut self, score: &'s Score, place: Span) -> Due<'s> {
        let standing = score.standing(place);
        let part = standing.part.map(|part| &score.parts[part]);
        let part = part.and_then(|part| Some((part, score.moment(part.place)?)));
        let want = part.map(|(_, at)| Sent {
            at,
            look: standing.look.map(str::to_owned),
            chases: standing.chases.map(<[String]>::to_vec),
        });
        let mut due = Due::default();
        if let Some((part, at)) = part.filter(|_| self.sent != want) {
            let fade = match &self.sent {
                // It was changed where it is on.
                Some(sent) if sent.at == at => CHANGE,
                _ if place - at <= JUST => part.fade,
                _ => part.fade.min(JUMP_FADE),
            };
            due.part = Some((standing, fade));
            // A part ends the dark before it.
            self.dark = false;
        }
        self.sent = want;
        if standing.dark != self.dark {
            self.dark = standing.dark;
            due.dark = Some(standing.dark);
        }
        due
    }
}

fn command(standing: &Standing<'_>, fade: Span, show: &Show) -> Command {
    let chases =
        standing.chases.map(|chases| chases.iter().filter_map(|name| show.chase_index(name)).collect());
    Command::Part { look: standing.look.and_then(|look| show.look_index(look)), chases, fade }
}

/// The pulse of a score at a place, with the strokes that are still to leave, each so long before it; it follows nothing where
/// there is no beat.
fn pulse(score: &Score, (strokes, lead): (&Strokes, Span), place: Span, now: Instant) -> Pulse {
    let beat = score.beat_at(place);
    Pulse {
        follows: beat.is_some(),
        held: false,
        lost: false,
        bpm: beat.map_or(120.0, |beat| 60.0 / beat.secs),
        beat_at: beat.map_or(now, |beat| now + (beat.at - place)),
        place: beat.map_or(0, |beat| beat.place),
        of: beat.map_or(0, |beat| beat.of),
        confidence: 1.0,
        bar_confidence: 1.0,
        level_db: None,
        // Nothing is heard: levels that go with the sound are those asked for.
        bands: [1.0; 3],
        form: beat.map(|_| form(score, place, now)),
        strokes: Strike::ALL.map(|strike| {
            strokes.next(strike, place + lead).map(|at| Stroke { at: now + (at - place), sure: 1.0 })
        }),
    }
}

/// Where in its form the track is at a place.
fn form(score: &Score, place: Span, now: Instant) -> Form {
    let begun = |line: &&Line| score.bar_at(line.bar).is_some_and(|at| at <= place);
    let lines = score.lines.iter().filter(begun);
    let last = lines.clone().next_back();
    Form {
        phase: if last.is_some_and(|line| line.kind == LineKind::Breakdown) {
            Phase::Breakdown
        } else {
            Phase::Full
        },
        energy: last.and_then(|line| line.energy).unwrap_or(0.5) as f32,
        phrase_at: last.and_then(|line| score.bar_at(line.bar)).map(|at| now + (at - place)),
        lines: lines.count() as u32,
    }
}

#[cfg(test)]
mod tests;
