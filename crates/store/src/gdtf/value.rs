//! Values as DIN SPEC 15800 writes them (its table 1), and as files write them.

/// A DMX value with the bytes that it was written for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct DmxValue {
    value: u32,
    bytes: u8,
    /// Widened by zeros instead of by repeating itself (`255/1s`).
    shifted: bool,
}

impl DmxValue {
    pub(super) const ZERO: Self = Self { value: 0, bytes: 1, shifted: false };

    /// `128/1`, `32768/2`, `255/1s`. A bare number has as many bytes as it needs. None for "None" and for what is no value.
    pub(super) fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let (value, bytes) = text.split_once('/').map_or((text, None), |(value, bytes)| (value, Some(bytes)));
        let value: u32 = value.trim().parse().ok()?;
        let needed = [0xff, 0xffff, 0xff_ffff, u32::MAX].iter().position(|most| value <= *most)? as u8 + 1;
        let (bytes, shifted) = match bytes.map(str::trim) {
            None => (needed, false),
            Some(bytes) => {
                let digits = bytes.trim_end_matches(['s', 'S']);
                (digits.parse().ok()?, digits.len() < bytes.len())
            }
        };
        ((1..=4).contains(&bytes) && bytes >= needed).then_some(Self { value, bytes, shifted })
    }

    /// As a value of a channel of so many bytes. Narrower: the high bytes. Wider: the standard has the bytes repeated.
    pub(super) fn wide(self, bytes: u8) -> u32 {
        if bytes <= self.bytes || self.shifted {
            return self.start(bytes);
        }
        let own = self.value.to_be_bytes();
        let own = &own[4 - usize::from(self.bytes)..];
        (0..usize::from(bytes)).fold(0, |sum, index| sum << 8 | u32::from(own[index % own.len()]))
    }

    /// As the first value of a range: the first that has those high bytes, or the range would begin half a step late.
    pub(super) fn start(self, bytes: u8) -> u32 {
        let (own, wanted) = (u32::from(self.bytes), u32::from(bytes));
        if wanted >= own { self.value << (8 * (wanted - own)) } else { self.value >> (8 * (own - wanted)) }
    }
}

/// The largest value of so many bytes.
pub(super) const fn full(bytes: u8) -> u32 {
    if bytes >= 4 { u32::MAX } else { (1 << (8 * bytes as u32)) - 1 }
}

/// A number; a decimal comma is forgiven.
pub(crate) fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let read: f64 = text.parse().or_else(|_| text.replacen(',', ".", 1).parse()).ok()?;
    read.is_finite().then_some(read)
}

/// `x,y,Y` of CIE 1931; `true` where it was written otherwise and had to be guessed at.
pub(super) fn colour(text: &str) -> Option<([f64; 3], bool)> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let odd = parts.len() != 3;
    let read: Vec<f64> = match parts[..] {
        [x, y, whole, part] => {
            vec![number(x)?, number(y)?, number(&format!("{whole}.{part}"))?]
        }
        [x, y] => vec![number(x)?, number(y)?, 0.0],
        [x, y, level] => vec![number(x)?, number(y)?, number(level)?],
        _ => return None,
    };
    let [x, y, level] = read[..] else { return None };
    let real = x > 0.0 && y > 0.0 && x + y <= 1.0 && x <= 0.8 && y <= 0.9;
    (real && level >= 0.0).then_some(([x, y, level], odd))
}

/// The addresses of a channel, the highest byte first; empty for a virtual one. None for what is no list of addresses.
pub(super) fn offsets(text: &str) -> Option<Vec<u32>> {
    let text = text.trim();
    if text.is_empty() || text.eq_ignore_ascii_case("none") {
        return Some(Vec::new());
    }
    text.split(',').map(|part| part.trim().parse().ok().filter(|at| (1..=65_535).contains(at))).collect()
}

/// A number of slots from the first on: `17`, or `2.17` for the second universe.
pub(crate) fn address(text: &str) -> Option<u32> {
    let text = text.trim();
    let (universe, slot) = text.split_once('.').unwrap_or(("1", text));
    let universe: u32 = universe.trim().parse().ok()?;
    let slot: u32 = slot.trim().parse().ok()?;
    let whole = universe.checked_sub(1)?.checked_mul(512)?.checked_add(slot)?;
    (1..=65_535).contains(&whole).then_some(whole)
}

/// The third figure of the fourth column of a matrix: how far up, in metres.
pub(super) fn lift(matrix: &str) -> f64 {
    let rows: Vec<&str> = matrix.split('}').collect();
    let row = rows.get(2).map(|row| row.trim_start_matches([' ', '{', ',']));
    row.and_then(|row| row.split(',').nth(3)).and_then(number).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_widen_as_the_standard_says() {
        // Worked examples of DIN SPEC 15800, table 1 (255/1, 255/1s) and arithmetic after its rule.
        for (text, bytes, wide) in [
            ("255/1", 2, 65_535),
            ("255/1s", 2, 65_280),
            ("128/1", 2, 32_896),
            ("128/1s", 2, 32_768),
            ("0/1", 2, 0),
            ("258/2", 3, 66_049),
            ("32768/2", 1, 128),
            ("7", 1, 7),
        ] {
            assert_eq!(DmxValue::read(text).unwrap().wide(bytes), wide, "{text}");
        }
        assert_eq!(DmxValue::read("128/1").unwrap().start(2), 32_768);
        for text in ["None", "", "256/1", "1/0", "1/5", "-1/1", "x/1", "1/2/3", "4294967296/4"] {
            assert_eq!(DmxValue::read(text), None, "{text}");
        }
        assert_eq!([1, 2, 3, 4].map(full), [0xff, 0xffff, 0xff_ffff, 0xffff_ffff]);
    }

    #[test]
    fn figures_are_read_as_they_come() {
        assert_eq!(number("1,5"), Some(1.5));
        assert_eq!((number("nan"), number("1e999"), number("")), (None, None, None));
        assert_eq!(colour("0.3, 0.6,71.5"), Some(([0.3, 0.6, 71.5], false)));
        assert_eq!(colour("0.3002,0.5998,71,55"), Some(([0.3002, 0.5998, 71.55], true)));
        assert_eq!((colour("0.9,0.9,1"), colour("0,0,0"), colour("red")), (None, None, None));
        assert_eq!(offsets("4, 3,5"), Some(vec![4, 3, 5]));
        assert_eq!(
            (offsets("None"), offsets(""), offsets("1,x"), offsets("0")),
            (Some(vec![]), Some(vec![]), None, None)
        );
        assert_eq!(
            (address("17"), address("2.17"), address("0"), address("0.1")),
            (Some(17), Some(529), None, None)
        );
        assert!((lift("{1,0,0,0}{0,1,0,0}{0,0,1,-0.22}{0,0,0,1}") + 0.22).abs() < 1e-12);
        assert!(lift("what").abs() < 1e-12);
    }
}
