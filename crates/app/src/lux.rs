//! The light level map of what is on now: for the page to lay over the plan, and as a page to print.

use std::sync::{Arc, Mutex, PoisonError};

use axum::http::{HeaderName, header};
use axum::response::{IntoResponse, Response};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use lanthorn_rehearsal::lux_map::{SheetWords, band_colour, sheet};
use lanthorn_rehearsal::{LightNow, LuxMap, MapPlane};
use lanthorn_rig::Rig;
use lanthorn_show::Show;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::command::LuxPlane;
use crate::run::lux::plane;

/// Points over the longer side of the room, on the page and on paper.
const ACROSS: usize = 140;
const ACROSS_PAPER: usize = 160;
/// On the page figures of contours stand this far apart at least, metres.
const LABELS_APART_M: f64 = 0.45;

/// A light level map as the page draws it. Lengths in metres in the plan.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LuxView {
    /// What it is measured on, in words.
    pub on: String,
    /// The least x and y of the grid's cells, and the side of a cell.
    pub from: [f64; 2],
    /// Side of a cell.
    pub step: f64,
    /// From dark to light.
    pub bands: Vec<LuxBand>,
    /// For each row of cells from the near end: pairs of a place in `bands` and how many cells of it follow each other.
    pub rows: Vec<Vec<[u32; 2]>>,
    /// Lines of equal light level.
    pub contours: Vec<LuxContour>,
    /// Figures on the contours: where, and the text.
    pub labels: Vec<LuxLabel>,
    /// At each mark, by its name.
    pub marks: Vec<LuxMark>,
    /// The most there is, in words.
    pub most: String,
    /// What must be said with it.
    pub caution: Vec<String>,
}

/// A span of light levels and its colour.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LuxBand {
    /// "20 – 50".
    pub words: String,
    /// `#rrggbb`.
    pub colour: String,
}

/// A line of equal light level.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LuxContour {
    /// It lies on light colours, so it is drawn dark.
    pub dark: bool,
    /// Its points.
    pub line: Vec<[f64; 2]>,
}

/// A figure on a contour.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LuxLabel {
    /// Where.
    pub at: [f64; 2],
    /// "50".
    pub text: String,
}

/// The light level at a mark.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LuxMark {
    /// Its name.
    pub name: String,
    /// "320 lx".
    pub lux: String,
}

/// The plane that an address asks for: `plane=level` (usual) or `plane=face`, `height=1.2` in metres.
fn asked(query: Option<&str>) -> Result<MapPlane, String> {
    let (mut kind, mut height) = (LuxPlane::Level, None);
    for pair in query.unwrap_or_default().split('&').filter(|pair| !pair.is_empty()) {
        match pair.split_once('=') {
            Some(("plane", "level")) => kind = LuxPlane::Level,
            Some(("plane", "face")) => kind = LuxPlane::Face,
            Some(("height", text)) => {
                let number = text.parse().map_err(|_| format!("height={text} is no height in metres"))?;
                height = Some(number);
            }
            _ => return Err(format!("{pair}: ask for plane=level or plane=face, and for height in metres")),
        }
    }
    plane(kind, height).map_err(|why| why.to_string())
}

/// What lies behind the map: the room, and what the stand-in shows now.
pub(crate) struct Mapper(Mutex<Seen>);

struct Seen {
    show: Arc<Show>,
    rig: Arc<Rig>,
    lights: Vec<LightNow>,
}

impl Mapper {
    pub(crate) fn new(show: Arc<Show>, rig: Arc<Rig>) -> Self {
        Self(Mutex::new(Seen { show, rig, lights: Vec::new() }))
    }

    /// Goes over to another show and rig, with what the stand-in shows of them.
    pub(crate) fn replace(&self, show: Arc<Show>, rig: Arc<Rig>, lights: &[LightNow]) {
        *self.seen() = Seen { show, rig, lights: lights.to_vec() };
    }

    /// Takes what the stand-in shows.
    pub(crate) fn take(&self, lights: &[LightNow]) {
        let mut seen = self.seen();
        seen.lights.clear();
        seen.lights.extend_from_slice(lights);
    }

    fn seen(&self) -> std::sync::MutexGuard<'_, Seen> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The map, with the show's name and the rig that it is of.
    fn map(&self, query: Option<&str>, across: usize) -> Result<(LuxMap, String, Arc<Rig>), String> {
        let plane = asked(query)?;
        let seen = self.seen();
        let (lights, rig, name) = (seen.lights.clone(), seen.rig.clone(), seen.show.name.clone());
        drop(seen);
        Ok((LuxMap::new(&lights, &rig, plane, across), name, rig))
    }

    /// For the page.
    pub(crate) fn json(&self, query: Option<&str>) -> Response {
        match self.map(query, ACROSS) {
            Ok((map, ..)) => {
                plain("application/json", serde_json::to_string(&view(&map)).unwrap_or_default())
            }
            Err(why) => (axum::http::StatusCode::BAD_REQUEST, why).into_response(),
        }
    }

    /// For paper.
    pub(crate) fn paper(&self, query: Option<&str>) -> Response {
        match self.map(query, ACROSS_PAPER) {
            Ok((map, show, rig)) => {
                let words = SheetWords { show, what: "what is on now".to_owned() };
                let sheet = sheet(&map, &rig, &words);
                let policy = [(header::CONTENT_SECURITY_POLICY, paper_policy(&sheet))];
                (policy, plain("image/svg+xml", sheet)).into_response()
            }
            Err(why) => (axum::http::StatusCode::BAD_REQUEST, why).into_response(),
        }
    }
}

fn plain(kind: &'static str, text: String) -> Response {
    let headers: [(HeaderName, &str); 3] = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    ];
    (headers, text).into_response()
}

/// What a browser may do with the paper: draw it, and heed its one style sheet, which says how large it is.
fn paper_policy(svg: &str) -> String {
    let style = svg.split_once("<style>").and_then(|(_, rest)| rest.split_once("</style>"));
    let hash = style.map(|(style, _)| STANDARD.encode(Sha256::digest(style.as_bytes())));
    let styles = hash.map_or("'none'".to_owned(), |hash| format!("'sha256-{hash}'"));
    format!("default-src 'none'; style-src {styles}; frame-ancestors 'none'")
}

fn view(map: &LuxMap) -> LuxView {
    let bands = map.levels.len() + 1;
    let small = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    let round = |[x, y]: &[f64; 2]| [(x * 1e3).round() / 1e3, (y * 1e3).round() / 1e3];
    LuxView {
        on: map.plane.words(),
        from: map.from.map(|low| low - map.step / 2.0),
        step: map.step,
        bands: (0..bands)
            .map(|band| LuxBand { words: map.band_words(band), colour: band_colour(band, bands) })
            .collect(),
        rows: map
            .runs()
            .into_iter()
            .map(|runs| runs.into_iter().map(|(band, count)| [small(band), small(count)]).collect())
            .collect(),
        contours: map
            .contours
            .iter()
            .map(|contour| LuxContour {
                dark: map.is_light(contour.lux),
                line: contour.line.iter().map(round).collect(),
            })
            .collect(),
        labels: map
            .label_places(LABELS_APART_M, &[])
            .into_iter()
            .map(|(x, y, text)| LuxLabel { at: [x, y], text })
            .collect(),
        marks: map
            .marks
            .iter()
            .map(|(name, _, lux)| LuxMark { name: name.clone(), lux: format!("{} lx", map.figure(*lux)) })
            .collect(),
        most: format!("{} lx", map.figure(map.most.0)),
        caution: map.caution(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(STANDARD.encode(plain), coded);
        }
    }

    #[test]
    fn the_page_gets_every_cell_of_the_room() {
        let (file, _) = lanthorn_store::read_show(lanthorn_store::DEMO_TEXT);
        let file = file.unwrap();
        let (show, rig) = (Arc::new(file.show), Arc::new(file.rig));
        let mapper = Mapper::new(show.clone(), rig.clone());
        mapper.take(&lanthorn_rehearsal::settled(&show, &rig, 1));
        let (map, ..) = mapper.map(Some("plane=face&height=1.2"), ACROSS).unwrap();
        let view = view(&map);
        assert_eq!(view.rows.len(), map.count[1]);
        for row in &view.rows {
            assert_eq!(row.iter().map(|[_, count]| *count as usize).sum::<usize>(), map.count[0]);
            assert!(row.iter().all(|[band, _]| (*band as usize) < view.bands.len()));
        }
        assert!(view.on.contains("1.2") && !view.labels.is_empty() && view.bands.len() > 3, "{view:?}");
        assert!(mapper.map(None, ACROSS).is_ok());
        for wrong in ["height=NaN", "height=high", "height=-1", "height=1e9", "plane=wall", "plane", "x=1"] {
            assert!(mapper.map(Some(wrong), ACROSS).is_err(), "{wrong}");
        }
    }
}
