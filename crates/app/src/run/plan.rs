//! `lanthorn plan SHOW`

mod what_if;

use std::io::Write;

use lanthorn_rig::plan::{compare, difference_text, plan, to_text};
use serde_json::json;

use super::Failure;
use crate::command::Plan;
use crate::files;

/// Prints the plan; or, with changes to try, what they would change in it.
pub(crate) fn run(options: &Plan) -> Result<(), Failure> {
    let opened = files::open(&options.show)?;
    opened.print_warnings();
    let before = plan(&opened.file.rig);
    let mut out = std::io::stdout().lock();
    if options.what_if.is_empty() {
        if options.json {
            serde_json::to_writer_pretty(&mut out, &before).map_err(std::io::Error::from)?;
            writeln!(out)?;
        } else {
            write!(out, "{}\n\n{}", opened.file.show.name, to_text(&before))?;
        }
        return Ok(());
    }
    let mut rig = opened.file.rig.clone();
    let mut done = Vec::new();
    for change in &options.what_if {
        let said = what_if::make(change, &mut rig, &opened.file.profiles);
        done.push(said.map_err(|why| Failure::Input(format!("--what-if {change}: {why}")))?);
    }
    let after = plan(&rig);
    let difference = compare(&before, &after);
    if options.json {
        let answer = json!({ "what_if": done, "difference": difference, "plan": after });
        serde_json::to_writer_pretty(&mut out, &answer).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        write!(
            out,
            "{}\n\nWhat if: {}\n\n{}",
            opened.file.show.name,
            done.join("; "),
            difference_text(&difference)
        )?;
    }
    Ok(())
}
