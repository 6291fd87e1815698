//! `lanthorn plan SHOW`

use std::io::Write;

use lanthorn_rig::plan::{plan, to_text};

use super::Failure;
use crate::command::Plan;
use crate::files;

/// Prints the plan.
pub(crate) fn run(options: &Plan) -> Result<(), Failure> {
    let opened = files::open(&options.show)?;
    opened.print_warnings();
    let plan = plan(&opened.file.rig);
    let mut out = std::io::stdout().lock();
    if options.json {
        serde_json::to_writer_pretty(&mut out, &plan).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        write!(out, "{}\n\n{}", opened.file.show.name, to_text(&plan))?;
    }
    Ok(())
}
