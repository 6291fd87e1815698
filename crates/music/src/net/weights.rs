//! The file of weights: `LANTNET1`, a count, then for each array its name, its shape and its values in half precision.

use std::collections::BTreeMap;

/// Arrays by name.
pub struct Weights {
    arrays: BTreeMap<String, (Vec<usize>, Vec<f32>)>,
}

/// Weights that cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UnusableWeights {
    /// It does not begin as it should, or ends too early.
    #[error("this is no file of weights, or it is cut off")]
    Torn,
    /// An array is missing or has another shape than the others ask for.
    #[error("the weights called {0} are missing or of the wrong shape")]
    Shape(&'static str),
}

/// What every file of weights begins with.
const MARK: &[u8] = b"LANTNET1";

impl Weights {
    /// Reads a file of weights.
    ///
    /// # Errors
    /// [`UnusableWeights::Torn`].
    pub fn read(bytes: &[u8]) -> Result<Self, UnusableWeights> {
        let mut rest = Rest(bytes.strip_prefix(MARK).ok_or(UnusableWeights::Torn)?);
        let mut arrays = BTreeMap::new();
        for _ in 0..rest.long()? {
            let length = rest.take(1)?[0];
            let name =
                std::str::from_utf8(rest.take(length.into())?).map_err(|_| UnusableWeights::Torn)?.to_owned();
            let dimensions = rest.take(1)?[0];
            let shape: Vec<usize> =
                (0..dimensions).map(|_| Ok(rest.long()? as usize)).collect::<Result<_, UnusableWeights>>()?;
            let count = shape.iter().try_fold(1_usize, |count, size| count.checked_mul(*size));
            let bytes = count.and_then(|count| count.checked_mul(2)).ok_or(UnusableWeights::Torn)?;
            let halves = rest.take(bytes)?.chunks_exact(2);
            arrays.insert(
                name,
                (shape, halves.map(|half| of_half(u16::from_le_bytes([half[0], half[1]]))).collect()),
            );
        }
        Ok(Self { arrays })
    }

    /// Shape and values of an array.
    pub(super) fn get(&self, layer: &'static str, part: &str) -> Result<(&[usize], &[f32]), UnusableWeights> {
        let found = self.arrays.get(&format!("{layer}.{part}")).ok_or(UnusableWeights::Shape(layer))?;
        Ok((&found.0, &found.1))
    }
}

struct Rest<'a>(&'a [u8]);

impl<'a> Rest<'a> {
    fn take(&mut self, count: usize) -> Result<&'a [u8], UnusableWeights> {
        let (taken, rest) = self.0.split_at_checked(count).ok_or(UnusableWeights::Torn)?;
        self.0 = rest;
        Ok(taken)
    }

    fn long(&mut self) -> Result<u32, UnusableWeights> {
        let bytes = self.take(4)?;
        Ok(u32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]))
    }
}

/// IEEE 754 binary16.
fn of_half(bits: u16) -> f32 {
    let (sign, exponent, part) = (bits >> 15, (bits >> 10) & 0x1f, bits & 0x3ff);
    let size = match exponent {
        0 => f32::from(part) * 2.0_f32.powi(-24),
        0x1f if part == 0 => f32::INFINITY,
        0x1f => f32::NAN,
        _ => (1.0 + f32::from(part) / 1024.0) * 2.0_f32.powi(i32::from(exponent) - 15),
    };
    if sign == 1 { -size } else { size }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_are_those_of_the_standard() {
        // IEEE 754-2008, table 3.5: 1, -2, the largest, the smallest normal and the smallest of all.
        let rows = [
            (0x3c00, 1.0),
            (0xc000, -2.0),
            (0x7bff, 65504.0),
            (0x0400, 6.103_515_6e-5),
            (0x0001, 5.960_464_5e-8),
        ];
        for (bits, value) in rows {
            assert!((of_half(bits) - value).abs() <= value.abs() * 1e-7, "{bits:#x}");
        }
    }

    #[test]
    fn a_torn_file_is_told() {
        for bytes in
            [&b""[..], b"LANTNET", b"LANTNET1\x01\0\0\0\x01a\x01\xff\xff\xff\xff", b"LANTNET1\x01\0\0"]
        {
            assert_eq!(Weights::read(bytes).err(), Some(UnusableWeights::Torn), "{bytes:?}");
        }
    }
}
