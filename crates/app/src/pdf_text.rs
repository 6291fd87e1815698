//! The text of a PDF, row by row as it stands on its pages, with wide gaps where columns part.
//!
//! A library gives each character with its place; here they become rows. Another program's file may be broken in ways
//! that the library does not foresee: it runs on a thread of its own, and neither its end nor its delay is ours.

use std::panic;
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use pdf_extract::{Document, MediaBox, OutputDev, OutputError, Transform};

/// The largest PDF that is read, in bytes.
pub(crate) const MOST_BYTES: usize = 32 << 20;
/// Pages that are read: a manual has fewer.
const MOST_PAGES: u32 = 200;
/// Characters that are taken from it.
const MOST_CHARS: usize = 2_000_000;
/// How long it may take.
const PATIENCE: Duration = Duration::from_secs(20);
/// The name of the thread whose panics are not told.
const THREAD: &str = "pdf";

/// The text of a PDF. An error says what to do instead.
pub(crate) fn text_of(bytes: Vec<u8>) -> Result<String, String> {
    quiet();
    let (tell, hear) = mpsc::channel();
    let reader = thread::Builder::new().name(THREAD.to_owned()).spawn(move || {
        // Nobody may listen any more: then it took too long.
        let _ = tell.send(read(&bytes));
    });
    if reader.is_err() {
        return Err("there is no thread left to read it".to_owned());
    }
    match hear.recv_timeout(PATIENCE) {
        Ok(Ok(text)) if text.trim().is_empty() => {
            Err("it holds pictures and no text; copy the chart's text by hand".to_owned())
        }
        Ok(text) => text,
        Err(mpsc::RecvTimeoutError::Timeout) => {
            Err("it takes too long; copy the chart's text by hand".to_owned())
        }
        Err(mpsc::RecvTimeoutError::Disconnected) => {
            Err("it is broken, or not understood; copy the chart's text by hand".to_owned())
        }
    }
}

/// A panic of the library is an answer here, and none that a person should read.
fn quiet() {
    static ONCE: std::sync::Once = std::sync::Once::new();
    ONCE.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if thread::current().name() != Some(THREAD) {
                before(info);
            }
        }));
    });
}

fn read(bytes: &[u8]) -> Result<String, String> {
    let document =
        Document::load_mem(bytes).map_err(|error| format!("it is no PDF that can be read: {error}"))?;
    if document.is_encrypted() {
        return Err("it is locked by a password; copy the chart's text by hand".to_owned());
    }
    let mut out = Rows::default();
    for page in document.get_pages().into_keys().take(MOST_PAGES as usize) {
        pdf_extract::output_doc_page(&document, &mut out, page)
            .map_err(|error| format!("page {page}: {error}"))?;
    }
    Ok(out.text)
}

/// One character where it stands.
#[derive(Clone, Debug)]
struct Glyph {
    x: f64,
    y: f64,
    width: f64,
    size: f64,
    text: String,
}

/// Collects the characters of a page, and the rows of all pages.
#[derive(Default)]
struct Rows {
    page: Vec<Glyph>,
    taken: usize,
    text: String,
}

impl OutputDev for Rows {
    fn begin_page(
        &mut self,
        _: u32,
        _: &MediaBox,
        _: Option<(f64, f64, f64, f64)>,
    ) -> Result<(), OutputError> {
        self.page.clear();
        Ok(())
    }

    fn end_page(&mut self) -> Result<(), OutputError> {
        let glyphs = std::mem::take(&mut self.page);
        self.text.push_str(&rows(glyphs));
        Ok(())
    }

    fn output_character(
        &mut self,
        place: &Transform,
        width: f64,
        _spacing: f64,
        font_size: f64,
        text: &str,
    ) -> Result<(), OutputError> {
        self.taken += 1;
        let scale = (place.m11.hypot(place.m12)).max(1e-6);
        let size = (font_size * scale).abs();
        let upright = place.m12.abs() <= place.m11.abs() * 0.2;
        let finite = place.m31.is_finite() && place.m32.is_finite() && size.is_finite() && width.is_finite();
        if self.taken <= MOST_CHARS && upright && finite {
            self.page.push(Glyph {
                x: place.m31,
                y: place.m32,
                width: width * size,
                size,
                text: text.to_owned(),
            });
        }
        Ok(())
    }

    fn begin_word(&mut self) -> Result<(), OutputError> {
        Ok(())
    }

    fn end_word(&mut self) -> Result<(), OutputError> {
        Ok(())
    }

    fn end_line(&mut self) -> Result<(), OutputError> {
        Ok(())
    }
}

/// Characters that follow each other, as they are drawn.
#[derive(Clone, Debug)]
struct Run {
    x: f64,
    y: f64,
    size: f64,
    /// Where its last character begins, and where the furthest ends.
    last: f64,
    end: f64,
    text: String,
}

/// The runs of a page. Within one the order is that of the drawing, for a font whose widths the library cannot tell
/// would shuffle its letters if they were put in order by their places.
fn runs(glyphs: Vec<Glyph>) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for glyph in glyphs {
        let blank = glyph.text.trim().is_empty();
        if let Some(run) = runs.last_mut() {
            let level = (glyph.y - run.y).abs() <= run.size.max(glyph.size) / 3.0;
            let gap = glyph.x - run.end.min(run.last + run.size);
            let back = run.last - glyph.x;
            if level && gap < run.size * 1.2 && back < run.size * 1.5 {
                if (blank || gap > run.size * 0.25) && !run.text.ends_with(' ') {
                    run.text.push(' ');
                }
                if !blank {
                    run.text.push_str(&glyph.text);
                }
                run.last = glyph.x;
                run.end = run.end.max(glyph.x + glyph.width);
                continue;
            }
        }
        if !blank {
            let Glyph { x, y, width, size, text } = glyph;
            runs.push(Run { x, y, size, last: x, end: x + width, text });
        }
    }
    runs
}

/// The rows of a page, from its top. What is in one row stands within a third of its size.
fn rows(glyphs: Vec<Glyph>) -> String {
    let mut runs = runs(glyphs);
    runs.sort_by(|a, b| b.y.total_cmp(&a.y).then(a.x.total_cmp(&b.x)));
    let mut sizes: Vec<f64> = runs.iter().map(|run| run.size).filter(|size| *size > 0.0).collect();
    sizes.sort_by(f64::total_cmp);
    let usual = sizes.get(sizes.len() / 2).copied().unwrap_or(10.0);
    // About the width of a character: what a column of the text is worth.
    let step = (usual * 0.5).max(0.5);
    let left = runs.iter().map(|run| run.x).fold(f64::INFINITY, f64::min);
    let mut text = String::new();
    let mut at = 0;
    let mut last_y: Option<f64> = None;
    while let Some(first) = runs.get(at) {
        let (y, near) = (first.y, first.size.max(usual * 0.5) / 3.0);
        let end = at + runs[at..].iter().take_while(|run| y - run.y <= near).count();
        let mut row = runs[at..end].to_vec();
        row.sort_by(|a, b| a.x.total_cmp(&b.x));
        if last_y.is_some_and(|last| last - y > usual * 2.2) {
            text.push('\n');
        }
        last_y = Some(y);
        text.push_str(&line(&row, left, step));
        text.push('\n');
        at = end.max(at + 1);
    }
    text
}

/// One row: each run at its column, at least two blanks behind the one before.
fn line(row: &[Run], left: f64, step: f64) -> String {
    let mut line = String::new();
    let mut count = 0_usize;
    for run in row {
        let column = (((run.x - left) / step).round().max(0.0) as usize).min(400);
        let wanted = column.saturating_sub(count).max(if count == 0 { 0 } else { 2 });
        line.extend(std::iter::repeat_n(' ', wanted));
        line.push_str(run.text.trim_end());
        count += wanted + run.text.trim_end().chars().count();
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    fn word(x: f64, y: f64, text: &str) -> Vec<Glyph> {
        let glyph = |(index, c): (usize, char)| Glyph {
            x: x + index as f64 * 5.0,
            y,
            width: 5.0,
            size: 10.0,
            text: c.to_string(),
        };
        text.chars().enumerate().map(glyph).collect()
    }

    #[test]
    fn rows_are_read_from_the_top_with_columns_apart() {
        let mut glyphs = word(50.0, 700.0, "CH2");
        glyphs.extend(word(150.0, 700.2, "Red"));
        glyphs.extend(word(50.0, 715.0, "CH1"));
        glyphs.extend(word(150.0, 715.0, "Master"));
        glyphs.extend(word(185.0, 715.0, "dimmer"));
        assert_eq!(rows(glyphs), "CH1                 Master dimmer\nCH2                 Red\n");
    }

    #[test]
    fn what_is_no_pdf_is_refused_in_words() {
        assert!(text_of(b"%PDF-1.4 nothing".to_vec()).is_err());
    }
}
