//! What may be wrong with a rig that has been put up.

use lanthorn_dmx::Address;

/// One thing that is wrong. Lights are named by their numbers.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// A light answers at another start address; none: at one where no light of the plan does.
    Address {
        /// Which light.
        unit: u32,
        /// Where it answers.
        at: Option<Address>,
    },
    /// Two lights answer at each other's address.
    Exchanged {
        /// Which two, the lower number first.
        units: [u32; 2],
    },
    /// A light is in another mode.
    Mode {
        /// Which light.
        unit: u32,
        /// Place in its profile's modes.
        mode: usize,
    },
    /// A light has no power.
    NoPower {
        /// Which light.
        unit: u32,
    },
    /// A light has power and hears, but gives no light.
    NoLamp {
        /// Which light.
        unit: u32,
    },
    /// A light runs a programme of its own and does not listen.
    OwnProgramme {
        /// Which light.
        unit: u32,
    },
    /// Pan runs the other way.
    PanBackwards {
        /// Which light.
        unit: u32,
    },
    /// Tilt runs the other way.
    TiltBackwards {
        /// Which light.
        unit: u32,
    },
    /// Pan and tilt are exchanged.
    AxesExchanged {
        /// Which light.
        unit: u32,
    },
    /// Nothing comes through behind a light; from the controller on when there is none.
    Broken {
        /// The line's name, as the plan has it ("line A").
        line: String,
        /// The last light that hears.
        after: Option<u32>,
        /// The first that does not.
        to: u32,
    },
    /// The end of a line has no terminator.
    Unterminated {
        /// The line's name.
        line: String,
        /// Its last light.
        last: u32,
    },
    /// A light leads others, or plays to them, on a line that a controller talks on.
    Leads {
        /// Which light.
        unit: u32,
        /// The line's name.
        line: String,
    },
    /// A whole circuit is dead.
    CircuitOff {
        /// The circuit's name.
        circuit: String,
        /// The lights on it.
        units: Vec<u32>,
    },
}

impl Fault {
    /// The lights that it is about, ascending.
    pub fn units(&self) -> Vec<u32> {
        match self {
            Self::Address { unit, .. }
            | Self::Mode { unit, .. }
            | Self::NoPower { unit }
            | Self::NoLamp { unit }
            | Self::OwnProgramme { unit }
            | Self::PanBackwards { unit }
            | Self::TiltBackwards { unit }
            | Self::AxesExchanged { unit }
            | Self::Leads { unit, .. } => vec![*unit],
            Self::Exchanged { units } => units.to_vec(),
            Self::Broken { after, to, .. } => after.iter().copied().chain([*to]).collect(),
            Self::Unterminated { last, .. } => vec![*last],
            Self::CircuitOff { units, .. } => units.clone(),
        }
    }
}
