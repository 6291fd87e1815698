//! Invented music with its exact truth: short pieces made from a seed, each with its beats, attacks, parts of the form and
//! where music sounds at all. Tests, benchmarks and the training of the follower of music use it.
//!
//! A seed gives the same bytes every time; no clock is read.

mod ambience;
mod degrade;
mod dice;
mod drumming;
mod dsp;
mod fonts;
mod form;
mod grid;
mod harmony;
mod kit;
mod mix;
mod parts;
mod song;
mod style;
mod timeline;
mod tone;
mod truth;
mod wav;

use std::sync::LazyLock;

pub use fonts::Fonts;
pub use truth::{Beat, Class, Clip, Mark, Onset, Section, Truth};

use dice::Dice;
use style::{ROWS, Style};
use timeline::Timeline;

/// What a clip should be.
#[derive(Clone, Copy, Debug)]
pub struct Wish {
    /// One of [`styles`] or [`whole_songs`]; `None` for any, and for clips that change from one to another. A style called `plain …` gives one
    /// steady song and nothing else; so does `whole …`; one without a beat (`silence`, `speech` …) nothing but that; any other may hold gaps,
    /// cuts and sounds between. An unknown name counts as `None`.
    pub style: Option<&'static str>,
    /// Length, seconds, 1 or more.
    pub secs: f64,
    /// Samples a second, 16 000 to 48 000; usually 24 000.
    pub rate: u32,
    /// Whether a room, noise, a small microphone and the like may harm it.
    pub degrade: bool,
    /// Same seed, same clip.
    pub seed: u64,
}

impl Default for Wish {
    fn default() -> Wish {
        Wish { style: None, secs: 30.0, rate: 24_000, degrade: false, seed: 0 }
    }
}

/// Names of whole songs, with the style of each.
static WHOLE: LazyLock<Vec<(String, &'static Style)>> = LazyLock::new(|| {
    ROWS.iter().filter(|style| !style.plain()).map(|style| (format!("whole {}", style.name), style)).collect()
});

/// The names of all styles: those of music, then the sounds without a beat.
pub fn styles() -> &'static [&'static str] {
    static NAMES: LazyLock<Vec<&'static str>> =
        LazyLock::new(|| ROWS.iter().map(|s| s.name).chain(ambience::NAMES.iter().copied()).collect());
    &NAMES
}

/// The names of whole songs, `whole …`: a style each, from the beginning of the song, its form written out.
pub fn whole_songs() -> &'static [&'static str] {
    static NAMES: LazyLock<Vec<&'static str>> =
        LazyLock::new(|| WHOLE.iter().map(|(name, _)| name.as_str()).collect());
    &NAMES
}

/// Makes a clip.
#[must_use]
pub fn render(wish: &Wish, fonts: &Fonts) -> Clip {
    let rate = wish.rate.clamp(8_000, 192_000);
    let secs = wish.secs.clamp(1.0, 7200.0);
    let mut dice = Dice::new(wish.seed);
    let whole = WHOLE.iter().find(|(name, _)| Some(name.as_str()) == wish.style);
    let only = whole.map(|(_, style)| *style).or_else(|| wish.style.and_then(Style::named));
    let silent = ambience::NAMES.iter().copied().find(|name| Some(*name) == wish.style);
    let speed = if wish.degrade { degrade::speed(&mut Dice::new(!wish.seed)) } else { 1.0 };
    // what is played faster has to be longer at first
    let mut line = Timeline::new(secs * speed, rate as f32, fonts, only);
    match (only, silent) {
        (_, Some(name)) => line.without_beat(name, &mut dice),
        (Some(style), _) if style.plain() => line.whole_song(style, &mut dice),
        (Some(style), _) if whole.is_some() => {
            line.whole = true;
            line.whole_song(style, &mut dice);
        }
        (None, _) if dice.chance(0.07) => line.mixed_without_beat(&mut dice),
        _ => line.songs(&mut dice),
    }
    let (mut samples, mut truth) = (line.samples, line.truth);
    let style = whole.map_or(line.style, |(name, _)| name.as_str());
    mix::level(&mut samples);
    let len = (secs * f64::from(rate)).round() as usize;
    if (speed - 1.0).abs() > 0.0 {
        samples = dsp::stretch(&samples, speed);
        truth.faster(speed);
        samples.resize(len, 0.0);
    }
    truth.secs = secs;
    if wish.degrade {
        degrade::degrade(&mut samples, rate as f32, fonts, &mut dice);
        let top = dsp::peak(&samples);
        if top > 0.98 {
            samples.iter_mut().for_each(|s| *s *= 0.98 / top);
        }
    }
    truth.tidy();
    Clip { name: format!("{}-{:06}", style.replace(' ', "-"), wish.seed), style, rate, samples, truth }
}
