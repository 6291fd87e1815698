//! The faces of the paper, and how wide their words are.
//!
//! Text is shaped once by the very face that is embedded, so what is measured is what is printed.

use std::ops::Range;

use rustybuzz::{Feature, UnicodeBuffer, ttf_parser::Tag};

/// A PostScript point in millimetres: 1/72 inch.
pub const MM_PER_PT: f64 = 25.4 / 72.0;

/// A typeface with its weight. Words of the evening are set in Literata, facts in Atkinson Hyperlegible Next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// Literata.
    Words,
    /// Literata, semibold.
    WordsBold,
    /// Literata, italic: about the paper, notes for the person.
    WordsItalic,
    /// Atkinson Hyperlegible Next.
    Facts,
    /// Atkinson Hyperlegible Next, semibold.
    FactsBold,
}

impl Face {
    /// Every face, in the order of their declaration.
    pub const ALL: [Self; 5] =
        [Self::Words, Self::WordsBold, Self::WordsItalic, Self::Facts, Self::FactsBold];

    /// The font file.
    pub const fn file(self) -> &'static [u8] {
        match self {
            Self::Words => include_bytes!("../fonts/Literata-Regular.ttf"),
            Self::WordsBold => include_bytes!("../fonts/Literata-SemiBold.ttf"),
            Self::WordsItalic => include_bytes!("../fonts/Literata-Italic.ttf"),
            Self::Facts => include_bytes!("../fonts/AtkinsonHyperlegibleNext-Regular.ttf"),
            Self::FactsBold => include_bytes!("../fonts/AtkinsonHyperlegibleNext-SemiBold.ttf"),
        }
    }

    /// For SVG: family, weight, style.
    pub(crate) const fn css(self) -> (&'static str, u16, &'static str) {
        match self {
            Self::Words => ("Literata, serif", 400, "normal"),
            Self::WordsBold => ("Literata, serif", 600, "normal"),
            Self::WordsItalic => ("Literata, serif", 400, "italic"),
            Self::Facts => ("'Atkinson Hyperlegible Next', sans-serif", 400, "normal"),
            Self::FactsBold => ("'Atkinson Hyperlegible Next', sans-serif", 600, "normal"),
        }
    }

    /// The face that lends its letters where this one has none.
    const fn other(self) -> Self {
        match self {
            Self::Words | Self::WordsItalic => Self::Facts,
            Self::WordsBold => Self::FactsBold,
            Self::Facts => Self::Words,
            Self::FactsBold => Self::WordsBold,
        }
    }

    const fn index(self) -> usize {
        self as usize
    }
}

/// A shaped letter, its measures as parts of the font size.
#[derive(Clone, Debug)]
pub(crate) struct Letter {
    pub(crate) id: u32,
    /// Bytes of the run's text that it stands for.
    pub(crate) bytes: Range<usize>,
    pub(crate) advance: f64,
    pub(crate) offset: [f64; 2],
}

/// Shaped letters of one face.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    pub(crate) face: Face,
    pub(crate) text: String,
    pub(crate) letters: Vec<Letter>,
}

impl Run {
    /// As a part of the font size.
    pub(crate) fn advance(&self) -> f64 {
        self.letters.iter().map(|letter| letter.advance).sum()
    }
}

/// The faces, ready to measure.
pub struct Fonts {
    faces: Vec<rustybuzz::Face<'static>>,
    features: [Feature; 2],
}

impl Fonts {
    /// None only if a font file is broken, which a test would see.
    pub fn new() -> Option<Self> {
        let faces: Option<Vec<_>> =
            Face::ALL.into_iter().map(|face| rustybuzz::Face::from_slice(face.file(), 0)).collect();
        // Figures all of one width and of the height of capitals, so that columns stand straight.
        let on = |tag: &[u8; 4]| Feature::new(Tag::from_bytes(tag), 1, ..);
        Some(Self { faces: faces?, features: [on(b"tnum"), on(b"lnum")] })
    }

    /// Shapes a line of text. Letters that a face lacks are lent by the other one.
    pub(crate) fn shape(&self, face: Face, text: &str) -> Vec<Run> {
        let lends = |letter: char| {
            let has = |face: Face| self.faces[face.index()].glyph_index(letter).is_some();
            if !has(face) && has(face.other()) { face.other() } else { face }
        };
        let mut runs: Vec<(Face, String)> = Vec::new();
        for letter in text.chars() {
            let by = lends(letter);
            match runs.last_mut() {
                Some((face, text)) if *face == by => text.push(letter),
                _ => runs.push((by, letter.to_string())),
            }
        }
        runs.into_iter().map(|(face, text)| self.run(face, text)).collect()
    }

    fn run(&self, face: Face, text: String) -> Run {
        let font = &self.faces[face.index()];
        let em = f64::from(font.units_per_em());
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&text);
        buffer.guess_segment_properties();
        let shaped = rustybuzz::shape(font, &self.features, buffer);
        let starts: Vec<usize> = shaped.glyph_infos().iter().map(|info| info.cluster as usize).collect();
        let end = |from: usize| starts.iter().copied().filter(|to| *to > from).min().unwrap_or(text.len());
        let letters = shaped.glyph_infos().iter().zip(shaped.glyph_positions()).map(|(info, at)| {
            let from = info.cluster as usize;
            Letter {
                id: info.glyph_id,
                bytes: from..end(from),
                advance: f64::from(at.x_advance) / em,
                offset: [f64::from(at.x_offset) / em, f64::from(at.y_offset) / em],
            }
        });
        let letters = letters.collect();
        Run { face, text, letters }
    }

    /// How wide a line of text is, millimetres, at a font size in points.
    pub fn width(&self, face: Face, size: f64, text: &str) -> f64 {
        self.shape(face, text).iter().map(Run::advance).sum::<f64>() * size * MM_PER_PT
    }

    /// Lines no wider than `width` millimetres; a word that is wider alone is parted where it has to be. Line breaks in
    /// the text are kept.
    pub fn wrap(&self, face: Face, size: f64, text: &str, width: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let wide = |text: &str| self.width(face, size, text);
        let space = wide(" ");
        for paragraph in text.split('\n') {
            let (mut line, mut length) = (String::new(), 0.0);
            for word in bound(paragraph) {
                for piece in self.pieces(face, size, &word, width) {
                    let long = wide(&piece);
                    if !line.is_empty() && length + space + long > width {
                        lines.push(std::mem::take(&mut line));
                        length = 0.0;
                    }
                    if !line.is_empty() {
                        line.push(' ');
                        length += space;
                    }
                    line.push_str(&piece);
                    length += long;
                }
            }
            lines.push(line);
        }
        lines
    }

    /// A word, or its parts where it is wider than a line.
    fn pieces(&self, face: Face, size: f64, word: &str, width: f64) -> Vec<String> {
        if self.width(face, size, word) <= width {
            return vec![word.to_owned()];
        }
        let mut pieces = vec![String::new()];
        for letter in word.chars() {
            if let Some(last) = pieces.last_mut() {
                let longer = format!("{last}{letter}");
                if last.is_empty() || self.width(face, size, &longer) <= width {
                    *last = longer;
                    continue;
                }
            }
            pieces.push(letter.to_string());
        }
        pieces
    }
}

/// The words of a text, a figure and its unit as one: "70 %" is not parted.
fn bound(text: &str) -> Vec<String> {
    const UNITS: [&str; 15] =
        ["%", "m", "cm", "mm", "A", "mA", "W", "VA", "V", "kg", "lx", "s", "min", "Ω", "dBA"];
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let unit = UNITS.contains(&word.trim_end_matches(['.', ',', ';', ':', ')']));
        match words.last_mut() {
            Some(last) if unit && last.ends_with(|letter: char| letter.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_all_of_one_width_and_lines_fit() {
        let fonts = Fonts::new().unwrap();
        let one = fonts.width(Face::Facts, 10.0, "1");
        for figure in '0'..='9' {
            assert!((fonts.width(Face::Facts, 10.0, &figure.to_string()) - one).abs() < 1e-9, "{figure}");
        }
        let text = "Nobody below while work goes on above; ladder one out for four up. Donaudampfschifffahrtsgesellschaft";
        for width in [12.0, 25.0, 60.0] {
            let lines = fonts.wrap(Face::Words, 11.0, text, width);
            for line in &lines {
                assert!(fonts.width(Face::Words, 11.0, line) <= width + 0.3, "{line}");
            }
            let letters = |text: &str| text.replace(' ', "");
            assert_eq!(letters(&lines.concat()), letters(text));
        }
    }

    #[test]
    fn a_letter_that_one_face_lacks_is_lent_by_the_other() {
        let fonts = Fonts::new().unwrap();
        let runs = fonts.shape(Face::Facts, "Ω 120");
        assert!(runs.iter().flat_map(|run| &run.letters).all(|letter| letter.id != 0), "{runs:?}");
    }
}
