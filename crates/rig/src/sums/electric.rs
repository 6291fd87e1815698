//! Mains: regions, phases, generators, switching on, leakage, power from light to light, batteries.

use crate::reckoning::Reckoning;

/// Where the mains is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Region {
    /// North America.
    Us,
    /// United Kingdom.
    Uk,
    /// Continental Europe.
    Eu,
    /// Japan.
    Jp,
}

/// What is usual in a region; each figure may be said otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usual {
    /// Nominal tension.
    pub volts: f64,
    /// Planned use of a breaker's rating for hours.
    pub continuous: f64,
    /// Planned use of one receptacle, amperes.
    pub receptacle: f64,
    /// Residual current device that is usual, amperes.
    pub rcd: f64,
    /// Breaker that is usual, amperes.
    pub breaker: f64,
    /// Where these come from.
    pub source: &'static str,
}

impl Region {
    /// Its usual figures.
    pub const fn usual(self) -> Usual {
        match self {
            Self::Us => Usual {
                volts: 120.0,
                continuous: 0.8,
                receptacle: 12.0,
                rcd: 0.005,
                breaker: 20.0,
                source: "NEC 210.20(A) and Table 210.21(B)(2), UL 943 class A, as quoted in public",
            },
            Self::Uk => Usual {
                volts: 230.0,
                continuous: 0.625,
                receptacle: 10.0,
                rcd: 0.03,
                breaker: 32.0,
                source: "this plan's default: 20 A of a shared 32 A ring, 10 A for hours from a 13 A plug",
            },
            Self::Eu => Usual {
                volts: 230.0,
                continuous: 0.8,
                receptacle: 12.8,
                rcd: 0.03,
                breaker: 16.0,
                source: "this plan's default: 80 % of 16 A; a household socket is not made for 16 A for hours",
            },
            Self::Jp => Usual {
                volts: 100.0,
                continuous: 0.8,
                receptacle: 12.0,
                rcd: 0.03,
                breaker: 20.0,
                source: "this plan's default: 80 % of a 15 A outlet (JIS C 8303); the earth pin is often missing",
            },
        }
    }
}

/// Apparent power in volt-amperes: W / pf.
pub fn volt_amps(watts: f64, power_factor: f64) -> f64 {
    watts / power_factor
}

/// The power factor that is assumed where none is known: 0.6 below 100 W, 0.9 from there on. Small lamps with uncorrected
/// electronics draw about 1.8 times their active current (a public installation guide); this plan's default.
pub fn assumed_power_factor(watts: f64) -> f64 {
    if watts < 100.0 { 0.6 } else { 0.9 }
}

/// Amperes of a load between the three phases: VA / (√3 · V), V from phase to phase (from memory).
pub fn three_phase_amps(volt_amps: f64, volts_between_phases: f64) -> f64 {
    volt_amps / (3_f64.sqrt() * volts_between_phases)
}

/// Three phases with a current each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phases {
    /// Largest distance from the mean, as a part of the mean; 0 when nothing flows.
    pub imbalance: f64,
    /// Current in the neutral if all currents were sines in step: √(a² + b² + c² − ab − bc − ca).
    pub neutral_amps: f64,
    /// Current in the neutral if it were all third harmonic, which adds up there instead of cancelling: no more than √3 times
    /// the largest phase (from memory).
    pub neutral_worst_amps: f64,
}

/// What three phase currents mean for balance and neutral.
pub fn phases([a, b, c]: [f64; 3]) -> Phases {
    let mean = (a + b + c) / 3.0;
    let far = [a, b, c].iter().map(|amps| (amps - mean).abs()).fold(0.0, f64::max);
    let neutral = (a * a + b * b + c * c - a * b - b * c - c * a).max(0.0).sqrt();
    Phases {
        imbalance: if mean > 0.0 { far / mean } else { 0.0 },
        neutral_amps: neutral,
        neutral_worst_amps: (3_f64.sqrt() * a.max(b).max(c)).max(neutral),
    }
}

/// Neutral current with a part of third harmonic in each phase: the fundamentals cancel as far as they are even, the third
/// harmonics add up. `third` is third harmonic over fundamental.
pub fn neutral_with_third([a, b, c]: [f64; 3], third: f64) -> f64 {
    // An rms current I with a third-harmonic part h has a fundamental of I / √(1 + h²).
    let fundamental = [a, b, c].map(|amps| amps / (1.0 + third * third).sqrt());
    let first = phases(fundamental).neutral_amps;
    let triple = third * fundamental.iter().sum::<f64>();
    (first * first + triple * triple).sqrt()
}

/// Planned share of a generator's rating (common practice: 75 to 80 %).
pub const GENERATOR_SHARE: f64 = 0.8;

/// Rating in kVA that a load needs: kW / pf / share.
pub fn generator_kva(watts: f64, power_factor: f64, share: f64) -> f64 {
    watts / 1000.0 / power_factor / share
}

/// Trip curve of a breaker (IEC 60898): trips at once from 3–5, 5–10 or 10–20 times its rating on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Curve {
    /// 3 to 5 times.
    B,
    /// 5 to 10 times.
    C,
    /// 10 to 20 times (upper end from memory).
    D,
}

impl Curve {
    /// From its letter.
    pub fn read(letter: &str) -> Option<Self> {
        match letter.trim().to_ascii_lowercase().as_str() {
            "b" => Some(Self::B),
            "c" => Some(Self::C),
            "d" => Some(Self::D),
            _ => None,
        }
    }

    /// Its letter.
    pub const fn letter(self) -> &'static str {
        match self {
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
        }
    }

    /// Times its rating that a short peak may reach (a public data-sheet formula: 4, 8, 15).
    pub const fn peak_factor(self) -> f64 {
        match self {
            Self::B => 4.0,
            Self::C => 8.0,
            Self::D => 15.0,
        }
    }
}

/// Where the formula for a known peak stands.
pub const INRUSH_SOURCE: &str = "a public data-sheet formula: peaks within 4, 8 or 15 times a B, C or D breaker's rating, running current within its rating";
/// Where the counts for unknown peaks stand.
pub const INRUSH_TABLE_SOURCE: &str = "trade guide counts for small LED fittings (BEAMA guide of March 2021, as read out in public): B10 15 of 10 W or \
    4 of 75 W, B16 22 or 8, C10 30 or 5 of 150 W; B half of C, D half as many again; scaled by rating";

/// How many alike lights may be switched on together behind one breaker.
/// With a known peak: min(⌊k·In / peak⌋, ⌊In / A⌋); otherwise by the trade table, for the next larger class of watts.
/// At least one, unless one alone draws more than the breaker's rating.
pub fn switch_on_together(breaker: f64, curve: Curve, amps: f64, watts: f64, peak: Option<f64>) -> u32 {
    let running = if amps > 0.0 { whole(breaker / amps) } else { u32::MAX };
    let by_peak = match peak.filter(|peak| *peak > 0.0) {
        Some(peak) => whole(curve.peak_factor() * breaker / peak),
        None => by_table(breaker, curve, watts),
    };
    if running == 0 { 0 } else { by_peak.min(running).max(1) }
}

/// ⌊x⌋ with a little forgiveness for rounding.
fn whole(value: f64) -> u32 {
    (value + 1e-9).floor().clamp(0.0, 100_000.0) as u32
}

fn by_table(breaker: f64, curve: Curve, watts: f64) -> u32 {
    // Counts at 10 A: B, C; and published ones at B16, which grow faster than the rating.
    let (b10, c10, b16) = match watts {
        w if w <= 10.0 => (15.0, 30.0, 22.0),
        w if w <= 75.0 => (4.0, 8.0, 8.0),
        w if w <= 150.0 => (2.5, 5.0, 4.0),
        w => (2.5 * 150.0 / w, 5.0 * 150.0 / w, 4.0 * 150.0 / w),
    };
    let count = match curve {
        Curve::B if (breaker - 16.0).abs() < 0.5 => b16,
        Curve::B => b10 * breaker / 10.0,
        Curve::C => c10 * breaker / 10.0,
        Curve::D => c10 * 1.5 * breaker / 10.0,
    };
    whole(count).max(1)
}

/// Part of a residual current device's rating that may leak all the time (BS 7671 531.3.2, as quoted in public).
pub const LEAKAGE_SHARE: f64 = 0.3;
/// Largest leakage of a class I light, amperes, assumed where none is known (BS EN 60598-1, as quoted in public).
pub const CLASS_I_LEAKAGE: f64 = 0.0035;
/// Where the rule stands.
pub const LEAKAGE_SOURCE: &str = "BS 7671 531.3.2, as quoted in public";

/// How many alike lights one residual current device takes: ⌊30 % of rating / leakage of each⌋.
pub fn lights_per_rcd(rating: f64, each: f64) -> u32 {
    if each > 0.0 { whole(LEAKAGE_SHARE * rating / each) } else { u32::MAX }
}

/// Ratings of power connectors, amperes; name as people write it, rating, remark. None when we do not know it.
pub fn connector_amps(name: &str) -> Option<(f64, &'static str)> {
    let name = name.to_lowercase();
    let has = |part: &str| name.contains(part);
    Some(match () {
        () if has("c13") || has("c14") || has("iec inlet") => (10.0, "IEC 60320 C13/C14: 10 A"),
        () if has("c19") || has("c20") => (16.0, "IEC 60320 C19/C20: 16 A"),
        () if has("true") || has("sealed") || has("breaking") => {
            (16.0, "newer locking coupler: 16 A in Europe, 20 A in North America (from memory)")
        }
        () if has("lock") || has("twist") => {
            (20.0, "older locking coupler: 20 A, never mated or pulled under load (from memory)")
        }
        () if has("5-15") => (15.0, "North American 15 A plug"),
        () if has("5-20") => (20.0, "North American 20 A plug"),
        () if has("schuko") || has("type f") || has("7/4") || has("7/7") => (16.0, "16 A household plug"),
        () if has("bs 1363") || has("13 a") || has("uk plug") => (13.0, "13 A fused plug (from memory)"),
        () if has("60309") && has("32") => (32.0, "IEC 60309 32 A"),
        () if has("60309") || has("cee") => (16.0, "IEC 60309 16 A"),
        () => return None,
    })
}

/// Lights of one kind that may hang on one plug: the first and those fed through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chain {
    /// How many, the first counted.
    pub lights: u32,
    /// Which limit decides: "maker", "connector", "circuit".
    pub by: &'static str,
    /// Their current, amperes.
    pub amps: f64,
}

/// N = min(maker's count, 1 + ⌊passed on / A⌋, ⌊connector / A⌋, ⌊circuit / A⌋), as far as each is known (common practice).
/// `passed_on` is what the maker lets go out of the first light, its own current not counted.
pub fn chain(
    amps: f64,
    maker_count: Option<u32>,
    passed_on: Option<f64>,
    connector: Option<f64>,
    circuit: Option<f64>,
) -> Option<Chain> {
    if amps <= 0.0 {
        return None;
    }
    let passed = passed_on.map(|limit| whole(limit / amps).saturating_add(1));
    let limits = [
        (maker_count, "maker"),
        (passed, "maker"),
        (connector.map(|limit| whole(limit / amps)), "connector"),
        (circuit.map(|limit| whole(limit / amps)), "circuit"),
    ];
    let (lights, by) =
        limits.into_iter().filter_map(|(count, by)| Some((count?, by))).min_by_key(|row| row.0)?;
    Some(Chain { lights, by, amps: f64::from(lights) * amps })
}

/// What of a battery's watt-hours can be used (common practice, no source).
pub const BATTERY_USABLE: f64 = 0.85;

/// Hours that a battery lasts: Wh · usable / W. None without a load.
pub fn battery_hours(watt_hours: f64, usable: f64, watts: f64) -> Option<f64> {
    (watts > 0.0).then(|| watt_hours * usable / watts)
}

/// How a current is reached.
pub fn amps_reckoning(of: &'static str) -> Reckoning {
    Reckoning::new(
        of,
        "watts / power factor / volts",
        "arithmetic; label figures, where they are larger, win",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn generators_are_sized_as_published() {
        // 2.86 kW / 0.8 = 3.575 kVA (printed 3.57); 100 kW / 0.8 = 125 kVA (two public calculators).
        assert!((generator_kva(2860.0, 0.8, 1.0) - 3.575).abs() < 1e-9);
        assert!((generator_kva(100_000.0, 0.8, 1.0) - 125.0).abs() < 1e-9);
        assert!((generator_kva(2400.0, 1.0, GENERATOR_SHARE) - 3.0).abs() < 1e-9);
    }

    #[test]
    fn leakage_counts_are_those_of_the_guide() {
        // 3.5 mA: 2 items for 30 mA, 0.7 mA: 12, 0.5 mA: 18 (a switchgear maker's guide, BS EN 60598-1).
        for (milli, count) in [(3.5, 2), (0.7, 12), (0.5, 18)] {
            assert_eq!(lights_per_rcd(0.03, milli / 1000.0), count, "{milli} mA");
        }
    }

    #[test]
    fn switching_on_follows_table_and_formula() {
        for (breaker, curve, watts, count) in [
            (10.0, Curve::B, 10.0, 15),
            (10.0, Curve::B, 75.0, 4),
            (16.0, Curve::B, 10.0, 22),
            (16.0, Curve::B, 75.0, 8),
            (10.0, Curve::C, 10.0, 30),
            (10.0, Curve::C, 150.0, 5),
        ] {
            assert_eq!(
                switch_on_together(breaker, curve, 0.0, watts, None),
                count,
                "{curve:?}{breaker} {watts} W"
            );
        }
        // 30 A peaks: 4 · 16 / 30 = 2; 0.5 A each of 16 A would allow 32 (by hand, from the formula).
        assert_eq!(switch_on_together(16.0, Curve::B, 0.5, 100.0, Some(30.0)), 2);
        assert_eq!(switch_on_together(16.0, Curve::C, 9.0, 2000.0, Some(30.0)), 1);
        assert_eq!(switch_on_together(16.0, Curve::B, 20.0, 4000.0, None), 0, "one alone is too much");
    }

    #[test]
    fn the_smallest_limit_governs_a_chain() {
        // 303 W at 120 V: 2.525 A; the maker says 5 on a chain, 12.6 A, though the circuit has 16 (an event company's
        // article of 2024).
        let chain = chain(2.525, Some(5), None, Some(20.0), Some(16.0)).unwrap();
        assert_eq!((chain.lights, chain.by), (5, "maker"));
        assert!((chain.amps - 12.625).abs() < 1e-9);
        assert_eq!(super::chain(2.525, None, Some(12.0), Some(10.0), Some(16.0)).unwrap().lights, 3);
        assert_eq!(super::chain(1.0, None, None, None, None), None);
    }

    #[test]
    fn phases_and_batteries() {
        let even = phases([10.0, 10.0, 10.0]);
        assert!(even.imbalance.abs() < 1e-12 && even.neutral_amps.abs() < 1e-9);
        // One loaded phase alone: its current is the neutral's (textbook). 10, 0, 0: the mean is 3.33, 200 % off.
        let one = phases([10.0, 0.0, 0.0]);
        assert!((one.neutral_amps - 10.0).abs() < 1e-9 && (one.imbalance - 2.0).abs() < 1e-9);
        // Even phases with a third of third harmonic: 3 · (1/3) of the fundamental.
        let third = neutral_with_third([10.0; 3], 1.0 / 3.0);
        assert!((third - 10.0 / (1.0_f64 + 1.0 / 9.0).sqrt()).abs() < 1e-9);
        // 400 V between phases, 6928 VA: 10 A (textbook).
        assert!((three_phase_amps(6928.2, 400.0) - 10.0).abs() < 1e-3);
        assert!((battery_hours(100.0, BATTERY_USABLE, 17.0).unwrap() - 5.0).abs() < 1e-9);
        assert_eq!(battery_hours(100.0, 0.85, 0.0), None);
    }
}
