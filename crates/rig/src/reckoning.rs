//! How a figure was reached.

use serde::Serialize;

/// How one figure of the plan was reached: what went in, by which formula, and where that stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reckoning {
    /// The figure that it explains, by the name of its field ("amps").
    pub of: &'static str,
    /// What went in.
    pub inputs: Vec<Input>,
    /// The formula, in plain letters.
    pub formula: &'static str,
    /// Where formula or table stand.
    pub source: &'static str,
}

/// One number that went in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Input {
    /// What it is ("watts of light 4").
    pub name: String,
    /// The number.
    pub value: f64,
    /// Its unit; empty for a plain number.
    pub unit: &'static str,
    /// Where it came from: an origin of a fact (stated, derived, guessed …), "show file", "table", "assumed", "sum".
    pub origin: &'static str,
}

impl Reckoning {
    /// How the figure called `of` is reached.
    pub const fn new(of: &'static str, formula: &'static str, source: &'static str) -> Self {
        Self { of, inputs: Vec::new(), formula, source }
    }

    /// With one more number that went in.
    #[must_use]
    pub fn with(
        mut self,
        name: impl Into<String>,
        value: f64,
        unit: &'static str,
        origin: &'static str,
    ) -> Self {
        self.inputs.push(Input { name: name.into(), value, unit, origin });
        self
    }

    /// The same, where the number may not be known; then nothing is added.
    #[must_use]
    pub fn maybe(
        self,
        name: impl Into<String>,
        value: Option<f64>,
        unit: &'static str,
        origin: &'static str,
    ) -> Self {
        match value {
            Some(value) => self.with(name, value, unit, origin),
            None => self,
        }
    }
}

/// The word for the origin of a fact.
pub const fn origin_word(origin: lanthorn_fixture::Origin) -> &'static str {
    use lanthorn_fixture::Origin;
    match origin {
        Origin::Stated => "stated",
        Origin::Default => "default",
        Origin::Derived => "derived",
        Origin::Guessed => "guessed",
        Origin::Unknown => "unknown",
    }
}
