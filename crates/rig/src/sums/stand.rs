//! A stand: what tips it, from a push and from wind.
//!
//! A stiff stand on level, hard ground, legs fully spread: it turns about the line between two feet. Slopes, soft ground,
//! swinging, bending masts and people who lean on it are not in the sums.

use super::bar::GRAVITY;
use crate::reckoning::Reckoning;

/// Density of air, kg/m³.
pub const AIR: f64 = 1.225;
/// Drag of flat things, as planned (published range 1.2 to 2.0).
pub const DRAG: f64 = 1.2;
/// Wanted factor against overturning (common practice, no source).
pub const FACTOR: f64 = 1.5;
/// Gusts from which light stands come down, m/s, unless the maker says otherwise (this plan's default).
pub const LOWER_AT: f64 = 8.0;
/// Where the formulas stand.
pub const SOURCE: &str = "statics; dynamic pressure 0.5 x 1.225 x v², as on public wind calculators";

/// A stand with its load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// How many legs, 3 or more.
    pub legs: u32,
    /// From the middle to the end of a leg, on the floor, metres.
    pub leg_radius_m: f64,
    /// Everything together, kg: stand, ballast, lights.
    pub total_kg: f64,
    /// Height of the load above the floor, metres: where a push or the wind acts.
    pub height_m: f64,
    /// How far the centre of the loads is from the mast, along the crossbar, metres (Σ m·x / Σ m).
    pub offset_m: f64,
    /// What of the weight that offset is of, kg.
    pub load_kg: f64,
}

/// Distance from the middle to the line between two feet: r · cos(180° / n).
pub fn tip_distance(legs: u32, leg_radius_m: f64) -> f64 {
    leg_radius_m * libm::cos(std::f64::consts::PI / f64::from(legs.max(1)))
}

/// Centre of loads along a crossbar: Σ m·x / Σ m; 0 without loads.
pub fn offset(loads: &[(f64, f64)]) -> f64 {
    let total: f64 = loads.iter().map(|(_, kg)| kg).sum();
    if total > 0.0 { loads.iter().map(|(x, kg)| x * kg).sum::<f64>() / total } else { 0.0 }
}

impl Stand {
    /// Distance to the nearest line of tipping.
    pub fn tip_distance_m(&self) -> f64 {
        tip_distance(self.legs, self.leg_radius_m)
    }

    /// Side force at the load's height that tips it when the load is balanced: W · d / h, newtons.
    pub fn tip_force_n(&self) -> f64 {
        self.total_kg * GRAVITY * self.tip_distance_m() / self.height_m
    }

    /// The same towards the heavier side, which the offset load has used up a part of: (W · d − W_load · e) / h; 0 when it
    /// tips by itself.
    pub fn tip_force_heavy_side_n(&self) -> f64 {
        let held = self.total_kg * self.tip_distance_m() - self.load_kg * self.offset_m.abs();
        (held * GRAVITY / self.height_m).max(0.0)
    }

    /// Wind at which it tips, m/s, for an area facing it at the load's height: √(2·F / (ρ·Cd·A)).
    pub fn tip_wind_m_s(&self, area_m2: f64, drag: f64) -> Option<f64> {
        (area_m2 > 0.0 && drag > 0.0)
            .then(|| (2.0 * self.tip_force_heavy_side_n() / (AIR * drag * area_m2)).sqrt())
    }

    /// Holding moment over tipping moment in a wind.
    pub fn factor_in_wind(&self, wind_m_s: f64, area_m2: f64, drag: f64) -> Option<f64> {
        let force = wind_force_n(wind_m_s, area_m2, drag);
        (force > 0.0).then(|| self.tip_force_heavy_side_n() / force)
    }

    /// kg of ballast on the feet that would give a wanted factor in a wind; 0 when none is needed.
    pub fn ballast_kg(&self, wind_m_s: f64, area_m2: f64, drag: f64, factor: f64) -> f64 {
        let lacks = factor * wind_force_n(wind_m_s, area_m2, drag) - self.tip_force_heavy_side_n();
        (lacks * self.height_m / GRAVITY / self.tip_distance_m()).max(0.0)
    }
}

/// Pressure of wind, pascals: 0.5 · 1.225 · v².
pub fn wind_pressure_pa(wind_m_s: f64) -> f64 {
    0.5 * AIR * wind_m_s * wind_m_s
}

/// Force of wind, newtons: q · A · Cd.
pub fn wind_force_n(wind_m_s: f64, area_m2: f64, drag: f64) -> f64 {
    wind_pressure_pa(wind_m_s) * area_m2 * drag
}

/// How the side force is reached.
pub fn reckoning(stand: &Stand) -> Reckoning {
    Reckoning::new(
        "tip_force_n",
        "weight x gravity x (leg radius x cos(180 degrees / legs)) / height",
        SOURCE,
    )
    .with("legs", f64::from(stand.legs), "", "show file")
    .with("leg radius", stand.leg_radius_m, "m", "show file")
    .with("weight", stand.total_kg, "kg", "sum")
    .with("height", stand.height_m, "m", "show file")
    .with("gravity", GRAVITY, "m/s2", "standard")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, wanted: f64, within: f64) {
        assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
    }

    #[test]
    fn a_light_shove_tips_a_stand() {
        // cos 60° = 0.5 for three legs, cos 45° = 0.707 for four. 20 kg, 0.6 m, push at 2.4 m: 24.5 N (statics, by hand).
        near(tip_distance(3, 1.0), 0.5, 1e-12);
        near(tip_distance(4, 1.0), std::f64::consts::FRAC_1_SQRT_2, 1e-12);
        let stand =
            Stand { legs: 3, leg_radius_m: 0.6, total_kg: 20.0, height_m: 2.4, offset_m: 0.0, load_kg: 10.0 };
        near(stand.tip_force_n(), 24.5, 0.05);
        near(stand.tip_force_heavy_side_n(), stand.tip_force_n(), 1e-12);
        // 10 kg 0.3 m aside take half of what 20 kg hold at 0.3 m.
        let aside = Stand { offset_m: -0.3, ..stand };
        near(aside.tip_force_heavy_side_n(), stand.tip_force_n() / 2.0, 1e-9);
        near(offset(&[(-0.6, 4.0), (0.6, 8.0)]), 0.2, 1e-12);
        near(offset(&[]), 0.0, 0.0);
    }

    #[test]
    fn wind_is_that_of_public_calculators() {
        // 61 Pa at 10 m/s, 138 at 15; 122.5 N on 2 m² at 10 m/s, 1378 N on 10 m² at 15 m/s (two public calculators,
        // Cd 1).
        near(wind_pressure_pa(10.0), 61.25, 0.01);
        near(wind_pressure_pa(15.0), 137.8, 0.05);
        near(wind_force_n(10.0, 2.0, 1.0), 122.5, 0.01);
        near(wind_force_n(15.0, 10.0, 1.0), 1378.0, 0.5);
        // The stand above with 0.25 m², Cd 1.2, centre at 2.2 m: factor 1.46 at 10 m/s, tips at 12.1 m/s, 33 kg more for
        // a factor of 1.5 at 16 m/s (by hand).
        let stand =
            Stand { legs: 3, leg_radius_m: 0.6, total_kg: 20.0, height_m: 2.2, offset_m: 0.0, load_kg: 10.0 };
        near(stand.factor_in_wind(10.0, 0.25, 1.2).unwrap(), 1.46, 0.005);
        near(stand.tip_wind_m_s(0.25, 1.2).unwrap(), 12.1, 0.05);
        near(stand.ballast_kg(16.0, 0.25, 1.2, 1.5), 33.0, 0.5);
        assert_eq!(stand.tip_wind_m_s(0.0, 1.2), None);
    }
}
