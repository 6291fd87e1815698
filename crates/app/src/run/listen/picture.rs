//! A piece as a picture that a person can check by eye: minute by minute its sound, beats, bars, lines and loudness.

use std::fmt::Write;

use lanthorn_music::piece::Piece;
use lanthorn_music::tracker::Mark;

/// Seconds of a row, and its width and height in pixels.
const ROW_SECS: f64 = 30.0;
const WIDTH: f64 = 1200.0;
const ROW: f64 = 150.0;

/// Where a row's parts lie, from its top: words, sound (its middle and half its height), beats, loudness.
const WORDS: f64 = 20.0;
const MIDDLE: f64 = 68.0;
const HALF: f64 = 34.0;
const BEATS: [f64; 2] = [106.0, 118.0];
const LOUD: [f64; 2] = [142.0, 122.0];

/// Beside the rows.
const EDGE: f64 = 50.0;

/// Loudness at the bottom of its strip, dB.
const QUIET: f64 = -50.0;

/// Draws a piece.
pub(super) fn drawn(name: &str, piece: &Piece) -> String {
    let rows = (piece.secs / ROW_SECS).ceil().max(1.0) as usize;
    let (wide, high) = (WIDTH + 2.0 * EDGE, ROW * rows as f64 + 60.0);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide:.0} {high:.0}\" width=\"{wide:.0}\" \
         height=\"{high:.0}\" font-family=\"sans-serif\" font-size=\"12\">\n\
         <style>.sound{{fill:#8a8f98}}.loud{{fill:none;stroke:#b35c00;stroke-width:1.2}}.beat{{stroke:#3b4250}}\
         .first{{stroke:#0b5cad;stroke-width:2.4}}.line{{stroke:#a3195b;stroke-width:1.6}}.word{{fill:#a3195b}}\
         .music{{fill:#e8f0e4}}</style>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n"
    );
    let bpm =
        piece.bpm().map_or_else(|| "no beat is heard".to_owned(), |bpm| format!("{bpm:.1} beats a minute"));
    let _ = writeln!(
        svg,
        "<text x=\"{EDGE}\" y=\"24\" font-size=\"16\">{}: {bpm}</text>\n<text x=\"{EDGE}\" y=\"42\">grey: the sound; long \
         blue strokes: the first of a bar; short strokes: beats; red: lines of the form; orange: loudness; green: music with a beat</text>",
        escaped(name)
    );
    for row in 0..rows {
        draw_row(&mut svg, piece, row);
    }
    svg.push_str("</svg>\n");
    svg
}

fn draw_row(svg: &mut String, piece: &Piece, row: usize) {
    let (from, top) = (row as f64 * ROW_SECS, 50.0 + row as f64 * ROW);
    let to = from + ROW_SECS;
    let x = |secs: f64| EDGE + (secs - from) / ROW_SECS * WIDTH;
    let inside = |secs: f64| secs >= from && secs < to;
    for (begin, end) in &piece.music {
        let (begin, end) = (begin.max(from), end.min(to));
        if end > begin {
            let (left, wide, high) = (x(begin), x(end) - x(begin), 2.0 * HALF);
            let _ = writeln!(
                svg,
                "<rect class=\"music\" x=\"{left:.1}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"{high}\"/>",
                top + MIDDLE - HALF
            );
        }
    }
    let hundredths = |secs: f64| (secs * 100.0).round() as usize;
    let step = 2;
    let (mut upper, mut lower, mut loud) = (String::new(), String::new(), String::new());
    for at in (hundredths(from)..hundredths(to.min(piece.secs))).step_by(step) {
        let peak = piece.peaks.get(at..(at + step).min(piece.peaks.len())).unwrap_or_default();
        let peak = f64::from(peak.iter().fold(0.0_f32, |most, peak| most.max(*peak))).min(1.0);
        let left = x(at as f64 / 100.0);
        let _ = write!(upper, "{left:.1},{:.1} ", top + MIDDLE - peak * HALF);
        lower.insert_str(0, &format!("{left:.1},{:.1} ", top + MIDDLE + peak * HALF));
        if let Some(decibels) = piece.decibels.get(at) {
            let part = (1.0 - f64::from(*decibels) / QUIET).clamp(0.0, 1.0);
            let _ = write!(loud, "{left:.1},{:.1} ", top + LOUD[0] + part * (LOUD[1] - LOUD[0]));
        }
    }
    let _ = writeln!(
        svg,
        "<polygon class=\"sound\" points=\"{upper}{lower}\"/>\n<polyline class=\"loud\" points=\"{loud}\"/>"
    );
    for beat in piece.beats.iter().filter(|beat| inside(beat.at)) {
        let (class, above) = if beat.place == 1 { ("first", 2.0 * HALF + 4.0) } else { ("beat", 0.0) };
        let left = x(beat.at);
        let _ = writeln!(
            svg,
            "<line class=\"{class}\" x1=\"{left:.1}\" x2=\"{left:.1}\" y1=\"{:.1}\" y2=\"{:.1}\"/>",
            top + BEATS[0] - above,
            top + BEATS[1]
        );
    }
    for line in piece.lines.iter().filter(|line| inside(line.at)) {
        let (left, above) = (x(line.at), if line.mark == Mark::Phrase { 6.0 } else { 14.0 });
        let _ = writeln!(
            svg,
            "<line class=\"line\" x1=\"{left:.1}\" x2=\"{left:.1}\" y1=\"{:.1}\" y2=\"{:.1}\"/><text class=\"word\" x=\"{:.1}\" y=\"{:.1}\">{}</text>",
            top + MIDDLE - HALF - above,
            top + MIDDLE + HALF,
            left + 3.0,
            top + WORDS,
            line.mark.word().trim_start_matches('!')
        );
    }
    let _ = writeln!(
        svg,
        "<text x=\"{:.0}\" y=\"{:.1}\" text-anchor=\"end\">{}:{:02}</text>",
        EDGE - 6.0,
        top + MIDDLE + 4.0,
        from as u64 / 60,
        from as u64 % 60
    );
}

/// Text inside XML.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
