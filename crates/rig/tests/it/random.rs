//! Whatever the rig: the plan comes out, the same every time, sorted, and fits the page.

use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::profile::Kind;
use lanthorn_fixture::{Fact, Profile};
use lanthorn_physics::Point;
use lanthorn_physics::units::{Amps, Metres, Radians, Volts, Watts};
use lanthorn_rig::plan::{plan, short_text, to_text};
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{Found, Rig, Run, Unit};
use proptest::prelude::*;

use lanthorn_rig::sums::cable::Size;

use crate::rigs::{audience, head, par, rig};

fn runs() -> impl Strategy<Value = Run> {
    let address = || proptest::option::of((1u32..3, 1u32..=512));
    let programme = || proptest::option::of("(slow change|by sound|[a-z\n]{0,9})");
    prop_oneof![
        (address(), proptest::option::of(0u32..9)).prop_map(|(address, shares)| Run::Driven {
            address: address.and_then(|(universe, slot)| Address::new(universe, slot).ok()),
            shares,
        }),
        (0u32..9, programme()).prop_map(|(leader, programme)| Run::Linked { leader, programme }),
        programme().prop_map(|programme| Run::OnItsOwn { programme }),
    ]
}

fn profiles() -> impl Strategy<Value = Profile> {
    let kinds = prop_oneof![
        Just(Kind::WashHead),
        Just(Kind::Strobe),
        Just(Kind::Hazer),
        Just(Kind::Dimmer),
        Just(Kind::Fresnel)
    ];
    (
        kinds,
        any::<bool>(),
        prop_oneof![0u16..20, Just(513u16)],
        -50.0..5000.0f64,
        -0.5..1.5f64,
        0.0..7.0f64,
        0u8..32,
    )
        .prop_map(|(kind, moves, channels, watts, factor, angle, known)| {
            let mut profile = if moves { head() } else { par(channels) };
            profile.kind = kind;
            let bit = |bit: u8| known & (1 << bit) != 0;
            profile.power.watts = if bit(0) { Fact::stated(Watts::new(watts)) } else { Fact::unknown() };
            profile.power.power_factor = if bit(1) { Fact::stated(factor) } else { Fact::unknown() };
            profile.optics.beam = if bit(2) { Fact::stated(Radians::new(angle)) } else { Fact::unknown() };
            if bit(3) {
                profile.movement = None;
            }
            if bit(4) {
                profile.modes.clear();
            }
            profile
        })
}

fn units() -> impl Strategy<Value = Unit> {
    let coordinate = || prop_oneof![-20.0..20.0f64, Just(0.0), Just(1e9)];
    let point = (coordinate(), coordinate(), coordinate()).prop_map(|(x, y, z)| Point::new(x, y, z));
    (0u32..9, profiles(), 0usize..2, 0usize..5, coordinate(), any::<bool>(), -7.0..7.0f64, runs(), point)
        .prop_map(|(number, profile, mode, place, offset, hangs, turn, run, focus)| Unit {
            number,
            profile: Arc::new(profile),
            mode,
            place,
            offset: Metres::new(offset),
            up: if hangs { WayUp::Hanging } else { WayUp::Standing },
            turn: Radians::new(turn),
            lean: Radians::new(turn / 3.0),
            pan_invert: hangs,
            tilt_invert: false,
            swap: false,
            focus: (turn > 0.0).then_some(focus),
            run,
            circuit: (place != 1).then_some(place),
            line: (place == 2).then(|| "left".to_owned()),
            line_order: number % 3,
            feed: lanthorn_rig::Feed {
                from: (place != 3).then_some(number % 4),
                lead: hangs.then(|| lanthorn_rig::Lead {
                    length: Metres::new(turn.abs() * 10.0),
                    cable: Some(Size::Mm2(150)),
                }),
                battery: None,
                fixed: place == 0,
            },
            case: None,
            found: Found::default(),
        })
}

fn rigs() -> impl Strategy<Value = Rig> {
    (proptest::collection::vec(units(), 0..9), 0.0..1000.0f64, -1.0..2.0f64).prop_map(
        |(units, volts, share)| {
            let mut rig = rig(par(1), 0);
            rig.units = units;
            rig.room.audience = vec![audience()];
            rig.mains.volts = Volts::new(volts);
            rig.mains.continuous = share;
            rig.circuits[0].breaker = Amps::new(volts / 20.0);
            rig.circuits[0].rcd = (share > 0.0).then(|| Amps::new(0.03));
            rig.circuits[0].phase = (share > 1.0).then_some(3);
            rig.mains.generator = (share > 0.5).then(|| lanthorn_physics::units::VoltAmps::new(volts));
            let held = &mut rig.room.places[0].held;
            held.points = Some([Metres::new(share), Metres::new(volts / 100.0)]);
            held.tube = Some(&lanthorn_rig::sums::bar::TUBES[0]);
            rig.room.places[1].held.legs = Some(lanthorn_rig::Legs {
                count: 3,
                radius: Metres::new(share),
                ballast: Default::default(),
            });
            rig.room.places[1].held.outdoors = true;
            rig
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn every_rig_has_a_plan(rig in rigs()) {
        let first = plan(&rig);
        prop_assert_eq!(&first, &plan(&rig));
        prop_assert_eq!(first.units.len(), rig.units.len());
        prop_assert!(first.findings.is_sorted_by_key(|finding| finding.severity));
        for finding in &first.findings {
            prop_assert!(!finding.what.is_empty() && !finding.rule.is_empty() && !finding.source.is_empty());
            prop_assert!(!finding.remedy.is_empty());
        }
        for line in to_text(&first).lines() {
            prop_assert!(line.chars().count() <= 100, "{}", line);
        }
        prop_assert!(short_text(&first).lines().count() <= 15);
        for circuit in &first.circuits {
            prop_assert!(circuit.watts.is_finite() && circuit.amps.is_none_or(f64::is_finite));
        }
        for universe in &first.universes {
            prop_assert_eq!(universe.used_slots + universe.free_slots, 512);
        }
    }
}
