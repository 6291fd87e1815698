//! Tables: columns as wide as they need, rows that stay whole, a head that comes again on every page.

use super::{Flow, LEFT};
use crate::drawing::{Anchor, Frame, Ink, Stroke, Type};

/// Between two columns, millimetres.
const GUTTER: f64 = 3.6;
/// Above and below the words of a row.
const PAD: f64 = 1.15;
/// A box to tick, in a cell of its own.
pub(crate) const TICK: &str = "☐";

/// The lines of each cell of a row, as they are set.
type Row = Vec<Vec<(Type, String)>>;

/// A column.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    head: &'static str,
    right: bool,
    strong: bool,
    /// After a line break words for the person follow, in their own face.
    noted: bool,
    /// Takes a share of what is left, and wraps; none: as wide as its longest cell.
    share: Option<f64>,
}

impl Column {
    /// As wide as its longest cell, from the left.
    pub(crate) const fn new(head: &'static str) -> Self {
        Self { head, right: false, strong: false, noted: false, share: None }
    }

    /// For figures.
    pub(crate) const fn right(mut self) -> Self {
        self.right = true;
        self
    }

    pub(crate) const fn strong(mut self) -> Self {
        self.strong = true;
        self
    }

    /// The first line strong; what follows a line break is a note for the person.
    pub(crate) const fn noted(mut self) -> Self {
        self.strong = true;
        self.noted = true;
        self
    }

    /// Takes so large a share of what the others leave, and wraps there.
    pub(crate) const fn share(mut self, share: f64) -> Self {
        self.share = Some(share);
        self
    }
}

/// A table.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    columns: Vec<Column>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) const fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new() }
    }

    pub(crate) fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    pub(crate) const fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    fn with(&self, column: &Column, flow: &Flow<'_>) -> Type {
        if column.strong { flow.style.strong() } else { flow.style.body() }
    }

    /// Widths of the columns, their sum no more than the page has.
    fn widths(&self, flow: &Flow<'_>) -> Vec<f64> {
        let label = flow.style.label();
        let natural = |n: usize, column: &Column, head: f64| {
            let with = self.with(column, flow);
            let cells = self.rows.iter().filter_map(|row| row.get(n));
            let lines = cells.flat_map(|cell| cell.split('\n'));
            let wide = lines.map(|line| if line == TICK { 4.0 } else { with.width(flow.fonts, line) });
            wide.fold(head, f64::max) + 0.2
        };
        let wide = |text: &str| label.width(flow.fonts, text);
        let longest_word = |head: &str| head.split(' ').map(wide).fold(0.0, f64::max);
        let columns = || self.columns.iter().enumerate();
        let free = flow.width() - GUTTER * self.columns.len().saturating_sub(1) as f64;
        let mut wanted: Vec<f64> = columns().map(|(n, c)| natural(n, c, wide(c.head))).collect();
        if wanted.iter().sum::<f64>() > free {
            // Long heads wrap before cells have to.
            wanted = columns().map(|(n, c)| natural(n, c, longest_word(c.head))).collect();
        }
        let pick = |shares: bool| {
            let of = self.columns.iter().zip(&wanted).filter(move |(c, _)| c.share.is_some() == shares);
            of.map(|(_, wide)| *wide).sum::<f64>()
        };
        let (fixed, open) = (pick(false), pick(true));
        if fixed + open <= free {
            // A table that nearly fills the page fills it, so that right edges agree; a small one stays small.
            let open_shares: f64 = self.columns.iter().filter_map(|column| column.share).sum();
            let spare = if fixed + open > 0.55 * free { free - fixed - open } else { 0.0 };
            let grown = self.columns.iter().zip(&wanted);
            return grown
                .map(|(column, wide)| wide + column.share.map_or(0.0, |share| spare * share / open_shares))
                .collect();
        }
        // Columns that wrap get what is left, but no more than they need; where even the others have no room, all give way.
        let shares: f64 = self.columns.iter().filter_map(|column| column.share).sum();
        let least = 0.3 * free;
        let (scale, left) = if shares > 0.0 && free - fixed >= least {
            (1.0, free - fixed)
        } else if shares > 0.0 {
            ((free - least) / fixed.max(1.0), least)
        } else {
            (free / fixed.max(1.0), 0.0)
        };
        let spread = self.columns.iter().zip(&wanted);
        spread
            .map(|(column, wide)| column.share.map_or(wide * scale, |share| left * share / shares))
            .collect()
    }
}

impl Flow<'_> {
    /// Prints a table over as many pages as it takes.
    pub(crate) fn table(&mut self, table: &Table) {
        let widths = table.widths(self);
        let body = self.style.body();
        let rows: Vec<Row> = table
            .rows
            .iter()
            .map(|row| {
                let cells = row.iter().zip(&table.columns).zip(&widths);
                cells
                    .map(|((cell, column), width)| {
                        let first = table.with(column, self);
                        let note = if column.noted { self.style.note() } else { first };
                        let paragraphs = (0..).zip(cell.split('\n'));
                        let wrapped = paragraphs.flat_map(|(n, text)| {
                            let with = if n == 0 { first } else { note };
                            let lines = self.fonts.wrap(with.face, with.size, text, *width);
                            lines.into_iter().map(move |line| (with, line))
                        });
                        wrapped.collect()
                    })
                    .collect()
            })
            .collect();
        let high =
            |row: &Row| row.iter().map(Vec::len).max().unwrap_or(1) as f64 * body.leading() + 2.0 * PAD;
        let head = self.head_height(table, &widths);
        self.need(head + rows.first().map_or(0.0, high));
        self.head(table, &widths);
        for row in &rows {
            // Nothing is so long that a page cannot hold it but a text that somebody typed: that one is parted.
            for row in parted(row, self.most() - head - 2.0 * PAD, body.leading()) {
                if self.need(high(&row)) {
                    self.head(table, &widths);
                }
                self.cells(table, &widths, &row);
                self.took(high(&row));
            }
        }
        let (y, right) = (self.y(), LEFT + table_width(&widths));
        self.page().line(&[[LEFT, y], [right, y]], Stroke::solid(0.25, Ink::Mid));
    }

    fn head_height(&self, table: &Table, widths: &[f64]) -> f64 {
        let with = self.style.label();
        let lines = table.columns.iter().zip(widths).map(|(column, width)| {
            self.fonts.wrap(with.face, with.size, column.head, width + GUTTER * 0.5).len()
        });
        lines.max().unwrap_or(1) as f64 * with.leading() + PAD
    }

    fn head(&mut self, table: &Table, widths: &[f64]) {
        let (with, height) = (self.style.label(), self.head_height(table, widths));
        let (mut x, bottom) = (LEFT, self.y() + height);
        for (column, width) in table.columns.iter().zip(widths) {
            let lines = self.fonts.wrap(with.face, with.size, column.head, width + GUTTER * 0.5);
            let count = lines.len();
            for (n, line) in lines.into_iter().enumerate() {
                let y = bottom - PAD - (count - 1 - n) as f64 * with.leading() - with.leading() * 0.2;
                let (at, anchor) =
                    if column.right { ([x + width, y], Anchor::End) } else { ([x, y], Anchor::Start) };
                self.page().text(at, anchor, with, line);
            }
            x += width + GUTTER;
        }
        let right = LEFT + table_width(widths);
        self.page().line(&[[LEFT, bottom], [right, bottom]], Stroke::solid(0.25, Ink::Mid));
        self.took(height);
    }

    fn cells(&mut self, table: &Table, widths: &[f64], row: &Row) {
        let (top, right) = (self.y(), LEFT + table_width(widths));
        self.page().line(&[[LEFT, top], [right, top]], Stroke::solid(0.12, Ink::Light));
        let mut x = LEFT;
        for ((lines, column), width) in row.iter().zip(&table.columns).zip(widths) {
            let leading = self.style.body().leading();
            for (n, (with, line)) in lines.iter().enumerate() {
                let y = top + PAD + (n as f64 + 0.78) * leading;
                if line == TICK {
                    let side = with.cap() * 1.25;
                    let box_ = Frame::new([x, y + side * 0.1 - side], [side, side]);
                    self.page().rect(box_, Some(Stroke::solid(0.2, Ink::Dark)), None);
                    continue;
                }
                let (at, anchor) =
                    if column.right { ([x + width, y], Anchor::End) } else { ([x, y], Anchor::Start) };
                self.page().text(at, anchor, *with, line.clone());
            }
            x += width + GUTTER;
        }
    }
}

fn table_width(widths: &[f64]) -> f64 {
    widths.iter().sum::<f64>() + GUTTER * widths.len().saturating_sub(1) as f64
}

/// The row in pieces no higher than `most`: one piece for all but monstrous rows.
fn parted(row: &Row, most: f64, leading: f64) -> Vec<Row> {
    let lines = ((most / leading) as usize).max(1);
    let pieces = row.iter().map(|cell| cell.len().div_ceil(lines)).max().unwrap_or(1).max(1);
    let piece = |n: usize| row.iter().map(move |cell| cell.chunks(lines).nth(n).unwrap_or_default().to_vec());
    (0..pieces).map(|n| piece(n).collect()).collect()
}
