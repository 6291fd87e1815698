//! Leads: what tension they lose, and what current they may carry.

use crate::reckoning::Reckoning;

/// Feet in a metre, inverted: metres in a foot (exact).
pub const METRES_PER_FOOT: f64 = 0.3048;
/// Advice for the branch: 3 % of the tension.
pub const BRANCH_SHARE: f64 = 0.03;
/// Advice from the supply to the far end: 5 %.
pub const WHOLE_SHARE: f64 = 0.05;
/// Where the advice stands.
pub const ADVICE_SOURCE: &str = "NEC 210.19 informational note (3 % branch, 5 % feeder and branch) and IEC 60364-5-52 table \
    G.52.1 (lighting 3 %, other 5 %), as quoted in public: advice, not law";

/// Which table of resistance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Table {
    /// NEC Chapter 9 Table 8, uncoated copper, stranded column, 75 °C: for AWG leads.
    NecStranded,
    /// The same, solid column: fixed wiring, not leads.
    NecSolid,
    /// NEC, the short form 2·K·A·L/CM with K = 12.9 for copper.
    NecK,
    /// BS 7671 Table 4F3B: flexible cords of 60 °C, single phase, in mV for an ampere and a metre (both conductors).
    Bs7671,
    /// IEC 60228 class 5, plain copper, ohms for a kilometre of one conductor at 20 °C.
    Iec60228,
}

/// A size of conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// American wire gauge.
    Awg(u8),
    /// Hundredths of a square millimetre: 150 is 1.5 mm².
    Mm2(u16),
}

/// AWG, stranded ohm/kft, solid ohm/kft, circular mils, amperes of a two-conductor cord (column B). Stranded 18, 14, 12,
/// 10, 8 and solid 18, 16, 8 from memory; the others as quoted in public. Circular mils of 18 and 16 from memory.
#[expect(clippy::approx_constant, reason = "the table has 3.14 ohm/kft, which is no π")]
const AWG: &[(u8, f64, f64, f64, f64)] = &[
    (18, 7.95, 7.77, 1620.0, 10.0),
    (16, 4.99, 4.89, 2580.0, 13.0),
    (14, 3.14, 3.07, 4110.0, 18.0),
    (12, 1.98, 1.93, 6530.0, 25.0),
    (10, 1.24, 1.21, 10380.0, 30.0),
    (8, 0.778, 0.764, 16510.0, 40.0),
];
/// A row of [`MM2`].
type MetricRow = (u16, Option<f64>, Option<f64>, Option<f64>);
/// Hundredths of mm², mV/A/m at 60 °C, ohm/km at 20 °C, amperes of a flexible cord (2.5 and 4 mm² from memory).
const MM2: &[MetricRow] = &[
    (75, Some(62.0), Some(26.0), Some(6.0)),
    (100, Some(46.0), Some(19.5), Some(10.0)),
    (125, Some(37.0), None, Some(13.0)),
    (150, Some(32.0), Some(13.3), Some(15.0)),
    (250, Some(19.0), Some(7.98), Some(25.0)),
    (400, Some(12.0), Some(4.95), Some(32.0)),
    (600, None, Some(3.30), None),
];

impl Table {
    /// Its name, with the column.
    pub const fn name(self) -> &'static str {
        match self {
            Self::NecStranded => "NEC Chapter 9 Table 8, uncoated copper, stranded column, 75 °C",
            Self::NecSolid => "NEC Chapter 9 Table 8, uncoated copper, solid column, 75 °C",
            Self::NecK => {
                "NEC short form, K = 12.9 ohm·cmil/ft for copper, circular mils of Chapter 9 Table 8"
            }
            Self::Bs7671 => "BS 7671 Table 4F3B, flexible cords at 60 °C, single phase, mV/A/m",
            Self::Iec60228 => "IEC 60228 class 5, plain copper, ohm/km at 20 °C",
        }
    }
}

impl Size {
    /// "1.5 mm2", "1.5 mm²", "3 x 1.5 mm²", "3G1.5", "14 AWG", "AWG 14", "#14", "14/3". None for anything else, and for sizes
    /// that no table here has.
    pub fn read(text: &str) -> Option<Self> {
        let lower = text.to_lowercase().replace(['²', ' '], "").replace("sqmm", "mm").replace("mm^2", "mm2");
        let number = |text: &str| text.parse::<f64>().ok();
        if lower.contains("awg") || lower.starts_with('#') || lower.contains('/') || lower.ends_with("ga") {
            let bare = lower.replace("awg", "").replace(['#', '-'], "").replace("ga", "");
            let gauge = number(bare.split('/').next()?)?;
            return AWG
                .iter()
                .find(|row| (f64::from(row.0) - gauge).abs() < 1e-9)
                .map(|row| Self::Awg(row.0));
        }
        let bare = lower.trim_end_matches("mm2").trim_end_matches("mm");
        let bare = bare.rsplit(['x', '×', 'g']).next()?;
        Self::mm2(number(bare)?)
    }

    /// A size in square millimetres, if a table has it.
    pub fn mm2(size: f64) -> Option<Self> {
        let hundredths = (size * 100.0).round();
        MM2.iter().find(|row| (f64::from(row.0) - hundredths).abs() < 1e-9).map(|row| Self::Mm2(row.0))
    }

    /// As people write it.
    pub fn words(self) -> String {
        match self {
            Self::Awg(gauge) => format!("{gauge} AWG"),
            Self::Mm2(hundredths) => format!("{} mm2", f64::from(hundredths) / 100.0),
        }
    }

    /// The table that is used when none is named: that of leads.
    pub const fn usual_table(self) -> Table {
        match self {
            Self::Awg(_) => Table::NecStranded,
            Self::Mm2(600) => Table::Iec60228,
            Self::Mm2(_) => Table::Bs7671,
        }
    }

    /// Ohms of a metre of one conductor, by a table; none where the table has no such size.
    pub fn ohm_per_m(self, table: Table) -> Option<f64> {
        const KFT_M: f64 = 1000.0 * METRES_PER_FOOT;
        /// Ohm, circular mil, foot: copper at about 75 °C, as the short form has it.
        const K: f64 = 12.9;
        match (self, table) {
            (Self::Awg(gauge), _) => {
                let (_, stranded, solid, mils, _) = AWG.iter().find(|row| row.0 == gauge)?;
                match table {
                    Table::NecStranded => Some(stranded / KFT_M),
                    Table::NecSolid => Some(solid / KFT_M),
                    Table::NecK => Some(K / mils / METRES_PER_FOOT),
                    Table::Bs7671 | Table::Iec60228 => None,
                }
            }
            (Self::Mm2(size), Table::Bs7671) => row(size)?.1.map(|milli| milli / 1000.0 / 2.0),
            (Self::Mm2(size), Table::Iec60228) => row(size)?.2.map(|ohm| ohm / 1000.0),
            (Self::Mm2(_), Table::NecStranded | Table::NecSolid | Table::NecK) => None,
        }
    }

    /// What a lead of two loaded conductors may carry, amperes, and where that stands.
    pub fn amps(self) -> Option<(f64, &'static str)> {
        match self {
            Self::Awg(gauge) => AWG.iter().find(|row| row.0 == gauge).map(|row| {
                (row.4, "NEC 400.5(A)(1) column B, as quoted in public: two loaded conductors, 30 °C")
            }),
            Self::Mm2(size) => row(size)?.3.map(|amps| {
                (amps, "a public table of flexible cords (2.5 and 4 mm² from memory): 30 °C, uncoiled")
            }),
        }
    }
}

fn row(size: u16) -> Option<&'static MetricRow> {
    MM2.iter().find(|row| row.0 == size)
}

/// How much the resistance of copper grows from one temperature to another, °C: 1 + 0.00393 (t − 20), related.
pub fn warmer(from_c: f64, to_c: f64) -> f64 {
    let at = |celsius: f64| 1.0 + 0.003_93 * (celsius - 20.0);
    at(to_c) / at(from_c)
}

/// One length of lead with one current in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Its length, metres, one way.
    pub length_m: f64,
    /// Ohms of a metre of one conductor.
    pub ohm_per_m: f64,
    /// The current in it, amperes.
    pub amps: f64,
}

/// Tension lost along segments one after another, volts: Σ b·L·R·A, with b = 2 for single phase (out and back) and √3 between
/// phases. The current of each segment is its own: it falls after each light of a chain.
pub fn drop_volts(segments: &[Segment], three_phase: bool) -> f64 {
    let both = if three_phase { 3_f64.sqrt() } else { 2.0 };
    segments.iter().map(|segment| both * segment.length_m * segment.ohm_per_m * segment.amps).sum()
}

/// Tension lost when the loads keep their power and so draw more as the tension falls: the current grows by
/// V / (V − drop) until both agree. None when they cannot agree, and the lead could never carry it.
pub fn drop_at_constant_power(volts: f64, nominal_drop: f64) -> Option<f64> {
    // x = d·V/(V − x), the smaller root.
    let inside = volts * volts - 4.0 * nominal_drop * volts;
    (volts > 0.0 && inside >= 0.0).then(|| (volts - inside.sqrt()) / 2.0)
}

/// How a drop along one lead is reached.
pub fn reckoning(size: Size, table: Table, length_m: f64, amps: f64) -> Reckoning {
    Reckoning::new(
        "drop_volts",
        "2 x length x ohms of one conductor x current, summed over the segments",
        table.name(),
    )
    .with("length", length_m, "m", "show file")
    .with(
        format!("ohms of {}", size.words()),
        size.ohm_per_m(table).unwrap_or(0.0) * 1000.0,
        "ohm/km",
        "table",
    )
    .with("current", amps, "A", "sum")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lost(size: &str, table: Option<Table>, metres: f64, amps: f64) -> f64 {
        let size = Size::read(size).unwrap();
        let ohm_per_m = size.ohm_per_m(table.unwrap_or(size.usual_table())).unwrap();
        drop_volts(&[Segment { length_m: metres, ohm_per_m, amps }], false)
    }

    #[test]
    fn drops_are_those_of_published_examples() {
        let feet = 100.0 * METRES_PER_FOOT;
        // 16 AWG, 100 ft, 4 A: 3.992 V (an electricians' lesson, electrician2.com). 12 AWG, 100 ft, 20 A by K: 7.9 V =
        // 6.6 % of 120; 8 AWG: 3.1 V = 2.6 % (tradelicenseprep.com).
        assert!((lost("16 AWG", None, feet, 4.0) - 3.992).abs() < 1e-9);
        assert!((lost("12 AWG", Some(Table::NecK), feet, 20.0) - 7.9).abs() < 0.01);
        assert!((lost("8 AWG", Some(Table::NecK), feet, 20.0) - 3.1).abs() < 0.03);
        // By arithmetic from the stranded row: 16 A, 100 ft, 120 V.
        for (gauge, percent) in [("14 AWG", 8.4), ("12 AWG", 5.3), ("10 AWG", 3.3), ("8 AWG", 2.1)] {
            assert!((lost(gauge, None, feet, 16.0) / 1.2 - percent).abs() < 0.05, "{gauge}");
        }
        // By arithmetic from 4F3B: 13 A, 30 m, 230 V.
        for (size, percent) in [("1.5 mm2", 5.4), ("2.5 mm²", 3.2), ("4mm2", 2.0)] {
            assert!((lost(size, None, 30.0, 13.0) / 2.3 - percent).abs() < 0.05, "{size}");
        }
    }

    #[test]
    fn tables_agree_with_each_other() {
        // 4F3B is IEC 60228 at 60 °C, out and back, within rounding of the published rows.
        for size in [75, 100, 150, 250, 400] {
            let size = Size::Mm2(size);
            let cold = size.ohm_per_m(Table::Iec60228).unwrap() * warmer(20.0, 60.0);
            let warm = size.ohm_per_m(Table::Bs7671).unwrap();
            assert!((warm / cold - 1.0).abs() < 0.05, "{size:?}: {warm} {cold}");
        }
        // 70 °C is 1.197 of 20 °C.
        assert!((warmer(20.0, 70.0) - 1.1965).abs() < 1e-9);
        assert_eq!(Size::Awg(14).ohm_per_m(Table::Bs7671), None);
    }

    #[test]
    fn sizes_are_read_as_people_write_them() {
        for (text, size) in [
            ("1.5 mm2", Some(Size::Mm2(150))),
            ("3 x 2.5 mm²", Some(Size::Mm2(250))),
            ("3G1.5", Some(Size::Mm2(150))),
            ("1,5", None),
            ("14 AWG", Some(Size::Awg(14))),
            ("AWG14", Some(Size::Awg(14))),
            ("#12", Some(Size::Awg(12))),
            ("14/3", Some(Size::Awg(14))),
            ("13 AWG", None),
            ("thick", None),
        ] {
            assert_eq!(Size::read(text), size, "{text}");
        }
    }

    #[test]
    fn a_chain_loses_less_than_all_its_current_to_the_end() {
        // Four lights of 1 A, 5 m apart, 1.5 mm²: 5 m · 32 mV · (4 + 3 + 2 + 1) A = 1.6 V.
        let ohm_per_m = Size::Mm2(150).ohm_per_m(Table::Bs7671).unwrap();
        let chain: Vec<Segment> =
            (1..=4).rev().map(|amps| Segment { length_m: 5.0, ohm_per_m, amps: f64::from(amps) }).collect();
        assert!((drop_volts(&chain, false) - 1.6).abs() < 1e-12);
        // Constant power: 10 V of 100 nominal becomes 11.27 (the root of x² − 100x + 1000).
        assert!((drop_at_constant_power(100.0, 10.0).unwrap() - 11.270_166).abs() < 1e-6);
        assert_eq!(drop_at_constant_power(100.0, 30.0), None);
    }
}
