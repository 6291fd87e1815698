//! Counting red flashes: light that turns saturated red, and away from it.

use lanthorn_physics::Instant;

use super::swings::{Rate, Stamps};

/// Light at one moment: tristimulus values, of the most light there can be.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct View(pub(super) [f64; 3]);

impl View {
    /// Less light than this, of the most, has no colour (our own choice, no source).
    const DARK: f64 = 0.008;
    /// Less than this, and nobody takes it for red.
    const QUITE_DARK: f64 = 0.002;
    /// From here on everybody sees its colour.
    const LIT: f64 = 0.02;
    /// Less than this, and the steps of channels shift its colour.
    const DIM: f64 = 0.05;
    /// Part of red in red, green and blue from which on red is saturated: the published 0.8, and a little less.
    const SATURATED: f64 = 0.75;
    /// The same where light is dim.
    const NEARLY_SATURATED: f64 = 0.6;
    /// From here on everybody takes it for red.
    const QUITE_SATURATED: f64 = 0.85;

    fn uv(self) -> Option<[f64; 2]> {
        let [x, y, z] = self.0;
        let sum = x + 15.0 * y + 3.0 * z;
        (sum > 0.0).then(|| [4.0 * x / sum, 9.0 * y / sum])
    }

    /// Light whose red outweighs its green and blue together: without it there is no saturated red.
    pub(super) fn is_reddish(self) -> bool {
        let [r, g, b] = self.rgb();
        r > g + b
    }

    /// Saturated red, by its parts of linear sRGB (IEC 61966-2-1).
    pub(super) fn is_red(self) -> bool {
        let enough = if self.0[1] < Self::DIM { Self::NEARLY_SATURATED } else { Self::SATURATED };
        self.red_part() >= enough
    }

    /// What a head sends at so little a level may be saturated red in the end.
    pub(super) fn may_be_red_at(self, level: f64) -> bool {
        self.red_part() >= if level < 0.1 { Self::NEARLY_SATURATED } else { Self::SATURATED }
    }

    /// Of red, green and blue; 0 for next to no light.
    fn red_part(self) -> f64 {
        let [r, g, b] = self.rgb();
        if self.0[1] >= Self::DARK && r > 0.0 { r / (r + g + b) } else { 0.0 }
    }

    fn rgb(self) -> [f64; 3] {
        let [x, y, z] = self.0;
        [
            3.2406 * x - 1.5372 * y - 0.4986 * z,
            -0.9689 * x + 1.8758 * y + 0.0415 * z,
            0.0557 * x - 0.2040 * y + 1.0570 * z,
        ]
        .map(|part| part.max(0.0))
    }

    fn differs_from(self, other: Self) -> bool {
        self.0.iter().zip(other.0).any(|(own, other)| (own - other).abs() > 1e-5)
    }
}

/// Light that turns saturated red and away from it. A flash counts from when the light turned away, and from later as
/// long as it goes on doing so; red may come only while there is room.
///
/// Counted by the part of red, up and down by [`Reds::STEP`]; the definition asks for 0.2 in u′v′, and as far from a
/// saturated red that part is less by 0.2 at least (worked out on the edge of the sRGB triangle).
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Reds {
    red: bool,
    /// Largest part of red since it turned red, or smallest since it turned away.
    extreme: f64,
    /// What it turned red with, the reddest it was, and the last, as long as somebody may still take it for red.
    leaves: Option<[[f64; 2]; 3]>,
    last: View,
    pub(super) stamps: Stamps,
    /// How often it turned red.
    pub(super) count: u32,
}

impl Reds {
    const STEP: f64 = 0.1;
    /// So far from red in u′v′ everybody says that it is another colour: the published 0.2, and a little more.
    const FAR: f64 = 0.25;

    /// Whether red would come, and may not.
    pub(super) fn must_wait(&self, view: View, rate: Rate, now: Instant) -> bool {
        self.turns_red(view) && !self.stamps.free(rate, now)
    }

    fn turns_red(&self, view: View) -> bool {
        !self.red && view.is_red() && view.red_part() >= self.extreme + Self::STEP
    }

    /// Takes what is sent.
    pub(super) fn observe(&mut self, view: View, now: Instant) {
        let (part, uv) = (view.red_part(), view.uv());
        if self.turns_red(view) {
            self.count = self.count.wrapping_add(1);
            (self.red, self.extreme, self.leaves) = (true, part, uv.map(|uv| [uv; 3]));
        } else if self.red && part < (self.extreme - Self::STEP).min(View::QUITE_SATURATED) {
            (self.red, self.extreme) = (false, part);
            self.stamps.push(now);
        } else if self.red {
            if let (Some(uv), Some([_, reddest, last])) = (uv, &mut self.leaves) {
                *last = uv;
                *reddest = if part >= self.extreme { uv } else { *reddest };
            }
            self.extreme = self.extreme.max(part);
        } else {
            self.extreme = self.extreme.min(part);
        }
        if let (false, Some(reds)) = (self.red, self.leaves) {
            if view.differs_from(self.last) {
                self.stamps.move_last(now);
            }
            let far =
                |[u, v]: [f64; 2]| reds.iter().all(|red| libm::hypot(u - red[0], v - red[1]) > Self::FAR);
            let light = view.0[1];
            if light < View::QUITE_DARK || light >= View::LIT && uv.is_some_and(far) {
                self.leaves = None;
            }
        }
        self.last = view;
    }
}
