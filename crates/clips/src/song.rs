//! One song: composed, played, mixed.

use crate::dice::Dice;
use crate::drumming::{self, Drummer, Hit};
use crate::dsp::{add, db, rms};
use crate::fonts::Fonts;
use crate::form::{self, Drums};
use crate::grid::Grid;
use crate::kit::{Drum, Kit};
use crate::mix;
use crate::parts::{Note, Part, Players};
use crate::style::{Feel, Style};
use crate::tone::{Family, Voice};
use crate::truth::{Beat, Class, Mark, Onset, Section};

/// Where a song lies, and how fast it is.
#[derive(Clone, Copy)]
pub(crate) struct Place {
    /// Seconds of the clip.
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Tempo and that a bar begins at `from`: what a song takes over from the one before. Else by chance.
    pub(crate) joins: Option<f32>,
    /// A whole arrangement from its beginning.
    pub(crate) whole: bool,
}

/// A song with its truth, in seconds of the clip.
pub(crate) struct Song {
    /// From `Place::from` on, with what rings on after the end.
    pub(crate) samples: Vec<f32>,
    pub(crate) beats: Vec<Beat>,
    pub(crate) onsets: Vec<Onset>,
    pub(crate) sections: Vec<Section>,
    pub(crate) bpm: f32,
}

/// What is to be played.
struct Score {
    hits: Vec<Hit>,
    notes: Vec<Note>,
    sections: Vec<Section>,
    /// Builds and intros, from, to: where a filter may open.
    rises: Vec<(f64, f64)>,
    /// Silences before a part, from, to.
    stops: Vec<(f64, f64)>,
}

pub(crate) fn play(style: &Style, place: Place, rate: f32, fonts: &Fonts, dice: &mut Dice) -> Song {
    let bpm = place.joins.unwrap_or_else(|| dice.ratio(style.bpm.0, style.bpm.1));
    let grid = Grid::lay(style, bpm, place.from, place.to, place.joins.is_some(), dice);
    let score = compose(style, bpm, &grid, place, dice);
    let len = ((place.to - place.from + 1.5) * f64::from(rate)) as usize;
    let mut studio = Studio {
        place,
        rate,
        drums: vec![0.0; len],
        parts: vec![vec![0.0; len]; 4],
        kicks: Vec::new(),
        heard: Vec::new(),
    };
    studio.strike(style, &score.hits, fonts, dice);
    studio.sing(style, &score.notes, fonts, dice);
    studio.hush(&score.stops);
    let (samples, onsets) = studio.mix(style, bpm, &score.rises, dice);
    let inside = |at: f64| place.from - 1e-9 <= at && at < place.to;
    let mut beats = grid.beats();
    beats.retain(|b| inside(b.at));
    let mut sections = score.sections;
    sections.retain(|s| inside(s.at));
    Song { samples, beats, onsets, sections, bpm }
}

fn compose(style: &Style, bpm: f32, grid: &Grid, place: Place, dice: &mut Dice) -> Score {
    let steps = grid.bar_steps();
    let players = Players::choose(style, bpm, steps, dice);
    let drummer = Drummer::choose(style, steps, dice);
    let mut score = Score {
        hits: Vec::new(),
        notes: Vec::new(),
        sections: Vec::new(),
        rises: Vec::new(),
        stops: Vec::new(),
    };
    let mut tense = false;
    let mut bar = 0;
    // a band that begins is counted in with sticks
    let counted = place.joins.is_none()
        && !place.whole
        && !style.plain()
        && matches!(style.feel, Feel::Live | Feel::Tight)
        && dice.chance(0.15);
    if counted && !style.grooves.is_empty() {
        score.hits = drumming::count_in(grid);
        bar = 1;
    }
    let scenes = if place.whole {
        form::whole::scenes(style, grid.bars(), dice)
    } else {
        form::scenes(style, grid.bars(), dice)
    };
    for scene in scenes {
        // a drop is one only after tension; elsewhere the part merely lifts
        let mark = if scene.mark == Mark::Drop && !tense && bar > 0 { Mark::Lift } else { scene.mark };
        tense = matches!(scene.mark, Mark::Build | Mark::Breakdown);
        for inside in 0..scene.bars {
            if bar >= grid.bars() {
                return score;
            }
            if inside == 0 && bar > 0 {
                score.sections.push(Section { at: grid.at(bar, 0.0), mark });
            } else if inside > 0 && inside % if scene.bars > 8 { 8 } else { 4 } == 0 {
                score.sections.push(Section { at: grid.at(bar, 0.0), mark: Mark::Phrase });
            }
            score.hits.extend(drummer.play(grid, bar, inside, &scene, dice));
            let notes = players.play(grid, bar, &scene, dice).into_iter();
            score.notes.extend(
                notes.map(|note| Note { key: (note.key as i32 + scene.up).clamp(24, 103) as u8, ..note }),
            );
            if inside == 0 && (scene.drums == Drums::Roll || scene.mark == Mark::Build) {
                let end = (bar + scene.bars).min(grid.bars() - 1);
                score.rises.push((grid.at(bar, 0.0), grid.at(end, 0.0)));
            }
            bar += 1;
        }
        if scene.stop > 0.0 {
            score.stop(grid, bar, scene.stop);
        }
    }
    score
}

impl Score {
    /// Nothing plays for so many beats before a bar.
    fn stop(&mut self, grid: &Grid, bar: usize, beats: f32) {
        let steps = grid.bar_steps() as f64 - f64::from(beats) * f64::from(grid.meter.steps);
        let (from, to) = (grid.at(bar - 1, steps.max(0.0)), grid.at(bar, 0.0));
        self.hits.retain(|hit| !(from - 0.01..to - 0.03).contains(&hit.at));
        self.notes.retain(|note| !(from - 0.01..to - 0.03).contains(&note.at));
        self.stops.push((from, to));
    }
}

/// Tracks while they are filled.
struct Studio {
    place: Place,
    rate: f32,
    drums: Vec<f32>,
    parts: Vec<Vec<f32>>,
    kicks: Vec<i64>,
    /// Attacks with their own level.
    heard: Vec<(Onset, f32)>,
}

impl Studio {
    fn sample(&self, at: f64) -> i64 {
        ((at - self.place.from) * f64::from(self.rate)).round() as i64
    }

    fn spans(&self, at: f64) -> bool {
        self.place.from - 1e-6 <= at && at < self.place.to - 0.005
    }

    /// What rings into a silence is cut off there.
    fn hush(&mut self, stops: &[(f64, f64)]) {
        let fade = (0.02 * self.rate) as usize;
        for &(from, to) in stops {
            let (from, to) = (self.sample(from).max(0) as usize, self.sample(to - 0.03).max(0) as usize);
            for track in self.parts.iter_mut().chain([&mut self.drums]) {
                let to = to.min(track.len());
                for (at, sample) in track[from.min(to)..to].iter_mut().enumerate() {
                    *sample *= 1.0 - at.min(fade) as f32 / fade as f32;
                }
            }
        }
    }

    fn strike(&mut self, style: &Style, hits: &[Hit], fonts: &Fonts, dice: &mut Dice) {
        let kit = Kit::make(style.kit, &style.drums(), style.loud_hats, self.rate, fonts, dice);
        let jitter = looseness(style.feel, dice);
        let late = if jitter > 0.002 { f64::from(dice.span(-0.004, 0.009)) } else { 0.0 };
        for hit in hits {
            let own = if hit.drum.class() == Class::Snare { late } else { 0.0 };
            let at = hit.at + (jitter * f64::from(dice.normal())).clamp(-0.015, 0.015) + own;
            let Some((sound, gain)) = kit.strike(hit.drum, dice).filter(|_| self.spans(at)) else {
                continue;
            };
            let (sample, gain) = (self.sample(at), gain * hit.force);
            add(&mut self.drums, sound, sample, gain);
            if hit.drum == Drum::Kick {
                self.kicks.push(sample);
            }
            let own = rms(&sound[..sound.len().min((0.03 * self.rate) as usize)]) * gain;
            self.heard.push((Onset { at, class: hit.drum.class() }, own));
        }
        self.kicks.sort_unstable();
    }

    fn sing(&mut self, style: &Style, notes: &[Note], fonts: &Fonts, dice: &mut Dice) {
        let jitter = looseness(style.feel, dice);
        for part in [Part::Bass, Part::Comp, Part::Lead, Part::Pad] {
            let (families, usual) = match part {
                Part::Bass => (style.band.bass, -9.0),
                Part::Comp => (style.band.comp, -12.0),
                Part::Lead => (style.band.lead, -11.0),
                Part::Pad => (style.band.pad, -17.0),
            };
            let mut voice = Voice::make(*dice.pick(families), self.rate, fonts, dice);
            let part_gain = db(usual + if style.plain() { -6.0 } else { dice.span(-5.0, 5.0) });
            let lean = if jitter > 0.002 { f64::from(dice.span(-0.006, 0.008)) } else { 0.0 };
            let spread =
                if jitter > 0.0 && dice.chance(0.4) { f64::from(dice.span(0.0, 0.012)) } else { 0.0 };
            let (mut last, mut shift, mut nth) = (f64::MIN, 0.0, 0);
            for note in notes.iter().filter(|n| n.part == part) {
                if note.at - last > 1e-6 {
                    (last, nth) = (note.at, 0);
                    shift = (jitter * f64::from(dice.normal())).clamp(-0.015, 0.015) + lean;
                }
                let at = note.at + shift + spread * f64::from(nth);
                nth += 1;
                if !self.spans(at) {
                    continue;
                }
                let sound = voice.note(note.key, note.secs as f32, note.force > 0.6);
                let gain = part_gain * note.force * (1.0 + 0.08 * dice.normal());
                let (sample, lead, sharp) = (self.sample(at), sound.lead, sound.sharp);
                add(&mut self.parts[part as usize], &sound.samples, sample - lead as i64, gain);
                if sharp {
                    let end = sound.samples.len().min(lead + (0.05 * self.rate) as usize);
                    self.heard
                        .push((Onset { at, class: Class::Other }, rms(&sound.samples[lead..end]) * gain));
                }
            }
        }
    }

    /// Bass, chords, tune and pad together, with echoes, filters, and the kick's room.
    fn accompany(&mut self, style: &Style, bpm: f32, rises: &[(f64, f64)], dice: &mut Dice) -> Vec<f32> {
        let rate = self.rate;
        let spans: Vec<(usize, usize)> = rises
            .iter()
            .map(|&(from, to)| (self.sample(from).max(0) as usize, self.sample(to).max(0) as usize))
            .collect();
        let mut music = vec![0.0; self.drums.len()];
        if dice.chance(0.35) {
            let echoes = mix::echo(
                &self.parts[2],
                60.0 / bpm * *dice.pick(&[0.5, 0.75, 1.0, 0.25]),
                dice.span(0.2, 0.6),
                rate,
            );
            add(&mut music, &echoes, 0, dice.span(0.15, 0.5));
        }
        let heavy = style.loud_hats || style.band.bass.contains(&Family::SynthBass);
        for part in [Part::Bass, Part::Comp, Part::Pad] {
            if dice.chance(if part == Part::Bass && heavy { 0.2 } else { 0.05 }) {
                let turns = bpm / 60.0 * *dice.pick(&[0.5, 1.0, 1.5, 2.0, 3.0, 4.0]);
                mix::wobble(&mut self.parts[part as usize], turns, dice.ratio(1200.0, 7000.0), rate);
            }
        }
        self.parts.iter().for_each(|part| add(&mut music, part, 0, 1.0));
        if dice.chance(style.band.pump) {
            mix::duck(&mut music, &self.kicks, dice.span(0.3, 0.95), dice.span(0.1, 0.35), rate);
        }
        for &span in &spans {
            rise(&mut music, span, rate, dice);
        }
        let whole = if dice.chance(0.12) { Some((0, music.len())) } else { None };
        if let Some(span) = whole {
            mix::sweep(&mut music, span, (dice.ratio(300.0, 6000.0), dice.ratio(800.0, 9000.0)), false, rate);
        }
        music
    }

    fn mix(
        mut self,
        style: &Style,
        bpm: f32,
        rises: &[(f64, f64)],
        dice: &mut Dice,
    ) -> (Vec<f32>, Vec<Onset>) {
        let rate = self.rate;
        if style.plain() {
            let samples: Vec<f32> = (0..self.drums.len())
                .map(|i| self.drums[i] + self.parts.iter().map(|p| p[i]).sum::<f32>())
                .collect();
            let onsets = audible(&self.heard, &samples, self.place.from, rate);
            return (samples, onsets);
        }
        let music = self.accompany(style, bpm, rises, dice);
        if dice.chance(0.4) {
            mix::squash(
                &mut self.drums,
                dice.span(0.8, 2.0),
                dice.span(2.0, 6.0),
                dice.span(0.002, 0.02),
                dice.span(0.05, 0.2),
                rate,
            );
        }
        let mut out = music;
        add(&mut out, &self.drums, 0, db(dice.span(-2.0, 5.0)));
        if dice.chance(0.6) {
            mix::tilt(&mut out, dice, rate);
        }
        let dry = out.clone();
        if dice.chance(0.7) {
            let wet = mix::room(&out, dice.span(0.3, 2.2), rate, dice);
            add(&mut out, &wet, 0, dice.span(0.03, 0.25));
        }
        if dice.chance(0.45) {
            mix::squash(
                &mut out,
                dice.span(0.7, 1.5),
                dice.span(1.5, 8.0),
                dice.span(0.001, 0.02),
                dice.span(0.05, 0.3),
                rate,
            );
        }
        let onsets = audible(&self.heard, &dry, self.place.from, rate);
        (out, onsets)
    }
}

/// Spread of single notes about the grid, seconds.
fn looseness(feel: Feel, dice: &mut Dice) -> f64 {
    f64::from(match feel {
        Feel::Machine => 0.0,
        Feel::Tight => dice.span(0.0, 0.003),
        Feel::Live => dice.span(0.002, 0.007),
        Feel::Free => dice.span(0.003, 0.008),
    })
}

/// A build: noise that rises, and a filter that opens or thins.
fn rise(music: &mut [f32], span: (usize, usize), rate: f32, dice: &mut Dice) {
    let (from, to) = (span.0.min(music.len()), span.1.min(music.len()));
    if dice.chance(0.5) {
        let (low, high) = (dice.ratio(300.0, 1500.0), dice.ratio(5000.0, 10000.0));
        mix::sweep(music, span, (low, high), false, rate);
    } else if dice.chance(0.5) {
        mix::sweep(music, span, (30.0, dice.ratio(200.0, 900.0)), true, rate);
    }
    if dice.chance(0.7) {
        let mut noise: Vec<f32> = (from..to).map(|_| dice.noise()).collect();
        let len = noise.len();
        mix::sweep(
            &mut noise,
            (0, len),
            (dice.ratio(200.0, 800.0), dice.ratio(4000.0, 10000.0)),
            dice.chance(0.5),
            rate,
        );
        let top = dice.span(0.05, 0.3);
        noise.iter_mut().enumerate().for_each(|(i, s)| *s *= top * (i as f32 / len as f32));
        add(music, &noise, from as i64, 1.0);
    }
}

/// Leaves out attacks that the rest covers: their own level against the whole's in the same 35 ms.
fn audible(heard: &[(Onset, f32)], mix: &[f32], from: f64, rate: f32) -> Vec<Onset> {
    let covered = |(onset, own): &(Onset, f32)| {
        let at = ((onset.at - from) * f64::from(rate)).max(0.0) as usize;
        let window = at.min(mix.len())..(at + (0.035 * rate) as usize).min(mix.len());
        let floor = match onset.class {
            Class::Hat => -28.0,
            Class::Kick | Class::Snare => -20.0,
            Class::Other => -18.0,
        };
        *own < rms(&mix[window]) * db(floor)
    };
    heard.iter().filter(|h| !covered(h)).map(|h| h.0).collect()
}
