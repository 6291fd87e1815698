//! What the stand-in shows of hand-written channel values.

use std::sync::Arc;

use lanthorn_dmx::{Address, Frames};
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Point};
use lanthorn_rehearsal::{LightNow, StandIn};
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{Run, Unit};

use crate::hall::{RED, at, bar, frames, hazer, head, rig, unit};

/// Pan and tilt at the middle of 16 bits, dimmer, shutter, red, green, blue.
fn values(dimmer: u8, shutter: u8, colour: [u8; 3]) -> [u8; 9] {
    [0x80, 0x00, 0x80, 0x00, dimmer, shutter, colour[0], colour[1], colour[2]]
}

fn settled(units: Vec<Unit>, values: &[u8]) -> Vec<LightNow> {
    let mut stand_in = StandIn::new(rig(units));
    stand_in.take(&frames(values), at(0.0));
    stand_in.take(&frames(values), at(60.0));
    stand_in.lights().to_vec()
}

#[test]
fn light_as_the_chart_says() {
    for (values, level, strobe) in [
        (values(255, 255, [255; 3]), 1.0, false),
        (values(128, 255, [255; 3]), 128.0 / 255.0, false),
        (values(255, 0, [255; 3]), 0.0, false), // shutter closed
        (values(255, 255, [0; 3]), 0.0, false),
        (values(255, 255, [255, 0, 0]), 0.30 / 1.06, false), // red's part of all emitters
        (values(255, 100, [255; 3]), 1.0, true),
    ] {
        let lights = settled(vec![unit(1, &head())], &values);
        let beam = &lights[0].heads[0];
        assert!((beam.level - level).abs() < 1e-3, "{values:?}: {}", beam.level);
        let candela = beam.candela.unwrap().get();
        assert!((candela - 8000.0 * level).abs() < 10.0, "{values:?}: {candela}");
        assert_eq!((beam.flashing, beam.strobe.is_some()), (strobe, strobe), "{values:?}");
    }
    let lights = settled(vec![unit(1, &head())], &values(255, 255, [255, 0, 0]));
    assert!(lights[0].heads[0].chromaticity.unwrap().distance_uv(RED) < 1e-6);
}

#[test]
fn what_goes_dark_keeps_its_colour() {
    let mut stand_in = StandIn::new(rig(vec![unit(1, &head())]));
    stand_in.take(&frames(&values(255, 255, [255, 0, 0])), at(0.0));
    stand_in.take(&frames(&values(255, 255, [255, 0, 0])), at(1.0));
    stand_in.take(&frames(&values(0, 255, [255, 0, 0])), at(1.005));
    let beam = &stand_in.lights()[0].heads[0];
    assert!(beam.level > 0.05 && beam.level < 0.25, "a lamp does not stop at once: {}", beam.level);
    assert!(beam.chromaticity.unwrap().distance_uv(RED) < 1e-6);
    stand_in.take(&frames(&values(0, 255, [255, 0, 0])), at(2.0));
    assert!(stand_in.lights()[0].heads[0].level <= 0.0);
}

#[test]
fn motors_take_their_time() {
    // 540° in 3.5 s with half a second to full speed: 180°/s, 360°/s². From the middle to the end, 270°: 2 s.
    let mut stand_in = StandIn::new(rig(vec![unit(1, &head())]));
    let mut end = values(255, 255, [255; 3]);
    (end[0], end[1]) = (0xff, 0xff);
    stand_in.take(&frames(&end), at(0.0));
    for (secs, pan_deg, moving) in
        [(0.25, 11.25, true), (0.5, 45.0, true), (1.0, 135.0, true), (1.9, 268.2, true), (2.01, 270.0, false)]
    {
        stand_in.take(&frames(&end), at(secs));
        let light = &stand_in.lights()[0];
        assert!((light.pan.deg() - pan_deg).abs() < 0.01, "{secs}: {}", light.pan.deg());
        assert_eq!(light.moving, moving, "{secs}");
    }
}

#[test]
fn many_small_steps_end_where_one_long_one_does() {
    let mut end = values(200, 255, [255; 3]);
    (end[0], end[2]) = (0xd0, 0x30);
    let mut often = StandIn::new(rig(vec![unit(1, &head())]));
    for tick in 0..=40 {
        often.take(&frames(&end), at(f64::from(tick) * 0.025));
    }
    let mut seldom = StandIn::new(rig(vec![unit(1, &head())]));
    seldom.take(&frames(&end), at(0.0));
    seldom.take(&frames(&end), at(1.0));
    let (a, b) = (&often.lights()[0], &seldom.lights()[0]);
    assert!((a.pan.get() - b.pan.get()).abs() < 1e-9 && (a.tilt.get() - b.tilt.get()).abs() < 1e-9);
    assert!((a.heads[0].level - b.heads[0].level).abs() < 1e-3);
}

#[test]
fn light_on_the_floor_by_the_inverse_square() {
    let lights = settled(vec![unit(1, &head())], &values(255, 255, [255; 3]));
    let beam = &lights[0].heads[0];
    let spot = beam.spot.as_ref().unwrap();
    let height = beam.from.z();
    assert!(height < 4.0 && height > 3.5, "the lens is below the bar: {height}");
    assert!((spot.throw.get() - height).abs() < 1e-3);
    assert!((spot.lux.unwrap().get() - 8000.0 / (height * height)).abs() < 0.1);
    let ellipse = spot.ellipse.unwrap();
    assert!(
        (ellipse.semi_major() - height * libm::tan(10_f64.to_radians())).abs() < 1e-3,
        "half the beam angle"
    );
}

#[test]
fn surfaces() {
    let towards = |focus| Unit { focus: Some(focus), ..unit(1, &bar()) };
    let up = Unit { up: WayUp::Standing, place: 1, ..unit(1, &bar()) };
    for (light, surface, normal) in [
        (towards(Point::new(0.0, -9.0, 0.0)), "floor", [0.0, 0.0, 1.0]),
        (towards(Point::new(0.0, 1.5, 0.8)), "stage", [0.0, 0.0, 1.0]),
        (towards(Point::new(0.0, 0.0, 0.4)), "stage", [0.0, -1.0, 0.0]),
        (towards(Point::new(-6.0, -2.5, 2.0)), "left wall", [1.0, 0.0, 0.0]),
        (towards(Point::new(0.5, 4.0, 3.0)), "far wall", [0.0, -1.0, 0.0]),
        (towards(Point::new(0.5, -10.0, 3.0)), "near wall", [0.0, 1.0, 0.0]),
        (up, "ceiling", [0.0, 0.0, -1.0]),
    ] {
        let lights = settled(vec![light], &[255; 4]);
        let room = crate::hall::room();
        let spot = lights[0].heads[1].spot.as_ref().unwrap();
        assert_eq!((spot.surface.name(&room), <[f64; 3]>::from(spot.normal)), (surface, normal));
        assert!(spot.lux.unwrap().get() > 0.0);
    }
}

#[test]
fn a_bar_has_its_heads_side_by_side() {
    let lights = settled(vec![unit(1, &bar())], &[255, 0, 128, 0]);
    let heads = &lights[0].heads;
    let xs: Vec<f64> = heads.iter().map(|head| (head.from.x() * 100.0).round()).collect();
    assert_eq!(xs, [-30.0, -10.0, 10.0, 30.0], "0.8 m wide, centimetres");
    let levels: Vec<f64> = heads.iter().map(|head| (head.level * 255.0).round()).collect();
    assert_eq!(levels, [255.0, 0.0, 128.0, 0.0]);
    assert!(heads.iter().all(|head| head.along == Direction::DOWN));
    // Standing it is turned over about Y: its first head is at the right.
    let standing = Unit { up: WayUp::Standing, ..unit(1, &bar()) };
    assert!(settled(vec![standing], &[255; 4])[0].heads[0].from.x() > 0.0);
}

#[test]
fn a_hazer_makes_haze_and_no_light() {
    let lights = settled(vec![unit(1, &hazer())], &[255, 51]);
    assert!((lights[0].haze - 1.0).abs() < 1e-9 && (lights[0].fan - 0.2).abs() < 1e-9);
    assert!(lights[0].heads[0].level <= 0.0);
}

#[test]
fn who_is_not_driven_stays_dark() {
    let driven = |number, address: Option<Address>| Unit {
        run: Run::Driven { address, shares: None },
        ..unit(number, &head())
    };
    let linked = Unit { run: Run::Linked { leader: 1, programme: None }, ..unit(1, &head()) };
    let own = Unit { run: Run::OnItsOwn { programme: None }, ..unit(2, &head()) };
    let elsewhere = driven(4, Address::new(7, 1).ok());
    let over_the_end = driven(5, Address::new(1, 508).ok());
    let lights = settled(vec![linked, own, driven(3, None), elsewhere, over_the_end], &[255; 512]);
    let hear: Vec<bool> = lights.iter().map(|light| light.driven).collect();
    assert_eq!(hear, [false, false, false, false, true]);
    assert!(lights[..4].iter().all(|light| light.heads[0].level <= 0.0 && !light.moving));
}

#[test]
fn two_on_one_address_move_as_one_where_they_hang() {
    let first = unit(1, &head());
    let second = Unit {
        run: Run::Driven { address: first.address(), shares: Some(1) },
        up: WayUp::Standing,
        place: 1,
        ..unit(2, &head())
    };
    let mut moved = values(255, 255, [255; 3]);
    moved[2] = 0xa0;
    let lights = settled(vec![first, second], &moved);
    assert_eq!((lights[0].pan, lights[0].tilt), (lights[1].pan, lights[1].tilt));
    assert!(lights[0].tilt > Radians::ZERO);
    assert!(lights[0].heads[0].along.z() < 0.0 && lights[1].heads[0].along.z() > 0.0);
}

#[test]
fn data_that_ends_is_told() {
    let rig = rig(vec![unit(1, &head())]);
    let mut stand_in = StandIn::new(Arc::clone(&rig));
    stand_in.take(&frames(&values(255, 255, [255; 3])), at(0.0));
    stand_in.take(&frames(&values(255, 255, [255; 3])), at(1.0));
    assert!(stand_in.lights()[0].driven);
    stand_in.take(&Frames::dark([]), at(2.0));
    assert!(!stand_in.lights()[0].driven && stand_in.lights()[0].heads[0].level < 1e-9);
}
