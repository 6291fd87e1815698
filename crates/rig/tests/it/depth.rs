//! The plan's deeper sums, from a rig to its findings. The sums themselves are checked against published figures beside
//! their code in `sums`; here stands what a rig makes of them.

use std::sync::Arc;

use lanthorn_fixture::{Fact, Profile};
use lanthorn_physics::Point;
use lanthorn_physics::units::{
    Amps, Decibels, Kilograms, Metres, Radians, VoltAmps, Volts, WattHours, Watts,
};
use lanthorn_rig::plan::{Finding, Plan, plan, to_text};
use lanthorn_rig::sums::bar::{GRAVITY, TUBES};
use lanthorn_rig::sums::cable::Size;
use lanthorn_rig::sums::electric::{Curve, Region};
use lanthorn_rig::{Circuit, Lead, Legs, PlaceKind, Rig};

use crate::rigs::{Edit, audience, par, rig};

fn near(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
}

fn profile(rig: &mut Rig, index: usize) -> &mut Profile {
    Arc::make_mut(&mut rig.units[index].profile)
}

fn found<'p>(plan: &'p Plan, code: &str) -> Option<&'p Finding> {
    plan.findings.iter().find(|finding| finding.code == code)
}

fn draws(rig: &mut Rig, index: usize, amps: f64) {
    let volts = rig.mains.volts.get();
    profile(rig, index).power.watts = Fact::stated(Watts::new(amps * volts));
}

fn lead(metres: f64, cable: Size) -> Option<Lead> {
    Some(Lead { length: Metres::new(metres), cable: Some(cable) })
}

#[test]
fn an_overfull_circuit_is_told_which_light_to_move() {
    // 18 A on a circuit planned to 16, nothing on the other: moving one light of 3 A is enough.
    let two = rig(par(1), 6).with(|rig| {
        (0..6).for_each(|index| draws(rig, index, 3.0));
        rig.circuits.push(Circuit {
            other_load: Some(Amps::ZERO),
            ..Circuit::new("hall".to_owned(), Amps::new(20.0))
        });
    });
    let over = plan(&two);
    let assignment = over.assignment.as_ref().unwrap();
    assert!(assignment.fits && assignment.certain && assignment.fewest_moves);
    assert_eq!(assignment.moves.len(), 1);
    assert_eq!(assignment.moves[0].to, "hall");
    let remedy = &found(&over, "circuit-over-limit").unwrap().remedy;
    assert!(remedy.contains("to hall: then every circuit is inside its limit"), "{remedy}");
    // Alone it cannot fit, and says by how much and without whom it would.
    let one = plan(&two.with(|rig| rig.circuits.truncate(1)));
    let assignment = one.assignment.as_ref().unwrap();
    assert!(!assignment.fits && assignment.certain);
    near(assignment.short_by_amps.unwrap(), 2.0, 0.01);
    assert_eq!(assignment.leave_out.len(), 1);
    assert!(to_text(&one).contains("It cannot fit on these circuits"));
}

#[test]
fn a_socket_that_is_too_far_is_no_way_out() {
    let far = |reach: f64| {
        plan(&rig(par(1), 6).with(|rig| {
            (0..6).for_each(|index| draws(rig, index, 3.0));
            let at = Some(Point::new(30.0, -10.0, 0.3));
            rig.circuits.push(Circuit {
                at,
                reach: Some(Metres::new(reach)),
                ..Circuit::new("far".to_owned(), Amps::new(20.0))
            });
        }))
    };
    assert!(!far(10.0).assignment.unwrap().fits);
    assert!(far(100.0).assignment.unwrap().fits);
}

#[test]
fn chains_are_summed_light_by_light() {
    // 2.525 A each at 120 V (a published example); four behind the first pass on 10.1 A of 12 printed; five 12.6.
    for (count, over) in [(5, false), (6, true)] {
        let plan = plan(&rig(par(1), count).with(|rig| {
            (1..rig.units.len()).for_each(|index| rig.units[index].feed.from = Some(index as u32));
        }));
        assert_eq!(plan.chains.len(), 1);
        near(plan.chains[0].links[0].passed_amps.unwrap(), f64::from(count - 1) * 2.525, 1e-9);
        assert_eq!(found(&plan, "through-over").is_some(), over, "{count}");
        assert!(found(&plan, "through-power").is_none(), "it is summed now");
    }
    let broken = plan(&rig(par(1), 2).with(|rig| {
        rig.units[0].feed.from = Some(2);
        rig.units[1].feed.from = Some(1);
    }));
    assert!(found(&broken, "power-from").is_some());
    // A chain on one plug against what a socket is planned for.
    let much = plan(&rig(par(1), 5).with(|rig| {
        (1..5).for_each(|index| rig.units[index].feed.from = Some(index as u32));
        rig.mains.receptacle = Some(Amps::new(12.0));
    }));
    assert_eq!(found(&much, "receptacle-over").unwrap().figure.as_deref(), Some("12.6 A of 12.0 A"));
}

#[test]
fn tension_is_lost_segment_by_segment() {
    // Four lights of 1 A, each 5 m of 1.5 mm² behind the last: 5 · 0.032 · (4 + 3 + 2 + 1) = 1.6 V at the end.
    let chain = plan(&rig(par(1), 4).with(|rig| {
        rig.mains.volts = Volts::new(230.0);
        (0..4).for_each(|index| draws(rig, index, 1.0));
        for (index, unit) in rig.units.iter_mut().enumerate() {
            unit.feed.from = (index > 0).then_some(index as u32);
            unit.feed.lead = lead(5.0, Size::Mm2(150));
        }
    }));
    near(chain.drops[3].drop_volts, 1.6, 1e-9);
    near(chain.drops[0].drop_volts, 0.64, 1e-9);
    assert!(chain.drops[3].how.source.contains("4F3B") && chain.drops[3].how.inputs.len() >= 12);
    // 16 A, 100 ft of 14 AWG, 120 V, stranded: 8.4 % (by arithmetic from NEC Chapter 9 Table 8); and 16 A are inside 18.
    let long = plan(&rig(par(1), 1).with(|rig| {
        draws(rig, 0, 16.0);
        rig.units[0].feed.lead = lead(30.48, Size::Awg(14));
    }));
    near(long.drops[0].share, 0.084, 0.0005);
    assert!(found(&long, "voltage-drop").is_some() && found(&long, "lead-over").is_none());
    let thin = plan(&rig(par(1), 1).with(|rig| {
        draws(rig, 0, 16.0);
        rig.units[0].feed.lead = lead(1.0, Size::Awg(16));
    }));
    assert_eq!(found(&thin, "lead-over").unwrap().figure.as_deref(), Some("16.0 A of 13 A for 16 AWG"));
    // One lead for a whole circuit carries all of it.
    let shared = plan(&rig(par(1), 4).with(|rig| {
        (0..4).for_each(|index| draws(rig, index, 1.0));
        rig.circuits[0].lead = lead(10.0, Size::Mm2(150));
    }));
    assert!(shared.drops.iter().all(|drop| (drop.drop_volts - 10.0 * 0.032 * 4.0).abs() < 1e-9));
}

#[test]
fn leakage_is_held_against_a_third_of_the_device() {
    // 9 mA may stand on 30 mA: 12 lights of 0.7 mA are inside, 13 are not (a switchgear maker's guide).
    for (count, each, code) in [
        (12, Some(0.0007), None),
        (13, Some(0.0007), Some("leakage")),
        (3, None, Some("leakage-assumed")),
        (2, None, None),
    ] {
        let plan = plan(&rig(par(1), count).with(|rig| {
            rig.circuits[0].rcd = Some(Amps::new(0.03));
            for index in 0..rig.units.len() {
                profile(rig, index).power.leakage =
                    each.map_or_else(Fact::unknown, |amps| Fact::stated(Amps::new(amps)));
            }
        }));
        let got = plan.findings.iter().map(|finding| finding.code).find(|code| code.starts_with("leakage"));
        assert_eq!(got, code, "{count} × {each:?}");
        near(plan.circuits[0].leakage.as_ref().unwrap().limit_ma, 9.0, 1e-9);
    }
    assert!(plan(&rig(par(1), 12)).circuits[0].leakage.is_none(), "no device is said, none is made up");
}

#[test]
fn lights_are_switched_on_in_groups() {
    // 4 · 20 A / 30 A = 2 at a time (a data-sheet formula).
    let plan = plan(&rig(par(1), 5).with(|rig| {
        rig.circuits[0].curve = Some(Curve::B);
        (0..5).for_each(|index| profile(rig, index).power.inrush = Fact::stated(Amps::new(30.0)));
    }));
    let switch_on = plan.circuits[0].switch_on.as_ref().unwrap();
    assert_eq!(switch_on.groups, [vec![1, 2], vec![3, 4], vec![5]]);
    assert!(switch_on.by_table.is_empty() && !switch_on.curve_assumed);
    assert!(found(&plan, "switch-on").is_some());
}

#[test]
fn phases_and_generator() {
    let three = plan(&rig(par(1), 6).with(|rig| {
        (0..6).for_each(|index| draws(rig, index, 2.0));
        rig.circuits = (1..=3)
            .map(|phase| Circuit { phase: Some(phase), ..Circuit::new(format!("L{phase}"), Amps::new(20.0)) })
            .collect();
        for (index, unit) in rig.units.iter_mut().enumerate() {
            unit.circuit = Some(if index < 4 { 0 } else { index - 3 });
        }
        rig.mains.generator = Some(VoltAmps::new(1600.0));
    }));
    let phases = three.phases.as_ref().unwrap();
    near(phases.amps[0], 8.0, 1e-9);
    near(phases.imbalance, 1.0, 1e-9);
    assert!(found(&three, "phases-uneven").is_some() && found(&three, "neutral").is_some());
    // 12 A at 120 V are 1440 VA: 90 % of 1600.
    let generator = three.generator.as_ref().unwrap();
    near(generator.share, 0.9, 1e-9);
    near(generator.wanted_va, 1800.0, 1e-6);
    assert!(found(&three, "generator-full").is_some());
    assert!(three.cautions.iter().any(|caution| caution.starts_with("Generator:")));
}

#[test]
fn points_and_tube_of_a_bar() {
    // 4 m of steel tube with six lights of 7.5 + 0.8 kg: 33.6 kg on each of two points, more than half of 50.
    let bar = |rated: Option<f64>| {
        plan(&rig(par(1), 6).with(|rig| {
            let place = &mut rig.room.places[0];
            place.length = Metres::new(4.0);
            place.held.points = Some([Metres::new(-2.0), Metres::new(2.0)]);
            place.held.tube = Some(&TUBES[0]);
            place.held.point_rated = rated.map(Kilograms::new);
        }))
    };
    let half = bar(Some(50.0));
    let sums = half.places[0].bar.as_ref().unwrap();
    near(sums.points_kg[0], (6.0 * 8.3 + 4.0 * 4.37) / 2.0, 1e-9);
    assert!(sums.moment_share.unwrap() > 0.3 && sums.how.inputs.len() >= 5);
    assert!(found(&half, "point-over-half").is_some());
    assert!(found(&bar(Some(100.0)), "point-over-half").is_none());
    assert!(found(&bar(Some(20.0)), "point-overloaded").is_some());
    assert!(plan(&rig(par(1), 6)).places[0].bar.is_none(), "no points are said, none are made up");
}

#[test]
fn stands_tip_and_catch_the_wind() {
    // A stand of 11.7 kg with one light of 8.3 kg at 2.4 m, three legs of 0.6 m: 20 kg, 24.5 N (statics, by hand).
    let stand = plan(&rig(par(1), 1).with(|rig| {
        let place = &mut rig.room.places[1];
        place.kind = PlaceKind::Stand;
        place.middle = Point::new(0.0, 0.0, 2.4);
        place.own_weight = Some(Kilograms::new(11.7));
        place.held.legs = Some(Legs { count: 3, radius: Metres::new(0.6), ballast: Kilograms::ZERO });
        place.held.outdoors = true;
        rig.units[0].place = 1;
        let body = &mut profile(rig, 0).body;
        (body.width, body.height) = (Fact::stated(Metres::new(0.5)), Fact::stated(Metres::new(0.5)));
    }));
    let sums = stand.places[0].stand.as_ref().unwrap();
    near(sums.tip_force_n, 24.5, 0.05);
    // √(2 · 24.5 / (1.225 · 1.2 · 0.25)) = 11.5 m/s.
    near(sums.tip_wind_m_s.unwrap(), 11.55, 0.02);
    assert!(found(&stand, "stand-shove").is_some() && found(&stand, "stand-wind").is_some());
    assert!(found(&stand, "stand-tips").is_none(), "said once");
    assert!(stand.cautions.iter().any(|caution| caution.starts_with("Outdoors:")));
    // Both lights on one arm.
    let aside = plan(&rig(par(1), 2).with(|rig| {
        rig.room.places[1].held.legs =
            Some(Legs { count: 3, radius: Metres::new(0.6), ballast: Kilograms::new(10.0) });
        for unit in &mut rig.units {
            (unit.place, unit.offset) = (1, Metres::new(0.5));
        }
    }));
    let sums = aside.places[0].stand.as_ref().unwrap();
    near(sums.offset_m, 0.5, 1e-9);
    near(sums.tip_force_heavy_side_n, (26.6 * 0.3 - 16.6 * 0.5_f64).max(0.0) * GRAVITY / 2.2, 1e-9);
    assert!(found(&aside, "stand-offset").is_some());
}

#[test]
fn fans_are_heard_at_the_nearest_seat() {
    // 44 dBA at 1 m, 5 m up over the middle of the seats: 3.8 m to the ears, 11.6 dB less.
    let plan = plan(&rig(par(1), 1).with(|rig| {
        rig.room.audience = vec![audience()];
        rig.room.places[0].middle = Point::new(0.0, -4.0, 5.0);
        profile(rig, 0).noise = Fact::stated(Decibels::new(44.0));
    }));
    let seat = plan.noise.seat.as_ref().unwrap();
    near(seat.level_dba, 44.0 - 11.6, 0.05);
    assert_eq!((seat.area.as_str(), seat.loudest), ("dance floor", 1));
    near(seat.at[2], 1.2, 1e-12);
}

#[test]
fn a_line_out_of_order_is_told_a_shorter_one() {
    let line = plan(&rig(par(1), 8).with(|rig| {
        for (unit, order) in rig.units.iter_mut().zip([0, 4, 1, 5, 2, 6, 3, 7]) {
            (unit.line, unit.line_order) = (Some("A".to_owned()), order);
            unit.offset = Metres::new(unit.offset.get() * 4.0);
        }
    }));
    let line = &line.lines[0];
    let shorter = line.shorter.as_ref().unwrap();
    assert!(shorter.exact);
    near(line.way_m.unwrap() - shorter.way_m, shorter.saves_m, 1e-9);
    let straight: Vec<u32> = (1..=8).collect();
    assert!(
        shorter.units == straight || shorter.units.iter().rev().copied().eq(straight),
        "{:?}",
        shorter.units
    );
    // Along the bar 2 m apart: 2 · 1.1 + 1 = 3.2 m, so 5 m cables.
    let along = plan(&rig(par(1), 3).with(|rig| {
        rig.units.iter_mut().for_each(|unit| unit.offset = Metres::new(unit.offset.get() * 4.0));
    }));
    assert_eq!(along.lines[0].legs[1].cables_m, [5.0]);
    assert!(along.lines[0].shorter.is_none(), "one end is as good as the other");
}

#[test]
fn cases_batteries_and_switches() {
    let plan = plan(&rig(par(3), 4).with(|rig| {
        rig.units[0].case = Some("pars".to_owned());
        rig.units[1].case = Some("pars".to_owned());
        rig.units[2].case = Some("pars".to_owned());
        profile(rig, 3).power.battery = Fact::stated(WattHours::new(606.0));
        profile(rig, 3).data.addressing = Fact::stated(lanthorn_fixture::profile::Addressing::Dip);
        profile(rig, 3).data.counts_from = Fact::stated(0);
    }));
    let case = plan.cases.iter().find(|case| case.name == "pars").unwrap();
    near(case.weight_kg, 22.5, 1e-9);
    assert!(case.two_people && case.items[0].count == 3);
    let small = plan.cases.iter().find(|case| case.name == "cables and small parts").unwrap();
    assert!(small.items.iter().any(|item| item.what == "terminator" && item.count == 1));
    assert!(small.items.iter().any(|item| item.what.starts_with("clamp") && item.count == 4));
    // 606 Wh · 0.85 / 303 W.
    near(plan.units[3].battery.as_ref().unwrap().hours, 1.7, 1e-9);
    // Start address 10 of a light that counts from zero: 9 is switches 1 and 4.
    assert_eq!(plan.units[3].dip_switches_on.as_deref(), Some(&[1, 4][..]));
    assert!(to_text(&plan).contains("SWITCHES"));
    let lines = plan.units[3].dip_picture.as_ref().unwrap().lines().count();
    assert_eq!(lines, 3);
}

#[test]
fn a_region_says_the_usual_figures() {
    for (region, volts, limit) in [
        (Region::Us, 120.0, 16.0),
        (Region::Uk, 230.0, 12.5),
        (Region::Eu, 230.0, 16.0),
        (Region::Jp, 100.0, 16.0),
    ] {
        let plan = plan(&rig(par(1), 1).with(|rig| rig.mains = lanthorn_rig::rig::Mains::of(region)));
        near(plan.mains_volts, volts, 1e-9);
        near(plan.circuits[0].limit_amps, limit, 1e-9);
    }
}

#[test]
fn every_figure_that_may_be_doubted_says_how_it_was_reached() {
    let json = serde_json::to_value(plan(&rig(par(1), 2).with(|rig| {
        rig.circuits[0].rcd = Some(Amps::new(0.03));
        rig.units[0].feed.lead = lead(10.0, Size::Mm2(150));
        rig.units[0].turn = Radians::ZERO;
    })))
    .unwrap();
    for pointer in [
        "/circuits/0/how/0",
        "/circuits/0/leakage/how",
        "/drops/0/how",
        "/lines/0/how",
        "/units/0/how/0",
        "/assignment/how",
    ] {
        let how = json.pointer(pointer).unwrap_or_else(|| panic!("no {pointer}"));
        assert!(how["inputs"].as_array().is_some_and(|inputs| !inputs.is_empty()), "{pointer}");
        for key in ["of", "formula", "source"] {
            assert!(how[key].as_str().is_some_and(|text| !text.is_empty()), "{pointer} {key}");
        }
    }
}

#[test]
fn addresses_that_collide_are_given_new_ones_with_the_least_change() {
    // Light 2 starts inside light 1, light 4 has none: two change, three stay.
    let plan = plan(&rig(par(13), 5).with(|rig| {
        rig.units[1].run = crate::rigs::driven(7, None);
        rig.units[3].run = lanthorn_rig::Run::Driven { address: None, shares: None };
    }));
    let readdress = plan.readdress.as_ref().unwrap();
    let changed: Vec<u32> = readdress.changes.iter().map(|change| change.unit).collect();
    assert_eq!(
        (changed.as_slice(), readdress.kept.as_slice(), readdress.exact),
        (&[2, 4][..], &[1, 3, 5][..], true)
    );
    assert_eq!(readdress.changes[0].to.as_deref(), Some("1.014"));
    assert!(lanthorn_rig::plan::plan(&rig(par(13), 5)).readdress.is_none());
}
