//! Intent over time, in room terms, and the player that answers "what now?".
//!
//! Never sees a slot number, a file or a clock.

pub mod carry;
pub mod chase;
mod colours;
pub mod command;
pub mod cue;
pub mod figure;
pub mod follow;
pub mod keep;
pub mod light_level;
pub mod look;
pub mod matching;
pub mod player;
pub mod score;
mod seed;
pub mod show;
pub mod succession;
pub mod tell;
pub mod tempo;

pub use chase::{Chase, Order, Step, StepTime, Strike, Swing};
pub use colours::colour_findings;
pub use command::{Chases, Command};
pub use cue::Cue;
pub use figure::Figure;
pub use follow::{Following, Mood, MusicRule, Steer};
pub use keep::{On, keep};
pub use look::{Aim, Ask, Band, Level, Look, LuxAsk, Part, Plane, Spread, Who};
pub use player::{Driver, Player, Status, lights_of};
pub use score::{Score, ScorePart};
pub use show::Show;
pub use succession::{Kind, Rename, Succession, renamed};
