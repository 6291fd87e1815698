//! `lanthorn export SHOW -o FILE`

use std::io::Write;
use std::sync::Arc;

use lanthorn_rig::plan::plan;
use lanthorn_sheets::Input;
use lanthorn_store::{disk, mvr};

use super::Failure;
use crate::command::Export;
use crate::files;
use crate::planned::with_show;

/// Writes the rig as a rig file, or one of its tables: by the ending and the name of what is to be written.
pub(crate) fn run(options: &Export) -> Result<(), Failure> {
    let name = options.out.file_name().map(|name| name.to_string_lossy().to_lowercase()).unwrap_or_default();
    let opened = files::open(&options.show)?;
    opened.print_warnings();
    let path = options.out.display();
    let (bytes, left_out) = if name.ends_with(".mvr") {
        let written = mvr::write(&opened.file).map_err(|why| Failure::Machine(why.into()))?;
        (written.bytes, written.left_out)
    } else {
        let (show, rig) = (opened.file.show, Arc::new(opened.file.rig));
        let plan = with_show(plan(&rig), &show, &rig);
        let tables = lanthorn_sheets::csv(&Input { show: &show, rig: &rig, plan: &plan });
        let tables = tables.map_err(|why| Failure::Machine(why.into()))?;
        let known: Vec<&str> = tables.iter().map(|(name, _)| *name).collect();
        let table = tables.iter().find(|(known, _)| name == *known || name.ends_with(&format!("-{known}")));
        let Some((_, text)) = table else {
            return Err(Failure::Input(format!(
                "{path}: write a rig to NAME.mvr, or a table to one of {}, or NAME- before that",
                known.join(", ")
            )));
        };
        (text.clone().into_bytes(), Vec::new())
    };
    disk::keep(&options.out, &bytes).map_err(|why| Failure::Machine(why.into()))?;
    let mut out = std::io::stdout().lock();
    if options.json {
        let told = serde_json::json!({ "file": path.to_string(), "left_out": left_out });
        serde_json::to_writer_pretty(&mut out, &told).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    writeln!(out, "{path} is written")?;
    for what in left_out {
        writeln!(out, "for your information: not in the file: {what}")?;
    }
    Ok(())
}
