//! What a clip is and what is true of it.

/// One piece of sound and its truth.
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    /// Style and seed, fit for a file name.
    pub name: String,
    /// The style of the first music in it, or of the sound without a beat.
    pub style: &'static str,
    /// Samples a second.
    pub rate: u32,
    /// One channel, about −14 dBFS rms where something sounds, every value within ±1.
    pub samples: Vec<f32>,
    /// What sounds when.
    pub truth: Truth,
}

/// What sounds when, in seconds from the first sample; each list in order of time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Truth {
    /// The grid of beats, after drift of the tempo; single notes may lie some milliseconds beside it.
    pub beats: Vec<Beat>,
    /// Attacks of the music that can be heard, at the time of the direct sound; those of other sounds are not told.
    pub onsets: Vec<Onset>,
    /// Where parts of the form begin.
    pub sections: Vec<Section>,
    /// From, to: where music with a beat sounds.
    pub music: Vec<(f64, f64)>,
    /// Length of the clip.
    pub secs: f64,
}

/// One beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// Seconds.
    pub at: f64,
    /// Its place in the bar; 1 is the downbeat.
    pub place: u8,
    /// Beats in this bar. 6/8 has two, 12/8 four, 7/8 seven (eighths).
    pub of: u8,
}

/// One attack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Onset {
    /// Seconds.
    pub at: f64,
    /// What was struck.
    pub class: Class,
}

/// What was struck.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Bass drum.
    Kick,
    /// Snare drum, clap, rim, brush stroke, finger snap.
    Snare,
    /// Hi-hat, ride, shaker, tambourine.
    Hat,
    /// Everything else: toms, hand drums, crash, notes.
    Other,
}

/// The begin of a part of the form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Seconds.
    pub at: f64,
    /// What begins.
    pub mark: Mark,
}

/// What begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Another four or eight bars inside a part.
    Phrase,
    /// Another part, about as loud and full.
    Section,
    /// Kick and bass come back at once after a breakdown or build.
    Drop,
    /// The kick goes.
    Breakdown,
    /// Tension rises towards a drop.
    Build,
    /// Another part, clearly fuller than the one before.
    Lift,
}

impl Class {
    /// One lower-case word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Class::Kick => "kick",
            Class::Snare => "snare",
            Class::Hat => "hat",
            Class::Other => "other",
        }
    }
}

impl Mark {
    /// One lower-case word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Mark::Phrase => "phrase",
            Mark::Section => "section",
            Mark::Drop => "drop",
            Mark::Breakdown => "breakdown",
            Mark::Build => "build",
            Mark::Lift => "lift",
        }
    }
}

impl Truth {
    /// A line `seconds place` for each beat.
    #[must_use]
    pub fn beats_text(&self) -> String {
        self.beats.iter().map(|b| format!("{:.5} {}\n", b.at, b.place)).collect()
    }

    /// A line `seconds class` for each attack.
    #[must_use]
    pub fn onsets_text(&self) -> String {
        self.onsets.iter().map(|o| format!("{:.5} {}\n", o.at, o.class.word())).collect()
    }

    /// A line `seconds label` for each begin of a part, and `music` and `end` for where music begins and ends.
    #[must_use]
    pub fn sections_text(&self) -> String {
        let mut lines: Vec<(f64, &str)> = self.sections.iter().map(|s| (s.at, s.mark.word())).collect();
        lines.extend(self.music.iter().flat_map(|&(from, to)| [(from, "music"), (to, "end")]));
        lines.sort_by(|a, b| a.0.total_cmp(&b.0));
        lines.iter().map(|(at, label)| format!("{at:.5} {label}\n")).collect()
    }

    /// Whether music with a beat sounds at `at` (seconds).
    #[must_use]
    pub fn plays_at(&self, at: f64) -> bool {
        self.music.iter().any(|&(from, to)| from <= at && at < to)
    }

    /// Sorts, joins what is doubled, and leaves out what lies outside the clip.
    pub(crate) fn tidy(&mut self) {
        let secs = self.secs;
        let inside = |at: f64| (0.0..secs).contains(&at);
        self.beats.retain(|b| inside(b.at));
        self.beats.sort_by(|a, b| a.at.total_cmp(&b.at));
        self.sections.retain(|s| inside(s.at));
        self.sections.sort_by(|a, b| a.at.total_cmp(&b.at));
        self.onsets.retain(|o| inside(o.at));
        self.onsets.sort_by(|a, b| a.class.cmp(&b.class).then(a.at.total_cmp(&b.at)));
        self.onsets.dedup_by(|later, first| later.class == first.class && later.at - first.at < 0.015);
        self.onsets.sort_by(|a, b| a.at.total_cmp(&b.at));
        self.music.retain_mut(|span| {
            *span = (span.0.max(0.0), span.1.min(secs));
            span.1 - span.0 > 0.01
        });
        self.music.sort_by(|a, b| a.0.total_cmp(&b.0));
    }

    /// The same clip played `factor` times as fast.
    pub(crate) fn faster(&mut self, factor: f64) {
        self.beats.iter_mut().for_each(|b| b.at /= factor);
        self.onsets.iter_mut().for_each(|o| o.at /= factor);
        self.sections.iter_mut().for_each(|s| s.at /= factor);
        self.music.iter_mut().for_each(|m| *m = (m.0 / factor, m.1 / factor));
    }
}
