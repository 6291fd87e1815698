//! `lanthorn sight SHOW`

use std::io::Write;

use lanthorn_rig::sight::Sight;
use lanthorn_rig::{Rig, Unit};
use serde::Serialize;

use super::Failure;
use crate::command;
use crate::files::{self, Opened};
use crate::sighting::{Edit, view, write};
use crate::wire::SightingView;

/// One light, for machines.
#[derive(Serialize)]
struct Printed<'v> {
    unit: u32,
    kind: String,
    /// The marks that the lists of `sighting` go by.
    marks: Vec<&'v str>,
    sighting: SightingView,
}

/// Says what sighting in has found out, perhaps after adding a sight or taking one back.
pub(crate) fn run(options: &command::Sight) -> Result<(), Failure> {
    let mut opened = files::open(&options.show)?;
    if let Some(edit) = edit(options, &opened)? {
        let Some(path) = &opened.path else {
            return Err(Failure::Input(
                "sight: the built-in show is never changed; lanthorn new NAME --from demo makes one of your own"
                    .to_owned(),
            ));
        };
        let said = write(path, &[edit]).map_err(Failure::Input)?;
        if !said.is_empty() {
            eprintln!("take care: {said}");
        }
        opened = files::open(&options.show)?;
    }
    opened.print_warnings();
    let rig = &opened.file.rig;
    let chosen = |unit: &&Unit| options.unit.is_none_or(|number| unit.number == number);
    let heads: Vec<(&Unit, SightingView)> =
        rig.units.iter().filter(chosen).filter_map(|unit| Some((unit, view(rig, unit)?))).collect();
    if heads.is_empty() {
        let why = match options.unit {
            None => "no light here has pan and tilt to be sighted in".to_owned(),
            Some(number) if rig.unit(number).is_none() => format!("there is no light {number}"),
            Some(number) => no_axes(number),
        };
        return Err(Failure::Input(format!("{}: {why}", opened.name)));
    }
    let mut out = std::io::stdout().lock();
    if options.json {
        let marks: Vec<&str> = rig.room.marks.iter().map(|mark| mark.name.as_str()).collect();
        let printed = |(unit, sighting): &(&Unit, SightingView)| Printed {
            unit: unit.number,
            kind: unit.profile.name.clone(),
            marks: marks.clone(),
            sighting: sighting.clone(),
        };
        let list: Vec<Printed<'_>> = heads.iter().map(printed).collect();
        serde_json::to_writer_pretty(&mut out, &list).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    for (unit, sighting) in &heads {
        print(&mut out, rig, unit, sighting)?;
    }
    Ok(())
}

/// The change that the options ask for.
fn edit(options: &command::Sight, opened: &Opened) -> Result<Option<Edit>, Failure> {
    let wrong = |why: String| Failure::Input(format!("{}: {why}", opened.name));
    let rig = &opened.file.rig;
    let Some(number) = options.unit.filter(|_| options.add.is_some() || options.undo) else {
        return Ok(None);
    };
    let unit = rig.unit(number).ok_or_else(|| wrong(format!("there is no light {number}")))?;
    if !unit.moves() {
        return Err(wrong(no_axes(number)));
    }
    if options.undo {
        let last = unit.found.sights.last().cloned();
        let last = last.ok_or_else(|| wrong(format!("light {number} has no sight to take back")))?;
        return Ok(Some(Edit::Remove(number, last)));
    }
    let (Some(name), Some(pan), Some(tilt)) = (&options.add, options.pan, options.tilt) else {
        return Ok(None);
    };
    let mark = rig.room.mark(name).ok_or_else(|| {
        let known: Vec<&str> = rig.room.marks.iter().map(|mark| mark.name.as_str()).collect();
        wrong(format!("there is no mark \"{name}\"; there is {}", known.join(", ")))
    })?;
    Ok(Some(Edit::Add(number, Sight { mark: Some(name.clone()), at: mark.at, pan, tilt })))
}

fn no_axes(number: u32) -> String {
    format!("light {number} has no pan and tilt to be sighted in")
}

fn print(out: &mut impl Write, rig: &Rig, unit: &Unit, view: &SightingView) -> std::io::Result<()> {
    let count = match view.sights.len() {
        0 => "no sight yet".to_owned(),
        1 => "1 sight".to_owned(),
        count => format!("{count} sights"),
    };
    let enough = if view.enough { ", enough" } else { "" };
    writeln!(out, "light {}, {}: {count}{enough}", unit.number, unit.profile.name)?;
    for sight in &view.sights {
        let [x, y, z] = sight.at;
        let name = sight.mark.clone().unwrap_or_else(|| format!("[{x}, {y}, {z}]"));
        let miss = match sight.miss_cm {
            Some(miss) if sight.wrong => format!("  {miss:.0} cm off: does not fit, left out"),
            Some(miss) => format!("  {miss:.1} cm off"),
            None => String::new(),
        };
        writeln!(out, "  sighted {name}{miss}")?;
    }
    for sentence in &view.says {
        writeln!(out, "  {sentence}")?;
    }
    if !view.expected_cm.is_empty() {
        writeln!(out, "  expected miss, in 95 of 100 cases; and the radius of the spot there")?;
        for ((mark, expected), spot) in rig.room.marks.iter().zip(&view.expected_cm).zip(&view.spot_cm) {
            let spot = spot.map_or("spot not known".to_owned(), |spot| format!("spot {spot:.0} cm"));
            match expected {
                Some(expected) => writeln!(out, "    {}  {expected:.1} cm, {spot}", mark.name)?,
                None => writeln!(out, "    {}  out of reach", mark.name)?,
            }
        }
    }
    let time = |time: Option<f64>, from: &str| {
        time.map_or("not known".to_owned(), |time| format!("{time:.1} s ({from})"))
    };
    let [pan, tilt] = &view.times_from;
    writeln!(
        out,
        "  which way pan runs: {}; from end to end: pan {}, tilt {}",
        view.signs,
        time(view.pan_time_s, pan),
        time(view.tilt_time_s, tilt)
    )
}
