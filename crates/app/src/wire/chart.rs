//! Charts of lights, and what is tried on one channel.

use lanthorn_store::change::Change;
use lanthorn_store::chart::Answer;
use lanthorn_store::reading::Reading;
use serde::{Deserialize, Serialize};

use super::Intent;

/// A chart to be read, with what has been answered so far.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub(crate) struct ChartAsk {
    /// As it was pasted.
    pub text: String,
    /// To earlier questions about it.
    pub answers: Vec<Answer>,
}

/// A chart to be taken into the show.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub(crate) struct ChartTake {
    /// What this kind of light is called.
    pub name: String,
    /// As it was pasted.
    pub text: String,
    /// To its questions.
    pub answers: Vec<Answer>,
    /// In the place of the kind of that name.
    pub replace: bool,
}

impl ChartTake {
    /// As any other change of the show.
    pub(crate) fn intent(self) -> Intent {
        let Self { name, text, answers, replace } = self;
        Intent::Change { change: Change::ProfileAdd { name, text, answers, replace } }
    }
}

/// A kind of light: what its channels do, and the chart that it was read from.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct KindView {
    /// Its name.
    pub name: String,
    /// Its modes.
    pub reading: Reading,
    /// The text of its chart, where the show keeps it.
    pub text: Option<String>,
    /// What was answered about that.
    pub answers: Vec<Answer>,
}
