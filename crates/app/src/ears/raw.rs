//! Raw samples as another program writes them: 16 bit, little endian, mono.

use std::fs::File;
use std::io::{Read, stdin};
use std::path::Path;
use std::sync::atomic::Ordering;
use std::time::Duration;

use lanthorn_live::ears::Feed;
use lanthorn_physics::{Instant, Span};

use super::Way;

/// Most bytes that are taken at once: 21 ms at 48 kHz.
const AT_ONCE: usize = 2048;

/// A pipe that nobody writes into is opened again after so long.
const AGAIN: Duration = Duration::from_millis(200);

/// Brings what is there until it ends or another source takes its place. A pipe is opened again when its writer has gone, so
/// that another may take it up.
pub(super) fn play(path: Option<&Path>, rate: u32, feed: &Feed, way: &Way) {
    let Some(path) = path else {
        copy(&mut stdin().lock(), rate, None, feed, way);
        return feed.end(Some("Standard input has ended.".to_owned()));
    };
    while feed.counts() && !way.stop.load(Ordering::Acquire) {
        let mut file = match File::open(path) {
            Ok(file) => file,
            Err(why) => return feed.end(Some(format!("{} cannot be opened: {why}.", path.display()))),
        };
        // A file that lies there whole is played as long as it lasts.
        let whole = file.metadata().is_ok_and(|metadata| metadata.is_file());
        copy(&mut file, rate, whole.then(|| way.clock.now()), feed, way);
        if whole {
            return feed.end(Some(format!("{} has ended.", path.display())));
        }
        std::thread::sleep(AGAIN);
    }
}

/// Brings samples until there are no more; with a beginning, no faster than they sound.
fn copy(from: &mut impl Read, rate: u32, begun: Option<Instant>, feed: &Feed, way: &Way) {
    let mut bytes = [0; AT_ONCE];
    // An odd byte waits for its other half.
    let mut kept = 0;
    let mut count: u64 = 0;
    while !way.stop.load(Ordering::Acquire) {
        let Ok(more) = from.read(&mut bytes[kept..]) else { return };
        if more == 0 {
            return;
        }
        let there = kept + more;
        let samples = samples(&bytes[..there]);
        kept = there % 2;
        bytes[0] = bytes[there - 1];
        count += samples.len() as u64;
        if let Some(begun) = begun {
            way.clock.sleep_until(begun + Span::from_secs(count as f64 / f64::from(rate)));
        }
        if !samples.is_empty() && !feed.push(None, samples, way.clock.now()) {
            return;
        }
    }
}

/// Samples of 16 bit, little endian, as numbers up to ±1; an odd byte at the end is left out.
pub(crate) fn samples(bytes: &[u8]) -> Vec<f32> {
    let (pairs, _) = bytes.as_chunks::<2>();
    pairs.iter().map(|pair| f32::from(i16::from_le_bytes(*pair)) / 32_768.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_samples() {
        let bytes = [0, 0, 0, 0x40, 0, 0x80, 0xff, 0x7f, 9];
        let got = samples(&bytes);
        assert_eq!(got[..3], [0.0, 0.5, -1.0]);
        assert!(got.len() == 4 && got[3] > 0.9999 && got[3] < 1.0);
    }
}
