//! `lanthorn lux SHOW --look NAME`

use std::io::Write;
use std::sync::Arc;

use lanthorn_physics::Point;
use lanthorn_physics::units::Metres;
use lanthorn_rehearsal::lux_map::{SheetWords, sheet};
use lanthorn_rehearsal::{LuxMap, MapPlane, settled};
use lanthorn_store::disk;
use serde::Serialize;

use super::Failure;
use crate::command;
use crate::files;

/// Points over the longer side of the room: fine enough for paper.
const ACROSS: usize = 160;

/// What is printed with `--json`.
#[derive(Serialize)]
struct Printed<'m> {
    show: &'m str,
    look: &'m str,
    plane: &'static str,
    height_m: f64,
    /// Left and near corner of the grid, metres.
    from: [f64; 2],
    step_m: f64,
    /// Points to the right and away.
    count: [usize; 2],
    /// Row by row from the near end.
    lux: Vec<f64>,
    most_lux: f64,
    most_at: [f64; 3],
    levels_lux: &'m [f64],
    contours: Vec<PrintedContour<'m>>,
    marks: Vec<PrintedMark<'m>>,
    unknown_brightness: &'m [u32],
    assumed_brightness: &'m [u32],
    caution: Vec<String>,
}

#[derive(Serialize)]
struct PrintedContour<'m> {
    lux: f64,
    closed: bool,
    line: &'m [[f64; 2]],
}

#[derive(Serialize)]
struct PrintedMark<'m> {
    name: &'m str,
    at: [f64; 3],
    lux: f64,
}

/// Maps the light of a look, and writes it as a page or as JSON.
pub(crate) fn run(options: &command::Lux) -> Result<(), Failure> {
    let opened = files::open(&options.show)?;
    opened.print_warnings();
    let (show, rig) = (opened.file.show, Arc::new(opened.file.rig));
    let found = show.looks.iter().position(|look| look.name.eq_ignore_ascii_case(&options.look));
    let Some(index) = found else {
        let looks: Vec<&str> = show.looks.iter().map(|look| look.name.as_str()).collect();
        return Err(Failure::Input(format!(
            "--look {}: {} has no look of that name\n  looks: {}",
            options.look,
            opened.name,
            looks.join(", ")
        )));
    };
    let plane = plane(options.plane, options.height)?;
    let map = LuxMap::new(&settled(&show, &rig, index), &rig, plane, ACROSS);
    let look = &show.looks[index].name;
    let mut out = std::io::stdout().lock();
    if options.json {
        serde_json::to_writer(&mut out, &printed(&map, &show.name, look)).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    let words = SheetWords { show: show.name.clone(), what: format!("look “{look}”") };
    let page = sheet(&map, &rig, &words);
    match &options.out {
        Some(path) => {
            disk::save_atomic(path, &page).map_err(|error| Failure::Machine(anyhow::Error::from(error)))?;
            writeln!(
                out,
                "{}: look “{look}” on {}, most {:.0} lx",
                path.display(),
                plane.words(),
                map.most.0
            )?;
            for sentence in map.caution() {
                writeln!(out, "  {sentence}")?;
            }
        }
        None => out.write_all(page.as_bytes())?,
    }
    Ok(())
}

/// A plane at a height, or at its usual one: the floor, faces of standing people.
pub(crate) fn plane(kind: command::LuxPlane, height: Option<f64>) -> Result<MapPlane, Failure> {
    let height = height.unwrap_or(match kind {
        command::LuxPlane::Level => 0.0,
        command::LuxPlane::Face => 1.5,
    });
    let height = Metres::checked(height)
        .filter(|height| (0.0..=50.0).contains(&height.get()))
        .ok_or_else(|| Failure::Input("--height lies between 0 and 50 m".to_owned()))?;
    Ok(match kind {
        command::LuxPlane::Level => MapPlane::Level { height },
        command::LuxPlane::Face => MapPlane::Face { height },
    })
}

fn printed<'m>(map: &'m LuxMap, show: &'m str, look: &'m str) -> Printed<'m> {
    let xyz = |at: Point| <[f64; 3]>::from(at);
    let round = |lux: &f64| (lux * 10.0).round() / 10.0;
    Printed {
        show,
        look,
        plane: match map.plane {
            MapPlane::Level { .. } => "level",
            MapPlane::Face { .. } => "face",
        },
        height_m: map.plane.height().get(),
        from: map.from,
        step_m: map.step,
        count: map.count,
        lux: map.lux.iter().map(round).collect(),
        most_lux: map.most.0,
        most_at: xyz(map.most.1),
        levels_lux: &map.levels,
        contours: map
            .contours
            .iter()
            .map(|contour| PrintedContour { lux: contour.lux, closed: contour.closed, line: &contour.line })
            .collect(),
        marks: map
            .marks
            .iter()
            .map(|(name, at, lux)| PrintedMark { name, at: xyz(*at), lux: *lux })
            .collect(),
        unknown_brightness: &map.unknown,
        assumed_brightness: &map.assumed,
        caution: map.caution(),
    }
}
