//! Keeping what is lit as a look.

use std::time::Duration;

use lanthorn_physics::Instant;
use lanthorn_show::{Look, On, keep};
use lanthorn_store::change::{Change, parts_of};

use crate::current::{Current, Last};

/// So often it is looked whether the machine has done what was asked of it.
const AGAIN: Duration = Duration::from_millis(5);
/// So long it is waited for: some dozens of ticks.
const PATIENCE: Duration = Duration::from_secs(2);

/// What the machine did at `asked` or later, in the show that runs now: with all that the hand did before.
pub(super) fn since(current: &Current, asked: Instant) -> Result<Last, String> {
    let begun = std::time::Instant::now();
    while begun.elapsed() < PATIENCE {
        let generation = current.both().generation;
        if let Some(last) = current.last().filter(|last| last.now >= asked && last.generation == generation) {
            return Ok(last);
        }
        std::thread::sleep(AGAIN);
    }
    Err("the lights have not got there yet: try again in a moment".to_owned())
}

/// The change that keeps what is lit, of these lights or of all, as the look of that name.
pub(super) fn change(
    current: &Current,
    seen: &Last,
    name: &str,
    units: Option<&[u32]>,
) -> Result<Change, String> {
    let both = current.of(seen.generation).ok_or("the show has just changed: try again in a moment")?;
    let chases: Vec<(usize, usize)> =
        seen.status.chases.iter().flatten().map(|running| (running.chase, running.step)).collect();
    let on = On { look: seen.status.look, chases: &chases, seen: &seen.seen };
    let parts = keep(&both.show, &both.rig, &on, units);
    if parts.is_empty() {
        return Err("these lights are dark: light them first, then keep the look".to_owned());
    }
    let name = name.trim();
    let fade = both.text.fade_of(name);
    let look = Look { name: name.to_owned(), fade: lanthorn_physics::Span::ZERO, parts };
    Ok(Change::LookKeep { name: name.to_owned(), fade, parts: parts_of(&look) })
}
