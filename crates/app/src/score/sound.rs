//! The sound of a scored track, for pages: the file itself, by pieces where they ask so, and its outline.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use axum::body::Body;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use lanthorn_music::decode::Sound;
use lanthorn_show::Show;

/// Kinds of sound files that are given out, by their endings, and what browsers call them.
const KINDS: &[(&str, &str)] = &[
    ("wav", "audio/wav"),
    ("flac", "audio/flac"),
    ("mp3", "audio/mpeg"),
    ("ogg", "audio/ogg"),
    ("oga", "audio/ogg"),
    ("m4a", "audio/mp4"),
    ("mp4", "audio/mp4"),
    ("aac", "audio/aac"),
];

/// Most bytes of an answer: who wants more asks on.
const MOST_AT_ONCE: u64 = 4 << 20;

/// Most bytes of a file that is given out whole.
const MOST_WHOLE: u64 = 64 << 20;

/// Values of the outline for each second.
const OUTLINE: usize = 20;

/// Where the sound of the score at that place of the show lies, and its kind; or why there is none.
fn file_of(show: &Show, score: usize, show_file: Option<&Path>) -> Result<(PathBuf, &'static str), String> {
    let score = show.scores.get(score).ok_or_else(|| "there is no such score\n".to_owned())?;
    let named = Path::new(&score.file);
    let ending = named.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    let kind = KINDS.iter().find(|(known, _)| known.eq_ignore_ascii_case(ending));
    let (_, kind) = kind.ok_or_else(|| format!("{} is no sound file\n", score.file))?;
    let folder = show_file.and_then(Path::parent).unwrap_or(Path::new(""));
    Ok((folder.join(named), kind))
}

/// The file, or the piece of it that is asked for.
pub(crate) fn answer(show: &Show, score: usize, show_file: Option<&Path>, headers: &HeaderMap) -> Response {
    let (path, kind) = match file_of(show, score, show_file) {
        Ok(found) => found,
        Err(why) => return (StatusCode::NOT_FOUND, why).into_response(),
    };
    let gone =
        |why: std::io::Error| (StatusCode::NOT_FOUND, format!("{}: {why}\n", path.display())).into_response();
    let opened = File::open(&path).and_then(|file| Ok((file.metadata()?, file)));
    let (about, mut file) = match opened {
        Ok(opened) => opened,
        Err(why) => return gone(why),
    };
    let length = about.len();
    if !about.is_file() || length == 0 {
        return (StatusCode::NOT_FOUND, format!("{} is no sound file\n", path.display())).into_response();
    }
    let asked = headers.get(header::RANGE).and_then(|range| range.to_str().ok());
    let (from, to) = match asked.map(|asked| range(asked, length)) {
        Some(None) => {
            let about = [(header::CONTENT_RANGE, format!("bytes */{length}"))];
            return (StatusCode::RANGE_NOT_SATISFIABLE, about).into_response();
        }
        Some(Some((from, to))) => (from, to.min(from + MOST_AT_ONCE - 1)),
        None if length > MOST_WHOLE => {
            let why = format!("{} is large: ask for it by pieces\n", path.display());
            return (StatusCode::PAYLOAD_TOO_LARGE, why).into_response();
        }
        None => (0, length - 1),
    };
    let about = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::ACCEPT_RANGES, "bytes".to_owned()),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    let mut piece = Vec::new();
    let read =
        file.seek(SeekFrom::Start(from)).and_then(|_| file.take(to - from + 1).read_to_end(&mut piece));
    if let Err(why) = read {
        return gone(why);
    }
    if asked.is_none() {
        return (about, Body::from(piece)).into_response();
    }
    let which = [(header::CONTENT_RANGE, format!("bytes {from}-{to}/{length}"))];
    (StatusCode::PARTIAL_CONTENT, about, which, Body::from(piece)).into_response()
}

/// The first and last byte of `bytes=FROM-TO`, `bytes=FROM-` or `bytes=-LAST` (RFC 9110, section 14); none where there is no
/// such piece. Of several pieces the first is given.
fn range(asked: &str, length: u64) -> Option<(u64, u64)> {
    let first = asked.trim().strip_prefix("bytes=")?.split(',').next()?;
    let (from, to) = first.trim().split_once('-')?;
    let (from, to) = match (from.trim(), to.trim()) {
        ("", last) => (length.checked_sub(last.parse::<u64>().ok()?.min(length))?, length - 1),
        (from, "") => (from.parse().ok()?, length - 1),
        (from, to) => (from.parse().ok()?, to.parse::<u64>().ok()?.min(length - 1)),
    };
    (from <= to && from < length).then_some((from, to))
}

/// The loudest sample of each twentieth of a second, 0 to 255, as JSON.
pub(crate) fn outline(show: &Show, score: usize, show_file: Option<&Path>) -> Response {
    let (path, _) = match file_of(show, score, show_file) {
        Ok(found) => found,
        Err(why) => return (StatusCode::NOT_FOUND, why).into_response(),
    };
    match drawn(&path) {
        Ok(peaks) => {
            let json = serde_json::to_string(&peaks).unwrap_or_default();
            let about = [(header::CONTENT_TYPE, "application/json"), (header::CACHE_CONTROL, "no-store")];
            (about, json).into_response()
        }
        Err(why) => (StatusCode::NOT_FOUND, format!("{}: {why}\n", path.display())).into_response(),
    }
}

fn drawn(path: &Path) -> Result<Vec<u8>, String> {
    let file = File::open(path).map_err(|why| why.to_string())?;
    let ending = path.extension().and_then(|ending| ending.to_str());
    let mut sound = Sound::open(Box::new(file), ending).map_err(|why| why.to_string())?;
    let each = (sound.rate() as usize / OUTLINE).max(1);
    let (mut peaks, mut most, mut count) = (Vec::new(), 0.0_f32, 0);
    while let Some(samples) = sound.next_samples().map_err(|why| why.to_string())? {
        for sample in samples {
            most = most.max(sample.abs());
            count += 1;
            if count == each {
                peaks.push((most.min(1.0) * 255.0) as u8);
                (most, count) = (0.0, 0);
            }
        }
    }
    Ok(peaks)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_are_those_asked_for() {
        for (asked, piece) in [
            ("bytes=0-99", Some((0, 99))),
            ("bytes=100-", Some((100, 999))),
            ("bytes=-10", Some((990, 999))),
            ("bytes=-5000", Some((0, 999))),
            ("bytes=900-5000", Some((900, 999))),
            ("bytes=5-2, 7-9", None),
            ("bytes=1000-", None),
            ("lines=1-2", None),
            ("bytes=x-2", None),
        ] {
            assert_eq!(range(asked, 1000), piece, "{asked}");
        }
    }
}
