//! A sound file for rehearsal: listened to as long as it lasts. Nothing is heard of it here.

use std::fs::File;
use std::path::Path;
use std::sync::atomic::Ordering;

use lanthorn_live::ears::Feed;
use lanthorn_music::decode::Sound;
use lanthorn_physics::Span;

use super::Way;

/// Blocks are no longer than this, seconds, however much a file gives at once.
const BLOCK_SECS: f64 = 0.02;

/// Opens it.
pub(super) fn open(path: &Path) -> Result<Sound, String> {
    let file = File::open(path).map_err(|why| format!("--ears file:{}: {why}", path.display()))?;
    let ending = path.extension().and_then(|ending| ending.to_str());
    Sound::open(Box::new(file), ending).map_err(|why| format!("--ears file:{}: {why}", path.display()))
}

/// Brings it, no faster than it sounds.
pub(super) fn play(mut sound: Sound, feed: &Feed, way: &Way) {
    let rate = f64::from(sound.rate());
    let block = ((rate * BLOCK_SECS) as usize).max(1);
    let begun = way.clock.now();
    let mut count: u64 = 0;
    loop {
        let samples = match sound.next_samples() {
            Ok(Some(samples)) => samples,
            Ok(None) => return feed.end(Some("The file has ended.".to_owned())),
            Err(why) => return feed.end(Some(format!("The file has ended: {why}."))),
        };
        for samples in samples.chunks(block) {
            let end = count + samples.len() as u64;
            way.clock.sleep_until(begun + Span::from_secs(end as f64 / rate));
            let brought = feed.push(Some(count), samples.to_vec(), way.clock.now());
            count = end;
            if !brought || way.stop.load(Ordering::Acquire) {
                return;
            }
        }
    }
}
