//! Another rig takes the place of the one that runs.

use super::Aimer;

impl Aimer {
    /// Goes on where another aimer is; `units` says for each light of this rig its place in the other. A light whose
    /// head is another aims anew, from where it was sent. Does not allocate.
    pub(crate) fn take_over(&mut self, old: &Self, units: &[Option<usize>]) {
        self.last = old.last;
        for (unit, old_unit) in units.iter().enumerate() {
            let Some(old_unit) = *old_unit else { continue };
            let (Some(head), Some(track)) = (self.heads.get(unit), self.tracks.get_mut(unit)) else {
                continue;
            };
            if let (Some(old_head), Some(old_track)) = (old.heads.get(old_unit), old.tracks.get(old_unit))
                && head == old_head
            {
                *track = *old_track;
            }
        }
    }
}
