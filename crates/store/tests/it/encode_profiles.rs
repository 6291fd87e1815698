//! Every shipped light in every mode: what is encoded reads back as what was wanted, and is never dangerous.

use lanthorn_fixture::emitters::is_emitter;
use lanthorn_fixture::mode::RangeKind;
use lanthorn_fixture::profile::{Kind, Response};
use lanthorn_fixture::{
    Attribute, BeamState, Channel, Encoder, HeadState, Mode, Profile, Reading, UnitState, check, decode,
};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Hertz, Radians};
use lanthorn_store::shipped;
use proptest::prelude::*;

fn every_mode(mut test: impl FnMut(&Profile, usize, &Encoder)) {
    for profile in shipped() {
        for mode in 0..profile.modes.len() {
            test(profile, mode, &Encoder::new(profile, mode));
        }
    }
}

fn read(profile: &Profile, mode: usize, encoder: &Encoder, state: &UnitState) -> Reading {
    let mut out = vec![0; usize::from(encoder.footprint())];
    encoder.encode(state, &mut out);
    decode(profile, mode, &out)
}

fn drives(channel: &Channel, wanted: impl Fn(&Attribute) -> bool) -> bool {
    channel.ranges.iter().any(|range| range.kind == RangeKind::Level && wanted(&range.attribute))
}

/// `true` when the mode has only on and off.
fn only_switches(mode: &Mode) -> bool {
    let dims = |attribute: &Attribute| *attribute == Attribute::Dimmer || is_emitter(attribute);
    !mode.channels.iter().any(|channel| drives(channel, dims))
}

/// The largest error of a head's output that rounding to bytes can make.
fn output_step(profile: &Profile, mode: &Mode) -> f64 {
    let steps = |wanted: &dyn Fn(&Attribute) -> bool| {
        let ranges = mode.channels.iter().flat_map(|channel| &channel.ranges);
        let levels = ranges.filter(|range| range.kind == RangeKind::Level && wanted(&range.attribute));
        levels.map(|range| 0.5 / f64::from(range.to - range.from)).fold(0.0, f64::max)
    };
    let steepest = if profile.optics.response.value() == Some(Response::Square) { 2.0 } else { 1.0 };
    let dimmer = steps(&|attribute| *attribute == Attribute::Dimmer);
    // Two dimmers may stand one behind the other.
    steepest * (2.0 * dimmer + steps(&is_emitter)) + 1e-4
}

fn amount() -> impl Strategy<Value = f64> {
    prop_oneof![8 => 0.0..=1.0, 1 => Just(0.0), 1 => Just(1.0), 1 => Just(f64::NAN)]
}

fn colour() -> impl Strategy<Value = Option<Chromaticity>> {
    let real = (0.0..0.8, 0.0..0.9).prop_map(|(x, y)| Chromaticity::new(x, y));
    prop::option::of(real.prop_filter("light", |colour| colour.is_real()))
}

prop_compose! {
    fn state()(
        pan in -9.0..9.0, tilt in -4.0..4.0, haze in amount(), fan in amount(), gobo in prop::option::of(0u8..12),
        prism: bool, zoom in prop::option::of(0.0..2.0), focus in prop::option::of(0.0..=1.0), frost in amount(),
        colour in colour(), levels in prop::collection::vec(amount(), 16), strobe in prop::option::of(0.0..40.0),
    ) -> UnitState {
        let beam = BeamState { gobo, prism, zoom: zoom.map(Radians::new), focus, frost, iris: 0.0 };
        let strobe = strobe.map(Hertz::new);
        let heads = levels.into_iter().map(|level| HeadState { level, colour, strobe, ..HeadState::default() }).collect();
        UnitState { pan: Radians::new(pan), tilt: Radians::new(tilt), beam, haze, fan, heads }
    }
}

#[test]
fn forty_lights_and_more_without_a_mistake() {
    assert!(shipped().len() >= 40);
    for profile in shipped() {
        assert_eq!(check(profile), [], "{}", profile.name);
    }
}

#[test]
fn every_light_but_what_gives_none_can_burn_steadily_in_some_mode_and_starts_closed() {
    for profile in shipped() {
        let steady = (0..profile.modes.len()).any(|mode| Encoder::new(profile, mode).steady_light());
        assert_eq!(steady, profile.kind.gives_light(), "{}", profile.name);
    }
    every_mode(|profile, mode, encoder| {
        let reading = read(profile, mode, encoder, &UnitState::dark(encoder.heads()));
        let name = format!("{}, {}", profile.name, profile.modes[mode].name);
        assert!(!profile.kind.gives_light() || reading.heads.iter().all(|head| head.output == 0.0), "{name}");
        assert!(reading.haze == 0.0 && reading.fan == 0.0, "{name}");
    });
}

#[test]
fn a_level_goes_up_without_passing_anything_else() {
    every_mode(|profile, mode, encoder| {
        let name = format!("{}, {}", profile.name, profile.modes[mode].name);
        let mut before = 0.0;
        for step in 0..=500 {
            let mut state = UnitState::dark(encoder.heads());
            state.heads.fill(HeadState { level: f64::from(step) / 500.0, ..HeadState::default() });
            let reading = read(profile, mode, encoder, &state);
            assert_eq!((reading.danger, reading.held, reading.programme), (None, false, false), "{name}");
            if encoder.steady_light() {
                let head = reading.heads[0];
                assert!(!head.flashing && head.output >= before, "{name} at {step}: {head:?} after {before}");
                before = head.output;
            }
        }
        let full = encoder.luminance_share(None);
        assert!(!encoder.steady_light() || before > full - 0.01, "{name} ends at {before} of {full}");
    });
}

#[test]
fn every_mode_with_a_steady_light_has_dark_half_and_full() {
    let mut modes = 0;
    every_mode(|profile, mode, encoder| {
        let name = format!("{}, {}", profile.name, profile.modes[mode].name);
        let at = |level| {
            let mut state = UnitState::dark(encoder.heads());
            state.heads.fill(HeadState { level, ..HeadState::default() });
            read(profile, mode, encoder, &state).heads
        };
        if !encoder.steady_light() {
            return;
        }
        modes += 1;
        let (dark, half, full) = (at(0.0), at(0.5), at(1.0));
        for head in 0..encoder.heads() {
            assert!(dark[head].output <= 0.0, "{name}");
            assert!(full[head].output > 0.99 * encoder.luminance_share(None), "{name}: {:?}", full[head]);
            assert!(full[head].output > 0.0 && !full[head].flashing, "{name}");
            let between = half[head].output > 0.0 && half[head].output < full[head].output;
            assert!(between || !encoder.dims(), "{name}: {:?}", half[head]);
        }
    });
    assert!(modes > 90, "modes with a steady light: {modes}");
}

#[test]
fn what_the_encoder_rests_in_is_never_dangerous_and_every_danger_is_marked() {
    // Words of charts that stand for something nobody wants by accident.
    let dangerous = ["reset", "music", "heater", "lamp off", "lamp on", "programme"];
    for profile in shipped() {
        for range in profile.modes.iter().flat_map(|mode| &mode.channels).flat_map(|channel| &channel.ranges)
        {
            let marked = range.danger.is_some() || range.hold.is_some();
            let said = dangerous.iter().any(|word| range.label.contains(word));
            let speed = range.attribute.name().ends_with("Rate");
            assert!(marked || !said || speed, "{}: {}", profile.name, range.label);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn nothing_dangerous_whatever_is_wanted(state in state()) {
        every_mode(|profile, mode, encoder| {
            let reading = read(profile, mode, encoder, &state);
            let name = format!("{}, {}", profile.name, profile.modes[mode].name);
            assert_eq!((reading.danger, reading.held, reading.programme), (None, false, false), "{name}");
            assert!(reading.fastest, "{name}");
        });
    }

    #[test]
    fn as_bright_and_as_coloured_as_wanted(mut state in state()) {
        for head in &mut state.heads {
            head.strobe = None;
        }
        every_mode(|profile, mode, encoder| {
            if encoder.steady_light() {
                bright_and_coloured(profile, mode, encoder, &state);
            }
        });
    }

    #[test]
    fn flashes_are_never_faster_than_wanted(mut state in state(), wanted in 0.1..40.0) {
        for head in &mut state.heads {
            head.strobe = Some(Hertz::new(wanted));
        }
        every_mode(|profile, mode, encoder| {
            for head in read(profile, mode, encoder, &state).heads {
                let rate = head.strobe.map_or(0.0, Hertz::get);
                assert!(rate <= wanted + 1e-5, "{}: {rate} Hz for {wanted} Hz", profile.name);
            }
        });
    }

    #[test]
    fn aim_is_within_half_a_step(state in state()) {
        every_mode(|profile, mode, encoder| {
            let reading = read(profile, mode, encoder, &state);
            for (wanted, span, got, attribute) in [
                (state.pan, encoder.pan_span(), reading.pan, Attribute::Pan),
                (state.tilt, encoder.tilt_span(), reading.tilt, Attribute::Tilt),
            ] {
                let mut channels = profile.modes[mode].channels.iter();
                let channel = channels.find(|channel| drives(channel, |found| *found == attribute));
                // How far a mirror turns a beam is stated nowhere: it is not aimed.
                if profile.kind == Kind::Scanner {
                    assert_eq!(span, None, "{}", profile.name);
                    continue;
                }
                assert_eq!(channel.is_some(), span.is_some(), "{}", profile.name);
                let (Some(channel), Some((low, high))) = (channel, span) else { continue };
                let step = (high - low).get() / f64::from(channel.full());
                let error = (got.unwrap() - wanted.max(low).min(high)).get().abs();
                assert!(error <= step / 2.0 + 1e-9, "{}: {error} of {step}", profile.name);
            }
        });
    }

    #[test]
    fn haze_and_fan_are_as_wanted(state in state()) {
        every_mode(|profile, mode, encoder| {
            let reading = read(profile, mode, encoder, &state);
            let channels = &profile.modes[mode].channels;
            let haze = [Attribute::Haze1, Attribute::Fog1];
            let fan = [Attribute::Fan1, Attribute::Blower1];
            let part = |wanted: f64, of: &[Attribute]| {
                let by = |kind| {
                    let mut ranges = channels.iter().flat_map(|channel| &channel.ranges);
                    ranges.any(|range| range.kind == kind && of.contains(&range.attribute))
                };
                match wanted {
                    wanted if wanted.is_nan() => 0.0,
                    wanted if by(RangeKind::Level) => wanted,
                    // On or off, and nothing between.
                    wanted if by(RangeKind::Fixed) => wanted.round(),
                    _ => 0.0,
                }
            };
            for (got, wanted) in
                [(reading.haze, part(state.haze, &haze)), (reading.fan, part(state.fan, &fan))]
            {
                assert!((got - wanted).abs() < 0.005, "{}: {got} for {wanted}", profile.name);
            }
        });
    }
}

fn bright_and_coloured(profile: &Profile, mode: usize, encoder: &Encoder, state: &UnitState) {
    let name = format!("{}, {}", profile.name, profile.modes[mode].name);
    let step = output_step(profile, &profile.modes[mode]);
    let reading = read(profile, mode, encoder, state);
    assert_eq!(reading.heads.len(), encoder.heads(), "{name}");
    for (head, wanted) in reading.heads.iter().zip(&state.heads) {
        let level = if wanted.level.is_nan() { 0.0 } else { wanted.level };
        let level = if only_switches(&profile.modes[mode]) { level.round() } else { level };
        let output = level * encoder.luminance_share(wanted.colour);
        assert!(!head.flashing, "{name}");
        assert!((head.output - output).abs() <= step, "{name}: {} for {output}", head.output);
        let Some(colour) = wanted.colour.filter(|_| output > 0.2 && encoder.nearest_slot(None).is_none())
        else {
            continue;
        };
        if encoder.reached(wanted.colour) {
            let off = head.chromaticity.expect("a lit head has a colour").distance_uv(colour);
            // A light that cannot change its colour meets what is as near as a wheel slot must be.
            let mixes = profile.modes[mode].channels.iter().any(|channel| drives(channel, is_emitter));
            let most = if mixes { 0.01 } else { 0.012 };
            assert!(off <= most, "{name}: {off} from {colour:?}");
        }
    }
}
