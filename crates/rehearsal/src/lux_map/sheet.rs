//! A light level map as one page of paper, A4, to scale: SVG.

use std::fmt::Write;

use lanthorn_physics::Point;
use lanthorn_physics::units::Metres;
use lanthorn_rig::{Area, PlaceKind, Rig, Unit};

use super::{Contour, LuxMap, band_colour};

/// A4 in millimetres, the longer side first.
const A4: [f64; 2] = [297.0, 210.0];
const MARGIN: f64 = 14.0;
/// Room for title, legend and words, millimetres.
const HEAD: f64 = 22.0;
const SIDE: f64 = 52.0;
const FOOT: f64 = 30.0;
/// Scales that a ruler knows.
const SCALES: [f64; 9] = [20.0, 25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 500.0];
/// Letters of the small print to a millimetre, about.
const LETTERS_PER_MM: f64 = 0.62;

/// What stands on the page besides the map.
#[derive(Clone, Debug)]
pub struct SheetWords {
    /// The show's name.
    pub show: String,
    /// What is on: "look speeches", "what is on now".
    pub what: String,
}

/// The page as SVG text.
pub fn sheet(map: &LuxMap, rig: &Rig, words: &SheetWords) -> String {
    let page = Page::new(rig);
    let mut out = String::new();
    let [w, paper] = page.size;
    // A hair less than the paper, so that rounding makes no second page.
    let h = paper - 1.0;
    put(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         font-family=\"'Atkinson Hyperlegible Next', system-ui, sans-serif\" fill=\"#1b1a1e\">\n\
         <title>{}</title>\n<style>@page {{ size: {w}mm {paper}mm; margin: 0 }}</style>\n<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n",
            escaped(&format!("Light level, {}", words.what))
        ),
    );
    text(&mut out, MARGIN, MARGIN + 5.0, 6.2, "start", &format!("Light level: {}", words.what));
    let under = format!("{}, {}; on {}", words.show, rig.room.name, map.plane.words());
    text(&mut out, MARGIN, MARGIN + 11.5, 3.6, "start", &under);
    page.bands(&mut out, map);
    page.room(&mut out, rig);
    for contour in &map.contours {
        page.contour(&mut out, map, contour);
    }
    page.labels(&mut out, map, rig);
    page.things(&mut out, map, rig);
    page.legend(&mut out, map);
    page.words(&mut out, map);
    out.push_str("</svg>\n");
    out
}

/// Where the room lies on the paper.
struct Page {
    size: [f64; 2],
    /// Millimetres of paper to a metre.
    scale: f64,
    /// 1 : so many.
    reduction: f64,
    /// Left and upper corner of the room on the paper, and its sides in metres.
    corner: [f64; 2],
    x: [f64; 2],
    y: [f64; 2],
}

impl Page {
    fn new(rig: &Rig) -> Self {
        let ordered = |pair: [Metres; 2]| [pair[0].min(pair[1]).get(), pair[0].max(pair[1]).get()];
        let (x, y) = (ordered(rig.room.x), ordered(rig.room.y));
        let (wide, deep) = ((x[1] - x[0]).max(0.1), (y[1] - y[0]).max(0.1));
        let fit = |size: [f64; 2]| {
            let free = [size[0] - 2.0 * MARGIN - SIDE, size[1] - 2.0 * MARGIN - HEAD - FOOT];
            (free[0] / wide).min(free[1] / deep)
        };
        let (upright, across) = ([A4[1], A4[0]], A4);
        let size = if fit(upright) >= fit(across) { upright } else { across };
        let exact = 1000.0 / fit(size);
        let reduction = SCALES.into_iter().find(|scale| *scale >= exact).unwrap_or(exact.ceil());
        Self { size, scale: 1000.0 / reduction, reduction, corner: [MARGIN, MARGIN + HEAD], x, y }
    }

    fn at(&self, x: f64, y: f64) -> [f64; 2] {
        [self.corner[0] + (x - self.x[0]) * self.scale, self.corner[1] + (self.y[1] - y) * self.scale]
    }

    fn lower_edge(&self) -> f64 {
        self.corner[1] + (self.y[1] - self.y[0]) * self.scale
    }

    fn right_edge(&self) -> f64 {
        self.corner[0] + (self.x[1] - self.x[0]) * self.scale
    }

    /// The colours: one strip for each run of cells of a band, cut off at the walls.
    fn bands(&self, out: &mut String, map: &LuxMap) {
        let (w, h) = (self.right_edge() - self.corner[0], self.lower_edge() - self.corner[1]);
        put(
            out,
            format_args!(
                "<clipPath id=\"walls\"><rect x=\"{:.2}\" y=\"{:.2}\" width=\"{w:.2}\" height=\"{h:.2}\"/></clipPath>\n\
             <g clip-path=\"url(#walls)\" shape-rendering=\"crispEdges\">\n",
                self.corner[0], self.corner[1]
            ),
        );
        let cell = map.step * self.scale;
        for (row, runs) in map.runs().iter().enumerate() {
            let mut column = 0;
            for (band, count) in runs {
                let x = map.from[0] + (column as f64 - 0.5) * map.step;
                let y = map.from[1] + (row as f64 + 0.5) * map.step;
                let [left, top] = self.at(x, y);
                put(
                    out,
                    format_args!(
                        "<rect x=\"{left:.2}\" y=\"{top:.2}\" width=\"{:.2}\" height=\"{:.2}\" fill=\"{}\"/>\n",
                        cell * *count as f64 + 0.02,
                        cell + 0.02,
                        band_colour(*band, map.levels.len() + 1)
                    ),
                );
                column += count;
            }
        }
        out.push_str("</g>\n");
    }

    fn room(&self, out: &mut String, rig: &Rig) {
        for area in &rig.room.audience {
            self.area(out, area, "stroke-dasharray=\"1.6 1.2\"");
        }
        for area in &rig.room.platforms {
            self.area(out, area, "");
        }
        put(
            out,
            format_args!(
                "<rect x=\"{:.2}\" y=\"{:.2}\" width=\"{:.2}\" height=\"{:.2}\" fill=\"none\" stroke=\"#1b1a1e\" stroke-width=\"0.9\"/>\n",
                self.corner[0],
                self.corner[1],
                self.right_edge() - self.corner[0],
                self.lower_edge() - self.corner[1]
            ),
        );
    }

    /// Its edge, with a halo so that it shows on every colour, and its name in a corner.
    fn area(&self, out: &mut String, area: &Area, dash: &str) {
        let (x, y) = (area.x.map(Metres::get), area.y.map(Metres::get));
        let [left, top] = self.at(x[0], y[1]);
        let [right, bottom] = self.at(x[1], y[0]);
        for (colour, width) in [("#1b1a1e", 0.9), ("#fff", 0.4)] {
            put(
                out,
                format_args!(
                    "<rect x=\"{left:.2}\" y=\"{top:.2}\" width=\"{:.2}\" height=\"{:.2}\" fill=\"none\" stroke=\"{colour}\" \
                 stroke-width=\"{width}\" {dash}/>\n",
                    (right - left).max(0.0),
                    (bottom - top).max(0.0)
                ),
            );
        }
        halo(out, left + 1.2, bottom - 1.4, 2.8, "start", &area.name);
    }

    fn contour(&self, out: &mut String, map: &LuxMap, contour: &Contour) {
        let points: Vec<String> = contour
            .line
            .iter()
            .map(|[x, y]| self.at(*x, *y))
            .map(|[x, y]| format!("{x:.2},{y:.2}"))
            .collect();
        put(
            out,
            format_args!(
                "<polyline clip-path=\"url(#walls)\" points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"0.3\"/>\n",
                points.join(" "),
                line_colour(map, contour.lux)
            ),
        );
    }

    /// Figures on the contours, where no other figure and no name stands.
    fn labels(&self, out: &mut String, map: &LuxMap, rig: &Rig) {
        let mut taken: Vec<[f64; 4]> = Vec::new();
        let mm = 1.0 / self.scale;
        for (name, at, lux) in &map.marks {
            let wide = width(&format!("{name} {}", figure(*lux)));
            let named = self.name_at(*at, wide, rig);
            let left = self.x[0] + (named.left - self.corner[0]) * mm;
            let y = at.y() + (self.at(at.x(), at.y())[1] + 1.0 - named.y) * mm;
            taken.push([left - mm, y - 2.5 * mm, left + (wide + 1.0) * mm, y + 2.5 * mm]);
            taken.push([at.x() - 2.0 * mm, at.y() - 2.0 * mm, at.x() + 2.0 * mm, at.y() + 2.0 * mm]);
        }
        for unit in &rig.units {
            let at = rig.position(unit);
            taken.push([at.x() - 3.0 * mm, at.y() - 3.0 * mm, at.x() + 3.0 * mm, at.y() + 3.0 * mm]);
        }
        for (x, y, label) in map.label_places(3.4 * mm, &taken) {
            let [x, y] = self.at(x, y);
            halo(out, x, y + 1.0, 2.9, "middle", &label);
        }
    }

    fn things(&self, out: &mut String, map: &LuxMap, rig: &Rig) {
        for place in rig.room.places.iter().filter(|place| place.kind != PlaceKind::Floor) {
            let half = place.length / 2.0;
            let (a, b) = (place.at(-half), place.at(half));
            let ([ax, ay], [bx, by]) = (self.at(a.x(), a.y()), self.at(b.x(), b.y()));
            put(
                out,
                format_args!(
                    "<line x1=\"{ax:.2}\" y1=\"{ay:.2}\" x2=\"{bx:.2}\" y2=\"{by:.2}\" stroke=\"#fff\" stroke-width=\"1.5\"/>\n\
                 <line x1=\"{ax:.2}\" y1=\"{ay:.2}\" x2=\"{bx:.2}\" y2=\"{by:.2}\" stroke=\"#6b6870\" stroke-width=\"0.9\"/>\n"
                ),
            );
        }
        for unit in &rig.units {
            let at = rig.position(unit);
            let [x, y] = self.at(at.x(), at.y());
            put(
                out,
                format_args!(
                    "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"1.9\" fill=\"#fff\" stroke=\"#1b1a1e\" stroke-width=\"0.35\"/>\n"
                ),
            );
            text(out, x, y + 0.95, 2.5, "middle", &unit.number.to_string());
        }
        for (name, at, lux) in &map.marks {
            let [x, y] = self.at(at.x(), at.y());
            put(
                out,
                format_args!(
                    "<path d=\"M{:.2} {:.2}l2.4 2.4m0 -2.4l-2.4 2.4\" stroke=\"#fff\" stroke-width=\"1.1\"/>\n\
                 <path d=\"M{:.2} {:.2}l2.4 2.4m0 -2.4l-2.4 2.4\" stroke=\"#1b1a1e\" stroke-width=\"0.5\"/>\n",
                    x - 1.2,
                    y - 1.2,
                    x - 1.2,
                    y - 1.2
                ),
            );
            let words = format!("{name} {}", figure(*lux));
            let named = self.name_at(*at, width(&words), rig);
            halo(out, named.x, named.y, 2.8, named.anchor, &words);
        }
    }

    /// Where the name of a mark stands: to its right, to its left, below or above it, the first of these that is inside
    /// the room and covers no light; with none, to its right.
    fn name_at(&self, mark: Point, wide: f64, rig: &Rig) -> Named {
        let [x, y] = self.at(mark.x(), mark.y());
        let level = y.clamp(self.corner[1] + 2.4, self.lower_edge() - 2.0) + 1.0;
        let beside = [
            Named { x: x + 2.0, y: level, anchor: "start", left: x + 2.0 },
            Named { x: x - 2.0, y: level, anchor: "end", left: x - 2.0 - wide },
            Named { x, y: y + 4.6, anchor: "middle", left: x - wide / 2.0 },
            Named { x, y: y - 2.6, anchor: "middle", left: x - wide / 2.0 },
        ];
        let free = |named: &&Named| {
            let inside = named.left >= self.corner[0]
                && named.left + wide <= self.right_edge()
                && named.y - 2.2 >= self.corner[1]
                && named.y + 0.6 <= self.lower_edge();
            let covers = |unit: &Unit| {
                let at = rig.position(unit);
                let [x, y] = self.at(at.x(), at.y());
                let (from, to) = (named.left - 1.9, named.left + wide + 1.9);
                (from..=to).contains(&x) && (named.y - 4.1..=named.y + 2.5).contains(&y)
            };
            inside && !rig.units.iter().any(covers)
        };
        *beside.iter().find(free).unwrap_or(&beside[0])
    }

    fn legend(&self, out: &mut String, map: &LuxMap) {
        let left = self.right_edge() + 6.0;
        let mut y = self.corner[1] + 3.0;
        text(out, left, y, 3.4, "start", "light level, lx");
        y += 3.0;
        for band in (0..=map.levels.len()).rev() {
            put(
                out,
                format_args!(
                    "<rect x=\"{left:.2}\" y=\"{y:.2}\" width=\"8\" height=\"5.2\" fill=\"{}\" stroke=\"#1b1a1e\" stroke-width=\"0.15\"/>\n",
                    band_colour(band, map.levels.len() + 1)
                ),
            );
            text(out, left + 10.0, y + 3.8, 3.1, "start", &map.band_words(band));
            y += 5.2;
        }
        y += 6.0;
        let most = format!("most: {} lx", figure(map.most.0));
        text(out, left, y, 3.1, "start", &most);
        y += 9.0;
        // A ruler of a round length.
        let metres = if self.scale * 2.0 > SIDE - 14.0 { 1.0 } else { 2.0 };
        let end = left + metres * self.scale;
        put(
            out,
            format_args!(
                "<path d=\"M{left:.2} {:.2}v2.4m0 -1.2H{end:.2}m0 -1.2v2.4\" fill=\"none\" stroke=\"#1b1a1e\" stroke-width=\"0.4\"/>\n",
                y - 1.2
            ),
        );
        text(out, left, y + 5.0, 3.1, "start", &format!("{metres} m, 1 : {:.0}", self.reduction));
        text(out, left, y + 9.5, 2.7, "start", "audience end below");
        y += 17.0;
        for words in ["× mark, with its light level", "○ light, with its number"] {
            text(out, left, y, 2.7, "start", words);
            y += 4.2;
        }
    }

    fn words(&self, out: &mut String, map: &LuxMap) {
        let mut y = (self.lower_edge() + 7.0).min(self.size[1] - MARGIN - 12.0);
        let letters = ((self.size[0] - 2.0 * MARGIN) * LETTERS_PER_MM) as usize;
        for sentence in map.caution() {
            for line in wrapped(&sentence, letters) {
                text(out, MARGIN, y, 2.7, "start", &line);
                y += 3.7;
            }
        }
    }
}

impl LuxMap {
    /// Whether the colours about a light level are light ones, so that lines on them are dark.
    pub fn is_light(&self, lux: f64) -> bool {
        self.band(lux) * 2 > self.levels.len()
    }

    /// A light level in words, two digits that count.
    pub fn figure(&self, lux: f64) -> String {
        figure(lux)
    }

    /// What a band is: "under 20", "20 – 50", "500 and more".
    pub fn band_words(&self, band: usize) -> String {
        let level = |place: usize| self.levels.get(place).copied();
        match (band.checked_sub(1).and_then(level), level(band)) {
            (None, None) => "dark".to_owned(),
            (None, Some(to)) => format!("under {}", figure(to)),
            (Some(from), Some(to)) => format!("{} – {}", figure(from), figure(to)),
            (Some(from), None) => format!("{} and more", figure(from)),
        }
    }

    /// Where to write the figures of the contours: at most two a level, none nearer to another or to a wall than `apart`
    /// metres, none in the boxes that are `taken` (left, near, right, far).
    pub fn label_places(&self, apart: f64, taken: &[[f64; 4]]) -> Vec<(f64, f64, String)> {
        let [left, near] = self.from;
        let right = left + (self.count[0].max(1) - 1) as f64 * self.step;
        let far = near + (self.count[1].max(1) - 1) as f64 * self.step;
        let inside = |[x, y]: [f64; 2]| {
            x > left + 1.2 * apart && x < right - 1.2 * apart && y > near + apart && y < far - apart
        };
        let clear = |[x, y]: [f64; 2]| {
            let meets = |[l, n, r, f]: &[f64; 4]| {
                x + apart > *l && x - apart < *r && y + apart / 2.0 > *n && y - apart / 2.0 < *f
            };
            !taken.iter().any(meets)
        };
        let mut placed: Vec<(f64, f64, String)> = Vec::new();
        for level in &self.levels {
            let mut lines: Vec<&Contour> =
                self.contours.iter().filter(|contour| (contour.lux - level).abs() < 1e-9).collect();
            lines.sort_by_key(|contour| std::cmp::Reverse(contour.line.len()));
            for contour in lines.into_iter().take(2).filter(|contour| contour.line.len() > 8) {
                let count = contour.line.len();
                // From the middle of the line outwards.
                let tries = (0..count)
                    .map(|i| (count / 2 + if i % 2 == 0 { i / 2 } else { count - i.div_ceil(2) }) % count);
                let free = |[x, y]: [f64; 2]| {
                    placed.iter().all(|(px, py, _)| (px - x).abs() > 2.4 * apart || (py - y).abs() > apart)
                };
                if let Some([x, y]) =
                    tries.map(|i| contour.line[i]).find(|at| inside(*at) && clear(*at) && free(*at))
                {
                    placed.push((x, y, figure(*level)));
                }
            }
        }
        placed
    }
}

/// Dark lines on light colours, light ones on dark.
fn line_colour(map: &LuxMap, lux: f64) -> &'static str {
    if map.is_light(lux) { "#1b1a1e" } else { "#fff" }
}

/// Two digits that count, as much as such figures are worth.
fn figure(lux: f64) -> String {
    if lux >= 100.0 {
        let round = libm::pow(10.0, libm::floor(libm::log10(lux)) - 1.0);
        format!("{:.0}", (lux / round).round() * round)
    } else if lux >= 9.95 || lux.fract().abs() < 1e-9 {
        format!("{lux:.0}")
    } else {
        format!("{lux:.1}")
    }
}

fn text(out: &mut String, x: f64, y: f64, size: f64, anchor: &str, words: &str) {
    put(
        out,
        format_args!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size}\" text-anchor=\"{anchor}\">{}</text>\n",
            escaped(words)
        ),
    );
}

/// Words that stand over colours.
fn halo(out: &mut String, x: f64, y: f64, size: f64, anchor: &str, words: &str) {
    put(
        out,
        format_args!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size}\" text-anchor=\"{anchor}\" stroke=\"#fff\" stroke-width=\"0.8\" \
         stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>\n",
            escaped(words)
        ),
    );
}

/// Writing to a string does not fail.
fn put(out: &mut String, words: std::fmt::Arguments<'_>) {
    out.write_fmt(words).unwrap_or(());
}

fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Lines of at most so many letters, broken at spaces.
fn wrapped(words: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Where a name stands on the paper, mm.
#[derive(Clone, Copy, Debug)]
struct Named {
    x: f64,
    y: f64,
    /// Of SVG text: start, middle or end.
    anchor: &'static str,
    /// Its left end.
    left: f64,
}

/// About how wide words of a mark's size are, mm.
fn width(words: &str) -> f64 {
    words.chars().count() as f64 * 1.6
}
