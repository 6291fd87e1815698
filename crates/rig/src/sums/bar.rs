//! A bar on two points: what each carries, how much the bar is bent, how far it sags.
//!
//! Straight, level, thin, resting on two points without being clamped; loads and own weight straight down. Clamps, slings,
//! points and ceilings fail before most tubes do: a sum about the tube proves nothing about them.

use crate::reckoning::Reckoning;

/// Standard gravity, m/s².
pub const GRAVITY: f64 = 9.806_65;
/// Over people only half of a marked working load counts.
pub const HALF: f64 = 0.5;
/// Where the rule of the half stands.
pub const HALF_SOURCE: &str = "DGUV Information 215-313 1.4, as quoted in public";
/// Where the formulas stand.
pub const SOURCE: &str = "statics of a beam on two supports; checked against published beam tables";
/// Where the figures of tubes stand.
pub const TUBE_SOURCE: &str = "public property sheets of scaffold tube (TG20, EN 39): allowable moment of used tube; aluminium as for new";

/// A tube that bars are made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    /// As the show file writes it.
    pub name: &'static str,
    /// kg for a metre.
    pub kg_per_m: f64,
    /// Second moment of area, cm⁴.
    pub inertia_cm4: f64,
    /// Bending moment allowed, N·m.
    pub allowed_nm: f64,
    /// Modulus of elasticity, GPa (steel from memory).
    pub modulus_gpa: f64,
}

/// The tubes that we have figures for.
pub const TUBES: &[Tube] = &[
    Tube { name: "48.3 x 4 steel", kg_per_m: 4.37, inertia_cm4: 13.8, allowed_nm: 990.0, modulus_gpa: 210.0 },
    Tube {
        name: "48.3 x 4.47 aluminium",
        kg_per_m: 1.67,
        inertia_cm4: 14.9,
        allowed_nm: 1330.0,
        modulus_gpa: 70.0,
    },
];

impl Tube {
    /// By its name, however it is spaced; "steel" or "aluminium" (or "aluminum") alone mean the one that we have.
    pub fn read(text: &str) -> Option<&'static Self> {
        let plain = text
            .to_lowercase()
            .replace("aluminum", "aluminium")
            .replace("alu ", "aluminium ")
            .replace('×', "x");
        let squeezed: String = plain.chars().filter(|c| !c.is_whitespace()).collect();
        let squeezed = squeezed.replace("mm", "").replace("4.0steel", "4steel");
        TUBES.iter().find(|tube| {
            let name: String = tube.name.chars().filter(|c| !c.is_whitespace()).collect();
            squeezed == name || name.ends_with(&squeezed) && squeezed.len() > 4
        })
    }
}

/// A bar with what hangs on it. Positions in metres from any one point along it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bar {
    /// Both ends.
    pub ends: [f64; 2],
    /// Both points that it hangs on, left first.
    pub points: [f64; 2],
    /// kg for a metre: the tube, and cables along it.
    pub kg_per_m: f64,
    /// Position and kg of each load.
    pub loads: Vec<(f64, f64)>,
}

/// What a bar's points carry and how it is bent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bent {
    /// kg on each point; below zero: it would lift.
    pub reactions_kg: [f64; 2],
    /// Largest bending moment, N·m, without its sign.
    pub moment_nm: f64,
    /// Where that is.
    pub moment_at: f64,
}

impl Bar {
    /// Everything together, kg.
    pub fn total_kg(&self) -> f64 {
        self.kg_per_m * (self.ends[1] - self.ends[0]) + self.loads.iter().map(|(_, kg)| kg).sum::<f64>()
    }

    /// Reactions and the largest moment. None when the points are not two different ones in order.
    pub fn bent(&self) -> Option<Bent> {
        let [a, b] = self.points;
        let span = b - a;
        if !(span > 1e-6 && span.is_finite()) {
            return None;
        }
        let own = self.kg_per_m * (self.ends[1] - self.ends[0]);
        let middle = (self.ends[0] + self.ends[1]) / 2.0;
        let about_a = self.loads.iter().map(|(x, kg)| kg * (x - a)).sum::<f64>() + own * (middle - a);
        let right = about_a / span;
        let reactions_kg = [self.total_kg() - right, right];
        let at = |x: f64| (self.moment(x, reactions_kg), x);
        let (moment_nm, moment_at) = self
            .stations(reactions_kg)
            .into_iter()
            .map(at)
            .max_by(|(m, _), (n, _)| m.abs().total_cmp(&n.abs()))
            .unwrap_or((0.0, a));
        Some(Bent { reactions_kg, moment_nm: moment_nm.abs(), moment_at })
    }

    /// Where the moment can be largest: loads, points, and where the shear passes zero between them.
    fn stations(&self, reactions: [f64; 2]) -> Vec<f64> {
        let mut at: Vec<f64> =
            self.loads.iter().map(|load| load.0).chain(self.points).chain(self.ends).collect();
        at.sort_by(f64::total_cmp);
        let mut more = Vec::new();
        for pair in at.windows(2) {
            let middle = (pair[0] + pair[1]) / 2.0;
            // Shear falls by kg_per_m with every metre between two stations.
            let shear = self.shear(middle, reactions);
            if self.kg_per_m > 0.0 {
                let zero = middle + shear / self.kg_per_m;
                if zero > pair[0] && zero < pair[1] {
                    more.push(zero);
                }
            }
        }
        at.extend(more);
        at
    }

    /// Shear just there, kg, up on the left positive.
    fn shear(&self, x: f64, reactions: [f64; 2]) -> f64 {
        let up: f64 = self.points.iter().zip(reactions).filter(|(at, _)| **at < x).map(|(_, kg)| kg).sum();
        let down: f64 = self.loads.iter().filter(|(at, _)| *at < x).map(|(_, kg)| kg).sum();
        up - down - self.kg_per_m * (x - self.ends[0]).max(0.0)
    }

    /// Bending moment, N·m, positive where the bar sags.
    fn moment(&self, x: f64, reactions: [f64; 2]) -> f64 {
        let arm = |at: f64| (x - at).max(0.0);
        let up: f64 = self.points.iter().zip(reactions).map(|(at, kg)| kg * arm(*at)).sum();
        let down: f64 = self.loads.iter().map(|(at, kg)| kg * arm(*at)).sum();
        let own = self.kg_per_m * arm(self.ends[0]) * arm(self.ends[0]) / 2.0;
        (up - down - own) * GRAVITY
    }

    /// How far the bar sags half-way between its points, metres, for a tube. None where the points are none.
    pub fn sag_m(&self, tube: &Tube) -> Option<f64> {
        const STEPS: u32 = 400;
        let reactions = self.bent()?.reactions_kg;
        let [a, b] = self.points;
        let stiffness = tube.modulus_gpa * 1e9 * tube.inertia_cm4 * 1e-8;
        let step = (b - a) / f64::from(STEPS);
        // Unit-load method: ∫ M·m / EI, with m the moment of 1 N in the middle. Midpoints of even steps.
        let part = |n: u32| {
            let x = a + (f64::from(n) + 0.5) * step;
            let unit = (x - a).min(b - x) / 2.0;
            self.moment(x, reactions) * unit * step
        };
        Some((0..STEPS).map(part).sum::<f64>() / stiffness)
    }
}

/// How a bar's moment is reached.
pub fn moment_reckoning(bar: &Bar, bent: &Bent) -> Reckoning {
    Reckoning::new("moment_nm", "sum of (force x arm) left of the cut, own weight spread evenly", SOURCE)
        .with("distance of the points", bar.points[1] - bar.points[0], "m", "show file")
        .with("loads", bar.loads.iter().map(|load| load.1).sum(), "kg", "sum")
        .with("own weight and cables of a metre", bar.kg_per_m, "kg/m", "table")
        .with("left point carries", bent.reactions_kg[0], "kg", "sum")
        .with("gravity", GRAVITY, "m/s2", "standard")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, wanted: f64, within: f64) {
        assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
    }

    fn bar(length: f64, kg_per_m: f64, loads: &[(f64, f64)]) -> Bar {
        Bar { ends: [0.0, length], points: [0.0, length], kg_per_m, loads: loads.to_vec() }
    }

    #[test]
    fn moments_and_sags_are_those_of_beam_tables() {
        // WL/8, PL/4, PL/6 for two halves at the thirds, PL/8 at the quarters; sags 5WL³/384EI and PL³/48EI.
        let weight = 40.0 * GRAVITY;
        let tube = &TUBES[0];
        let stiffness = 210e9 * 13.8e-8;
        let (long, cube) = (4.0, 64.0);
        let even = bar(long, 10.0, &[]);
        near(even.bent().unwrap().moment_nm, weight * long / 8.0, 1e-9);
        near(even.sag_m(tube).unwrap(), 5.0 * weight * cube / 384.0 / stiffness, 1e-6);
        let point = bar(long, 0.0, &[(2.0, 40.0)]);
        near(point.bent().unwrap().moment_nm, weight * long / 4.0, 1e-9);
        near(point.sag_m(tube).unwrap(), weight * cube / 48.0 / stiffness, 1e-6);
        near(
            bar(long, 0.0, &[(long / 3.0, 20.0), (2.0 * long / 3.0, 20.0)]).bent().unwrap().moment_nm,
            weight * long / 6.0,
            1e-9,
        );
        near(
            bar(long, 0.0, &[(1.0, 20.0), (3.0, 20.0)]).bent().unwrap().moment_nm,
            weight * long / 8.0,
            1e-9,
        );
        // A cantilever's end: P·L, and the far point lifts.
        let over = Bar { ends: [0.0, 3.0], points: [0.0, 2.0], kg_per_m: 0.0, loads: vec![(3.0, 10.0)] };
        let bent = over.bent().unwrap();
        near(bent.moment_nm, 10.0 * GRAVITY, 1e-9);
        near(bent.reactions_kg[0], -5.0, 1e-9);
        near(bent.reactions_kg[1], 15.0, 1e-9);
    }

    #[test]
    fn a_worked_bar() {
        // 3 m of steel tube, 4 × 9 kg at 0.5, 1, 2 and 2.5 m: 241 N on each point, 181 N·m, 18 % of 0.99 kN·m, 6 mm
        // (worked by hand from the beam tables).
        let four = bar(3.0, 4.37, &[(0.5, 9.0), (1.0, 9.0), (2.0, 9.0), (2.5, 9.0)]);
        let bent = four.bent().unwrap();
        near(bent.reactions_kg[0] * GRAVITY, 241.0, 0.5);
        near(bent.moment_nm, 181.0, 0.5);
        near(bent.moment_nm / TUBES[0].allowed_nm, 0.18, 0.005);
        near(four.sag_m(&TUBES[0]).unwrap(), 0.006, 0.0005);
        // 4 m of it with six lights of 8.3 kg and 1.42 kg of cable: 68.7 kg, 34.4 on each point.
        let loads: Vec<(f64, f64)> = (0..6).map(|n| (0.25 + f64::from(n) * 0.7, 8.3)).collect();
        let six = bar(4.0, 4.37 + 1.42 / 4.0, &loads);
        near(six.total_kg(), 68.7, 0.01);
        near(six.bent().unwrap().reactions_kg[1], 34.35, 0.01);
        assert_eq!(Bar { points: [1.0, 1.0], ..six }.bent(), None);
    }

    #[test]
    fn tubes_are_read_as_people_write_them() {
        for (text, index) in [
            ("48.3 x 4 steel", Some(0)),
            ("48.3×4.0 mm steel", Some(0)),
            ("steel", Some(0)),
            ("48.3 x 4.47 aluminium", Some(1)),
            ("aluminum", Some(1)),
            ("wood", None),
            ("", None),
        ] {
            assert_eq!(Tube::read(text), index.map(|index: usize| &TUBES[index]), "{text}");
        }
    }
}
