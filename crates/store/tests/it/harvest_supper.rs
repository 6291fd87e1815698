//! The built-in show is one that a person could put up: nothing in its plan must change first.

use lanthorn_rig::plan::{Severity, plan};
use lanthorn_show::{StepTime, tell};
use lanthorn_store::{built_in_room, built_in_show, demo, read_show};

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
    for mark in ["top table", "speaker", "cake", "dance floor", "door", "left tables", "back wall right"] {
        assert!(rig.room.mark(mark).is_some(), "{mark}");
    }
    assert_eq!((rig.circuits.len(), rig.units.len()), (2, 11));
    assert_eq!((show.looks.len(), show.chases.len()), (6, 3));
    let numbers: Vec<String> = (1..=12).map(|number: u32| number.to_string()).collect();
    assert_eq!(show.cues.iter().map(|cue| cue.number.clone()).collect::<Vec<_>>(), numbers);
    assert!(show.cues.iter().any(|cue| cue.follow.is_some()));
    assert!(
        show.chases.iter().flat_map(|chase| &chase.steps).all(|step| matches!(step.time, StepTime::Beats(_)))
    );
    let flash = rig.limits.flash;
    let rates = show.looks.iter().flat_map(|look| &look.parts).filter_map(|part| part.strobe);
    assert!(rates.into_iter().all(|rate| rate <= flash));
}

#[test]
fn it_reads_well() {
    let file = demo().unwrap();
    let (rig, show) = (&file.rig, &file.show);
    let told = |words: &[tell::Word]| tell::plain(words);
    let looks = show.looks.iter().flat_map(|look| tell::look(look, show, rig)).map(|words| told(&words));
    let chases = show.chases.iter().map(|chase| told(&tell::chase(chase, show)));
    let cues = (0..show.cues.len()).map(|index| told(&tell::cue(index, show, rig)));
    let sentences: Vec<String> = looks.chain(chases).chain(cues).collect();
    for sentence in &sentences {
        assert!(sentence.chars().count() <= 160, "too long to read at a glance: {sentence}");
        let legs = [" m right", " m left", " m behind", " m in front", " m above", " m below", "#"];
        assert!(!legs.iter().any(|leg| sentence.contains(leg)), "figures where a word would do: {sentence}");
    }
    for sentence in [
        "Washes from the left tables to the right tables, harvest gold, 85 %.",
        "Washes circle the dance floor, 3 m across, 1 m/s, one after another, late sky and damson by turns, 100 %.",
        "Spots across the floor, each running an eight, 2 by 1 m, a round every 8 beats, magenta, 100 %, gobo rings.",
        "Spots along the back wall, amber, 90 %, gobo leaves.",
        "Round the floor: harvest gold, late sky and poppy, a step every 4 beats, each flowing into the next.",
        "Reel: harvest gold, poppy and late sky, steps of 6 to 8 beats, fading over 4 beats, in any order.",
        "Hazer 11, haze 30 %, fan 40 %.",
        "Round the floor starts; Waltz stops; tempo 112 beats a minute.",
    ] {
        assert!(sentences.iter().any(|told| told == sentence), "{sentence}: {sentences:#?}");
    }
}

#[test]
fn the_gym_and_the_barn_could_be_put_up_too() {
    let hall = demo().unwrap().rig;
    for (name, lights) in [("gym", 17), ("barn", 8)] {
        let (file, problems) = read_show(built_in_room(name).unwrap());
        assert_eq!(problems, [], "{name}");
        let rig = file.unwrap().rig;
        assert_eq!(rig.units.len(), lights);
        let findings = plan(&rig).findings;
        assert!(findings.iter().all(|finding| finding.severity != Severity::Error), "{name}: {findings:#?}");
        assert!(findings.iter().all(|finding| finding.code != "load-limit-unknown"), "{name}");
        for mark in &hall.room.marks {
            assert!(rig.room.mark(&mark.name).is_some(), "{name}: {}", mark.name);
        }
        for group in &hall.groups {
            assert!(rig.group(&group.name).is_some(), "{name}: {}", group.name);
        }
        let (show, problems) = read_show(&built_in_show(name).unwrap());
        assert_eq!(problems, [], "the supper in the {name}");
        assert_eq!(show.unwrap().show.looks.len(), 6);
    }
}
