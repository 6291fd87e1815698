//! The plan's sums and findings, as the page is told them.

use serde::Serialize;

/// The plan's sums and findings.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct PlanView {
    /// One sentence: "Eleven lights, one line, two circuits."
    pub headline: String,
    /// Findings, worst first.
    pub findings: Vec<FindingView>,
    /// Circuits with their sums.
    pub circuits: Vec<CircuitView>,
    /// Data lines in true order: light numbers, first to last (the last carries the terminator).
    pub lines: Vec<LineView>,
}

/// One finding, as the page says it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FindingView {
    /// `must change`, `take care`, `for your information`.
    pub severity: String,
    /// What, one line.
    pub what: String,
    /// Where: "circuit kitchen", "light 4".
    pub place: String,
    /// The lights it speaks of.
    pub units: Vec<u32>,
    /// The figure: "11.6 A of 10 A"; empty when there is none.
    pub figure: String,
    /// The rule it comes from.
    pub rule: String,
    /// The rule's source.
    pub source: String,
    /// What to do.
    pub remedy: String,
}

/// A circuit's sum.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct CircuitView {
    /// Its name.
    pub name: String,
    /// Planned current, amps; `null` when a light's power is not known.
    pub amps: Option<f64>,
    /// Planned limit, amps.
    pub limit_amps: f64,
    /// The breaker, amps.
    pub breaker_amps: f64,
    /// `true` when an unknown figure was assumed.
    pub assumed: bool,
    /// Where the socket is, if the show says.
    pub at: Option<[f64; 3]>,
    /// The lights on it.
    pub units: Vec<u32>,
}

/// A data line.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LineView {
    /// Its name.
    pub name: String,
    /// `driven` or `linked`.
    pub kind: String,
    /// Where the controller stands, if the show says.
    pub from: Option<[f64; 3]>,
    /// Light numbers in order.
    pub units: Vec<u32>,
    /// How many cables.
    pub cables: u32,
}
