//! Another show and rig for the machine that runs: made ready apart from the tick, taken between two ticks, and what
//! they take the place of comes back to be freed.

use std::sync::Arc;

use lanthorn_dmx::{Frames, Universe};
use lanthorn_physics::Instant;
use lanthorn_rig::Rig;
use lanthorn_show::player::{Driver, Seen};
use lanthorn_show::{Rename, Show, Succession};

use crate::Machine;
use crate::output::{OutputError, OutputSettings, OutputStatus, Successor};
use crate::ring::{BUFFERS, Snapshot, Ticks};

/// Most replacements that wait for a tick, or to be freed.
pub(crate) const REPLACEMENTS: usize = 4;

/// Makes replacements ready for a machine as it is now: see [`Commands::preparer`](crate::Commands::preparer).
#[derive(Clone, Debug)]
pub struct Preparer {
    generation: u64,
    show: Arc<Show>,
    rig: Arc<Rig>,
    /// Every universe that was ever sent.
    ever: Vec<Universe>,
    outputs: Vec<OutputSettings>,
}

/// A show and a rig, ready to take the place of those that run.
#[derive(Debug)]
pub struct Replacement {
    pub(crate) machine: Machine,
    pub(crate) succession: Succession,
    pub(crate) frames: Frames,
    pub(crate) outputs: Vec<Successor>,
    pub(crate) spares: [Option<Box<Snapshot>>; BUFFERS],
    pub(crate) generation: u64,
    next: Preparer,
}

/// Why a replacement is not taken.
#[derive(Debug, thiserror::Error)]
pub enum SwapError {
    /// Another one came first, which it does not know of.
    #[error("the show was replaced meanwhile; try again")]
    Overtaken,
    /// The machine has not taken those before.
    #[error("the machine has not taken the changes before this one yet; try again in a moment")]
    Busy,
    /// An output cannot carry it.
    #[error(transparent)]
    Output(#[from] OutputError),
}

impl Preparer {
    pub(crate) fn new(show: Arc<Show>, rig: Arc<Rig>, frames: &Frames, outputs: Vec<OutputSettings>) -> Self {
        let ever = frames.iter().map(|(universe, _)| universe).collect();
        Self { generation: 0, show, rig, ever, outputs }
    }

    /// Which show and rig it replaces: see [`Snapshot::generation`].
    pub const fn generation(&self) -> u64 {
        self.generation
    }

    /// Makes a show and a rig ready: all that takes memory or a while. Fails when an output cannot carry the rig's
    /// universes.
    pub fn prepare(
        &self,
        show: Arc<Show>,
        rig: Arc<Rig>,
        renames: &[Rename],
    ) -> Result<Box<Replacement>, SwapError> {
        let succession = Succession::new((&self.show, &self.rig), (&show, &rig), renames);
        let machine = Machine::new(show.clone(), rig.clone());
        let frames = machine.frames().clone();
        let successor = |settings: &OutputSettings| settings.successor(&frames, &self.ever);
        let outputs = self.outputs.iter().map(successor).collect::<Result<Vec<_>, _>>()?;
        let generation = self.generation + 1;
        let spare = || {
            Some(Box::new(Snapshot {
                generation,
                now: Instant::ZERO,
                frames: frames.clone(),
                status: machine.player().status(Instant::ZERO),
                drivers: vec![Driver::default(); rig.units.len()],
                seen: vec![Seen::default(); rig.units.len()],
                groups: vec![1.0; rig.groups.len()],
                outputs: vec![OutputStatus::default(); self.outputs.len()],
                ticks: Ticks::default(),
                flashes: machine.held(),
            }))
        };
        let spares = [spare(), spare(), spare()];
        let mut ever = self.ever.clone();
        ever.extend(frames.iter().map(|(universe, _)| universe));
        ever.sort_unstable();
        ever.dedup();
        let next = Self { generation, show, rig, ever, outputs: self.outputs.clone() };
        Ok(Box::new(Replacement { machine, succession, frames, outputs, spares, generation, next }))
    }
}

impl Replacement {
    pub(crate) fn next_preparer(&self) -> Preparer {
        self.next.clone()
    }
}
