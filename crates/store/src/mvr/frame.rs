//! Frames of DIN SPEC 15801: the axes of a thing in the world, and its origin in millimetres.

use lanthorn_physics::Point;
use lanthorn_physics::units::Radians;
use lanthorn_rig::rig::WayUp;

use crate::gdtf::number;

/// Nothing in a room stands further from where points are counted than this, metres: a show file takes 1000 m, and what is
/// worked out from several points may lie a little beyond them.
pub(super) const EDGE: f64 = 900.0;

/// Rows u, v, w (the thing's own axes X, Y, Z) and o (its origin, millimetres), all in the frame that it stands in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    axes: [[f64; 3]; 3],
    origin: [f64; 3],
}

/// How a light is turned, as a unit says it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Turned {
    pub(super) up: WayUp,
    pub(super) turn: Radians,
    pub(super) lean: Radians,
    /// How far the frame's own axes, downward and sideways, are from those that these give.
    pub(super) off: Radians,
}

impl Frame {
    pub(super) const IDENTITY: Self =
        Self { axes: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], origin: [0.0; 3] };

    pub(super) const fn new(axes: [[f64; 3]; 3], origin: [f64; 3]) -> Self {
        Self { axes, origin }
    }

    /// `{u}{v}{w}{o}`, each of three figures; none where it is written otherwise.
    pub(super) fn read(text: &str) -> Option<Self> {
        let mut rows = [[0.0; 3]; 4];
        let parts: Vec<&str> =
            text.split('{').skip(1).map(|part| part.trim_end().trim_end_matches('}')).collect();
        if parts.len() != 4 {
            return None;
        }
        for (row, part) in rows.iter_mut().zip(parts) {
            let figures: Vec<f64> = part.split(',').filter_map(number).collect();
            *row = figures.get(..3)?.try_into().ok()?;
        }
        let [u, v, w, origin] = rows;
        Some(Self { axes: [u, v, w], origin })
    }

    /// As the standard writes it.
    pub(super) fn text(&self) -> String {
        let row = |row: [f64; 3]| format!("{{{}}}", row.map(crate::gdtf::figure).join(","));
        self.axes.iter().copied().chain([self.origin]).map(row).collect()
    }

    /// This frame, which stands in another one, as it is where that one stands.
    pub(super) fn inside(&self, outer: &Self) -> Self {
        let turned = |it: [f64; 3]| {
            let mut sum = [0.0; 3];
            for (part, axis) in it.iter().zip(outer.axes) {
                for (own, other) in sum.iter_mut().zip(axis) {
                    *own += part * other;
                }
            }
            sum
        };
        let mut origin = turned(self.origin);
        for (own, other) in origin.iter_mut().zip(outer.origin) {
            *own += other;
        }
        Self { axes: self.axes.map(turned), origin }
    }

    /// Where it stands in a room: the origin in metres, moved back by a shift, and no further than [`EDGE`].
    pub(super) fn place_m(&self, shift: [f64; 3]) -> Point {
        let at: [f64; 3] = self.origin_m(shift).into();
        Point::from(at.map(|part| part.clamp(-EDGE, EDGE)))
    }

    /// `true` where that moves it.
    pub(super) fn is_beyond(&self, shift: [f64; 3]) -> bool {
        let at: [f64; 3] = self.origin_m(shift).into();
        at.iter().any(|part| part.abs() > EDGE)
    }

    /// The origin in metres, moved back by a shift.
    pub(super) fn origin_m(&self, shift: [f64; 3]) -> Point {
        let metres = |at: usize| (((self.origin[at] / 1000.0) - shift[at]) * 1e6).round() / 1e6;
        Point::new(metres(0), metres(1), metres(2))
    }

    /// `true` when every figure can be used.
    pub(super) fn is_usable(&self) -> bool {
        let lengths = self.axes.iter().map(|axis| length(*axis));
        let finite = self.origin.iter().all(|part| part.is_finite() && part.abs() < 1e9);
        finite && lengths.into_iter().all(|length| length.is_finite() && length > 1e-6)
    }

    /// The direction of its own X axis, seen from above.
    pub(super) fn heading(&self) -> Radians {
        Radians::new(libm::atan2(self.axes[0][1], self.axes[0][0]))
    }

    /// Turn about the vertical and lean about its own X, hanging or standing: `R = Rz(turn) · over · Rx(lean)`, where `over`
    /// is nothing, or half a turn about Y. What does not go that way is taken as nearly as it does.
    pub(super) fn turned(&self) -> Turned {
        let axes = self.axes.map(|axis| {
            let length = length(axis).max(1e-9);
            axis.map(|part| part / length)
        });
        let [u, v, w] = axes;
        let way = |up: WayUp| {
            // Third row of R is (u.z, v.z, w.z); its first column is u.
            let sign = if up == WayUp::Hanging { 1.0 } else { -1.0 };
            let lean = libm::atan2(sign * v[2], sign * w[2]);
            let turn = libm::atan2(sign * u[1], sign * u[0]);
            let (sin, cos) = libm::sincos(turn);
            // Where its own downward axis then points.
            let down = match up {
                WayUp::Hanging => [-libm::sin(lean) * sin, libm::sin(lean) * cos, -libm::cos(lean)],
                WayUp::Standing => [-libm::sin(lean) * sin, libm::sin(lean) * cos, libm::cos(lean)],
            };
            let sideways: f64 = u[0] * sign * cos + u[1] * sign * sin;
            let dot = down.iter().zip(w).map(|(a, b)| a * -b).sum::<f64>().min(sideways);
            let clean = |angle: f64| Radians::from_deg((Radians::new(angle).deg() * 1e4).round() / 1e4 + 0.0);
            Turned {
                up,
                turn: clean(turn),
                lean: clean(lean),
                off: Radians::new(libm::acos(dot.clamp(-1.0, 1.0))),
            }
        };
        let (hanging, standing) = (way(WayUp::Hanging), way(WayUp::Standing));
        if hanging.lean.get().abs() <= standing.lean.get().abs() { hanging } else { standing }
    }
}

fn length(axis: [f64; 3]) -> f64 {
    axis.iter().map(|part| part * part).sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_inside_another_is_where_both_take_it() {
        // A quarter turn to the left, two metres up; inside it, one metre along its own X: that is along the world's Y.
        let outer = Frame::read("{0,1,0}{-1,0,0}{0,0,1}{0,0,2000}").unwrap();
        let inner = Frame::read("{1,0,0}{0,1,0}{0,0,1}{1000,0,0}").unwrap();
        let world = inner.inside(&outer);
        assert_eq!(world.origin_m([0.0; 3]), Point::new(0.0, 1.0, 2.0));
        assert_eq!(world.heading(), Radians::QUARTER);
        assert_eq!(Frame::read(&world.text()), Some(world));
        for text in ["", "{1,0,0}", "{a,b,c}{1,0,0}{1,0,0}{1,0,0}", "{1,0,0,0}{0,1}{0,0,1}{0,0,0}"] {
            assert_eq!(Frame::read(text), None, "{text}");
        }
    }

    #[test]
    fn identity_hangs_and_half_a_turn_stands() {
        // DIN SPEC 15800: a light is drawn hanging.
        let hanging = Frame::IDENTITY.turned();
        assert_eq!((hanging.up, hanging.turn.get(), hanging.lean.get()), (WayUp::Hanging, 0.0, 0.0));
        let over = Frame::read("{-1,0,0}{0,1,0}{0,0,-1}{0,0,0}").unwrap().turned();
        assert_eq!((over.up, over.turn.get(), over.lean.get()), (WayUp::Standing, 0.0, 0.0));
        let about_x = Frame::read("{1,0,0}{0,-1,0}{0,0,-1}{0,0,0}").unwrap().turned();
        assert_eq!((about_x.up, about_x.turn.deg().abs().round()), (WayUp::Standing, 180.0));
        assert!(about_x.off.deg() < 0.01);
    }
}
