//! A score as a picture: the sound, its bars and sections, and what is on under it, half a minute a row.

use std::fmt::Write;

use lanthorn_music::piece::Piece;
use lanthorn_physics::Span;
use lanthorn_physics::colour::screen_hex;
use lanthorn_show::{Score, Show, tell};

use super::minutes;

/// Seconds of a row, and its width and height in pixels.
const ROW_SECS: f64 = 30.0;
const WIDTH: f64 = 1200.0;
const ROW: f64 = 190.0;
const EDGE: f64 = 50.0;

/// From the top of a row: names of sections, sound (its middle and half its height), parts and chases.
const WORDS: f64 = 16.0;
const MIDDLE: f64 = 60.0;
const HALF: f64 = 34.0;
const PARTS: [f64; 2] = [104.0, 136.0];
const CHASES: f64 = 154.0;

/// Draws it.
pub(super) fn drawn(score: &Score, piece: &Piece, show: &Show) -> String {
    let rows = (piece.secs / ROW_SECS).ceil().max(1.0) as usize;
    let (wide, high) = (WIDTH + 2.0 * EDGE, ROW * rows as f64 + 60.0);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide:.0} {high:.0}\" width=\"{wide:.0}\" \
         height=\"{high:.0}\" font-family=\"sans-serif\" font-size=\"12\">\n<style>.sound{{fill:#8a8f98}}\
         .bar{{stroke:#c3c8d0}}.line{{stroke:#a3195b;stroke-width:1.6}}.word{{fill:#a3195b}}.dark{{fill:#111}}\
         .part{{stroke:#3b4250}}</style>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n\
         <text x=\"{EDGE}\" y=\"24\" font-size=\"16\">{}</text>\n<text x=\"{EDGE}\" y=\"42\">grey: the sound; strokes: \
         bars; red: sections; bands: looks in their colour, black where it is dark before one; chases below</text>\n",
        escaped(&score.name)
    );
    for row in 0..rows {
        let strip = Strip { score, show, from: row as f64 * ROW_SECS, top: 50.0 + row as f64 * ROW };
        strip.sound(&mut svg, piece);
        strip.form(&mut svg);
        strip.parts(&mut svg);
    }
    svg.push_str("</svg>\n");
    svg
}

/// One row.
struct Strip<'s> {
    score: &'s Score,
    show: &'s Show,
    from: f64,
    top: f64,
}

impl Strip<'_> {
    fn x(&self, secs: f64) -> f64 {
        EDGE + ((secs - self.from) / ROW_SECS).clamp(0.0, 1.0) * WIDTH
    }

    fn inside(&self, secs: f64) -> bool {
        secs >= self.from && secs < self.from + ROW_SECS
    }

    fn sound(&self, svg: &mut String, piece: &Piece) {
        let (mut upper, mut lower) = (String::new(), String::new());
        let (from, to) = ((self.from * 100.0) as usize, ((self.from + ROW_SECS) * 100.0) as usize);
        let to = to.min(piece.peaks.len());
        for at in (from.min(to)..to).step_by(4) {
            let peaks = &piece.peaks[at..(at + 4).min(to)];
            let peak = f64::from(peaks.iter().fold(0.0_f32, |most, peak| most.max(*peak))).min(1.0) * HALF;
            let left = self.x(at as f64 / 100.0);
            let _ = write!(upper, "{left:.1},{:.1} ", self.top + MIDDLE - peak);
            lower.insert_str(0, &format!("{left:.1},{:.1} ", self.top + MIDDLE + peak));
        }
        let _ = writeln!(svg, "<polygon class=\"sound\" points=\"{upper}{lower}\"/>");
        let _ = writeln!(
            svg,
            "<text x=\"{:.0}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>",
            EDGE - 6.0,
            self.top + MIDDLE + 4.0,
            minutes(self.from)
        );
    }

    fn form(&self, svg: &mut String) {
        let upright = |svg: &mut String, class: &str, secs: f64| {
            let left = self.x(secs);
            let _ = writeln!(
                svg,
                "<line class=\"{class}\" x1=\"{left:.1}\" x2=\"{left:.1}\" y1=\"{:.1}\" y2=\"{:.1}\"/>",
                self.top + MIDDLE - HALF,
                self.top + PARTS[1]
            );
        };
        for bar in self.score.bars.iter().filter(|at| self.inside(at.secs())) {
            upright(svg, "bar", bar.secs());
        }
        for line in &self.score.lines {
            let Some(at) = self.score.bar_at(line.bar).filter(|at| self.inside(at.secs())) else { continue };
            upright(svg, "line", at.secs());
            let _ = writeln!(
                svg,
                "<text class=\"word\" x=\"{:.1}\" y=\"{:.1}\">{}</text>",
                self.x(at.secs()) + 3.0,
                self.top + WORDS,
                escaped(&line.name)
            );
        }
    }

    fn parts(&self, svg: &mut String) {
        let order = self.score.order();
        let mut look = None;
        for (place, index) in order.iter().enumerate() {
            let part = &self.score.parts[*index];
            look = part.look.as_ref().or(look);
            let Some((dark, at)) = self.score.span_of(part) else { continue };
            let next = order.get(place + 1).and_then(|next| self.score.span_of(&self.score.parts[*next]));
            let end = next.map_or(self.score.length, |(dark, _)| dark.max(at));
            self.band(svg, look.map(String::as_str), (at, end));
            self.dark(svg, (dark, at));
            if self.inside(at.secs()) {
                let (left, chases) = (self.x(at.secs()) + 4.0, part.chases.as_deref().unwrap_or_default());
                let name = look.map_or("as before", String::as_str);
                let _ = writeln!(
                    svg,
                    "<text x=\"{left:.1}\" y=\"{:.1}\" font-weight=\"bold\" stroke=\"#fff\" stroke-width=\"3\" \
                     paint-order=\"stroke\">{}</text>\n<text x=\"{left:.1}\" y=\"{:.1}\">{}</text>",
                    self.top + PARTS[0] + 20.0,
                    escaped(name),
                    self.top + CHASES,
                    escaped(&chases.join(", "))
                );
            }
        }
    }

    fn band(&self, svg: &mut String, look: Option<&str>, (from, to): (Span, Span)) {
        let (left, right) = (self.x(from.secs()), self.x(to.secs()));
        if right <= left {
            return;
        }
        let look = look.and_then(|name| self.show.looks.iter().find(|look| look.name == name));
        let colours = look.map(tell::look_colours).unwrap_or_default();
        let colour = colours.into_iter().next().map_or("#ddd".to_owned(), screen_hex);
        let _ = writeln!(
            svg,
            "<rect class=\"part\" x=\"{left:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"{colour}\"/>",
            self.top + PARTS[0],
            right - left,
            PARTS[1] - PARTS[0]
        );
    }

    fn dark(&self, svg: &mut String, (from, to): (Span, Span)) {
        let (left, right) = (self.x(from.secs()), self.x(to.secs()));
        if right > left {
            let _ = writeln!(
                svg,
                "<rect class=\"dark\" x=\"{left:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>",
                self.top + PARTS[0],
                right - left,
                PARTS[1] - PARTS[0]
            );
        }
    }
}

/// Text inside XML.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
