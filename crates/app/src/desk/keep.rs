//! Keeping what is lit as a look.

use lanthorn_show::{Look, On, keep};
use lanthorn_store::change::{Change, parts_of};

use crate::current::Current;

/// The change that keeps what is lit now, of these lights or of all, as the look of that name.
pub(super) fn change(current: &Current, name: &str, units: Option<&[u32]>) -> Result<Change, String> {
    let seen = current.last().ok_or("nothing is lit yet: try again in a moment")?;
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
