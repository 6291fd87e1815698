//! Measured light: a reader of the files that laboratories write for a luminaire, ANSI/IES LM-63 of 1986, 1991, 1995, 2002
//! and 2019.
//!
//! Only type C photometry is read: vertical angles from straight down (the axis of a spotlight, pointed down for the
//! measurement), horizontal angles about that axis. Files of type A and B are refused by name. A lamp whose light
//! depends on how it is tilted (`TILT=INCLUDE`) is read, but its factors are not applied: a [`Doubt`] says so.
//!
//! What the fields mean is told from public descriptions of LM-63-1991, -1995, -2002 and -2019.

mod table;
mod text;

use std::sync::Arc;

pub use table::{Curve, Table};

use crate::units::{Lumens, Metres, Watts};
use text::Tokens;

/// Most vertical angles times horizontal angles that are taken.
const MOST_VALUES: usize = 1_000_000;
const FOOT: f64 = 0.3048;
/// What LM-63-2002 and -2019 want said of the test.
const WANTED: [&str; 4] = ["TEST", "TESTLAB", "ISSUEDATE", "MANUFAC"];

/// A photometric file, read.
#[derive(Clone, Debug, PartialEq)]
pub struct Photometry {
    /// Edition of the standard that the file names.
    pub edition: Edition,
    /// `[KEYWORD] text` lines in their order, continued lines joined; the label lines of 1986 have no keyword.
    pub keywords: Keywords,
    /// How many lamps.
    pub lamps: f64,
    /// Rated flux of one lamp; none for absolute photometry (written as −1).
    pub lumens_per_lamp: Option<Lumens>,
    /// Ballast factors, which are contained in the table.
    pub factor: f64,
    /// Input power; none where the file says nothing or zero.
    pub watts: Option<Watts>,
    /// Width, length and height of the luminous opening. Round openings are written as negative numbers in some
    /// editions; here all are positive.
    pub size: [Metres; 3],
    /// Intensities with multiplier and ballast factors.
    pub table: Arc<Table>,
    /// What is odd about the file, though it could be read.
    pub doubts: Vec<Doubt>,
}

/// Keyword and text, in the order of the file.
pub type Keywords = Vec<(String, String)>;

/// Editions of LM-63.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "years")]
pub enum Edition {
    Y1986,
    Y1991,
    Y1995,
    Y2002,
    Y2019,
}

impl Edition {
    /// The year.
    pub const fn year(self) -> u16 {
        match self {
            Self::Y1986 => 1986,
            Self::Y1991 => 1991,
            Self::Y1995 => 1995,
            Self::Y2002 => 2002,
            Self::Y2019 => 2019,
        }
    }
}

/// Something odd in a file that could be read all the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// Line, from 1.
    pub line: usize,
    /// What is odd, and what follows from it.
    pub what: String,
}

/// Why a text is no photometric file that can be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct IesError {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong and what to do.
    pub what: String,
}

impl IesError {
    fn new(line: usize, what: impl Into<String>) -> Self {
        Self { line, what: what.into() }
    }
}

impl Photometry {
    /// The text behind a keyword, in capital letters as the file has it.
    pub fn keyword(&self, name: &str) -> Option<&str> {
        self.keywords.iter().find(|(key, _)| key == name).map(|(_, text)| text.as_str())
    }
}

/// Reads a file. Never panics, whatever the text.
///
/// # Errors
/// The first thing that keeps it from being used, with its line.
pub fn read(text: &str) -> Result<Photometry, IesError> {
    let mut tokens = Tokens::new(text);
    let (edition, keywords, tilt) = head(&mut tokens)?;
    let mut doubts = Vec::new();
    if edition >= Edition::Y2002 {
        let lacks = WANTED.iter().filter(|wanted| !keywords.iter().any(|(key, _)| key == *wanted));
        for wanted in lacks {
            let what = format!("a file of this edition says [{wanted}], and this one does not");
            doubts.push(Doubt { line: 1, what });
        }
    }
    if tilt.included {
        skip_tilt(&mut tokens)?;
        let what = "the lamp's light depends on how the light is tilted; that is not reckoned with here";
        doubts.push(Doubt { line: tilt.line, what: what.to_owned() });
    }
    let sizes = Sizes::read(&mut tokens)?;
    let ballast = tokens.number("the ballast factor")?;
    let second = tokens.number("the number after the ballast factor (1)")?;
    let watts = tokens.number("the input watts")?;
    // The second factor belongs to 1986 and 1991; later editions keep the place for other uses.
    let factor = ballast.value * if edition <= Edition::Y1991 { second.value } else { 1.0 };
    if !(factor > 0.0 && factor < 100.0) {
        return Err(IesError::new(ballast.line, "ballast factors lie above 0 and are about 1"));
    }
    let vertical = angles(&mut tokens, sizes.vertical, "vertical angle")?;
    let horizontal = angles(&mut tokens, sizes.horizontal, "horizontal angle")?;
    let mut candela = Vec::new();
    for _ in 0..sizes.vertical * sizes.horizontal {
        let next = tokens.number("an intensity")?;
        let value = next.value * sizes.multiplier * factor;
        if !(0.0..=1e12).contains(&value) {
            return Err(IesError::new(next.line, "an intensity is 0 or more, and below 10¹² cd"));
        }
        candela.push(value);
    }
    if let Some(line) = tokens.rest() {
        doubts.push(Doubt { line, what: "what follows here belongs to no table".to_owned() });
    }
    let table = Table::new(&vertical, &horizontal, candela)?;
    Ok(Photometry {
        edition,
        keywords,
        lamps: sizes.lamps,
        lumens_per_lamp: Lumens::checked(sizes.lumens).filter(|lumens| lumens.get() >= 0.0),
        factor,
        watts: Watts::checked(watts.value).filter(|watts| watts.get() > 0.0),
        size: sizes.metres,
        table: Arc::new(table),
        doubts,
    })
}

/// Angles in degrees with the line that the first stands on.
struct Angles {
    line: usize,
    degrees: Vec<f64>,
}

/// Where the TILT line is, and whether factors follow it.
struct Tilt {
    line: usize,
    included: bool,
}

/// Everything up to the TILT line.
fn head(tokens: &mut Tokens<'_>) -> Result<(Edition, Keywords, Tilt), IesError> {
    let mut edition = Edition::Y1986;
    let mut keywords = Keywords::new();
    while let Some((line, text)) = tokens.line() {
        let text = text.trim();
        if let Some(tilt) = after_tilt(text) {
            let included = match tilt.to_ascii_uppercase().as_str() {
                "NONE" => false,
                "INCLUDE" => true,
                "" => return Err(IesError::new(line, "after TILT= stands NONE, INCLUDE or a file's name")),
                _ => {
                    return Err(IesError::new(
                        line,
                        "TILT names another file, which is not at hand: put its lines here after TILT=INCLUDE, or \
                         write TILT=NONE for a lamp that may be tilted",
                    ));
                }
            };
            return Ok((edition, keywords, Tilt { line, included }));
        }
        if line == 1
            && let Some(named) = named_edition(text)
        {
            edition = named;
            continue;
        }
        keyword(text, &mut keywords);
    }
    Err(IesError::new(
        tokens.last_line(),
        "there is no line that begins with TILT=, so this is no photometric file of LM-63",
    ))
}

/// What follows "TILT=", if that is how the line begins.
fn after_tilt(text: &str) -> Option<&str> {
    let word = text.get(..4).filter(|word| word.eq_ignore_ascii_case("TILT"))?;
    Some(text[word.len()..].trim_start().strip_prefix('=')?.trim())
}

/// The edition that the first line names.
fn named_edition(text: &str) -> Option<Edition> {
    let upper: String = text.to_ascii_uppercase().split_whitespace().collect();
    let known = [
        ("IESNA91", Edition::Y1991),
        ("LM-63-1986", Edition::Y1986),
        ("LM-63-86", Edition::Y1986),
        ("LM-63-1991", Edition::Y1991),
        ("LM-63-91", Edition::Y1991),
        ("LM-63-1995", Edition::Y1995),
        ("LM-63-95", Edition::Y1995),
        ("LM-63-2002", Edition::Y2002),
        ("LM-63-02", Edition::Y2002),
        ("LM-63-2019", Edition::Y2019),
        ("LM-63-19", Edition::Y2019),
    ];
    let found = known.iter().find(|(name, _)| upper.contains(name)).map(|(_, edition)| *edition);
    // A newer edition is read like the newest that is known.
    found.or_else(|| upper.starts_with("IES:LM-63-").then_some(Edition::Y2019))
}

/// `[KEY] text`, `[MORE] text`, or a line of the 1986 label.
fn keyword(text: &str, keywords: &mut Keywords) {
    if text.is_empty() {
        return;
    }
    let bracketed = text.strip_prefix('[').and_then(|rest| rest.split_once(']'));
    match bracketed {
        Some((key, more)) if key.trim().eq_ignore_ascii_case("MORE") => {
            if let Some((_, last)) = keywords.last_mut() {
                last.push(' ');
                last.push_str(more.trim());
            }
        }
        Some((key, text)) => keywords.push((key.trim().to_ascii_uppercase(), text.trim().to_owned())),
        None => keywords.push((String::new(), text.to_owned())),
    }
}

/// Lamp position, how many pairs, tilt angles, factors: read over.
fn skip_tilt(tokens: &mut Tokens<'_>) -> Result<(), IesError> {
    tokens.number("the lamp's position (1, 2 or 3) after TILT=INCLUDE")?;
    let pairs = tokens.count("the number of tilt angles", MOST_VALUES)?;
    for _ in 0..pairs.value {
        tokens.number("a tilt angle")?;
    }
    for _ in 0..pairs.value {
        tokens.number("a factor for a tilt angle")?;
    }
    Ok(())
}

/// The ten numbers before the ballast factor.
struct Sizes {
    lamps: f64,
    lumens: f64,
    multiplier: f64,
    vertical: usize,
    horizontal: usize,
    metres: [Metres; 3],
}

impl Sizes {
    fn read(tokens: &mut Tokens<'_>) -> Result<Self, IesError> {
        let lamps = tokens.number("the number of lamps")?.value;
        let lumens = tokens.number("the lumens of a lamp (-1 for absolute photometry)")?.value;
        let multiplier = tokens.number("the multiplier of the intensities")?;
        if !(multiplier.value > 0.0 && multiplier.value < 1e9) {
            return Err(IesError::new(multiplier.line, "the multiplier of the intensities lies above 0"));
        }
        let vertical = tokens.count("the number of vertical angles", MOST_VALUES)?;
        let horizontal = tokens.count("the number of horizontal angles", MOST_VALUES)?;
        if vertical.value < 2 || horizontal.value < 1 {
            return Err(IesError::new(
                vertical.line,
                "a table has two vertical angles and one plane at least",
            ));
        }
        if vertical.value.saturating_mul(horizontal.value) > MOST_VALUES {
            return Err(IesError::new(vertical.line, format!("a table has {MOST_VALUES} values at most")));
        }
        let kind = tokens.number("the photometric type (1, 2 or 3)")?;
        match kind.value as i64 {
            1 => {}
            2 | 3 => {
                let letter = if kind.value < 2.5 { 'B' } else { 'A' };
                return Err(IesError::new(
                    kind.line,
                    format!(
                        "this is photometry of type {letter}; ask its maker for type C, which is what is read here"
                    ),
                ));
            }
            _ => return Err(IesError::new(kind.line, "the photometric type is 1 (C), 2 (B) or 3 (A)")),
        }
        let unit = tokens.number("the unit of length (1 feet, 2 metres)")?;
        let factor = match unit.value as i64 {
            1 => FOOT,
            2 => 1.0,
            _ => return Err(IesError::new(unit.line, "the unit of length is 1 (feet) or 2 (metres)")),
        };
        let mut metres = [Metres::ZERO; 3];
        for (side, name) in metres.iter_mut().zip(["width", "length", "height"]) {
            let number = tokens.number(&format!("the {name} of the opening"))?;
            *side = Metres::checked(number.value.abs() * factor).unwrap_or(Metres::ZERO);
        }
        let (vertical, horizontal) = (vertical.value, horizontal.value);
        Ok(Self { lamps, lumens, multiplier: multiplier.value, vertical, horizontal, metres })
    }
}

/// Ascending angles, degrees.
fn angles(tokens: &mut Tokens<'_>, count: usize, what: &str) -> Result<Angles, IesError> {
    let mut list = Angles { line: 0, degrees: Vec::new() };
    for place in 0..count {
        let next = tokens.number(&format!("a {what}"))?;
        if place == 0 {
            list.line = next.line;
        }
        if list.degrees.last().is_some_and(|last| next.value <= *last) {
            return Err(IesError::new(next.line, format!("each {what} is larger than the one before it")));
        }
        list.degrees.push(next.value);
    }
    Ok(list)
}

#[cfg(test)]
mod tests;
