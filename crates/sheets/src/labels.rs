//! Stickers for the lights, on the label sheets that stationers sell.

use qrcode::{Color, QrCode};

use lanthorn_rig::plan::{UnitPlan, Way};

use crate::Context;
use crate::drawing::{Anchor, At, Drawing, Frame, Ink, Type};
use crate::facts;
use crate::font::Face;
use crate::layout::{Paper, Sheet};

/// From a label's edge to what is printed: printers shift a sheet by as much.
const PAD: f64 = 4.0;
/// The white border that a reader of QR codes needs, modules (ISO/IEC 18004).
const QUIET: f64 = 4.0;

/// A sheet of labels: common practice of stationers, no source; measure a sheet before printing many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grid {
    /// A4, three by eight, 70 × 37 mm.
    A4By24,
    /// A4, three by seven, 63.5 × 38.1 mm.
    A4By21,
    /// Letter, three by ten, 2⅝ × 1 inch.
    LetterBy30,
}

/// A grid in millimetres.
struct Measures {
    /// Left and upper corner of the first label.
    from: At,
    label: [f64; 2],
    /// From one label's corner to the next one's.
    step: [f64; 2],
    count: [usize; 2],
}

impl Grid {
    /// The usual one for a paper.
    pub const fn usual(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self::A4By24,
            Paper::Letter => Self::LetterBy30,
        }
    }

    /// The paper that it is on.
    pub const fn paper(self) -> Paper {
        match self {
            Self::A4By24 | Self::A4By21 => Paper::A4,
            Self::LetterBy30 => Paper::Letter,
        }
    }

    const fn measures(self) -> Measures {
        match self {
            Self::A4By24 => {
                Measures { from: [0.0, 0.5], label: [70.0, 37.0], step: [70.0, 37.0], count: [3, 8] }
            }
            Self::A4By21 => {
                Measures { from: [7.25, 15.15], label: [63.5, 38.1], step: [66.0, 38.1], count: [3, 7] }
            }
            Self::LetterBy30 => {
                Measures { from: [4.76, 12.7], label: [66.675, 25.4], step: [69.85, 25.4], count: [3, 10] }
            }
        }
    }

    /// Where each label of a page lies, row by row.
    pub fn frames(self) -> Vec<Frame> {
        let Measures { from, label, step, count } = self.measures();
        let rows = (0..count[1]).flat_map(|row| (0..count[0]).map(move |column| [column as f64, row as f64]));
        rows.map(|[x, y]| Frame::new([from[0] + x * step[0], from[1] + y * step[1]], label)).collect()
    }
}

/// The sheet, without running head: the whole page is labels.
pub(crate) fn sheet(cx: &Context<'_>) -> Sheet {
    let grid = cx.options.grid.unwrap_or(Grid::usual(cx.options.paper));
    let frames = grid.frames();
    let page = |units: &[UnitPlan]| {
        let mut page = Drawing::new(grid.paper().upright());
        for (unit, frame) in units.iter().zip(&frames) {
            sticker(cx, &mut page, unit, *frame);
        }
        page
    };
    let pages = cx.plan.units.chunks(frames.len()).map(page).collect();
    Sheet { title: "Labels".to_owned(), pages, bare: true }
}

fn sticker(cx: &Context<'_>, page: &mut Drawing, unit: &UnitPlan, frame: Frame) {
    let inside = frame.grown(-PAD);
    let side = inside.height().min(26.0);
    let code = Frame::new([inside.to[0] - side, inside.middle()[1] - side / 2.0], [side, side]);
    qr(page, code, &target(cx, unit));
    let width = code.from[0] - inside.from[0] - 1.0;
    let [number, strong, small] = if frame.height() > 30.0 { [34.0, 12.0, 8.0] } else { [25.0, 10.0, 7.0] };
    let with = Type::new(Face::WordsBold, number, Ink::Black);
    let mut y = inside.from[1] + with.cap() + 0.6;
    page.text([inside.from[0], y], Anchor::Start, with, unit.number.to_string());
    let strong = Type::new(Face::FactsBold, strong, Ink::Black);
    let small = Type::new(Face::Facts, small, Ink::Black);
    let (address, mode) = match unit.way {
        Way::Driven => (facts::address(unit).unwrap_or_else(|| "no address".to_owned()), unit.mode.clone()),
        Way::Linked => match unit.follows {
            Some(leader) => (format!("follows {leader}"), "linked".to_owned()),
            None => ("leads".to_owned(), "linked".to_owned()),
        },
        Way::OnItsOwn => ("on its own".to_owned(), "no data cable".to_owned()),
    };
    y += strong.leading() * 1.05;
    let lines = [(strong, address), (small, mode), (small, unit.place.clone())];
    for (with, text) in lines {
        for line in cx.fonts.wrap(with.face, with.size, &text, width).into_iter().take(2) {
            if y <= inside.to[1] {
                page.text([inside.from[0], y], Anchor::Start, with, line);
                y += with.leading();
            }
        }
    }
}

/// The light's own page, where somebody said what the machine is called; else words.
fn target(cx: &Context<'_>, unit: &UnitPlan) -> String {
    match &cx.options.url {
        Some(url) => format!("{}/#light-{}", url.trim_end_matches('/'), unit.number),
        None => {
            let address = facts::address(unit).unwrap_or_else(|| unit.way.words().to_owned());
            format!("Lanthorn light {}, {address}, {}, {}", unit.number, unit.mode, unit.place)
        }
    }
}

/// A QR code (ISO/IEC 18004) in a square, its white border inside it. Text too long for one leaves the square empty.
fn qr(page: &mut Drawing, square: Frame, text: &str) {
    let Ok(code) = QrCode::new(text) else { return };
    let width = code.width();
    let module = square.width() / (width as f64 + 2.0 * QUIET);
    let mut runs = Vec::new();
    for (y, row) in code.to_colors().chunks(width).enumerate() {
        let mut x = 0;
        for run in row.chunk_by(|a, b| a == b) {
            if run[0] == Color::Dark {
                let left = square.from[0] + (x as f64 + QUIET) * module;
                let top = square.from[1] + (y as f64 + QUIET) * module;
                let (right, bottom) = (left + run.len() as f64 * module, top + module);
                runs.push(vec![[left, top], [right, top], [right, bottom], [left, bottom]]);
            }
            x += run.len();
        }
    }
    page.path(runs, true, None, Some(Ink::Black));
}
