//! Writing values so that they read back as exactly what they were.

use std::fmt::Write;

use lanthorn_physics::units::Radians;
use lanthorn_physics::{Point, Span};

/// A text in quotation marks.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => write!(out, "\\u{:04X}", u32::from(c)).unwrap_or(()),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A text of several lines, as it stands, between rows of three marks; in one line where it cannot be so.
pub(crate) fn lines(text: &str) -> String {
    let plain = |c: char| c == '\n' || c == '\t' || !c.is_control();
    if text.contains("'''") || text.ends_with('\'') || !text.chars().all(plain) {
        return quoted(text);
    }
    format!("'''\n{text}'''")
}

/// A number that TOML takes: as short as it can be while reading back the same.
pub(crate) fn number(value: f64) -> String {
    let plain = format!("{value}");
    if plain.len() > 24 { format!("{value:e}") } else { plain }
}

/// "3.5 m".
pub(crate) fn with_unit(value: f64, unit: &str) -> String {
    quoted(&format!("{} {unit}", number(value)))
}

/// "90°", or radians where no short number of degrees reads back the same.
pub(crate) fn angle(value: Radians) -> String {
    let rounded = (value.deg() * 1e6).round() / 1e6;
    for degrees in [rounded, value.deg()] {
        if Radians::from_deg(degrees) == value {
            return quoted(&format!("{}°", number(degrees)));
        }
    }
    with_unit(value.get(), "rad")
}

/// "1.5 s".
pub(crate) fn time(span: Span) -> String {
    with_unit(span.secs(), "s")
}

/// `[x, y, z]`.
pub(crate) fn point(point: Point) -> String {
    list([point.x(), point.y(), point.z()].map(number))
}

/// `[a, b]`.
pub(crate) fn list(items: impl IntoIterator<Item = String>) -> String {
    let items: Vec<String> = items.into_iter().collect();
    format!("[{}]", items.join(", "))
}

/// One `key = value` line.
pub(crate) fn line(out: &mut String, key: &str, value: &str) {
    out.push_str(key);
    out.push_str(" = ");
    out.push_str(value);
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_are_degrees_where_that_is_exact() {
        assert_eq!(angle(Radians::from_deg(540.0)), "\"540°\"");
        assert_eq!(angle(Radians::from_deg(-12.5)), "\"-12.5°\"");
        assert_eq!(quoted("a \"b\" \\ \n\u{1}"), "\"a \\\"b\\\" \\\\ \\n\\u0001\"");
        assert_eq!(number(1e300), "1e300");
    }
}
