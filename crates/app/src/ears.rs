//! Where sound comes from beside pages: raw samples on a pipe, a sound file played for rehearsal, an input of this machine.

#[cfg(feature = "audio-in")]
mod capture;
mod file;
mod raw;

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use lanthorn_live::ears::{Brings, Feed, Source};
use lanthorn_live::{Clock, Ears};
use lanthorn_physics::Span;

pub(crate) use raw::samples;

/// Samples a second of raw sound that says nothing else.
const RATE: u32 = 48_000;

/// What `--ears` may say.
pub(crate) const WAYS: &str = "write - for raw samples on standard input, raw:PATH for a pipe or a device (both 16 bit, little \
                               endian, mono, 48000 a second; @44100 behind it says otherwise), file:PATH for a sound file, or \
                               device for an input of this machine";

/// A source of sound that the command line names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Sound {
    /// Samples of 16 bit, little endian, mono, as they come; without a path on standard input.
    Raw {
        /// The pipe or device.
        path: Option<PathBuf>,
        /// Samples a second.
        rate: u32,
    },
    /// A sound file, in real time, once.
    File(PathBuf),
    /// An input of this machine, by a part of its name; the usual one without.
    Device(Option<String>),
}

/// What a source needs to bring sound.
#[derive(Clone)]
pub(crate) struct Way {
    pub(crate) ears: Ears,
    pub(crate) clock: Clock,
    pub(crate) stop: Arc<AtomicBool>,
}

impl Sound {
    /// Reads what `--ears` says.
    pub(crate) fn read(text: &str) -> Result<Self, String> {
        let wrong = |why: &str| format!("--ears {text}: {why}; {WAYS}");
        let (what, rate) = match text.rsplit_once('@') {
            Some((what, rate)) if what == "-" || what.starts_with("raw:") => {
                let rate = rate.parse().ok().filter(|rate| (8_000..=192_000).contains(rate));
                (what, rate.ok_or_else(|| wrong("after @ write samples a second, 8000 to 192000"))?)
            }
            _ => (text, RATE),
        };
        let path = |path: &str| match path {
            "" => Err(wrong("a path is missing")),
            path => Ok(PathBuf::from(path)),
        };
        match what.split_once(':') {
            None if what == "-" => Ok(Self::Raw { path: None, rate }),
            None if what == "device" => Ok(Self::Device(None)),
            Some(("raw", rest)) => Ok(Self::Raw { path: Some(path(rest)?), rate }),
            Some(("file", rest)) => Ok(Self::File(path(rest)?)),
            Some(("device", rest)) => Ok(Self::Device(Some(rest.to_owned()))),
            _ => Err(wrong("this is no source of sound")),
        }
    }

    /// Begins to listen to it, on a thread of its own, which ends by itself.
    pub(crate) fn start(self, way: Way) -> Result<(), String> {
        let name = self.name();
        let thread = std::thread::Builder::new().name("lanthorn-sound".to_owned());
        let begun = match self {
            Self::Raw { path, rate } => {
                let feed = way.sound(name, rate);
                thread.spawn(move || raw::play(path.as_deref(), rate, &feed, &way))
            }
            Self::File(path) => {
                let sound = file::open(&path)?;
                let feed = way.sound(name, sound.rate());
                thread.spawn(move || file::play(sound, &feed, &way))
            }
            #[cfg(feature = "audio-in")]
            Self::Device(part) => thread.spawn(move || capture::play(part.as_deref(), &way)),
            #[cfg(not(feature = "audio-in"))]
            Self::Device(_) => {
                return Err("--ears device: this program was built without an input of its own (cargo feature audio-in); \
                            the page can listen to the microphone instead, or write --ears - and send raw samples"
                    .to_owned());
            }
        };
        begun.map(drop).map_err(|why| format!("start the thread that brings sound: {why}"))
    }

    /// What a person calls it.
    fn name(&self) -> String {
        let of = |path: &Path| path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
        match self {
            Self::Raw { path: None, .. } => "samples on standard input".to_owned(),
            Self::Raw { path: Some(path), .. } => format!("samples from {}", path.display()),
            Self::File(path) => format!("the file {}", of(path)),
            Self::Device(None) => "this machine's input".to_owned(),
            Self::Device(Some(part)) => format!("this machine's input {part}"),
        }
    }
}

impl Way {
    fn sound(&self, name: String, rate: u32) -> Feed {
        self.ears.open(Source { name, brings: Brings::Sound { rate, delay: Span::ZERO } })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sources_are_read_as_they_are_written() {
        let raw = |path: Option<&str>, rate| Sound::Raw { path: path.map(PathBuf::from), rate };
        for (text, sound) in [
            ("-", raw(None, 48_000)),
            ("-@44100", raw(None, 44_100)),
            ("raw:/tmp/mixer", raw(Some("/tmp/mixer"), 48_000)),
            ("raw:a@b@24000", raw(Some("a@b"), 24_000)),
            ("file:set one.flac", Sound::File("set one.flac".into())),
            ("file:mine@home.wav", Sound::File("mine@home.wav".into())),
            ("device", Sound::Device(None)),
            ("device:line", Sound::Device(Some("line".to_owned()))),
        ] {
            assert_eq!(Sound::read(text), Ok(sound), "{text}");
        }
        for (text, says) in
            [("-@9", "8000 to 192000"), ("raw:", "a path is missing"), ("mic", "no source of sound")]
        {
            let why = Sound::read(text).unwrap_err();
            assert!(why.contains(says) && why.contains("file:PATH"), "{text}: {why}");
        }
    }
}
