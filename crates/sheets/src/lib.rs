//! A rig and its show on paper.
//!
//! [`pdf`] makes one file of the sheets that are asked for: rig plan and side elevation to scale, tables, cue sheet, setup
//! cards, labels, cautions. [`rig_plan`] and [`elevation`] give the drawings alone, as a list of shapes that
//! [`svg::to_svg`] writes; [`csv`] gives the tables for other programs. All are functions of show, rig and plan: the same
//! input gives the same bytes.
//!
//! Everything is black on white, told apart by shape, line and hatch, never by colour. Fit for A4 and Letter, and in large
//! print.

mod cards;
mod cautions;
mod csv;
mod cues;
pub mod drawing;
mod elevation;
mod facts;
mod findings;
pub mod font;
mod ground;
mod labels;
mod layout;
mod pdf;
mod place;
mod plan;
pub mod svg;
mod symbol;
mod tables;

use lanthorn_rig::Rig;
use lanthorn_rig::plan::Plan;
use lanthorn_show::Show;

pub use elevation::Elevation;
pub use labels::Grid;
pub use layout::Paper;
pub use plan::RigPlan;

use crate::drawing::Drawing;
use crate::font::Fonts;
use crate::layout::{Running, Sheet, Style};

/// What is put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Input<'i> {
    /// The show.
    pub show: &'i Show,
    /// Its rig.
    pub rig: &'i Rig,
    /// The rig's plan, with the findings that the show brings about where those are wanted.
    pub plan: &'i Plan,
}

/// How it is put on paper.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The sheets wanted, in their own order; empty: all of them.
    pub only: Vec<SheetName>,
    /// Size of the paper.
    pub paper: Paper,
    /// Large print: 14 points and more.
    pub large: bool,
    /// The sheet of labels; none: the usual one for the paper.
    pub grid: Option<Grid>,
    /// Where browsers reach the machine ("http://192.0.2.10:7411"): the labels' QR codes then lead to the light's page.
    pub url: Option<String>,
}

/// The sheets, in the order in which they are bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "plain words")]
pub enum SheetName {
    Plan,
    Elevation,
    Patch,
    Power,
    Data,
    Weight,
    Cables,
    Packing,
    Cues,
    Cards,
    Labels,
    Cautions,
}

impl SheetName {
    /// Every one.
    pub const ALL: [Self; 12] = [
        Self::Plan,
        Self::Elevation,
        Self::Patch,
        Self::Power,
        Self::Data,
        Self::Weight,
        Self::Cables,
        Self::Packing,
        Self::Cues,
        Self::Cards,
        Self::Labels,
        Self::Cautions,
    ];

    /// As it is asked for.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Elevation => "elevation",
            Self::Patch => "patch",
            Self::Power => "power",
            Self::Data => "data",
            Self::Weight => "weight",
            Self::Cables => "cables",
            Self::Packing => "packing",
            Self::Cues => "cues",
            Self::Cards => "cards",
            Self::Labels => "labels",
            Self::Cautions => "cautions",
        }
    }

    /// The sheet of that name.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|name| name.word().eq_ignore_ascii_case(word.trim()))
    }
}

/// Why there is no paper.
#[derive(Debug, thiserror::Error)]
pub enum SheetsError {
    /// The file could not be put together.
    #[error("the sheets could not be written as PDF: {0}")]
    Pdf(String),
    /// A typeface that this program carries cannot be read.
    #[error("a typeface of this program cannot be read")]
    Fonts,
}

/// What every sheet needs.
pub(crate) struct Context<'c> {
    pub(crate) show: &'c Show,
    pub(crate) rig: &'c Rig,
    pub(crate) plan: &'c Plan,
    pub(crate) options: &'c Options,
    pub(crate) fonts: Fonts,
    pub(crate) style: Style,
}

impl<'c> Context<'c> {
    fn new(input: &Input<'c>, options: &'c Options) -> Result<Self, SheetsError> {
        let Input { show, rig, plan } = *input;
        let fonts = Fonts::new().ok_or(SheetsError::Fonts)?;
        Ok(Self { show, rig, plan, options, fonts, style: Style { large: options.large } })
    }

    /// The caution that begins with that word, where it applies to this rig.
    pub(crate) fn caution(&self, head: &str) -> Option<&'c String> {
        let begins = |caution: &&String| caution.split_once(": ").is_some_and(|(first, _)| first == head);
        self.plan.cautions.iter().find(begins)
    }

    /// Those of the cautions that apply, in this order.
    pub(crate) fn cautions(&self, heads: &[&str]) -> Vec<String> {
        heads.iter().filter_map(|head| self.caution(head)).cloned().collect()
    }

    fn sheet(&self, name: SheetName) -> Sheet {
        match name {
            SheetName::Plan => plan::sheet(self),
            SheetName::Elevation => elevation::sheet(self),
            SheetName::Patch => tables::patch(self),
            SheetName::Power => tables::power(self),
            SheetName::Data => tables::data(self),
            SheetName::Weight => tables::weight(self),
            SheetName::Cables => tables::cables(self),
            SheetName::Packing => tables::packing(self),
            SheetName::Cues => cues::sheet(self),
            SheetName::Cards => cards::sheet(self),
            SheetName::Labels => labels::sheet(self),
            SheetName::Cautions => cautions::sheet(self),
        }
    }

    fn bound(&self) -> (Vec<Drawing>, Vec<(String, usize)>) {
        let wanted = |name: &SheetName| self.options.only.is_empty() || self.options.only.contains(name);
        let sheets = SheetName::ALL.into_iter().filter(wanted).map(|name| self.sheet(name)).collect();
        let running = Running { show: &self.show.name, room: &self.rig.room.name };
        layout::bound(sheets, &running, self.style, &self.fonts)
    }
}

/// Every page as a drawing, in order.
///
/// # Errors
/// Only where a typeface of this program cannot be read.
pub fn pages(input: &Input<'_>, options: &Options) -> Result<Vec<Drawing>, SheetsError> {
    Ok(Context::new(input, options)?.bound().0)
}

/// The sheets as one PDF file.
///
/// # Errors
/// Where the file cannot be put together; nothing that stands in a show file leads there.
pub fn pdf(input: &Input<'_>, options: &Options) -> Result<Vec<u8>, SheetsError> {
    let context = Context::new(input, options)?;
    let (pages, begins) = context.bound();
    let description = format!("{}. {}.", input.rig.room.name, input.plan.headline.trim_end_matches('.'));
    let about = pdf::About { title: &input.show.name, description };
    pdf::to_pdf(&pages, &begins, about, &context.fonts)
}

/// The rig plan alone.
///
/// # Errors
/// Only where a typeface of this program cannot be read.
pub fn rig_plan(input: &Input<'_>, options: &Options) -> Result<RigPlan, SheetsError> {
    Ok(plan::alone(&Context::new(input, options)?))
}

/// The side elevation alone.
///
/// # Errors
/// Only where a typeface of this program cannot be read.
pub fn elevation(input: &Input<'_>, options: &Options) -> Result<Elevation, SheetsError> {
    Ok(elevation::alone(&Context::new(input, options)?))
}

/// Rig plan and elevation as SVG: file name and text.
///
/// # Errors
/// Only where a typeface of this program cannot be read.
pub fn svgs(input: &Input<'_>, options: &Options) -> Result<Vec<(&'static str, String)>, SheetsError> {
    let context = Context::new(input, options)?;
    let title = |what: &str| format!("{what}, {}, {}", input.show.name, input.rig.room.name);
    let write = |drawing: &Drawing, what: &str| svg::to_svg(drawing, &context.fonts, &title(what));
    Ok(vec![
        ("plan.svg", write(&plan::alone(&context).drawing, "Rig plan")),
        ("elevation.svg", write(&elevation::alone(&context).drawing, "Side elevation")),
    ])
}

/// Patch, power, data, weight, cables and cues as comma-separated values (RFC 4180): file name and text.
///
/// # Errors
/// Only where a typeface of this program cannot be read.
pub fn csv(input: &Input<'_>) -> Result<Vec<(&'static str, String)>, SheetsError> {
    let options = Options::default();
    Ok(csv::all(&Context::new(input, &options)?))
}
