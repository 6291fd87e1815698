//! A flash meter. It sees what lights do with the frames that were sent, and shares nothing with what limits them.
//!
//! Counted as W3C WCAG 2.2 defines them ("general flash and red flash thresholds"): a general flash is a pair of opposing
//! changes of light by 10 % of the most there can be or more; a red flash is a pair of opposing changes to or from
//! saturated red (R/(R+G+B) ≥ 0.8) by more than 0.2 in u′v′. Looked at is the whole rig by its lumens, the whole rig with
//! all heads alike, and each head by itself. Strobes, whose flashes no frame shows, add their rates, rounded up.

use lanthorn_fixture::profile::Kind;
use lanthorn_rehearsal::standin::LightNow;
use lanthorn_rig::Rig;
use lanthorn_rig::shine::{Shine, usual_shape};

/// A second from its first tick to its last, both counted.
const SECOND: usize = 40;

/// Less light than the first step of a channel gives is what a source that was sent dark still glows.
const AFTERGLOW: f64 = 1.0 / 255.0;

/// Least changes that are counted: the published tenth, and what it is to somebody who sees only part of the rig.
const STEPS: [f64; 3] = [0.1, 0.13, 0.18];

/// Counts from tick to tick.
pub(crate) struct Meter {
    /// Of each light: lumens of a head as docs/flashes.md says, and one, both of all heads.
    weights: Vec<[f64; 2]>,
    /// Of each light: fastest strobe, and fastest in red, at each tick.
    strobes: Vec<Vec<(usize, usize)>>,
    /// The whole rig by lumens, by heads, and then every head by itself.
    eyes: Vec<Eye>,
    tick: usize,
    /// Largest count of a second: general with strobes, red with strobes.
    pub(crate) worst: (usize, usize),
    /// General flashes in all.
    pub(crate) flashes: usize,
}

/// One who looks.
struct Eye {
    general: [Turns; 3],
    red: Colours,
}

/// When something changed to and fro.
#[derive(Default)]
struct Times([Vec<usize>; 2]);

/// Changes of one figure.
struct Turns {
    step: f64,
    last: Option<f64>,
    up: Option<bool>,
    at: Times,
}

/// Changes of colour to and from red.
#[derive(Default)]
struct Colours {
    /// The colour on this side of the last change, and whether that side is red; no colour: dark.
    side: Option<(Option<[f64; 2]>, bool)>,
    at: Times,
}

impl Meter {
    pub(crate) fn new(rig: &Rig) -> Self {
        let lumens = |unit: &lanthorn_rig::Unit| {
            if unit.address().is_none() || !unit.profile.kind.gives_light() {
                return 0.0;
            }
            let shine = Shine::new(rig, unit);
            let beam = shine.as_ref().map_or(usual_shape(unit.profile.kind), |shine| shine.shape).beam;
            let peak = shine.and_then(|shine| shine.peak);
            let usual = match unit.profile.kind {
                Kind::SpotHead | Kind::WashHead => 2000.0,
                Kind::Scanner => 2000.0,
                Kind::Par | Kind::Bar | Kind::Effect => 800.0,
                Kind::Dimmer | Kind::Fresnel | Kind::ProfileSpot | Kind::Flood => 4000.0,
                Kind::Strobe | Kind::Blinder => 8000.0,
                Kind::Hazer | Kind::Fogger | Kind::Machine => 0.0,
            };
            peak.map_or(usual, |peak| {
                peak.get() * 2.0 * std::f64::consts::PI * (1.0 - (beam.get() / 2.0).cos())
            })
        };
        let heads: Vec<usize> = rig.units.iter().map(|unit| usize::from(unit.mode().heads.max(1))).collect();
        let both = |unit| {
            let lumens: f64 = lumens(unit);
            [lumens, if lumens > 0.0 { 1.0 } else { 0.0 }]
        };
        let mut weights: Vec<[f64; 2]> = rig.units.iter().map(both).collect();
        let most: [f64; 2] = [0, 1]
            .map(|of| weights.iter().zip(&heads).map(|(lumens, heads)| lumens[of] * *heads as f64).sum());
        for weights in &mut weights {
            (0..2).for_each(|of| weights[of] /= most[of]);
        }
        Self {
            strobes: vec![Vec::new(); weights.len()],
            weights,
            eyes: (0..2 + heads.iter().sum::<usize>()).map(|_| Eye::new()).collect(),
            tick: 0,
            worst: (0, 0),
            flashes: 0,
        }
    }

    /// One tick later.
    pub(crate) fn see(&mut self, lights: &[LightNow]) {
        let mut eyes = 2;
        let mut whole = [[0.0; 3]; 2];
        for ((now, weights), strobes) in lights.iter().zip(&self.weights).zip(&mut self.strobes) {
            let (mut fastest, mut red) = (0, false);
            for beam in &now.heads {
                let colour = beam.chromaticity.map_or([0.3127, 0.3290], |c| [c.x, c.y]);
                let level = if beam.level >= AFTERGLOW { beam.level } else { 0.0 };
                let xyz = [colour[0] / colour[1], 1.0, (1.0 - colour[0] - colour[1]) / colour[1]]
                    .map(|part| part * level);
                for (sum, weight) in whole.iter_mut().zip(weights) {
                    sum.iter_mut().zip(xyz).for_each(|(sum, part)| *sum += part * weight);
                }
                if beam.flashing && level > 0.0 {
                    let hz = beam.strobe.expect("nothing flashes at a rate that nobody knows").get();
                    fastest = fastest.max(hz.ceil() as usize);
                    red |= saturated(xyz);
                }
                self.eyes[eyes].see(xyz, self.tick);
                eyes += 1;
            }
            strobes.push((fastest, if red { fastest } else { 0 }));
        }
        for (eye, xyz) in self.eyes.iter_mut().zip(whole) {
            eye.see(xyz, self.tick);
        }
        self.count();
        self.tick += 1;
    }

    fn count(&mut self) {
        let from = self.tick.saturating_sub(SECOND);
        // Each by its own clock, whenever it was within the second.
        let (mut strobes, mut red_strobes) = (0, 0);
        for rates in self.strobes.iter().map(|light| &light[from..]) {
            strobes += rates.iter().map(|(rate, _)| *rate).max().unwrap_or(0);
            red_strobes += rates.iter().map(|(_, red)| *red).max().unwrap_or(0);
        }
        for eye in &self.eyes {
            let general = eye.general.iter().map(|turns| turns.at.since(from)).max().unwrap_or(0);
            self.worst.0 = self.worst.0.max(general + strobes);
            self.worst.1 = self.worst.1.max(eye.red.at.since(from) + red_strobes);
        }
        self.flashes = self.eyes[0].general[0].at.0[0].len();
    }
}

impl Eye {
    fn new() -> Self {
        Self { general: STEPS.map(Turns::new), red: Colours::default() }
    }

    fn see(&mut self, xyz: [f64; 3], tick: usize) {
        self.general.iter_mut().for_each(|turns| turns.see(xyz[1], tick));
        self.red.see(xyz, tick);
    }
}

impl Times {
    /// Changes to one side or to the other, whichever are more: so it does not matter when a flash is said to be whole.
    fn since(&self, from: usize) -> usize {
        self.0.iter().map(|at| at.iter().rev().take_while(|&&at| at >= from).count()).max().unwrap_or(0)
    }
}

impl Turns {
    fn new(step: f64) -> Self {
        Self { step, last: None, up: None, at: Times::default() }
    }

    /// The published definition leaves out what happens above 80 % of the most; here that counts as well.
    fn see(&mut self, value: f64, tick: usize) {
        let last = *self.last.get_or_insert(0.0);
        let goes_up = value > last;
        if self.up == Some(goes_up) {
            self.last = Some(value);
        } else if (value - last).abs() >= self.step {
            self.at.0[usize::from(goes_up)].push(tick);
            (self.last, self.up) = (Some(value), Some(goes_up));
        }
    }
}

impl Colours {
    fn see(&mut self, [x, y, z]: [f64; 3], tick: usize) {
        // Hardly any light has no colour; in between it is left open what it is.
        if (0.006..0.012).contains(&y) {
            return;
        }
        let sum = x + 15.0 * y + 3.0 * z;
        let colour = (y >= 0.012).then(|| [4.0 * x / sum, 9.0 * y / sum]);
        let red = colour.is_some() && saturated([x, y, z]);
        let Some((before, was_red)) = self.side else {
            self.side = Some((colour, red));
            return;
        };
        let far = match (before, colour) {
            (Some([a, b]), Some([c, d])) => (a - c).hypot(b - d) > 0.2,
            (None, None) => false,
            _ => true,
        };
        if (red || was_red) && far {
            self.at.0[usize::from(red)].push(tick);
            self.side = Some((colour, red));
        } else if !red && !was_red {
            self.side = Some((colour, red));
        }
    }
}

/// By the inverse of the matrix of IEC 61966-2-1.
fn saturated([x, y, z]: [f64; 3]) -> bool {
    let rgb = [
        3.240_454 * x - 1.537_139 * y - 0.498_531 * z,
        -0.969_266 * x + 1.876_011 * y + 0.041_556 * z,
        0.055_643 * x - 0.204_026 * y + 1.057_225 * z,
    ]
    .map(|part| part.max(0.0));
    rgb[0] > 0.0 && rgb[0] / rgb.iter().sum::<f64>() >= 0.8
}

#[test]
fn the_meter_counts_what_the_definition_says() {
    // Light of a tick, flashes in the worst second.
    type Row = (fn(usize) -> f64, usize);
    let rows: [Row; 6] = [
        (|tick| if tick % 10 < 5 { 1.0 } else { 0.0 }, 4),
        (|tick| if tick % 10 < 5 { 0.59 } else { 0.5 }, 1), // it comes on; then less than a tenth
        (|tick| if tick % 16 < 8 { 0.61 } else { 0.5 }, 3), // a tenth, and 2.5 a second
        (|tick| tick as f64 / 400.0, 1),                    // it comes on
        (|tick| if tick % 20 < 10 { 0.4 } else { 0.1 }, 2),
        (|tick| if tick % 20 == 0 { 0.4 } else { 0.1 }, 2),
    ];
    for (index, (light, flashes)) in rows.into_iter().enumerate() {
        let mut turns = Turns::new(0.1);
        let mut worst = 0;
        for tick in 0..400 {
            turns.see(light(tick), tick);
            worst = worst.max(turns.at.since((tick + 1).saturating_sub(SECOND)));
        }
        assert_eq!(worst, flashes, "row {index}");
    }
    // Red and white of the same light: two changes for each flash; orange is not far enough from red.
    let [red, white, orange] = [[0.64, 0.33], [0.3127, 0.3290], [0.60, 0.37]]
        .map(|[x, y]: [f64; 2]| [x / y * 0.5, 0.5, (1.0 - x - y) / y * 0.5]);
    for (other, changes) in [(white, [4, 3]), (orange, [0, 0]), ([0.0; 3], [4, 3])] {
        let mut colours = Colours::default();
        (0..8).for_each(|tick| colours.see(if tick % 2 == 0 { red } else { other }, tick));
        assert_eq!(colours.at.0.each_ref().map(Vec::len), changes);
    }
}
