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
    /// What hangs on each place that carries a light, in the room's order.
    pub places: Vec<PlaceSumsView>,
    /// What belongs to no circuit, line or place: supply, chains of power, fans, batteries.
    pub others: Vec<SumView>,
    /// Another way to divide the lights among the circuits, where it is better than today's.
    pub divide: Option<DivideView>,
    /// What to pack, case by case.
    pub cases: Vec<CaseView>,
    /// What the show says of the mains.
    pub mains: Vec<FieldView>,
}

/// Something that the show says, or could say, of a thing: a word of its sentence, and what is typed to say it otherwise.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FieldView {
    /// Its key in a change: "breaker".
    pub field: String,
    /// As it stands in the sentence: "a breaker of 16 A", "other load not known".
    pub words: String,
    /// As it would be typed: "16 A"; empty when the show says nothing.
    pub value: String,
    /// What to type, with an example.
    pub ask: String,
    /// What to choose from; empty where it is typed.
    pub choices: Vec<FieldChoice>,
}

/// One of a few things to choose from.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FieldChoice {
    /// In words.
    pub words: String,
    /// The value; empty for none.
    pub value: String,
}

/// One figure of the plan, and how it was reached.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SumView {
    /// What it is: "current", "leakage all the time", "lost on the way to light 4".
    pub what: String,
    /// The figure with its unit, and the limit where there is one: "2.1 mA of 9 mA".
    pub figure: String,
    /// What to mind with it; empty when nothing.
    pub mind: String,
    /// The way to it; `null` for what was read and not reckoned.
    pub how: Option<HowView>,
}

/// How a figure was reached.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct HowView {
    /// What went in.
    pub inputs: Vec<InputView>,
    /// The formula, in plain letters.
    pub formula: String,
    /// Where formula or table stand.
    pub source: String,
}

/// One number that went in.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct InputView {
    /// What it is: "watts of light 4".
    pub name: String,
    /// With its unit: "105 W".
    pub value: String,
    /// Where it came from: "stated", "guessed", "show file", "assumed".
    pub origin: String,
}

/// What a place carries.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct PlaceSumsView {
    /// Its name.
    pub name: String,
    /// Its figures.
    pub sums: Vec<SumView>,
}

/// Another way to divide the lights among the circuits.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct DivideView {
    /// What it is for, or why nothing helps.
    pub says: String,
    /// The lights that move; empty when nothing helps.
    pub moves: Vec<MoveView>,
    /// How it was found.
    pub how: HowView,
}

/// A light that goes to another circuit.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct MoveView {
    /// Its number.
    pub unit: u32,
    /// The circuit's name.
    pub to: String,
}

/// A case to pack.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct CaseView {
    /// Its name.
    pub name: String,
    /// "34 kg: lift it with two people".
    pub weight: String,
    /// "4 small wash head, 11.6 kg".
    pub items: Vec<String>,
}

/// A shorter order of a data line.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ShorterView {
    /// The lights, from the controller on.
    pub units: Vec<u32>,
    /// "4.2 m shorter, 26 m in all; no order is shorter".
    pub says: String,
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

/// What the plan would say after a change.
#[derive(Clone, Debug, Default, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct WhatIfView {
    /// What the change is, as it would be said once it is made; or why it cannot be.
    pub says: String,
    /// It cannot be made.
    pub refused: bool,
    /// What differs, one line each; none: nothing that the plan knows of.
    pub lines: Vec<String>,
    /// Findings that would come, worst first.
    pub come: Vec<FindingView>,
    /// Findings that would go.
    pub go: Vec<FindingView>,
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
    /// Its figures.
    pub sums: Vec<SumView>,
    /// What the show says of it.
    pub fields: Vec<FieldView>,
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
    /// Its figures.
    pub sums: Vec<SumView>,
    /// "to light 7: 5 m" for each cable whose way is known.
    pub legs: Vec<String>,
    /// An order that needs less cable.
    pub shorter: Option<ShorterView>,
}
