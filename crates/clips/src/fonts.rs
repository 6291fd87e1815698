//! What is brought from outside: SoundFonts (with the feature `soundfont`) and recorded speech.

use crate::dice::Dice;
use crate::kit::Kind;
use crate::tone::Family;
use crate::wav;

/// Sounds brought from outside; without any, everything is drawn by the crate itself.
#[derive(Default)]
pub struct Fonts {
    #[cfg(feature = "soundfont")]
    fonts: Vec<std::sync::Arc<rustysynth::SoundFont>>,
    voices: Vec<(Vec<f32>, u32)>,
}

impl Fonts {
    /// None: the crate's own synthesis alone.
    #[must_use]
    pub fn none() -> Fonts {
        Fonts::default()
    }

    /// Reads SoundFont 2 files.
    ///
    /// # Errors
    /// Which of the files (counted from 1) is not a SoundFont 2, and why.
    #[cfg(feature = "soundfont")]
    pub fn read(files: &[Vec<u8>]) -> Result<Fonts, String> {
        let mut fonts = Fonts::default();
        for (n, bytes) in files.iter().enumerate() {
            let font = rustysynth::SoundFont::new(&mut bytes.as_slice())
                .map_err(|why| format!("font {}: not a readable SoundFont 2: {why}", n + 1))?;
            fonts.fonts.push(std::sync::Arc::new(font));
        }
        Ok(fonts)
    }

    /// Adds recorded speech, as the bytes of WAV files (16 bit), of which pieces are cut.
    ///
    /// # Errors
    /// Which of the files (counted from 1) is not such a WAV.
    pub fn voices(mut self, files: &[Vec<u8>]) -> Result<Fonts, String> {
        for (n, bytes) in files.iter().enumerate() {
            let read = wav::read(bytes).filter(|(samples, _)| !samples.is_empty());
            self.voices.push(read.ok_or_else(|| format!("speech {}: not a WAV of 16 bit", n + 1))?);
        }
        Ok(self)
    }

    /// A piece of recorded speech of `len` samples, if there is any.
    pub(crate) fn speech(&self, len: usize, rate: f32, dice: &mut Dice) -> Option<Vec<f32>> {
        if self.voices.is_empty() {
            return None;
        }
        let mut out = Vec::with_capacity(len);
        while out.len() < len {
            let (samples, own) = dice.pick(&self.voices);
            let from = dice.int(0, samples.len() - 1);
            let most = ((dice.span(2.0, 12.0) * *own as f32) as usize).min(samples.len() - from);
            out.extend(crate::dsp::stretch(&samples[from..from + most], f64::from(*own) / f64::from(rate)));
            out.extend(std::iter::repeat_n(0.0, (dice.span(0.2, 1.0) * rate) as usize));
        }
        out.truncate(len);
        Some(out)
    }

    /// A drum set of one of the fonts, or none: by chance, or because there is no font.
    pub(crate) fn kit(&self, kind: Kind, dice: &mut Dice) -> Option<FontSound<'_>> {
        let programs: &[u8] = match kind {
            Kind::Electric | Kind::Chip => &[0, 8, 16, 24, 25],
            Kind::Brushes => &[40, 40, 32],
            Kind::March => &[48, 0],
            _ => &[0, 0, 8, 16, 32],
        };
        let share = if matches!(kind, Kind::Electric | Kind::Chip) { 0.3 } else { 0.6 };
        self.sound(128, *dice.pick(programs), share, dice)
    }

    /// A General MIDI program of the family, or none.
    pub(crate) fn voice(&self, family: Family, dice: &mut Dice) -> Option<FontSound<'_>> {
        let program = *dice.pick(family.programs());
        self.sound(0, program, if family.electric() { 0.35 } else { 0.7 }, dice)
    }

    #[cfg(feature = "soundfont")]
    fn sound(&self, bank: u8, program: u8, share: f32, dice: &mut Dice) -> Option<FontSound<'_>> {
        if self.fonts.is_empty() || !dice.chance(share) {
            return None;
        }
        Some(FontSound { font: dice.pick(&self.fonts), bank, program })
    }

    #[cfg(not(feature = "soundfont"))]
    fn sound(&self, _bank: u8, _program: u8, _share: f32, _dice: &mut Dice) -> Option<FontSound<'_>> {
        None
    }
}

/// One program of one font.
pub(crate) struct FontSound<'a> {
    #[cfg(feature = "soundfont")]
    font: &'a std::sync::Arc<rustysynth::SoundFont>,
    #[cfg(feature = "soundfont")]
    bank: u8,
    #[cfg(feature = "soundfont")]
    program: u8,
    #[cfg(not(feature = "soundfont"))]
    nothing: std::marker::PhantomData<&'a ()>,
}

impl FontSound<'_> {
    /// A strike that rings out, from its first sample that can be heard. `None` if the font has nothing there.
    pub(crate) fn strike(&self, key: u8, velocity: u8, rate: f32) -> Option<Vec<f32>> {
        let mut sound = self.note(key, velocity, 1.2, rate)?;
        let top = crate::dsp::peak(&sound);
        let first = sound.iter().position(|s| s.abs() > top * 0.08)?;
        sound.drain(..first);
        Some(sound)
    }

    /// A note held for `secs`, with its release.
    #[cfg(feature = "soundfont")]
    pub(crate) fn note(&self, key: u8, velocity: u8, secs: f32, rate: f32) -> Option<Vec<f32>> {
        use rustysynth::{Synthesizer, SynthesizerSettings};
        let mut settings = SynthesizerSettings::new(rate as i32);
        settings.maximum_polyphony = 8;
        settings.enable_reverb_and_chorus = false;
        let mut synth = Synthesizer::new(self.font, &settings).ok()?;
        let channel = if self.bank == 128 { 9 } else { 0 };
        synth.process_midi_message(channel, 0xC0, i32::from(self.program), 0);
        synth.note_on(channel, i32::from(key), i32::from(velocity));
        let held = (secs * rate) as usize;
        let tail = (if self.bank == 128 { 0.05 } else { 0.35 } * rate) as usize;
        let (mut left, mut right) = (vec![0.0; held + tail], vec![0.0; held + tail]);
        synth.render(&mut left[..held], &mut right[..held]);
        synth.note_off(channel, i32::from(key));
        synth.render(&mut left[held..], &mut right[held..]);
        left.iter_mut().zip(&right).for_each(|(l, r)| *l = (*l + r) * 0.5);
        let fade = tail.min(200);
        let from = left.len() - fade;
        left[from..].iter_mut().enumerate().for_each(|(i, s)| *s *= 1.0 - i as f32 / fade as f32);
        (crate::dsp::peak(&left) > 1e-4).then_some(left)
    }

    #[cfg(not(feature = "soundfont"))]
    pub(crate) fn note(&self, _key: u8, _velocity: u8, _secs: f32, _rate: f32) -> Option<Vec<f32>> {
        let _ = self.nothing;
        None
    }
}
