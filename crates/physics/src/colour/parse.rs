//! A colour as a person writes it.

use serde::{Deserialize, Serialize};

use super::names::{CSS, WORDS};
use super::{Chromaticity, linear_of_srgb, rgb8_of_hex, white, xyz_of_linear_rgb};
use crate::units::Kelvin;

/// A wanted colour of light.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Target {
    /// Which colour.
    pub chromaticity: Chromaticity,
    /// How bright the name is against white, above 0 to 1 (Y of sRGB): 0.06 for "navy", 1 for whites, for kelvin, for
    /// xy and for our own words. A look has its own level; this is only what the name says about brightness.
    pub luminance: f64,
}

/// Why a written colour was not understood.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ColourError {
    /// Nothing was written.
    #[error("the colour is empty: write {FORMS}")]
    Empty,
    /// Neither a name nor any other form.
    #[error("{written:?} is no colour that we know{}: write {FORMS}", hint(suggestion))]
    Unknown {
        /// What was written.
        written: String,
        /// A name that looks much like it.
        suggestion: Option<&'static str>,
    },
    /// Darkness.
    #[error("{written:?} is darkness, and light has no such colour: keep any colour and use level 0")]
    Black {
        /// What was written.
        written: String,
    },
    /// Begins with # but goes on wrongly.
    #[error("{written:?} is no hex colour: write # and three or six digits 0-9 a-f, as #f80 or #ff8800")]
    Hex {
        /// What was written.
        written: String,
    },
    /// Two numbers that are not x and y of a real colour.
    #[error(
        "{written:?} is no CIE xy of any light: write two numbers as \"xy 0.45 0.41\", inside the horseshoe of real colours"
    )]
    Xy {
        /// What was written.
        written: String,
    },
    /// A colour temperature out of range, or a tint that is no number or out of range.
    #[error(
        "{written:?} is no white: write 1000 K to 25000 K and, if wanted, a tint of -0.05 to +0.05, as \"3200 K\" or \"3200 K +0.005\""
    )]
    White {
        /// What was written.
        written: String,
    },
}

const FORMS: &str = "a name (\"dark orange\", \"warm white\"), #rgb or #rrggbb, \"xy 0.45 0.41\", \"3200 K\" or \"3200 K +0.005\"";

/// Reads a colour: a CSS Color 4 name or one of our own words (any case; spaces, hyphens or nothing between words),
/// `#rgb`, `#rrggbb`, CIE 1931 `xy 0.45 0.41` or `0.45, 0.41`, a colour temperature `3200 K`, or one with a tint
/// (Duv, positive towards green) `3200 K +0.005`. Without a tint the white is that of [`white`].
pub fn parse(text: &str) -> Result<Target, ColourError> {
    let text = text.trim();
    let written = || text.chars().take(60).collect::<String>();
    if text.is_empty() {
        return Err(ColourError::Empty);
    }
    if text.starts_with('#') {
        let rgb = rgb8_of_hex(text).ok_or_else(|| ColourError::Hex { written: written() })?;
        return target_of_rgb8(rgb).ok_or_else(|| ColourError::Black { written: written() });
    }
    let lower = text.to_lowercase().replace('\u{2212}', "-");
    if let Some(numbers) = lower.strip_prefix("xy") {
        return parse_xy(numbers).ok_or_else(|| ColourError::Xy { written: written() });
    }
    if lower.starts_with(|first: char| first.is_ascii_digit() || "+-.".contains(first)) {
        return if let Some((kelvin, duv)) = lower.split_once('k') {
            parse_white(kelvin, duv).ok_or_else(|| ColourError::White { written: written() })
        } else if lower.split([' ', ',', '\t']).filter(|part| !part.is_empty()).count() == 2 {
            parse_xy(&lower).ok_or_else(|| ColourError::Xy { written: written() })
        } else {
            Err(ColourError::Unknown { written: written(), suggestion: None })
        };
    }
    parse_name(&lower, &written)
}

/// Every name that [`parse`] knows: our own words first, then those of CSS in alphabetical order.
pub fn names() -> impl Iterator<Item = &'static str> {
    WORDS.iter().map(|(name, _)| *name).chain(CSS.iter().map(|(name, _)| *name))
}

fn parse_name(lower: &str, written: &dyn Fn() -> String) -> Result<Target, ColourError> {
    let plain = squeezed(lower);
    if let Some((_, word)) = WORDS.iter().find(|(name, _)| squeezed(name) == plain) {
        return Ok(Target { chromaticity: word.chromaticity(), luminance: 1.0 });
    }
    match CSS.binary_search_by(|(name, _)| (*name).cmp(plain.as_str())) {
        Ok(at) => {
            let rgb = [16, 8, 0].map(|shift| ((CSS[at].1 >> shift) & 0xff) as u8);
            target_of_rgb8(rgb).ok_or_else(|| ColourError::Black { written: written() })
        }
        Err(_) => Err(ColourError::Unknown { written: written(), suggestion: likely(&plain) }),
    }
}

fn parse_xy(numbers: &str) -> Option<Target> {
    let mut parts = numbers.split(|c: char| c.is_whitespace() || c == ',').filter(|part| !part.is_empty());
    let x: f64 = parts.next()?.parse().ok()?;
    let y: f64 = parts.next()?.parse().ok()?;
    let chromaticity = Chromaticity::new(x, y);
    (parts.next().is_none() && chromaticity.is_real()).then_some(Target { chromaticity, luminance: 1.0 })
}

/// `kelvin` is what stands before the first k; `duv` what follows it, beginning with "elvin" or not.
fn parse_white(kelvin: &str, duv: &str) -> Option<Target> {
    let kelvin: f64 = kelvin.trim().parse().ok()?;
    let tint: String = duv.strip_prefix("elvin").unwrap_or(duv).split_whitespace().collect();
    let tint = tint.strip_prefix("duv").unwrap_or(&tint);
    let duv = if tint.is_empty() { None } else { Some(tint.parse::<f64>().ok()?) };
    let fits = (1000.0..=25_000.0).contains(&kelvin) && duv.is_none_or(|duv| duv.abs() <= 0.05);
    fits.then(|| Target { chromaticity: white(Kelvin::new(kelvin), duv), luminance: 1.0 })
}

/// `None` for black.
fn target_of_rgb8(rgb: [u8; 3]) -> Option<Target> {
    let xyz = xyz_of_linear_rgb(rgb.map(|byte| linear_of_srgb(f64::from(byte) / 255.0)));
    Some(Target { chromaticity: xyz.chromaticity()?, luminance: xyz.y.min(1.0) })
}

fn squeezed(name: &str) -> String {
    name.chars().filter(|c| !c.is_whitespace() && *c != '-' && *c != '_').collect()
}

/// The known name that takes the fewest changes of a letter, at most two, and at most a third of the letters.
fn likely(plain: &str) -> Option<&'static str> {
    let limit = (plain.chars().count() / 3).min(2);
    if plain.len() > 40 {
        return None;
    }
    names()
        .map(|name| (changes(plain, &squeezed(name)), name))
        .filter(|(changes, _)| *changes <= limit)
        .min_by_key(|(changes, _)| *changes)
        .map(|(_, name)| name)
}

/// Letters to add, drop or change to make one word of the other (Levenshtein).
fn changes(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (index, letter) in from.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = index + 1;
        for at in 0..to.len() {
            let change = diagonal + usize::from(letter != to[at]);
            diagonal = row[at + 1];
            row[at + 1] = change.min(row[at] + 1).min(diagonal + 1);
        }
    }
    row[to.len()]
}

fn hint(suggestion: &Option<&'static str>) -> String {
    suggestion.map_or_else(String::new, |name| format!(" (did you mean {name:?}?)"))
}

#[cfg(test)]
mod tests;
