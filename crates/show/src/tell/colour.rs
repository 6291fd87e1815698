//! A word for a colour that somebody wrote in figures.

use lanthorn_physics::colour::{Chromaticity, Oklab, parse, screen_rgb, xyz_of_linear_rgb};

use crate::Ask;

/// Words that most people have the same colour in mind for. Each means what [`parse`] takes it for, so that the word
/// in a sentence, written into a look, gives about that colour.
const WORDS: [&str; 38] = [
    "red",
    "deep red",
    "crimson",
    "tomato",
    "coral",
    "salmon",
    "orange red",
    "dark orange",
    "orange",
    "amber",
    "gold",
    "yellow",
    "straw",
    "green yellow",
    "green",
    "deep green",
    "spring green",
    "mint",
    "turquoise",
    "cyan",
    "sky",
    "deep sky blue",
    "royal blue",
    "blue",
    "deep blue",
    "indigo",
    "blue violet",
    "lilac",
    "lavender",
    "magenta",
    "orchid",
    "deep pink",
    "rose",
    "pink",
    "peach",
    "warm white",
    "neutral white",
    "daylight",
];

/// Farther off in OKLab, a word is only about right (common practice, no source).
const FAR: f64 = 0.07;

/// The words of a colour: as written, but for figures (`#ff8800`, `xy 0.45 0.41`) the nearest word. A colour temperature
/// stays: it is how whites are known.
pub(super) fn word(ask: &Ask) -> String {
    if !is_figures(&ask.text) {
        return ask.text.clone();
    }
    let wanted = shown(ask.chromaticity);
    let known = WORDS.iter().filter_map(|word| Some((*word, parse(word).ok()?.chromaticity)));
    let nearest = known
        .map(|(word, chromaticity)| (word, distance(shown(chromaticity), wanted)))
        .min_by(|(_, a), (_, b)| a.total_cmp(b));
    match nearest {
        Some((word, off)) if off <= FAR => word.to_owned(),
        Some((word, _)) => format!("about {word}"),
        None => ask.text.clone(),
    }
}

fn is_figures(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    let xy = text.strip_prefix("xy").unwrap_or(&text);
    let pair = !xy.is_empty() && xy.chars().all(|c| c.is_ascii_digit() || " .,\t".contains(c));
    text.starts_with('#') || pair
}

/// As bright as a screen can show it: a look says apart how bright it is.
fn shown(chromaticity: Chromaticity) -> Oklab {
    Oklab::from_xyz(xyz_of_linear_rgb(screen_rgb(chromaticity)))
}

fn distance(one: Oklab, other: Oklab) -> f64 {
    let [l, a, b] = [one.l - other.l, one.a - other.a, one.b - other.b];
    libm::sqrt(l * l + a * a + b * b)
}
