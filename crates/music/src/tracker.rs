//! The tracker: samples in, what happens in the music out, as it goes.

mod beats;
mod form;
mod onsets;
mod shape;

use crate::net::{Heard, LATE_FRAMES, Live, UnusableWeights, Weights};
use crate::spectrum::{Loudness, Spectra};
use crate::{FRAMES_A_SECOND, HOP, RATE, Resampler, UnusableRate};
pub use beats::{Beats, Standing};
pub(crate) use form::Form;
pub(crate) use onsets::Onsets;
pub use shape::{Phase, Shape};

/// The weights of the network that follows, made by training/README.md.
pub(crate) static WEIGHTS: &[u8] = include_bytes!("../weights/live.weights");

/// What begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// A kick drum.
    Kick,
    /// A snare drum, a clap.
    Snare,
    /// A hi-hat, a cymbal.
    Hat,
    /// Anything else.
    Other,
}

impl Class {
    /// All, in the order of the network's columns.
    pub const ALL: [Self; 4] = [Self::Kick, Self::Snare, Self::Hat, Self::Other];

    /// The word for it in lists.
    pub fn word(self) -> &'static str {
        match self {
            Self::Kick => "kick",
            Self::Snare => "snare",
            Self::Hat => "hat",
            Self::Other => "other",
        }
    }
}

/// A line of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// A phrase begins.
    Phrase,
    /// Something new begins.
    Section,
    /// The kick and what is low have gone.
    Breakdown,
    /// They are back, all at once.
    Drop,
    /// It is louder from here on.
    Lift,
}

impl Mark {
    /// The word for it in lists.
    pub fn word(self) -> &'static str {
        match self {
            Self::Phrase => "phrase",
            Self::Section => "section",
            Self::Breakdown => "!breakdown",
            Self::Drop => "!drop",
            Self::Lift => "!lift",
        }
    }
}

/// Something that happens at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// When it happens, seconds of sound since the first sample.
    pub at: f64,
    /// When it is told, seconds of sound: all that came until then is what it rests on.
    pub told: f64,
    /// What.
    pub what: What,
}

/// What happens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// A sound begins; how sure that is, 0 to 1.
    Onset(Class, f32),
    /// A beat.
    Beat {
        /// Its place in the bar, from 1.
        place: u8,
        /// Beats of the bar.
        of: u8,
        /// Nothing of it is heard at present: the tempo is held.
        held: bool,
    },
    /// A line of the form.
    Line(Mark),
    /// From now on there is music with a beat, or none any more.
    Music(bool),
}

/// Follows music. Blocks of any size give the same. Nothing is allocated after [`Self::new`].
pub struct Tracker {
    resampler: Resampler,
    ears: Ears,
}

/// Behind the working rate.
struct Ears {
    spectra: Spectra,
    net: Live,
    beats: Beats,
    onsets: Onsets,
    form: Form,
    loudness: Loudness,
    heard: Heard,
    frames: u64,
}

/// What cannot be followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoTracker {
    /// The rate.
    #[error(transparent)]
    Rate(#[from] UnusableRate),
    /// The weights that the program carries.
    #[error(transparent)]
    Weights(#[from] UnusableWeights),
}

impl Tracker {
    /// For sound of so many samples a second.
    ///
    /// # Errors
    /// A rate that sound cannot have.
    pub fn new(rate: u32) -> Result<Self, NoTracker> {
        Self::with_weights(rate, WEIGHTS)
    }

    /// With other weights than those that are built in.
    ///
    /// # Errors
    /// A rate that sound cannot have; weights that are none.
    pub fn with_weights(rate: u32, weights: &[u8]) -> Result<Self, NoTracker> {
        let ears = Ears {
            spectra: Spectra::new(),
            net: Live::new(&Weights::read(weights)?)?,
            beats: Beats::new(),
            onsets: Onsets::default(),
            form: Form::default(),
            loudness: Loudness::default(),
            heard: Heard::default(),
            frames: 0,
        };
        Ok(Self { resampler: Resampler::new(rate)?, ears })
    }

    /// Takes mono samples, full scale ±1; gives what they tell, in the order in which it is told.
    pub fn push(&mut self, samples: &[f32], mut give: impl FnMut(Event)) {
        let Self { resampler, ears } = self;
        resampler.push(samples, |piece| ears.push(piece, &mut give));
    }

    /// Where in the music we are.
    pub fn standing(&self) -> Standing {
        self.ears.beats.standing()
    }

    /// Where in its form the music stands.
    pub fn shape(&self) -> Shape {
        self.ears.form.shape()
    }

    /// What the network heard in the last frame.
    pub fn heard(&self) -> Heard {
        self.ears.heard
    }

    /// How loud it is.
    pub fn loudness(&self) -> Loudness {
        self.ears.loudness
    }

    /// Seconds of sound that were heard.
    pub fn secs(&self) -> f64 {
        self.ears.frames as f64 / FRAMES_A_SECOND
    }

    /// Beats, to be corrected by hand.
    pub fn beats_mut(&mut self) -> &mut Beats {
        &mut self.ears.beats
    }
}

impl Ears {
    fn push(&mut self, samples: &[f32], give: &mut impl FnMut(Event)) {
        let Self { spectra, net, beats, onsets, form, loudness, heard, frames } = self;
        spectra.push(samples, |frame, loud| {
            *frames += 1;
            let told = *frames as f64 / FRAMES_A_SECOND;
            *loudness = loud;
            *heard = net.hear(frame);
            onsets.hear(heard, told, give);
            form.hear(frame, &loud, heard, told, give);
            beats.hear(heard, loud.is_silent(), told, &mut |event| {
                give(event);
                if let What::Beat { place, of, .. } = event.what {
                    form.beat(event.at, place, of, told, give);
                }
            });
        });
    }
}

/// The moment of which the network tells at the end of a frame.
fn moment(told: f64) -> f64 {
    told - LATE_FRAMES as f64 / FRAMES_A_SECOND
}

const _: () = assert!((RATE as usize).is_multiple_of(HOP), "frames are a whole part of a second");
