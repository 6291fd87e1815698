//! Drawings as SVG, in millimetres.

use std::fmt::Write;

use crate::drawing::{Anchor, Drawing, Ink, Shape, Stroke};
use crate::font::{Fonts, MM_PER_PT};

/// The drawing as an SVG file. Where the faces are not installed, texts are drawn as wide as they would be.
pub fn to_svg(drawing: &Drawing, fonts: &Fonts, title: &str) -> String {
    let [w, h] = drawing.size.map(number);
    let mut out = String::new();
    put(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
             stroke-linecap=\"round\" stroke-linejoin=\"round\">\n<title>{}</title>\n\
             <rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n",
            escaped(title)
        ),
    );
    for shape in &drawing.shapes {
        draw(&mut out, shape, fonts);
    }
    out.push_str("</svg>\n");
    out
}

fn draw(out: &mut String, shape: &Shape, fonts: &Fonts) {
    match shape {
        Shape::Path { lines, closed, stroke, fill } => {
            out.push_str("<path d=\"");
            for line in lines {
                for (n, at) in line.iter().enumerate() {
                    let [x, y] = at.map(number);
                    put(out, format_args!("{}{x} {y}", if n == 0 { 'M' } else { 'L' }));
                }
                if *closed {
                    out.push('Z');
                }
            }
            put(out, format_args!("\"{}/>\n", paint(*stroke, *fill)));
        }
        Shape::Circle { at, radius, stroke, fill } => {
            let ([x, y], r) = (at.map(number), number(*radius));
            put(out, format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"{}/>\n", paint(*stroke, *fill)));
        }
        Shape::Text { at, text, with, anchor, .. } => {
            let [x, y] = at.map(number);
            let (family, weight, style) = with.face.css();
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            put(
                out,
                format_args!(
                    "<text x=\"{x}\" y=\"{y}\" font-family=\"{family}\" font-weight=\"{weight}\" \
                     font-style=\"{style}\" font-size=\"{}\" text-anchor=\"{anchor}\" textLength=\"{}\" \
                     lengthAdjust=\"spacingAndGlyphs\" fill=\"{}\">{}</text>\n",
                    number(with.size * MM_PER_PT),
                    number(with.width(fonts, text)),
                    colour(with.ink),
                    escaped(text),
                ),
            );
        }
    }
}

fn paint(stroke: Option<Stroke>, fill: Option<Ink>) -> String {
    let mut out = format!(" fill=\"{}\"", fill.map_or_else(|| "none".to_owned(), colour));
    if let Some(Stroke { width, dash, ink }) = stroke {
        put(&mut out, format_args!(" stroke=\"{}\" stroke-width=\"{}\"", colour(ink), number(width)));
        if !dash.pattern().is_empty() {
            let pattern: Vec<String> = dash.pattern().iter().map(f32::to_string).collect();
            put(&mut out, format_args!(" stroke-dasharray=\"{}\"", pattern.join(" ")));
        }
    }
    out
}

fn colour(ink: Ink) -> String {
    let grey = ink.grey();
    format!("#{grey:02x}{grey:02x}{grey:02x}")
}

/// Hundredths of a millimetre are finer than any printer's dot.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

fn put(out: &mut String, what: std::fmt::Arguments<'_>) {
    // Writing to a String never fails.
    let _ = out.write_fmt(what);
}
