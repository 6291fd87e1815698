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
    let counts = [
        counted(rig.units.len(), "light"),
        counted(show.looks.len(), "look"),
        counted(show.chases.len(), "chase"),
        counted(show.cues.len(), "cue"),
    ];
    writeln!(out, "{}: {}", opened.name, counts.join(", "))?;
    if !opened.warnings.is_empty() {
        writeln!(out, "{}", files::lines(&opened.name, &opened.warnings))?;
    }
    for finding in plan.findings.iter().filter(|f| f.severity != Severity::Note) {
        let figure = finding.figure.as_ref().map(|figure| format!(" ({figure})")).unwrap_or_default();
        writeln!(out, "{}: {}{figure}; {}", finding.severity, finding.what, finding.remedy)?;
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

/// "1 chase", "3 chases".
fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}
