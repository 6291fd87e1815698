//! Words and tables on pages: margins, wrapped text, rows that stay whole, headings that come again on the next page.

mod table;

pub(crate) use table::{Column, TICK, Table};

use crate::drawing::{Anchor, At, Drawing, Frame, Ink, Part, Stroke, Type};
use crate::font::{Face, Fonts};

/// From the paper's edge to the words, millimetres: left, top, right, bottom.
pub(crate) const LEFT: f64 = 16.0;
const TOP: f64 = 24.0;
const BOTTOM: f64 = 19.0;
/// Where the running head and foot stand, from the paper's edge.
const HEAD_LINE: f64 = 12.5;
const FOOT_LINE: f64 = 10.0;

/// The sheets of paper that printers take.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8½ × 11 inches, 215.9 × 279.4 mm (ANSI Y14.1 A).
    Letter,
}

impl Paper {
    /// Upright, millimetres.
    pub const fn upright(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
        }
    }

    /// Lying, millimetres.
    pub const fn lying(self) -> [f64; 2] {
        let [w, h] = self.upright();
        [h, w]
    }
}

/// Sizes of print.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Style {
    /// Large print: nothing below 14 points but on drawings and stickers.
    pub(crate) large: bool,
}

impl Style {
    const fn pick(self, usual: f64, large: f64) -> f64 {
        if self.large { large } else { usual }
    }

    pub(crate) const fn title(self) -> Type {
        Type::new(Face::WordsBold, self.pick(23.0, 28.0), Ink::Black)
    }

    pub(crate) const fn heading(self) -> Type {
        Type::new(Face::WordsBold, self.pick(12.5, 18.0), Ink::Black)
    }

    /// A sentence under a title.
    pub(crate) const fn lead(self) -> Type {
        Type::new(Face::Words, self.pick(11.0, 15.0), Ink::Black)
    }

    /// A note for the person.
    pub(crate) const fn note(self) -> Type {
        Type::new(Face::WordsItalic, self.pick(9.5, 14.0), Ink::Dark)
    }

    pub(crate) const fn body(self) -> Type {
        Type::new(Face::Facts, self.pick(9.0, 14.0), Ink::Black)
    }

    pub(crate) const fn strong(self) -> Type {
        Type::new(Face::FactsBold, self.pick(9.0, 14.0), Ink::Black)
    }

    pub(crate) const fn small(self) -> Type {
        Type::new(Face::Facts, self.pick(7.8, 14.0), Ink::Dark)
    }

    pub(crate) const fn label(self) -> Type {
        Type::new(Face::Facts, self.pick(7.8, 14.0), Ink::Mid)
    }

    const fn running(self) -> Type {
        Type::new(Face::Facts, self.pick(8.0, 14.0), Ink::Mid)
    }

    /// Lines of drawings that a large print needs larger as well.
    pub(crate) const fn drawn(self, size: f64) -> f64 {
        if self.large { size * 1.3 } else { size }
    }
}

/// One document for one purpose.
pub(crate) struct Sheet {
    pub(crate) title: String,
    pub(crate) pages: Vec<Drawing>,
    /// Without running head and foot: where the whole page is taken.
    pub(crate) bare: bool,
}

/// Pages being filled from the top.
pub(crate) struct Flow<'f> {
    pub(crate) fonts: &'f Fonts,
    pub(crate) style: Style,
    size: [f64; 2],
    pages: Vec<Drawing>,
    /// Where the next thing begins, from the paper's upper edge.
    y: f64,
    /// Right below a title or a heading no more white space is wanted.
    after_heading: f64,
}

impl<'f> Flow<'f> {
    pub(crate) fn new(fonts: &'f Fonts, style: Style, size: [f64; 2]) -> Self {
        Self { fonts, style, size, pages: vec![Drawing::new(size)], y: TOP, after_heading: 0.0 }
    }

    /// The page in hand.
    pub(crate) fn page(&mut self) -> &mut Drawing {
        if self.pages.is_empty() {
            self.pages.push(Drawing::new(self.size));
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    pub(crate) fn y(&self) -> f64 {
        self.y
    }

    pub(crate) fn width(&self) -> f64 {
        self.size[0] - 2.0 * LEFT
    }

    /// The height of an empty page.
    pub(crate) fn most(&self) -> f64 {
        self.size[1] - BOTTOM - TOP
    }

    /// Another page where so much height is not left. `true` when it turned.
    pub(crate) fn need(&mut self, height: f64) -> bool {
        let full = self.y + height > self.size[1] - BOTTOM + 1e-6 && self.y > TOP + 1e-6;
        if full {
            self.turn();
        }
        full
    }

    /// On to another page.
    pub(crate) fn turn(&mut self) {
        self.pages.push(Drawing::new(self.size));
        self.y = TOP;
        self.after_heading = 0.0;
    }

    /// White space; none at the top of a page.
    pub(crate) fn gap(&mut self, height: f64) {
        if self.y > TOP + 1e-6 && self.y > self.after_heading + 1e-6 {
            self.y += height;
        }
    }

    /// What was drawn by hand takes so much height.
    pub(crate) fn took(&mut self, height: f64) {
        self.y += height;
    }

    /// The name of the sheet, with what it is for beneath.
    pub(crate) fn title(&mut self, title: &str, lead: &str) {
        let (with, width) = (self.style.title(), self.width());
        for line in self.fonts.wrap(with.face, with.size, title, width) {
            let at = [LEFT, self.y + with.cap()];
            self.page().part(Part::Title, at, Anchor::Start, with, line);
            self.y += with.leading() * 0.86;
        }
        self.y += 1.2;
        self.words(lead, self.style.lead());
        self.y += if self.style.large { 6.0 } else { 4.5 };
        self.after_heading = self.y;
    }

    /// A heading that stays with `following` millimetres of what comes after it.
    pub(crate) fn heading(&mut self, text: &str, following: f64) {
        let with = self.style.heading();
        self.gap(6.5);
        let lines = self.fonts.wrap(with.face, with.size, text, self.width());
        self.need(with.leading() * lines.len() as f64 + following);
        for line in lines {
            let at = [LEFT, self.y + with.cap()];
            self.page().part(Part::Heading, at, Anchor::Start, with, line);
            self.y += with.leading();
        }
        self.y += 1.0;
        self.after_heading = self.y;
    }

    /// Wrapped text over the whole width.
    pub(crate) fn words(&mut self, text: &str, with: Type) {
        self.words_at(text, with, 0.0);
    }

    /// The same, its left edge moved in.
    pub(crate) fn words_at(&mut self, text: &str, with: Type, inset: f64) {
        // Lines as long as a page is wide are hard to read.
        let width = (self.width() - inset).min(if self.style.large { 260.0 } else { 168.0 });
        for line in self.fonts.wrap(with.face, with.size, text, width) {
            self.need(with.leading());
            let at = [LEFT + inset, self.y + with.leading() * 0.78];
            self.page().text(at, Anchor::Start, with, line);
            self.y += with.leading();
        }
    }

    /// Cautions, each "Power: what to mind", its first words in a column of their own.
    pub(crate) fn cautions(&mut self, cautions: &[String]) {
        if cautions.is_empty() {
            return;
        }
        let (strong, body) = (self.style.strong(), self.style.body());
        let aside = if self.style.large { 62.0 } else { 36.0 };
        self.gap(5.0);
        for caution in cautions {
            let (head, text) = caution.split_once(": ").unwrap_or(("Take care", caution.as_str()));
            let heads = self.fonts.wrap(strong.face, strong.size, head, aside - 8.0);
            let texts = self.fonts.wrap(body.face, body.size, &capital(text), self.width() - aside);
            let lines = heads.len().max(texts.len()) as f64;
            let height = lines * body.leading() + 2.6;
            self.need(height);
            let (top, right) = (self.y, self.size[0] - LEFT);
            let page = self.page();
            page.line(&[[LEFT, top], [right, top]], Stroke::solid(0.15, Ink::Light));
            let first = top + 1.3 + body.leading() * 0.78;
            triangle(page, [LEFT + 1.6, first - body.cap() / 2.0], 1.7, None);
            for (n, line) in heads.into_iter().enumerate() {
                let y = first + n as f64 * body.leading();
                page.text([LEFT + 5.5, y], Anchor::Start, strong, line);
            }
            for (n, line) in texts.into_iter().enumerate() {
                let y = first + n as f64 * body.leading();
                page.text([LEFT + aside, y], Anchor::Start, body, line);
            }
            self.y += height;
        }
    }

    /// A box of lines to write on, each with what belongs there.
    pub(crate) fn fields(&mut self, names: &[&str]) {
        let with = self.style.body();
        let row = with.leading() + 4.2;
        let high = row * names.len() as f64 + 4.0;
        self.need(high);
        let (top, width) = (self.y, self.width());
        let aside = names.iter().map(|words| with.width(self.fonts, words)).fold(0.0, f64::max) + 5.0;
        let page = self.page();
        page.rect(Frame::new([LEFT, top], [width, high]), Some(Stroke::solid(0.25, Ink::Dark)), None);
        for (n, words) in names.iter().enumerate() {
            let y = top + (n as f64 + 1.0) * row;
            page.text([LEFT + 4.0, y - 0.8], Anchor::Start, with, *words);
            let ends = [[LEFT + 4.0 + aside, y], [LEFT + width - 4.0, y]];
            page.line(&ends, Stroke::solid(0.15, Ink::Mid));
        }
        self.y += high;
    }

    /// The sheet as it is.
    pub(crate) fn end(self, title: impl Into<String>) -> Sheet {
        Sheet { title: title.into(), pages: self.pages, bare: false }
    }
}

/// An open triangle: take care. With a number in it where it points at something.
pub(crate) fn triangle(page: &mut Drawing, [x, y]: At, radius: f64, fill: Option<Ink>) {
    let points =
        [[x, y - radius], [x + radius * 0.95, y + radius * 0.7], [x - radius * 0.95, y + radius * 0.7]];
    page.outline(&points, Some(Stroke::solid(0.3, Ink::Black)), fill);
}

/// With a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What stands above and below the words on every page.
pub(crate) struct Running<'a> {
    pub(crate) show: &'a str,
    pub(crate) room: &'a str,
}

/// All pages in order, each with its running head and "page 2 of 9"; and where each sheet begins.
pub(crate) fn bound(
    sheets: Vec<Sheet>,
    running: &Running<'_>,
    style: Style,
    fonts: &Fonts,
) -> (Vec<Drawing>, Vec<(String, usize)>) {
    const DEFERS: &str =
        "A calculation aid. Local code, the venue, makers’ manuals and competent people overrule it.";
    let total: usize = sheets.iter().map(|sheet| sheet.pages.len()).sum();
    let (mut pages, mut begins) = (Vec::new(), Vec::new());
    for sheet in sheets {
        begins.push((sheet.title.clone(), pages.len()));
        for mut page in sheet.pages {
            let number = pages.len() + 1;
            if !sheet.bare {
                let ([w, h], with) = (page.size, style.running());
                let show = Type { face: Face::WordsItalic, ..with };
                let half = (w - 2.0 * LEFT) * 0.62;
                let long = fonts.wrap(show.face, show.size, running.show, half);
                page.part(Part::Margin, [LEFT, HEAD_LINE], Anchor::Start, show, first(long));
                let place = format!("{} · {}", running.room, sheet.title);
                let place = first(fonts.wrap(with.face, with.size, &place, w - 2.0 * LEFT - half - 4.0));
                page.part(Part::Margin, [w - LEFT, HEAD_LINE], Anchor::End, with, place);
                let rule = Stroke::solid(0.15, Ink::Light);
                page.line(&[[LEFT, HEAD_LINE + 3.0], [w - LEFT, HEAD_LINE + 3.0]], rule);
                if !style.large {
                    page.part(
                        Part::Margin,
                        [LEFT, h - FOOT_LINE],
                        Anchor::Start,
                        Type { size: 7.2, ..with },
                        DEFERS,
                    );
                }
                page.part(
                    Part::Margin,
                    [w - LEFT, h - FOOT_LINE],
                    Anchor::End,
                    with,
                    format!("page {number} of {total}"),
                );
            }
            pages.push(page);
        }
    }
    (pages, begins)
}

/// Name of a drawing that has a page of its own, and of its show.
pub(crate) fn heads(page: &mut Drawing, fonts: &Fonts, title: &str, show: &str) {
    let width = page.size[0] - 2.0 * LEFT;
    let with = Type::new(Face::WordsBold, 17.0, Ink::Black);
    page.text([LEFT, 16.0], Anchor::Start, with, first(fonts.wrap(with.face, with.size, title, width)));
    let with = Type::new(Face::WordsItalic, 9.5, Ink::Dark);
    page.text([LEFT, 22.0], Anchor::Start, with, first(fonts.wrap(with.face, with.size, show, width)));
}

/// The first of several lines, with a sign that it goes on.
fn first(lines: Vec<String>) -> String {
    let more = lines.len() > 1;
    let mut line = lines.into_iter().next().unwrap_or_default();
    if more {
        line.push('…');
    }
    line
}
