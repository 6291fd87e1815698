//! An address as a QR code (ISO/IEC 18004): for the terminal and for the page.

use std::fmt::Write as _;

use qrcode::render::unicode::Dense1x2;
use qrcode::{Color, QrCode};

use crate::wire::QrView;

/// The light border that a reader needs, modules.
const QUIET: usize = 4;

/// In half blocks, two modules one above the other in each character; light modules are drawn, as terminals are dark.
pub(crate) fn in_terminal(text: &str) -> Option<String> {
    let code = QrCode::new(text).ok()?;
    Some(code.render().dark_color(Dense1x2::Light).light_color(Dense1x2::Dark).build())
}

/// As a path of unit squares, each run of dark modules in one.
pub(super) fn drawn(text: &str) -> Option<QrView> {
    let code = QrCode::new(text).ok()?;
    let width = code.width();
    let colours = code.to_colors();
    let mut path = String::new();
    for (y, row) in colours.chunks(width).enumerate() {
        let mut x = 0;
        for run in row.chunk_by(|a, b| a == b) {
            if run[0] == Color::Dark {
                let (x, y, long) = (x + QUIET, y + QUIET, run.len());
                // Writing to a String never fails.
                let _ = write!(path, "M{x} {y}h{long}v1h-{long}z");
            }
            x += run.len();
        }
    }
    Some(QrView { side: u32::try_from(width + 2 * QUIET).ok()?, path })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_drawings_show_the_same_modules() {
        let text = "http://192.0.2.10:7411/#pair=ACDEFG";
        let drawn = drawn(text).unwrap();
        let side = drawn.side as usize;
        let mut dark = vec![false; side * side];
        for run in drawn.path.split('M').skip(1) {
            let (at, rest) = run.split_once('h').unwrap();
            let (x, y) = at.split_once(' ').unwrap();
            let long: usize = rest.split_once('v').unwrap().0.parse().unwrap();
            let start = y.parse::<usize>().unwrap() * side + x.parse::<usize>().unwrap();
            dark[start..start + long].fill(true);
        }
        let terminal = in_terminal(text).unwrap();
        for (row, line) in terminal.lines().enumerate() {
            for (x, block) in line.chars().enumerate() {
                let at = |y: usize| y >= side || dark[y * side + x];
                let seen = match block {
                    ' ' => (true, true),
                    '▀' => (false, true),
                    '▄' => (true, false),
                    '█' => (false, false),
                    other => panic!("{other}"),
                };
                assert_eq!(seen, (at(2 * row), at(2 * row + 1)), "row {row}, column {x}");
            }
        }
        // The finder patterns of the standard: seven dark modules along the top left edge.
        assert!(dark[4 * side + 4..4 * side + 11].iter().all(|dark| *dark) && !dark[4 * side + 11]);
    }
}
