//! What is said at the door: pairing, roles, and what the machine's own page is told of them.

use serde::{Deserialize, Serialize};

/// What a browser may do; each role may also do what those before it may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize, clap::ValueEnum)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub(crate) enum Role {
    /// Sees everything, touches nothing
    Look,
    /// Runs the show: cues, looks, chases, master, tempo, stop keys, lights by hand
    Run,
    /// Everything, changes to the show's file among it
    Make,
}

/// From a browser that is not admitted yet: the only words that it may say.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(tag = "type", rename_all = "snake_case")]
pub(crate) enum Knock {
    /// A pairing code.
    Pair {
        /// As typed: capitals or not, with spaces or hyphens or without.
        code: String,
        /// What the person calls this browser; may be empty.
        name: String,
    },
    /// What an earlier pairing gave.
    Token {
        /// 64 hexadecimal digits.
        token: String,
    },
}

/// To a browser that is not admitted: it wants a code. Said once a second.
#[derive(Clone, Debug, Default, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct PairAsk {
    /// What was wrong with the last knock, one sentence; empty when nothing was.
    pub says: String,
    /// A code is not listened to for so many seconds more.
    pub wait_s: f64,
    /// What the browser kept of an earlier pairing no longer holds.
    pub forget: bool,
}

/// A browser is admitted.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Admitted {
    /// What it may do.
    pub role: Role,
    /// It is the machine's own browser: it sees codes and sends others away.
    pub own: bool,
    /// To be kept by the browser and shown at the next knock; only after a code.
    pub token: Option<String>,
}

/// Who may come in, for the machine's own page.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct DoorView {
    /// The page is served to the network.
    pub lan: bool,
    /// Where others find it; none while the machine has no address on a network.
    pub address: Option<String>,
    /// Codes that hold now.
    pub codes: Vec<CodeView>,
    /// Paired browsers, in the order in which they came.
    pub paired: Vec<PairedView>,
    /// What should be known: wrong codes, a list that could not be written. In sentences.
    pub says: Vec<String>,
}

/// A pairing code.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct CodeView {
    /// What it gives.
    pub role: Role,
    /// Six characters.
    pub code: String,
    /// Whole minutes that it still holds if nobody uses it.
    pub minutes: u32,
    /// The QR code of the address with the code in it: an SVG path of unit squares; none without an address.
    pub qr: Option<QrView>,
}

/// A QR code as a drawing.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct QrView {
    /// Side, modules, the quiet zone included.
    pub side: u32,
    /// The dark modules, as the `d` of a path.
    pub path: String,
}

/// A paired browser.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct PairedView {
    /// To name it by when it is sent away.
    pub id: u32,
    /// What its person called it.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// The address that it was paired from.
    pub from: String,
    /// It looks on now.
    pub here: bool,
}
