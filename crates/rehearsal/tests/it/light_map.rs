//! Light level maps and what shines into eyes, through player, charts and stand-in.

use std::sync::Arc;

use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Lux, Metres};
use lanthorn_physics::{Direction, Point};
use lanthorn_rehearsal::lux_map::{SheetWords, sheet};
use lanthorn_rehearsal::{LuxMap, MapPlane, light_findings, settled};
use lanthorn_rig::plan::Severity;
use lanthorn_rig::{Area, Rig};
use lanthorn_show::{Aim, Ask, Part};

use crate::lux::{hall, lit, lux, on, show};

fn seats() -> Arc<Rig> {
    let mut rig = (*hall()).clone();
    rig.room.audience = vec![Area {
        name: "seats".to_owned(),
        x: [-4.0, 4.0].map(Metres::new),
        y: [-9.0, -3.0].map(Metres::new),
        height: Metres::ZERO,
    }];
    Arc::new(rig)
}

#[test]
fn a_map_shows_the_light_that_the_stand_in_shows() {
    let rig = hall();
    let show = show(vec![lit(&[1, 4], Some(Aim::At(Point::new(0.0, -4.0, 0.0))), 1.0)]);
    let lights = settled(&show, &rig, 0);
    let map = LuxMap::new(&lights, &rig, MapPlane::Level { height: Metres::ZERO }, 140);
    // The hall is 12 m by 14 m: points every decimetre.
    assert_eq!(map.count, [121, 141]);
    for (x, y) in [(0.0, -4.0), (1.0, -3.5), (-2.5, -6.0), (3.0, 1.0)] {
        let (column, row) =
            (((x + 6.0) * 10.0_f64).round() as usize, ((y + 10.0) * 10.0_f64).round() as usize);
        let floor = if y > 0.0 { 0.8 } else { 0.0 };
        let beams = lights.iter().flat_map(|light| &light.heads);
        let expected: f64 =
            beams.filter_map(|beam| beam.lux_on(Point::new(x, y, floor), Direction::UP)).map(Lux::get).sum();
        let got = map.lux[row * map.count[0] + column];
        assert!((got - expected).abs() < 1e-6 * (1.0 + expected), "{x} {y}: {got}, {expected}");
    }
    // By hand: two beams of 8000 cd on one point, from 3.76 m up (the pivot lies 0.24 m under the bar), 2 m to the side and
    // 2 m away: I · h / d³ each.
    let middle = map.lux[60 * map.count[0] + 60];
    let by_hand = 2.0 * 8000.0 * 3.76 / (3.76 * 3.76 + 4.0 + 4.0_f64).powi(3).sqrt();
    assert!((middle / by_hand - 1.0).abs() < 0.01, "{middle} {by_hand}");
    assert!(map.most.0 >= middle && map.most.0 < 1.1 * middle);
    // The light of its level lies no farther than half a cell from a contour. Across platform edges it jumps.
    let lux_at = |x: f64, y: f64| -> f64 {
        let beams = lights.iter().flat_map(|light| &light.heads);
        beams.filter_map(|beam| beam.lux_on(Point::new(x, y, 0.0), Direction::UP)).map(Lux::get).sum()
    };
    for contour in &map.contours {
        for [x, y] in contour.line.iter().filter(|[_, y]| *y < -0.2) {
            let round =
                [(0.05, 0.0), (-0.05, 0.0), (0.0, 0.05), (0.0, -0.05), (0.035, 0.035), (-0.035, -0.035)];
            let about = round.map(|(dx, dy)| lux_at(x + dx, y + dy));
            let least = about.iter().copied().fold(f64::MAX, f64::min);
            let most = about.iter().copied().fold(0.0, f64::max);
            assert!(
                (least..=most).contains(&contour.lux),
                "{least} to {most} about the line of {}",
                contour.lux
            );
        }
    }
    let faces = LuxMap::new(&lights, &rig, MapPlane::Face { height: Metres::new(1.5) }, 40);
    let behind = faces.marks.iter().find(|(name, ..)| name == "middle").unwrap();
    assert!(behind.2 <= 0.0, "lights behind a face give it nothing: {}", behind.2);
}

#[test]
fn the_page_is_svg_that_holds_what_must_be_said() {
    let mut rig = (*hall()).clone();
    rig.room.name = "hall <&\"> \u{1}".to_owned();
    let rig = Arc::new(rig);
    let show = show(vec![lux(&[1, 2], on("speaker"), 300.0)]);
    let map = LuxMap::new(&settled(&show, &rig, 0), &rig, MapPlane::Face { height: Metres::new(1.6) }, 60);
    let words = SheetWords { show: "concert".to_owned(), what: "look “solo”".to_owned() };
    let page = sheet(&map, &rig, &words);
    for held in [
        "Light level: look “solo”",
        "speaker 300",
        "200 and more",
        "nothing in the room shades",
        "1 : ",
        "&lt;&amp;&quot;&gt;",
    ] {
        assert!(page.contains(held), "{held}");
    }
    assert!(!page.contains('\u{1}') && !page.contains("NaN") && page.ends_with("</svg>\n"));
    let dark = LuxMap::new(&[], &rig, MapPlane::Level { height: Metres::ZERO }, 20);
    assert_eq!((dark.levels.len(), dark.contours.len()), (0, 0));
    assert!(sheet(&dark, &rig, &words).contains("dark"));
}

#[test]
fn still_blue_at_eye_height_is_told_with_its_figure() {
    let rig = seats();
    let blue = Ask { text: "blue".to_owned(), chromaticity: Chromaticity::new(0.1495, 0.0309) };
    // The face of somebody in the seats, 3 m off.
    let eye = Aim::At(Point::new(0.0, -4.0, 1.6));
    let codes = |parts: Vec<Part>| {
        let findings = light_findings(&show(parts), &rig);
        findings.into_iter().map(|finding| (finding.code, finding)).collect::<Vec<_>>()
    };
    let found = codes(vec![Part { colours: vec![blue.clone()], ..lit(&[2], Some(eye.clone()), 1.0) }]);
    let (_, finding) = found.iter().find(|(code, _)| *code == "blue-light").unwrap();
    assert_eq!((finding.severity, finding.units.as_slice()), (Severity::Caution, &[2][..]));
    let figure = finding.figure.clone().unwrap();
    assert!(
        figure.contains("W/m²") && figure.contains("seats") && finding.source.contains("62471"),
        "{figure}"
    );
    assert!(finding.remedy.contains("competent person"));
    // White is far from it: 8000 cd of which blue has its part; on the floor, or dim, there is nothing to say.
    let dim = codes(vec![Part { colours: vec![blue], ..lit(&[2], Some(eye), 0.1) }]);
    assert!(dim.iter().all(|(code, _)| *code != "blue-light"), "{dim:?}");
}

#[test]
fn low_keys_and_levels_out_of_reach_are_told() {
    let rig = seats();
    let findings = light_findings(&show(vec![lux(&[1], on("speaker"), 4000.0)]), &rig);
    let short = findings.iter().find(|finding| finding.code == "lux-short").unwrap();
    assert!(short.what.contains("of 4000 lx at speaker") && short.figure.is_some(), "{short:?}");
    // The bar is 3 m before the speaker and 1.2 m above the mark: 19° above the eyes.
    let low = findings.iter().find(|finding| finding.code == "low-key-light").unwrap();
    assert!(low.figure.clone().unwrap().contains("above the line of sight of a face at speaker"), "{low:?}");
    let reached = light_findings(&show(vec![lux(&[1, 2], on("speaker"), 200.0)]), &rig);
    assert!(reached.iter().all(|finding| finding.code != "lux-short"));
}
