//! From one moment to the next.

use super::Head;
use crate::{Rig, RigPose, RigState};

/// The heads of a rig, ready to be aimed every tick without allocating.
#[derive(Clone, Debug)]
pub struct Aimer {
    heads: Vec<Option<Head>>,
}

impl Aimer {
    /// Ready to aim a rig.
    pub fn new(rig: &Rig) -> Self {
        Self { heads: rig.units.iter().map(|unit| Head::new(rig, unit)).collect() }
    }

    /// Puts another head in the place of a unit's, as it was sighted in. Nothing happens for a light that cannot follow
    /// a spot. Does not allocate.
    pub fn renew(&mut self, unit: usize, head: Head) {
        if let Some(Some(old)) = self.heads.get_mut(unit) {
            *old = head;
        }
    }

    /// The head of a unit by its place in the rig; `None` for a light that cannot follow a spot.
    pub fn head(&self, unit: usize) -> Option<&Head> {
        self.heads.get(unit).and_then(Option::as_ref)
    }

    /// What every light is to do in its own frame: the solution nearest in time to where it was sent last. A point
    /// out of reach gets the nearest pose inside the travel; a light without an aim stays where it is.
    pub fn aim(&self, wished: &RigState, sent_last: &RigPose, pose: &mut RigPose) {
        for (index, wish) in wished.units.iter().enumerate() {
            let (last, out) = (&sent_last.units[index], &mut pose.units[index]);
            (out.pan, out.tilt) = match (&self.heads[index], wish.aim) {
                _ if wish.sent.is_some() => wish.sent.unwrap_or_default(),
                (Some(head), Some(target)) => {
                    let current = head.from_sent(last.pan, last.tilt);
                    let aimed = head.solve(target, current).best();
                    let (pan, tilt) =
                        aimed.map_or_else(|| head.nearest(target, current), |best| (best.pan, best.tilt));
                    head.sent(pan, tilt)
                }
                _ => (last.pan, last.tilt),
            };
            out.beam = wish.beam;
            out.haze = wish.haze;
            out.fan = wish.fan;
            out.heads.copy_from_slice(&wish.heads);
        }
    }
}
