//! `lanthorn check SHOW`

use std::io::Write;
use std::sync::Arc;

use lanthorn_rehearsal::{flashes, moves};
use lanthorn_rig::plan::{Finding, Severity, plan};
use lanthorn_store::library::{self, Offer, Source};

use super::Failure;
use crate::command::Check;
use crate::files;
use crate::planned::with_show;
use crate::words::counted;

/// Says what is wrong with a show file, its plan and its moves. Findings that must change count as wrong too.
pub(crate) fn run(check: &Check) -> Result<(), Failure> {
    let mut opened = files::open(&check.show)?;
    let offers = library::offers(&opened.file.profiles, &opened.file.rig);
    let (show, rig) = (Arc::new(std::mem::take(&mut opened.file.show)), Arc::new(opened.file.rig));
    let mut findings = with_show(plan(&rig), &show, &rig).findings;
    let (of_moves, whole) = moves(&show, &rig);
    let (of_flashes, all) = flashes(&show, &rig);
    findings.extend(of_moves);
    findings.extend(of_flashes);
    findings.sort_by_cached_key(Finding::key);
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
    let must_change = count(Severity::Error);
    let mut out = std::io::stdout().lock();
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
    for finding in findings.iter().filter(|f| check.all || f.severity != Severity::Note) {
        let figure = finding.figure.as_ref().map(|figure| format!(" ({figure})")).unwrap_or_default();
        writeln!(out, "{}: {}{figure}; {}", finding.severity, finding.what, finding.remedy)?;
    }
    if check.all {
        offers.iter().try_for_each(|offer| writeln!(out, "{}", said(offer, &check.show)))?;
    }
    let more = if check.all { "" } else { " (--all tells that too)" };
    writeln!(
        out,
        "{} to change, {} to take care of, {} for your information{more}",
        must_change,
        count(Severity::Caution) + opened.warnings.len(),
        count(Severity::Note) + offers.len(),
    )?;
    if !whole || !all {
        writeln!(out, "the show is too long to play it all: not all of it was looked at")?;
    }
    if must_change > 0 {
        return Err(Failure::Input(format!("{}: the show or its plan must change", opened.name)));
    }
    Ok(())
}

/// "for your information: your own folder has another description of RGBW par: 3 differences; …".
fn said(offer: &Offer, show: &str) -> String {
    let whose = if offer.source == Source::Own { "your own folder" } else { "the library" };
    format!(
        "{}: {whose} has another description of \"{}\" than this show: {}; lanthorn profile diff --in {show} \"{}\" tells them",
        Severity::Note,
        offer.has.name,
        counted(offer.differences.len(), "difference"),
        offer.has.name,
    )
}
