//! Sound files: what symphonia reads (WAV, FLAC, MP3, Ogg Vorbis, AAC in MP4), as mono samples.

use symphonia::core::audio::sample::Sample;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::core::meta::MetadataOptions;

/// A sound file that is being read.
pub struct Sound {
    format: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    track: u32,
    rate: u32,
    /// Samples so far.
    count: u64,
    samples: Vec<f32>,
    mono: Vec<f32>,
    /// Packets that could not be decoded.
    pub torn: u64,
}

/// A sound file that cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum UnreadableSound {
    /// Not of a kind that is known.
    #[error("this is no sound that can be read ({0}); WAV, FLAC, MP3, Ogg Vorbis and AAC can")]
    Kind(String),
    /// It holds no sound.
    #[error("there is no sound in this file")]
    Empty,
    /// It breaks off.
    #[error("the file cannot be read on from {at:.1} s: {why}")]
    Torn {
        /// Seconds of sound until there.
        at: f64,
        /// What is wrong.
        why: String,
    },
}

impl Sound {
    /// Opens a source; `ending` is that of its name, which helps to tell its kind.
    ///
    /// # Errors
    /// A kind that is not known, or no sound in it.
    pub fn open(source: Box<dyn MediaSource>, ending: Option<&str>) -> Result<Self, UnreadableSound> {
        let kind = |error: Error| UnreadableSound::Kind(error.to_string());
        let stream = MediaSourceStream::new(source, Default::default());
        let mut hint = Hint::new();
        if let Some(ending) = ending {
            hint.with_extension(ending);
        }
        let probe = symphonia::default::get_probe();
        let format =
            probe.probe(&hint, stream, FormatOptions::default(), MetadataOptions::default()).map_err(kind)?;
        let track = format.default_track(TrackType::Audio).ok_or(UnreadableSound::Empty)?;
        let parameters =
            track.codec_params.as_ref().and_then(|codec| codec.audio()).ok_or(UnreadableSound::Empty)?;
        let rate = parameters.sample_rate.ok_or(UnreadableSound::Empty)?;
        let decoder = symphonia::default::get_codecs()
            .make_audio_decoder(parameters, &AudioDecoderOptions::default())
            .map_err(kind)?;
        let track = track.id;
        Ok(Self { format, decoder, track, rate, count: 0, samples: Vec::new(), mono: Vec::new(), torn: 0 })
    }

    /// Samples a second.
    pub fn rate(&self) -> u32 {
        self.rate
    }

    /// The next samples, all channels as one; none at the end. What is torn in the middle is left out and counted.
    ///
    /// # Errors
    /// A file that cannot be read on.
    pub fn next_samples(&mut self) -> Result<Option<&[f32]>, UnreadableSound> {
        loop {
            let packet = match self.format.next_packet() {
                Ok(Some(packet)) => packet,
                Ok(None) => return Ok(None),
                // The end of a file whose length was not told.
                Err(Error::IoError(error)) if error.kind() == std::io::ErrorKind::UnexpectedEof => {
                    return Ok(None);
                }
                Err(error) => {
                    return Err(UnreadableSound::Torn {
                        at: self.count as f64 / f64::from(self.rate),
                        why: error.to_string(),
                    });
                }
            };
            if packet.track_id != self.track {
                continue;
            }
            match self.decoder.decode(&packet) {
                Ok(sound) => {
                    let channels = sound.spec().channels().count().max(1);
                    self.samples.resize(sound.samples_interleaved(), f32::MID);
                    sound.copy_to_slice_interleaved(&mut self.samples);
                    self.mono.clear();
                    let part = 1.0 / channels as f32;
                    self.mono.extend(
                        self.samples.chunks_exact(channels).map(|all| all.iter().sum::<f32>() * part),
                    );
                    self.count += self.mono.len() as u64;
                    if !self.mono.is_empty() {
                        return Ok(Some(&self.mono));
                    }
                }
                Err(Error::DecodeError(_)) => self.torn += 1,
                Err(error) => {
                    return Err(UnreadableSound::Torn {
                        at: self.count as f64 / f64::from(self.rate),
                        why: error.to_string(),
                    });
                }
            }
        }
    }
}
