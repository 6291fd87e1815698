#![expect(clippy::float_cmp, reason = "emitters at full or dark stand there exactly")]

use super::*;
use crate::colour::{Make, Rendering, Spectrum};
use proptest::prelude::*;

const fn emitter(x: f64, y: f64, luminance: f64) -> Emitter {
    Emitter { chromaticity: Chromaticity::new(x, y), luminance }
}

/// Typical emitters: chromaticities from measured spectra, luminances relative to a cool white.
const RED: Emitter = emitter(0.6915, 0.3084, 0.30);
const AMBER: Emitter = emitter(0.5874, 0.4120, 0.25);
const PHOSPHOR_AMBER: Emitter = emitter(0.5889, 0.4056, 0.5);
const LIME: Emitter = emitter(0.41, 0.54, 1.0);
const GREEN: Emitter = emitter(0.162, 0.733, 0.65);
const CYAN: Emitter = emitter(0.0725, 0.479, 0.40);
const BLUE: Emitter = emitter(0.1495, 0.0309, 0.11);
const WHITE: Emitter = emitter(0.3246, 0.3420, 1.0);

const RGB: &[Emitter] = &[RED, GREEN, BLUE];
const RGBW: &[Emitter] = &[RED, GREEN, BLUE, WHITE];
const EIGHT: &[Emitter] = &[RED, AMBER, PHOSPHOR_AMBER, LIME, GREEN, CYAN, BLUE, WHITE];

const K3200: Chromaticity = Chromaticity::new(0.42336, 0.39895);
const K5600: Chromaticity = Chromaticity::new(0.33016, 0.34555);
const ORANGE: Chromaticity = Chromaticity::new(0.5005, 0.4408);
const HOT_PINK: Chromaticity = Chromaticity::new(0.4004, 0.2545);

#[test]
fn most_light_is_that_of_a_reference_solver() {
    // scipy 1.x linprog (HiGHS dual simplex) on the same two rows, tolerances 1e-10.
    for (emitters, target, luminance, levels) in [
        (RGB, K3200, 0.779717, &[1.0, 0.72179, 0.09596][..]),
        (RGB, K5600, 0.959598, &[0.93053, 1.0, 0.27671]),
        (RGB, Chromaticity::D65, 0.946048, &[0.86906, 1.0, 0.32118]),
        (RGBW, K3200, 1.118604, &[1.0, 0.55481, 0.0, 0.45798]),
        (RGBW, K5600, 1.966779, &[0.95819, 1.0, 0.26655, 1.0]),
        (RGBW, ORANGE, 0.69743, &[1.0, 0.54511, 0.0, 0.04311]),
        (RGBW, HOT_PINK, 0.76382, &[1.0, 0.0, 0.20761, 0.44098]),
        (EIGHT, K3200, 3.401189, &[1.0, 1.0, 1.0, 1.0, 0.51755, 0.0, 0.13435, 1.0]),
        (EIGHT, K5600, 4.117495, &[0.76653, 1.0, 1.0, 1.0, 1.0, 1.0, 0.79579, 1.0]),
        (EIGHT, ORANGE, 2.416405, &[1.0, 1.0, 1.0, 1.0, 0.25019, 0.0, 0.0, 0.20378]),
        (EIGHT, HOT_PINK, 1.612999, &[1.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.58038, 0.49916]),
    ] {
        let mix = Mixer::new(emitters).max_output(target);
        assert!(mix.reached && mix.chromaticity.distance_uv(target) < 1e-9, "{target:?}: {mix:?}");
        assert!((mix.luminance - luminance).abs() < 1.5e-6, "{target:?}: {mix:?}");
        assert!(mix.levels.iter().zip(levels).all(|(p, q)| (p - q).abs() < 1.5e-5), "{target:?}: {mix:?}");
    }
}

#[test]
fn fewest_watts_are_those_of_a_reference_solver() {
    // scipy linprog with luminance 0.2 as a third row; 3 W for each colour, 4 W for white.
    let watts = [3.0, 3.0, 3.0, 4.0].map(Watts::new);
    let mixer = Mixer::new(RGBW);
    for (target, expected) in [(K3200, 1.161508), (K5600, 0.82417), (HOT_PINK, 1.410481)] {
        let mix = mixer.least_power(target, 0.2, &watts);
        let power: f64 = mix.levels.iter().zip(watts).map(|(level, watts)| level * watts.get()).sum();
        assert!((power - expected).abs() < 2e-6, "{target:?}: {power}");
        assert!((mix.luminance - 0.2).abs() < 1e-9 && mix.chromaticity.distance_uv(target) < 1e-9);
    }
    assert_eq!(mixer.least_power(K3200, 9.0, &watts), mixer.max_output(K3200));
    assert_eq!(mixer.least_power(K3200, 0.2, &watts[..2]).levels, {
        let most = mixer.max_output(K3200);
        most.dimmed(0.2 / most.luminance).levels
    });
}

#[test]
fn screen_colours_can_all_be_mixed() {
    // With a 454 nm blue, only the pure blues of CSS lie on the edge, 2e-5 in u′v′ off at most.
    let mixer = Mixer::new(RGB);
    for (name, _) in crate::colour::names::CSS.into_iter().filter(|(name, _)| *name != "black") {
        let target = crate::colour::parse(name).unwrap().chromaticity;
        let mix = mixer.max_output(target);
        assert!(mix.reached && mix.chromaticity.distance_uv(target) < 3e-5, "{name}: {mix:?}");
    }
}

#[test]
fn out_of_reach_keeps_the_hue() {
    // CIE 1931 spectral locus, 480 to 620 nm.
    let mixer = Mixer::new(RGB);
    for (x, y) in [
        (0.09129, 0.13270),
        (0.04539, 0.29498),
        (0.00817, 0.53842),
        (0.07430, 0.83380),
        (0.30160, 0.69231),
        (0.51249, 0.48659),
        (0.69150, 0.30834),
    ] {
        let target = Chromaticity::new(x, y);
        let mix = mixer.max_output(target);
        let hue = |colour| Ipt::from_xyz(Xyz::from_chromaticity(colour, 1.0)).hue();
        let turn = (hue(target) - hue(mix.chromaticity)).abs();
        // 0.06°: D65 is not quite at the centre of IPT, whose matrix is published to four digits.
        assert!(
            mix.reached || turn < 1e-3 || (turn - std::f64::consts::TAU).abs() < 1e-3,
            "{target:?}: {turn}"
        );
        assert!(mixer.in_gamut(mix.chromaticity) && mix.luminance > 0.0);
        assert!(!mix.reached || mix.chromaticity.distance_uv(target) < 2.1e-4);
    }
}

#[test]
fn one_and_two_emitters_give_the_nearest_that_they_can() {
    let (warm, cold) = (emitter(0.4560, 0.4078, 1.0), emitter(0.3118, 0.3236, 0.8));
    let mixer = Mixer::new(&[warm, cold]);
    // The chord between two whites passes 3200 K on the pink side by 0.006 in u′v′ (colour-science 0.4.7).
    let mix = mixer.max_output(K3200);
    let off = mix.chromaticity.distance_uv(K3200);
    assert!(!mix.reached && (0.004..0.007).contains(&off), "{off}");
    assert!(mix.levels[0] > 0.999 && mix.levels[1] > 0.05, "{mix:?}");
    let middle = Mixer::new(&[warm, cold]).white().chromaticity;
    assert_eq!(mixer.max_output(middle).levels[..2], [1.0, 1.0]);
    // Far away: the end of the chord alone.
    assert_eq!(mixer.max_output(RED.chromaticity).levels[..2], [1.0, 0.0]);
    assert_eq!(mixer.max_output(cold.chromaticity).levels[..2], [0.0, 1.0]);

    let single = Mixer::new(&[RED]);
    let mix = single.max_output(Chromaticity::D65);
    assert!(!mix.reached && mix.levels[0] == 1.0 && mix.chromaticity.distance_uv(RED.chromaticity) < 1e-12);
    assert!(single.max_output(RED.chromaticity).reached);
    let half = single.least_power(RED.chromaticity, 0.15, &[Watts::new(10.0)]);
    assert!((half.levels[0] - 0.5).abs() < 1e-12, "{half:?}");
}

#[test]
fn equal_emitters_and_emitters_as_targets() {
    let mixer = Mixer::new(&[RED, RED, GREEN, BLUE, BLUE, WHITE]);
    let mix = mixer.max_output(RED.chromaticity);
    assert!(mix.reached && mix.levels[..3] == [1.0, 1.0, 0.0], "{mix:?}");
    let twice = mixer.max_output(HOT_PINK);
    assert!(twice.luminance > Mixer::new(RGBW).max_output(HOT_PINK).luminance + 0.05);
    // Two whites thrice: a chord still.
    let (warm, cold) = (emitter(0.4560, 0.4078, 1.0), emitter(0.3118, 0.3236, 0.8));
    let mix = Mixer::new(&[warm, cold, warm, cold]).max_output(warm.chromaticity);
    assert_eq!(mix.levels[..4], [1.0, 0.0, 1.0, 0.0]);
}

#[test]
fn nothing_to_mix_gives_no_light_and_no_panic() {
    let dark = Mixer::new(&[]).max_output(K3200);
    assert_eq!((dark.levels, dark.luminance, dark.reached), ([0.0; 8], 0.0, false));
    assert!(!Mixer::new(&[]).white().reached);
    let bad = [
        emitter(f64::NAN, 0.3, 1.0),
        emitter(0.3, 0.0, 1.0),
        emitter(0.3, 0.3, -1.0),
        emitter(0.3, 0.3, f64::NAN),
    ];
    assert_eq!(Mixer::new(&bad).max_output(K3200).luminance, 0.0);
    let mixer = Mixer::new(RGBW);
    assert_eq!(mixer.max_output(Chromaticity::new(f64::NAN, 0.3)).luminance, 0.0);
    for odd in [(0.0, 0.0), (-3.0, 2.0), (1.5, 0.0), (1e300, -1e300)] {
        let mix = mixer.max_output(Chromaticity::new(odd.0, odd.1));
        assert!(mix.luminance.is_finite() && !mix.reached, "{odd:?}: {mix:?}");
    }
    // A ninth emitter stays dark.
    let nine: Vec<Emitter> = EIGHT.iter().copied().chain([RED]).collect();
    assert_eq!(Mixer::new(&nine), Mixer::new(EIGHT));
}

#[test]
fn dimming_keeps_the_colour() {
    let mixer = Mixer::new(RGBW);
    let mix = mixer.max_output(HOT_PINK).dimmed(0.125);
    let light = mixer.light(&mix.levels);
    assert!((light.y - mix.luminance).abs() < 1e-12);
    assert!(light.chromaticity().unwrap().distance_uv(HOT_PINK) < 1e-9);
}

/// The largest output by trying every choice of two free levels with all others at 0 or 1.
fn brute_force(emitters: &[Emitter], target: Chromaticity) -> f64 {
    let xyz: Vec<Xyz> =
        emitters.iter().map(|e| Xyz::from_chromaticity(e.chromaticity, e.luminance)).collect();
    let pull: Vec<[f64; 2]> = xyz.iter().map(|xyz| off_axis(*xyz, target)).collect();
    let mut best = 0.0_f64;
    for i in 0..xyz.len() {
        for j in i + 1..xyz.len() {
            let determinant = pull[i][0] * pull[j][1] - pull[i][1] * pull[j][0];
            for full in (0..1u32 << xyz.len()).filter(|full| full & (1 << i | 1 << j) == 0) {
                let set: Vec<usize> = (0..xyz.len()).filter(|at| (full >> at) & 1 == 1).collect();
                let rest = [0, 1].map(|row| -set.iter().map(|at| pull[*at][row]).sum::<f64>());
                let a = (rest[0] * pull[j][1] - rest[1] * pull[j][0]) / determinant;
                let b = (pull[i][0] * rest[1] - pull[i][1] * rest[0]) / determinant;
                if (-1e-9..=1.0 + 1e-9).contains(&a) && (-1e-9..=1.0 + 1e-9).contains(&b) {
                    best =
                        best.max(set.iter().map(|at| xyz[*at].y).sum::<f64>() + a * xyz[i].y + b * xyz[j].y);
                }
            }
        }
    }
    best
}

fn any_emitters() -> impl Strategy<Value = Vec<Emitter>> {
    let any = (0.05..0.70, 0.03..0.80, 0.01..2.0)
        .prop_filter("real", |(x, y, _)| x + y < 1.0)
        .prop_map(|(x, y, luminance)| emitter(x, y, luminance));
    prop::collection::vec(any, 3..=6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn optimum_is_that_of_brute_force(emitters in any_emitters(), weights in prop::array::uniform6(0.0..1.0)) {
        let mixer = Mixer::new(&emitters);
        let target = mixer.light(&weights[..emitters.len()]).chromaticity().unwrap();
        let mix = mixer.max_output(target);
        prop_assert!(mix.reached && mix.chromaticity.distance_uv(target) < 1e-6, "{:?}", mix);
        prop_assert!(mix.levels.iter().all(|level| (0.0..=1.0).contains(level)));
        let expected = brute_force(&emitters, target);
        prop_assert!((mix.luminance - expected).abs() < 1e-6 * expected, "{} {}", mix.luminance, expected);
    }

    #[test]
    fn any_target_gives_light_inside_the_gamut(emitters in any_emitters(), x in -0.2..1.0, y in -0.2..1.0) {
        let mixer = Mixer::new(&emitters);
        let target = Chromaticity::new(x, y);
        let mix = mixer.max_output(target);
        prop_assert!(mix.luminance > 0.0 && mix.luminance <= mixer.white().luminance * (1.0 + 1e-9));
        prop_assert!(mixer.in_gamut(mix.chromaticity) || mixer.max_output(mix.chromaticity).reached, "{:?}", mix);
        prop_assert_eq!(mix.reached, mixer.in_gamut(target));
        if mix.reached {
            prop_assert!(mix.chromaticity.distance_uv(target) < 2.1e-4);
        }
    }
}

#[test]
fn the_ceiling_is_what_the_solver_finds() {
    for emitters in [RGB, RGBW, EIGHT] {
        let mixer = Mixer::new(emitters);
        let ceiling = mixer.ceiling();
        for x in 1..80 {
            for y in 1..85 {
                let colour = Chromaticity::new(f64::from(x) / 100.0, f64::from(y) / 100.0);
                if mixer.hull.contains(colour, 0.0) {
                    let (most, solved) = (ceiling.luminance(colour), mixer.max_output(colour).luminance);
                    assert!((most.unwrap() - solved).abs() < 1e-9, "{colour:?}: {most:?} {solved}");
                }
            }
        }
    }
    // Along a line: two emitters, and two with what both together give as a third.
    let both = Mixer::new(&[AMBER, WHITE]).white();
    let between = Emitter { chromaticity: both.chromaticity, luminance: 0.7 };
    for emitters in [&[AMBER, WHITE][..], &[WHITE, between, AMBER]] {
        let mixer = Mixer::new(emitters);
        let ceiling = mixer.ceiling();
        for step in 0..=20 {
            let mut levels = [0.0; 3];
            (levels[0], levels[emitters.len() - 1]) = (1.0 - f64::from(step) / 20.0, f64::from(step) / 20.0);
            let mixed = mixer.light(&levels).chromaticity().unwrap();
            let colour = mixer.clip(mixed).unwrap();
            let (most, solved) = (ceiling.luminance(colour), mixer.max_output(colour).luminance);
            assert!((most.unwrap() - solved).abs() < 1e-9, "{colour:?}: {most:?} {solved}");
        }
    }
    assert_eq!(Mixer::new(&[RED, RED]).ceiling().luminance(RED.chromaticity), None);
    assert_eq!(Mixer::new(RGB).ceiling().luminance(Chromaticity::new(f64::NAN, 0.3)), None);
}

/// The spectra that typical emitters have, as models, with their light.
fn rendering(emitters: &[Emitter]) -> Rendering {
    let phosphor = [PHOSPHOR_AMBER, LIME, WHITE];
    let one = |emitter: &Emitter| {
        let make = if phosphor.contains(emitter) { Make::Phosphor } else { Make::Narrow };
        (Spectrum::typical(make, emitter.chromaticity), emitter.luminance)
    };
    Rendering::new(&emitters.iter().map(one).collect::<Vec<_>>())
}

const WITH_AMBER: &[Emitter] = &[RED, GREEN, BLUE, WHITE, PHOSPHOR_AMBER];
const WITH_CYAN: &[Emitter] = &[RED, GREEN, BLUE, WHITE, PHOSPHOR_AMBER, CYAN];

#[test]
fn the_most_light_renders_as_measured_spectra_do() {
    // Ra of the mixes of the most light, from measured spectra of such emitters (an open data set, judged by
    // colour-science 0.4.7), rounded. Models of the spectra come within 4.
    for (emitters, target, measured) in [
        (RGB, K3200, 26.0),
        (RGB, K5600, 36.0),
        (RGBW, K3200, 60.0),
        (RGBW, K5600, 77.0),
        (WITH_AMBER, K3200, 83.0),
        (WITH_AMBER, K5600, 90.0),
    ] {
        let got = rendering(emitters).index(&Mixer::new(emitters).max_output(target).levels).unwrap();
        assert!((got - measured).abs() < 4.0, "{} {target:?}: {got}, measured {measured}", emitters.len());
    }
}

#[test]
fn no_mix_of_that_colour_and_light_renders_better() {
    for (emitters, target) in [(RGBW, K5600), (WITH_AMBER, K3200), (WITH_AMBER, K5600), (WITH_CYAN, K3200)] {
        let (mixer, rendering) = (Mixer::new(emitters), rendering(emitters));
        let most = mixer.max_output(target);
        let (best, index) = mixer.best_rendering(target, &rendering, LEAST_LIGHT);
        let index = index.unwrap();
        assert!(best.chromaticity.distance_uv(target) < 1e-9 && best.luminance > 0.4999 * most.luminance);
        assert!(index >= rendering.index(&most.levels).unwrap() - 1e-9, "{index}");
        // Other mixes of the colour: sums of corners of what is possible, by a small generator of numbers.
        let mut state = 7u64;
        let mut random = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let corners = mixer.starts(target, &most.levels);
        for _ in 0..600 {
            let mut levels = [0.0; MAX_EMITTERS];
            for corner in &corners {
                let weight = random() * random() * random();
                levels.iter_mut().zip(corner).for_each(|(sum, level)| *sum += weight * level);
            }
            let strongest = levels.iter().fold(0.0_f64, |most, level| most.max(*level));
            let levels = levels.map(|level| level / strongest);
            if mixer.light(&levels).y >= LEAST_LIGHT * most.luminance {
                let other = rendering.index(&levels).unwrap();
                assert!(other < index + 0.05, "{} {target:?}: {other} over {index}", emitters.len());
            }
        }
    }
}

#[test]
fn whites_keep_colour_and_light_and_do_not_jump() {
    let (mixer, rendering) = (Mixer::new(WITH_AMBER), rendering(WITH_AMBER));
    let whites = Whites::new(&mixer, &rendering);
    assert!(!whites.is_empty());
    // A white of the table, and one between.
    for (target, least) in [(white(Kelvin::new(1e6 / 300.0), None), 92.0), (K3200, 92.0), (K5600, 90.0)] {
        let full = mixer.max_output(target);
        let mix = whites.mix(&mixer, target, 0.45);
        assert!(mix.chromaticity.distance_uv(target) < 2e-4, "{mix:?}");
        assert!((mix.luminance / full.luminance - 0.45).abs() < 1e-3, "{mix:?}");
        assert!(
            rendering.index(&mix.levels).unwrap() > least,
            "{target:?}: {:?}",
            rendering.index(&mix.levels)
        );
        // At full it is the most light.
        assert!((whites.mix(&mixer, target, 1.0).luminance / full.luminance - 1.0).abs() < 1e-9);
    }
    // From warm to cold and from white to green: levels move in small steps.
    let path = |step: i32| white(Kelvin::new(1e6 / (110.0 + f64::from(step))), None);
    let away = |step: i32| white(Kelvin::new(3200.0), Some(f64::from(step) * 1e-4));
    for (steps, place) in [(400, &path as &dyn Fn(i32) -> Chromaticity), (250, &away)] {
        let mut before = whites.mix(&mixer, place(0), 0.6);
        for step in 1..=steps {
            let here = whites.mix(&mixer, place(step), 0.6);
            let jump = here.levels.iter().zip(before.levels).map(|(p, q)| (p - q).abs()).fold(0.0, f64::max);
            assert!(jump < 0.04, "{step}: {jump}");
            before = here;
        }
    }
    // Colours get the most light; three emitters leave nothing to choose.
    assert_eq!(whites.mix(&mixer, HOT_PINK, 0.5), mixer.max_output(HOT_PINK).dimmed(0.5));
    assert!(Whites::new(&Mixer::new(RGB), &self::rendering(RGB)).is_empty());
}
