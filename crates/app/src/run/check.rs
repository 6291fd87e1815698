//! `lanthorn check SHOW`

use std::io::Write;

use lanthorn_rig::plan::{Severity, plan};

use super::Failure;
use crate::command::Check;
use crate::files;

/// Says what is wrong with a show file. Findings of the plan that must change count as wrong too.
pub(crate) fn run(check: &Check) -> Result<(), Failure> {
    let opened = files::open(&check.show)?;
    let plan = plan(&opened.file.rig);
    let count = |severity| plan.findings.iter().filter(|f| f.severity == severity).count();
    let must_change = count(Severity::Error);
    let mut out = std::io::stdout().lock();
    let (show, rig) = (&opened.file.show, &opened.file.rig);
    writeln!(
        out,
        "{}: {} lights, {} looks, {} chases, {} cues",
        opened.name,
        rig.units.len(),
        show.looks.len(),
        show.chases.len(),
        show.cues.len()
    )?;
    if !opened.warnings.is_empty() {
        writeln!(out, "{}", files::lines(&opened.name, &opened.warnings))?;
    }
    for finding in plan.findings.iter().filter(|f| f.severity != Severity::Note) {
        writeln!(out, "{}: {}: {}; {}", finding.severity, finding.place, finding.what, finding.remedy)?;
    }
    writeln!(
        out,
        "{} to change, {} to take care of, {} for your information (lanthorn plan {} tells more)",
        must_change,
        count(Severity::Caution) + opened.warnings.len(),
        count(Severity::Note),
        check.show
    )?;
    if must_change > 0 {
        return Err(Failure::Input(format!("{}: the plan must change", opened.name)));
    }
    Ok(())
}
