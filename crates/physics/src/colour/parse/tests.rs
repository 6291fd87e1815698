#![expect(clippy::float_cmp, reason = "whites have a luminance of exactly 1")]

use super::*;
use proptest::prelude::*;

#[test]
fn names_have_their_published_colours() {
    // W3C CSS Color 4 names, evaluated with colour-science 0.4.7.
    for (name, x, y, luminance) in [
        ("orange", 0.5005, 0.4408, 0.4817),
        ("gold", 0.4507, 0.4804, 0.6986),
        ("HotPink", 0.4004, 0.2545, 0.3466),
        ("crimson", 0.5838, 0.3063, 0.1604),
        ("rebecca purple", 0.2442, 0.1474, 0.0749),
        ("deep-sky-blue", 0.2011, 0.2438, 0.4448),
        ("salmon", 0.4665, 0.3438, 0.3698),
        ("yellow", 0.4193, 0.5053, 0.9278),
        ("cyan", 0.2247, 0.3287, 0.7874),
        ("#f0f", 0.3209, 0.1542, 0.2848),
        ("#ff0000", 0.64, 0.33, 0.2126),
        ("white", 0.3127, 0.3290, 1.0),
        ("gray", 0.3127, 0.3290, 0.2159),
    ] {
        let got = parse(name).unwrap();
        let off = (got.chromaticity.x - x).abs().max((got.chromaticity.y - y).abs());
        assert!(off < 1e-4 && (got.luminance - luminance).abs() < 1e-4, "{name}: {got:?}");
    }
}

#[test]
fn numbers_are_read_in_every_form() {
    for (text, x, y, within) in [
        ("xy 0.45 0.41", 0.45, 0.41, 0.0),
        ("XY 0.45, 0.41", 0.45, 0.41, 0.0),
        (" 0.45,0.41 ", 0.45, 0.41, 0.0),
        (".45 .41", 0.45, 0.41, 0.0),
        ("3200 K", 0.42336, 0.39895, 1e-5),
        ("3200k", 0.42336, 0.39895, 1e-5),
        ("3200 Kelvin", 0.42336, 0.39895, 1e-5),
        ("3200 K +0.005", 0.42995, 0.41397, 1e-5),
        ("3200 K \u{2212}0.005", 0.41708, 0.38463, 1.5e-5),
        ("3200K duv -0.005", 0.41708, 0.38463, 1.5e-5),
        ("5600 K", 0.33016, 0.34555, 1e-5),
        ("daylight", 0.31278, 0.32918, 1e-5),
        ("warm white", 0.43693, 0.40408, 1e-5),
        ("Candle", 0.53778, 0.41120, 1e-5),
        ("amber", 0.5874, 0.4120, 0.0),
    ] {
        let got = parse(text).unwrap();
        let off = (got.chromaticity.x - x).abs().max((got.chromaticity.y - y).abs());
        assert!(off <= within, "{text}: {got:?}");
        assert_eq!(got.luminance, 1.0, "{text}");
    }
}

#[test]
fn every_name_is_a_real_colour() {
    assert!(CSS.is_sorted_by_key(|(name, _)| *name));
    for name in names().filter(|name| *name != "black") {
        let got = parse(name).unwrap();
        assert!(got.chromaticity.is_real() && got.luminance > 0.0, "{name}: {got:?}");
    }
    assert!(WORDS.iter().all(|(word, _)| CSS.iter().all(|(name, _)| *name != squeezed(word))));
}

#[test]
fn mistakes_are_told_with_what_was_written_and_what_to_write() {
    for (text, expected) in [
        ("", "the colour is empty: write a name"),
        ("black", "\"black\" is darkness, and light has no such colour: keep any colour and use level 0"),
        ("#000", "\"#000\" is darkness"),
        ("#ff88", "\"#ff88\" is no hex colour: write # and three or six digits"),
        ("xy 0.7 0.7", "\"xy 0.7 0.7\" is no CIE xy of any light"),
        ("xy 0.45", "\"xy 0.45\" is no CIE xy"),
        ("xy 0.45 0.41 0.2", "\"xy 0.45 0.41 0.2\" is no CIE xy"),
        ("xy nan 0.3", "\"xy nan 0.3\" is no CIE xy"),
        ("999 K", "\"999 K\" is no white: write 1000 K to 25000 K"),
        ("3200 K +0.5", "\"3200 K +0.5\" is no white"),
        ("3200 K nan", "\"3200 K nan\" is no white"),
        ("3200", "\"3200\" is no colour that we know: write a name"),
        ("oragne", "\"oragne\" is no colour that we know (did you mean \"orange\"?): write a name"),
        ("warm whit", "did you mean \"warm white\"?"),
        ("zzz", "\"zzz\" is no colour that we know: write a name"),
    ] {
        let error = parse(text).unwrap_err().to_string();
        assert!(error.contains(expected), "{text}: {error}");
    }
}

proptest! {
    #[test]
    fn nothing_that_is_written_breaks_it(text in "\\PC{0,40}") {
        if let Ok(target) = parse(&text) {
            prop_assert!(target.chromaticity.is_real());
        }
    }

    #[test]
    fn numbers_that_are_written_break_nothing(text in "(xy )?[-+.0-9eE, ]{0,12}( ?[kK] ?[-+.0-9e]{0,6})?") {
        if let Ok(target) = parse(&text) {
            prop_assert!(target.chromaticity.is_real());
        }
    }
}
