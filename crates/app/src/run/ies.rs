//! `lanthorn ies FILE`

use std::io::Write;
use std::path::Path;

use lanthorn_fixture::profile::Measured;
use lanthorn_physics::beam::ies::Photometry;
use lanthorn_physics::units::Radians;
use lanthorn_store::{attach_photometry, disk};

use super::Failure;
use crate::calc::beam::summary;
use crate::command::Ies;

/// Says what a photometric file holds, and prints what puts it into a profile.
pub(crate) fn run(options: &Ies) -> Result<(), Failure> {
    let text = disk::load(&options.file).map_err(|error| Failure::Input(error.to_string()))?;
    let name = options.file.display();
    let (measured, file) =
        Measured::read(&text).map_err(|error| Failure::Input(format!("{name}: {error}")))?;
    if let Some(profile) = &options.attach {
        return attach(profile, &text);
    }
    let mut out = std::io::stdout().lock();
    if options.json {
        serde_json::to_writer_pretty(&mut out, &summary(&file)).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    tell(&mut out, &measured, &file)?;
    writeln!(out, "\nInto the profile of the light:\n\n[optics]")?;
    write!(out, "{}", lanthorn_store::photometry_lines(&text))?;
    Ok(())
}

/// Puts the photometric file into a profile's file; nothing else in that changes.
fn attach(path: &Path, file: &str) -> Result<(), Failure> {
    let old = disk::load(path).map_err(|error| Failure::Input(error.to_string()))?;
    let name = path.display();
    let text = attach_photometry(&old, file).map_err(|why| Failure::Input(format!("{name}: {why}")))?;
    if !disk::save_over(path, &old, &text).map_err(anyhow::Error::from)? {
        return Err(Failure::Input(format!("{name}: somebody has written it meanwhile; try again")));
    }
    writeln!(std::io::stdout().lock(), "{name}: [optics] ies now holds the photometric file")?;
    Ok(())
}

fn tell(out: &mut impl Write, measured: &Measured, file: &Photometry) -> std::io::Result<()> {
    writeln!(out, "LM-63 of {}", file.edition.year())?;
    for key in ["MANUFAC", "LUMCAT", "LUMINAIRE", "LAMP", "TEST", "TESTLAB", "ISSUEDATE"] {
        if let Some(text) = file.keyword(key).filter(|text| !text.is_empty()) {
            writeln!(out, "  {:<12}{text}", key.to_lowercase())?;
        }
    }
    let angle = |part| measured.curve.full_angle(part).map(|angle| format!("{:.1}°", angle.deg()));
    let unknown = || "not to be told".to_owned();
    writeln!(
        out,
        "  {:<12}{:.0} cd on the axis",
        "intensity",
        measured.curve.intensity(Radians::ZERO).get()
    )?;
    writeln!(out, "  {:<12}{:.0} cd in the brightest direction", "", file.table.peak().get())?;
    writeln!(out, "  {:<12}{:.0} lm", "flux", measured.flux.get())?;
    if let Some(lumens) = file.lumens_per_lamp {
        writeln!(out, "  {:<12}{:.0} lm", "of lamps", lumens.get() * file.lamps)?;
    }
    writeln!(out, "  {:<12}{}", "beam angle", angle(0.5).unwrap_or_else(unknown))?;
    writeln!(out, "  {:<12}{}", "field angle", angle(0.1).unwrap_or_else(unknown))?;
    if let Some(watts) = file.watts {
        writeln!(out, "  {:<12}{:.0} W", "power", watts.get())?;
    }
    for doubt in &file.doubts {
        writeln!(out, "take care: line {}: {}", doubt.line, doubt.what)?;
    }
    Ok(())
}
