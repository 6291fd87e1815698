//! `lanthorn profile write NAME-OR-FILE -o FILE.gdtf`

use std::io::Write;

use lanthorn_store::{disk, gdtf};

use super::super::Failure;
use super::find;
use crate::command::ProfileWrite;

/// Writes a fixture file, and says what is not in it.
pub(crate) fn run(options: &ProfileWrite) -> Result<(), Failure> {
    let profile = find::one(&options.profile)?;
    let written = gdtf::write(&profile).map_err(|why| Failure::Machine(why.into()))?;
    disk::keep(&options.out, &written.bytes).map_err(|why| Failure::Machine(why.into()))?;
    let mut out = std::io::stdout().lock();
    let path = options.out.display();
    if options.json {
        let told = serde_json::json!({
            "file": path.to_string(),
            "light": profile.name,
            "standard_name": written.name,
            "left_out": written.left_out,
        });
        serde_json::to_writer_pretty(&mut out, &told).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    writeln!(
        out,
        "{path}: {}, as GDTF 1.2 ({} by the standard's way of naming files)",
        profile.name, written.name
    )?;
    for what in &written.left_out {
        writeln!(out, "for your information: not in the file: {what}")?;
    }
    Ok(())
}
