//! Shows that flash faster than the limit lets through, and shows that do not.

use std::sync::Arc;

use lanthorn_physics::Span;
use lanthorn_physics::units::Hertz;
use lanthorn_rehearsal::flashes;
use lanthorn_show::{Chase, Look, Show, StepTime};

use crate::hall::{head, rig, unit};
use crate::moves::{chase, look};

const HERE: (f64, f64, f64) = (0.0, -4.0, 0.0);

fn found(looks: Vec<Look>, chases: Vec<Chase>, tempo: Option<f64>) -> Vec<(String, String)> {
    let profile = head();
    let rig = rig(vec![unit(1, &profile), unit(2, &profile)]);
    let show = Show { name: "x".to_owned(), looks, chases, tempo, ..Show::default() };
    let (findings, whole) = flashes(&Arc::new(show), &rig);
    assert!(whole);
    findings.into_iter().map(|finding| (finding.what, finding.figure.unwrap_or_default())).collect()
}

#[test]
fn a_chase_that_flashes_too_fast_is_named_with_what_becomes_of_it() {
    let looks = || vec![look("on", HERE, 1.0, 0.0), look("off", HERE, 0.0, 0.0)];
    // A flash takes two steps: 0.2 s a flash, 0.5 s a flash.
    let [quick, slow] = [0.1, 0.25].map(|secs| chase(&["on", "off"], secs, 0.0));
    let said = found(looks(), vec![quick], None);
    let [(what, figure)] = &said[..] else { panic!("{said:?}") };
    assert_eq!(what, "Chase round flashes faster than the limit lets through");
    // Held rises come when there is room, and so a little later than wanted.
    assert!(
        figure.starts_with("5.0 flashes a second are asked for, 2.") || figure.contains(", 3.0 are"),
        "{figure}"
    );
    assert_eq!(found(looks(), vec![slow], None), []);
    // By beats: two half beats a flash.
    let mut beats = chase(&["on", "off"], 1.0, 0.0);
    beats.steps.iter_mut().for_each(|step| step.time = StepTime::Beats(0.5));
    assert_eq!(found(looks(), vec![beats.clone()], Some(120.0)), []);
    let said = found(looks(), vec![beats], Some(240.0));
    assert_eq!(said[0].0, "Chase round at 240 beats a minute flashes faster than the limit lets through");
}

#[test]
fn a_look_with_too_many_strobes_is_named() {
    let strobing = |rate: f64| {
        let mut look = look("storm", HERE, 1.0, 0.0);
        look.fade = Span::ZERO;
        look.parts[0].strobe = Some(Hertz::new(rate));
        vec![look]
    };
    assert_eq!(found(strobing(1.0), vec![], None), []);
    let said = found(strobing(8.0), vec![], None);
    assert_eq!(said[0].0, "Look storm flashes faster than the limit lets through");
    assert_eq!(said[0].1, "asked for: 2 lights at up to 8.0 a second; sent: 2 lights at up to 1.0 a second");
}
