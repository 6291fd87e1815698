//! Pages as PDF: fonts embedded in part, text that can be searched and copied, an outline of the sheets.

use std::num::NonZeroU16;

use krilla::Document;
use krilla::color::luma;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag, Tag, TagGroup, TagTree};
use krilla::text::{Font, GlyphId, KrillaGlyph};

use crate::SheetsError;
use crate::drawing::{Anchor, At, Drawing, Ink, Part, Shape, Stroke, Type};
use crate::font::{Face, Fonts, MM_PER_PT};

/// A circle as four cubic curves: how far their handles reach, parts of the radius (4/3 (√2 − 1)).
const ROUND: f64 = 0.552_284_749_8;

/// What the file says of itself.
pub(crate) struct About<'a> {
    pub(crate) title: &'a str,
    pub(crate) description: String,
}

/// The pages as one file. `sheets` are the titles of the sheets with the page that each begins on, from 0.
pub(crate) fn to_pdf(
    pages: &[Drawing],
    sheets: &[(String, usize)],
    about: About<'_>,
    fonts: &Fonts,
) -> Result<Vec<u8>, SheetsError> {
    let broken = |what: &str| SheetsError::Pdf(what.to_owned());
    let faces: Option<Vec<Font>> =
        Face::ALL.into_iter().map(|face| Font::new(face.file().into(), 0)).collect();
    let faces = faces.ok_or_else(|| broken("a typeface of this program cannot be read"))?;
    let mut document = Document::new();
    let mut tags = TagTree::new().with_lang(Some("en".to_owned()));
    for drawing in pages {
        let [w, h] = drawing.size.map(pt);
        let settings = PageSettings::from_wh(w, h).ok_or_else(|| broken("a page has no size"))?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        // What belongs together for a reader who hears the page: each line of text, each run of strokes.
        for run in drawing.shapes.chunk_by(|a, b| part(a).is_none() && part(b).is_none()) {
            let tag = match run.first().and_then(part) {
                None => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
                Some(Part::Margin) => {
                    ContentTag::Artifact(Artifact::with_kind(ArtifactType::PaginationOther))
                }
                Some(Part::Title | Part::Heading | Part::Words) => ContentTag::Span(SpanTag::empty()),
            };
            let id = surface.start_tagged(tag);
            run.iter().for_each(|shape| draw(&mut surface, shape, fonts, &faces));
            surface.end_tagged();
            if let Some(mut group) = run.first().and_then(part).and_then(group) {
                group.push(id);
                tags.push(group);
            }
        }
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tags);
    let mut outline = Outline::new();
    for (title, page) in sheets.iter().filter(|(_, page)| *page < pages.len()) {
        let top = XyzDestination::new(*page, Point::from_xy(0.0, 0.0));
        outline.push_child(OutlineNode::new(title.clone(), top));
    }
    document.set_outline(outline);
    document.set_metadata(
        Metadata::new()
            .title(about.title.to_owned())
            .description(about.description)
            .language("en".to_owned())
            .creator("Lanthorn".to_owned()),
    );
    document.finish().map_err(|error| SheetsError::Pdf(format!("{error:?}")))
}

/// What a text is; none for what has no words.
fn part(shape: &Shape) -> Option<Part> {
    match shape {
        Shape::Text { part, .. } => Some(*part),
        Shape::Path { .. } | Shape::Circle { .. } => None,
    }
}

/// Its place in the order of reading; none for what is not read.
fn group(part: Part) -> Option<TagGroup> {
    let heading = |level| Some(TagGroup::new(Tag::Hn(level, None)));
    match part {
        Part::Title => heading(NonZeroU16::MIN),
        Part::Heading => heading(NonZeroU16::MIN.saturating_add(1)),
        Part::Words => Some(TagGroup::new(Tag::P)),
        Part::Margin => None,
    }
}

/// Millimetres to points.
fn pt(mm: f64) -> f32 {
    (mm / MM_PER_PT) as f32
}

fn point(at: At) -> Point {
    Point::from_xy(pt(at[0]), pt(at[1]))
}

fn draw(surface: &mut Surface<'_>, shape: &Shape, fonts: &Fonts, faces: &[Font]) {
    match shape {
        Shape::Path { lines, closed, stroke, fill } => {
            let mut path = PathBuilder::new();
            for line in lines {
                for (n, at) in line.iter().map(|at| at.map(pt)).enumerate() {
                    if n == 0 { path.move_to(at[0], at[1]) } else { path.line_to(at[0], at[1]) }
                }
                if *closed {
                    path.close();
                }
            }
            paint(surface, path, *stroke, *fill);
        }
        Shape::Circle { at, radius, stroke, fill } => {
            paint(surface, circle(*at, *radius), *stroke, *fill);
        }
        Shape::Text { at, text, with, anchor, .. } => write(surface, *at, text, *with, *anchor, fonts, faces),
    }
}

fn circle([x, y]: At, r: f64) -> PathBuilder {
    let mut path = PathBuilder::new();
    let corner = |dx: f64, dy: f64| [pt(x + r * dx), pt(y + r * dy)];
    let [sx, sy] = corner(1.0, 0.0);
    path.move_to(sx, sy);
    for [a, b, to] in [
        [[1.0, ROUND], [ROUND, 1.0], [0.0, 1.0]],
        [[-ROUND, 1.0], [-1.0, ROUND], [-1.0, 0.0]],
        [[-1.0, -ROUND], [-ROUND, -1.0], [0.0, -1.0]],
        [[ROUND, -1.0], [1.0, -ROUND], [1.0, 0.0]],
    ] {
        let ([ax, ay], [bx, by], [tx, ty]) = (corner(a[0], a[1]), corner(b[0], b[1]), corner(to[0], to[1]));
        path.cubic_to(ax, ay, bx, by, tx, ty);
    }
    path.close();
    path
}

fn paint(surface: &mut Surface<'_>, path: PathBuilder, stroke: Option<Stroke>, fill: Option<Ink>) {
    // A path of no length has nothing to draw.
    let Some(path) = path.finish() else { return };
    if stroke.is_none() && fill.is_none() {
        return;
    }
    surface.set_fill(fill.map(filled));
    surface.set_stroke(stroke.map(|stroke| Pen {
        paint: luma::Color::new(stroke.ink.grey()).into(),
        width: pt(stroke.width),
        line_cap: LineCap::Round,
        line_join: LineJoin::Round,
        dash: (!stroke.dash.pattern().is_empty()).then(|| StrokeDash {
            array: stroke.dash.pattern().iter().map(|mm| pt(f64::from(*mm))).collect(),
            offset: 0.0,
        }),
        ..Pen::default()
    }));
    surface.draw_path(&path);
}

fn filled(ink: Ink) -> Fill {
    Fill { paint: luma::Color::new(ink.grey()).into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd }
}

fn write(
    surface: &mut Surface<'_>,
    at: At,
    text: &str,
    with: Type,
    anchor: Anchor,
    fonts: &Fonts,
    faces: &[Font],
) {
    let runs = fonts.shape(with.face, text);
    let mm = with.size * MM_PER_PT;
    let width: f64 = runs.iter().map(|run| run.advance() * mm).sum();
    let mut x = match anchor {
        Anchor::Start => at[0],
        Anchor::Middle => at[0] - width / 2.0,
        Anchor::End => at[0] - width,
    };
    surface.set_stroke(None);
    surface.set_fill(Some(filled(with.ink)));
    for run in runs {
        let glyph = |letter: &crate::font::Letter| {
            let id = GlyphId::new(letter.id);
            let [dx, dy] = letter.offset.map(|part| part as f32);
            KrillaGlyph::new(id, letter.advance as f32, dx, dy, 0.0, letter.bytes.clone(), None)
        };
        let glyphs: Vec<KrillaGlyph> = run.letters.iter().map(glyph).collect();
        let font = faces[Face::ALL.iter().position(|face| *face == run.face).unwrap_or(0)].clone();
        surface.draw_glyphs(point([x, at[1]]), &glyphs, font, &run.text, with.size as f32, false);
        x += run.advance() * mm;
    }
}
