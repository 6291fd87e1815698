//! The built-in show is one that a person could put up: nothing in its plan must change first.

use lanthorn_rig::plan::{Severity, plan};
use lanthorn_show::StepTime;
use lanthorn_store::demo;

#[test]
fn its_plan_has_notes_but_no_error() {
    let rig = demo().unwrap().rig;
    let findings = plan(&rig).findings;
    let said = |severity| findings.iter().filter(move |finding| finding.severity == severity);
    assert_eq!(said(Severity::Error).collect::<Vec<_>>(), Vec::<&_>::new());
    assert!(said(Severity::Caution).count() >= 1, "haze and strobe want care");
    assert!(said(Severity::Note).any(|finding| finding.what.contains("ower factor")), "{findings:#?}");
}

#[test]
fn it_holds_what_it_promises() {
    let file = demo().unwrap();
    let (rig, show) = (&file.rig, &file.show);
    for mark in ["top table", "speaker", "cake", "dance floor", "door"] {
        assert!(rig.room.mark(mark).is_some(), "{mark}");
    }
    assert_eq!((rig.circuits.len(), rig.units.len()), (2, 11));
    assert!(show.cues.iter().any(|cue| cue.follow.is_some()));
    assert!(
        show.chases.iter().flat_map(|chase| &chase.steps).all(|step| matches!(step.time, StepTime::Beats(_)))
    );
    let flash = rig.limits.flash;
    let rates = show.looks.iter().flat_map(|look| &look.parts).filter_map(|part| part.strobe);
    assert!(rates.into_iter().all(|rate| rate <= flash));
}
