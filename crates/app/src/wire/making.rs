//! What the editors of a show need beyond what is told.

use lanthorn_store::values::Table;
use serde::Serialize;

/// What can be taken back and done again, in words; none where there is nothing.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct EditsView {
    /// What undo takes back.
    pub undo: Option<String>,
    /// What redo does again.
    pub redo: Option<String>,
    /// How often the show was given a name in its history since the machine began.
    pub names: u32,
}

/// A named colour.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SwatchView {
    /// Its name.
    pub name: String,
    /// As the file has it.
    pub colour: String,
    /// As a screen shows it, `#rrggbb`.
    pub hex: String,
}

/// A figure.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FigureView {
    /// Its name.
    pub name: String,
    /// What it is: "a circle 2 m across, 0.8 m/s".
    pub says: String,
    /// Its values as the file has them, by their names there.
    #[cfg_attr(test, ts(type = "{ [key in FigureField]?: Value }"))]
    pub values: Table,
    /// Where it runs: "in 2 looks"; empty where nowhere.
    pub used: String,
}

/// A sentence of a look.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct PartView {
    /// Its values as the file has them, by their names there; what it leaves out is not there.
    #[cfg_attr(test, ts(type = "{ [key in PartField]?: Value }"))]
    pub values: Table,
    /// The lights that it is about, in its order.
    pub lights: Vec<u32>,
    /// Each of its colours, `#rrggbb`.
    pub hexes: Vec<String>,
    /// The gobos that any of its lights has.
    pub gobos: Vec<String>,
}

/// A step of a chase; none where the file says nothing of its own.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct StepView {
    /// The look's name.
    pub look: String,
    /// How long it stands.
    pub time: Option<String>,
    /// How long it comes in.
    pub fade: Option<String>,
}

/// A kind of light that can be added.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ProfileView {
    /// Its name.
    pub name: String,
    /// What to draw, as `UnitView::symbol`.
    pub symbol: String,
    /// What sort of light, in words ("wash head").
    pub sort: String,
    /// The show's own, or used in it; not only in the library.
    pub own: bool,
    /// Shown before anybody searches.
    pub usual: bool,
    /// Questions about the chart that it was read from which nobody has answered; `null`: the show keeps no chart of it.
    pub questions: Option<u32>,
    /// Its modes, as the maker's chart orders them.
    pub modes: Vec<ModeView>,
}

/// A mode of a kind of light.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ModeView {
    /// Its name.
    pub name: String,
    /// How many slots it takes.
    pub channels: u32,
}

/// Where more lights of so many channels would answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FreeView {
    /// How many channels each has.
    pub channels: u32,
    /// In this universe alone; `null`: wherever there is room first.
    pub universe: Option<u32>,
    /// The addresses that lights added one after another get, in order; there may be no room for more.
    pub addresses: Vec<String>,
}
