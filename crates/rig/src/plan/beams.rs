//! Where light lands: throw, reach, spot size, light level; and whom it may dazzle.

use lanthorn_fixture::encode::Encoder;
use lanthorn_fixture::profile::Kind;
use lanthorn_fixture::{Attribute, Origin};
use lanthorn_physics::beam::{face, illuminance, spot_ellipse};
use lanthorn_physics::units::{Candela, Radians};
use lanthorn_physics::{Direction, Point};
use serde::Serialize;

use super::finding::{Finding, and, capital, lights};
use super::units::{UnitPlan, Way};
use super::{at, has, mode, position, straight_m};
use crate::aim::Head;
use crate::{Area, Mark, Rig, Unit};

/// A mark that is higher than this above what is under it is a person or a thing, not a spot on the floor.
const RAISED_M: f64 = 0.3;
/// Eye heights above the floor, seated and standing.
const EYES_M: [f64; 2] = [1.2, 1.6];
const CM_PER_M: f64 = 100.0;
const TRADE: &str = "common practice, no source";

/// Where one head's light lands, at full output with all its emitters on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Landing {
    /// The mark's name; none for the focus of a light that a person points.
    pub mark: Option<String>,
    /// Straight line from the light.
    pub throw_m: Option<f64>,
    /// Whether pan and tilt reach it; none when that is not known, or when the light does not move or is not driven.
    pub reachable: Option<bool>,
    /// What the light level and the spot are meant for.
    pub surface: Surface,
    /// Longer diameter of the spot, where the light is half of its peak; none when it is not known or runs off to the
    /// horizon.
    pub spot_long_m: Option<f64>,
    /// Shorter diameter.
    pub spot_short_m: Option<f64>,
    /// Light level at the middle, of one head, white.
    pub lux: Option<f64>,
    /// `true` when the peak is not stated but worked out from the flux, or the figures behind it are guesses.
    pub assumed: bool,
}

/// What a light level is meant for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// Level, like the floor: marks on the floor or on a platform.
    Level,
    /// Upright and turned to the light, like a face: marks above the floor.
    Upright,
}

/// A head that moves lands on every mark, any other light on its focus; hazers and packs nowhere.
pub(crate) fn landings(rig: &Rig, unit: &Unit) -> Vec<Landing> {
    if !shines(unit) {
        return Vec::new();
    }
    let Some(from) = lens(rig, unit) else { return Vec::new() };
    let lamp = Lamp::of(unit);
    if aims(unit) {
        let head = head(rig, unit);
        let one = |mark: &Mark| Landing {
            mark: Some(mark.name.clone()),
            reachable: head
                .as_ref()
                .filter(|_| Way::of(&unit.run) == Way::Driven)
                .map(|head| reaches(head, mark.at)),
            ..landing(rig, &lamp, from, mark.at)
        };
        return rig.room.marks.iter().map(one).collect();
    }
    unit.focus.map(|focus| landing(rig, &lamp, from, focus)).into_iter().collect()
}

/// Throw, spot and light level; mark and reach are not its business.
fn landing(rig: &Rig, lamp: &Lamp, from: Point, to: Point) -> Landing {
    let throw_m = straight_m(from, to);
    let raised = to.z() - rig.room.floor_under(to).get() > RAISED_M;
    let surface = if raised { Surface::Upright } else { Surface::Level };
    // Beyond a kilometre nothing is worth computing.
    let along = from.towards(to).filter(|_| throw_m.is_some_and(|throw| throw > 0.1 && throw < 1e3));
    let normal = along.and_then(|along| match surface {
        Surface::Level => Some(Direction::UP),
        Surface::Upright => face(along.reversed()),
    });
    let spot = along
        .zip(normal)
        .zip(lamp.beam)
        .and_then(|((along, normal), beam)| spot_ellipse(from, along, beam / 2.0, to, normal));
    let lux = normal.zip(lamp.peak).map(|(normal, (peak, _))| illuminance(peak, from, to, normal).get());
    // Light from below or behind the surface lands on its other side: no figure for this one.
    let lux = lux.filter(|lux| *lux > 0.0);
    Landing {
        mark: None,
        reachable: None,
        throw_m,
        surface,
        spot_long_m: spot.map(|spot| 2.0 * spot.semi_major().max(spot.semi_minor())),
        spot_short_m: spot.map(|spot| 2.0 * spot.semi_major().min(spot.semi_minor())),
        lux,
        assumed: lux.is_some() && lamp.peak.is_some_and(|(_, assumed)| assumed),
    }
}

/// Where its beams start.
fn lens(rig: &Rig, unit: &Unit) -> Option<Point> {
    position(rig, unit).map(|_| rig.pivot(unit))
}

/// What is known of one head's beam. Costs a reading of the whole mode: taken once for each light.
struct Lamp {
    /// Full angle at half of the peak: stated, or worked out from the field angle.
    beam: Option<Radians>,
    /// Peak, and whether it is assumed: worked out from flux and beam shape, or not stated by the maker.
    peak: Option<(Candela, bool)>,
}

impl Lamp {
    fn of(unit: &Unit) -> Self {
        let encoder = Encoder::new(&unit.profile, unit.mode);
        let assumed = unit.profile.optics.peak.origin() != Origin::Stated;
        Self {
            beam: encoder.beam_shape().map(|shape| shape.beam),
            peak: encoder.max_candela().map(|peak| (peak, assumed)),
        }
    }
}

/// The head of a light that aims, with pan and tilt travel known and a place to stand on.
fn head(rig: &Rig, unit: &Unit) -> Option<Head> {
    position(rig, unit).filter(|_| mode(unit).is_some()).and_then(|_| Head::new(rig, unit))
}

/// Whether pan and tilt reach a point.
fn reaches(head: &Head, to: Point) -> bool {
    head.solve(to, (Radians::ZERO, Radians::ZERO)).best().is_some()
}

/// `true` for whatever gives light.
fn shines(unit: &Unit) -> bool {
    unit.profile.kind.gives_light() && unit.profile.kind != Kind::Dimmer
}

/// `true` for a head whose pan and tilt are driven, or that moves by a programme of its own.
fn aims(unit: &Unit) -> bool {
    let driven = Way::of(&unit.run) == Way::Driven;
    let channels = mode(unit).is_some_and(|mode| has(mode, &Attribute::Pan) && has(mode, &Attribute::Tilt));
    unit.profile.movement.is_some() && (channels || !driven)
}

pub(crate) fn check(rig: &Rig, plans: &[UnitPlan], findings: &mut Vec<Finding>) {
    for unit in rig.units.iter().filter(|unit| Way::of(&unit.run) == Way::Driven && aims(unit)) {
        let lands = plans.iter().find(|plan| plan.number == unit.number).map_or(&[][..], |plan| &plan.lands);
        unreachable(unit, lands, findings);
    }
    coarse(rig, plans, findings);
    not_known(rig, findings);
    eyes(rig, findings);
    flashing(rig, findings);
    haze(rig, findings);
}

fn unreachable(unit: &Unit, lands: &[Landing], findings: &mut Vec<Finding>) {
    let missed: Vec<String> =
        lands.iter().filter(|l| l.reachable == Some(false)).filter_map(|l| l.mark.clone()).collect();
    if !missed.is_empty() {
        findings.push(
            Finding::caution(
                "out-of-reach",
                at(unit),
                format!("Light {} cannot reach {}", unit.number, and(&missed)),
            )
            .units(&[unit.number])
            .figure(format!("{} of {} marks out of travel", missed.len(), lands.len()))
            .rule("pan and tilt stay within their travel", "the light's profile; geometry")
            .remedy("Turn or move the light, or light these marks from another one"),
        );
    }
}

/// One step of an 8-bit pan or tilt, as far as it moves the spot; one finding for each profile and mode.
fn coarse(rig: &Rig, plans: &[UnitPlan], findings: &mut Vec<Finding>) {
    let mut kinds: Vec<(&str, &str, f64, f64, Vec<u32>)> = Vec::new();
    for unit in rig.units.iter().filter(|unit| Way::of(&unit.run) == Way::Driven && aims(unit)) {
        let Some((mode, step)) = mode(unit).zip(widest_step(unit)) else { continue };
        let lands = plans.iter().find(|plan| plan.number == unit.number).map_or(&[][..], |plan| &plan.lands);
        let throw = lands.iter().filter_map(|landing| landing.throw_m).reduce(f64::max).unwrap_or(5.0);
        let alike = |kind: &&mut (&str, &str, f64, f64, Vec<u32>)| {
            (kind.0, kind.1) == (&unit.profile.name, &mode.name)
        };
        match kinds.iter_mut().find(alike) {
            Some((.., longest, numbers)) => {
                *longest = longest.max(throw);
                numbers.push(unit.number);
            }
            None => kinds.push((&unit.profile.name, &mode.name, step, throw, vec![unit.number])),
        }
    }
    for (profile, mode, step, throw, numbers) in kinds {
        let cm = throw * libm::tan(step.min(1.5)) * CM_PER_M;
        let what = format!("{}: coarse steps of pan or tilt in mode “{mode}”", capital(&lights(&numbers)));
        findings.push(
            Finding::note("coarse-aim", format!("profile {profile}"), what)
                .units(&numbers)
                .figure(format!("one step is {:.2}°, {cm:.0} cm at {throw:.1} m", Radians::new(step).deg()))
                .rule("an 8-bit channel cuts the travel into 255 steps", "arithmetic")
                .remedy("Use a mode with fine pan and tilt channels, if it has one"),
        );
    }
}

/// The widest step of its pan and tilt channels that have no fine byte, radians.
fn widest_step(unit: &Unit) -> Option<f64> {
    let (mode, movement) = mode(unit).zip(unit.profile.movement.as_ref())?;
    let eight_bit = |attribute: &Attribute| {
        mode.channels
            .iter()
            .any(|c| c.fine.is_none() && c.ranges.iter().any(|range| range.attribute == *attribute))
    };
    let step = |attribute: Attribute, travel: Option<Radians>| {
        travel.filter(|_| eight_bit(&attribute)).map(|travel| travel.get() / 255.0)
    };
    let pan = step(Attribute::Pan, movement.pan_travel.value());
    let tilt = step(Attribute::Tilt, movement.tilt_travel.value());
    [pan, tilt].into_iter().flatten().reduce(f64::max)
}

/// Figures without which reach, spot or light level stay unknown; one finding each.
fn not_known(rig: &Rig, findings: &mut Vec<Finding>) {
    type Lacks = fn(&Unit) -> bool;
    let kinds: [(&'static str, &str, &str, Lacks); 4] = [
        (
            "travel-unknown",
            "pan or tilt travel not known, so reach is not checked",
            "Put both travels into the profile",
            |u| aims(u) && !knows_travel(u),
        ),
        (
            "beam-unknown",
            "beam angle not known, so spots have no size",
            "Measure a spot: its width and its distance",
            |u| lights_things(u) && !knows_beam(u),
        ),
        (
            "brightness-unknown",
            "peak not known, nor flux with beam angle, so no light level",
            "Look for candela, lumens or lux at a distance",
            |u| {
                let optics = &u.profile.optics;
                lights_things(u) && !optics.peak.is_known() && !(optics.flux.is_known() && knows_beam(u))
            },
        ),
        ("focus-unknown", "not said where a person points it, so no throw", "Say where it is pointed", |u| {
            lights_things(u) && !aims(u) && u.focus.is_none()
        }),
    ];
    for (code, what, remedy, lacks) in kinds {
        let numbers: Vec<u32> = rig.units.iter().filter(|unit| lacks(unit)).map(|unit| unit.number).collect();
        if !numbers.is_empty() {
            findings.push(
                Finding::note(code, "beams", format!("{}: {what}", capital(&lights(&numbers))))
                    .units(&numbers)
                    .rule("an unknown figure is not guessed", "this tool")
                    .remedy(remedy),
            );
        }
    }
}

/// `true` for a light whose level on things matters: not for a strobe.
fn lights_things(unit: &Unit) -> bool {
    shines(unit) && unit.profile.kind != Kind::Strobe
}

fn knows_travel(unit: &Unit) -> bool {
    let movement = unit.profile.movement.as_ref();
    movement.is_some_and(|movement| movement.pan_travel.is_known() && movement.tilt_travel.is_known())
}

fn knows_beam(unit: &Unit) -> bool {
    unit.profile.optics.beam.is_known() || unit.profile.optics.field.is_known()
}

/// Lights whose beam can meet eyes in an audience area: heads by their travel, other lights as they are pointed.
fn eyes(rig: &Rig, findings: &mut Vec<Finding>) {
    let eyes: Vec<Point> = rig.room.audience.iter().flat_map(eyes_in).collect();
    let heads =
        |unit: &&Unit| head(rig, unit).is_some_and(|head| eyes.iter().any(|eye| reaches(&head, *eye)));
    let pointed =
        |unit: &&Unit| shines(unit) && !aims(unit) && !eyes.is_empty() && meets_eyes(rig, unit, &eyes);
    let heads: Vec<u32> = rig.units.iter().filter(heads).map(|unit| unit.number).collect();
    let pointed: Vec<u32> = rig.units.iter().filter(pointed).map(|unit| unit.number).collect();
    for (code, what, numbers, remedy) in [
        (
            "eyes-in-reach",
            "can shine into the eyes of the audience",
            heads,
            "Keep narrow still beams above standing heads; over heads, sweep and do not park",
        ),
        (
            "eyes-in-beam",
            "pointed so that people in the audience look into it",
            pointed,
            "Point it from higher up (more than 30° above the line of sight), or dim it",
        ),
    ] {
        if !numbers.is_empty() {
            findings.push(
                Finding::note(code, "eyes", format!("{} {what}", capital(&lights(&numbers))))
                    .units(&numbers)
                    .figure(format!("eyes at {:.1}–{:.1} m above the floor", EYES_M[0], EYES_M[1]))
                    .rule("no still beam into eyes; IEC 62471 risk groups ask for a distance", TRADE)
                    .remedy(remedy),
            );
        }
    }
}

/// A grid of eyes over an area, edges included, half a metre apart or 40 to a side.
fn eyes_in(area: &Area) -> Vec<Point> {
    let (x, y, floor) = (area.x.map(|x| x.get()), area.y.map(|y| y.get()), area.height.get());
    let row = |ends: [f64; 2]| {
        let steps = ((ends[1] - ends[0]).abs() / 0.5).ceil().clamp(1.0, 40.0) as u8;
        (0..=steps).map(move |step| ends[0] + (ends[1] - ends[0]) * f64::from(step) / f64::from(steps))
    };
    row(x)
        .flat_map(|x| row(y).map(move |y| (x, y)))
        .flat_map(|(x, y)| EYES_M.map(|eye| Point::new(x, y, floor + eye)))
        .collect()
}

/// Whether a pair of eyes is inside the beam of a light that a person points.
fn meets_eyes(rig: &Rig, unit: &Unit, eyes: &[Point]) -> bool {
    let Some((from, focus)) = lens(rig, unit).zip(unit.focus) else { return false };
    let Some(axis) = from.towards(focus) else { return false };
    let half = Lamp::of(unit).beam.map_or(0.0, |beam| beam.get() / 2.0);
    eyes.iter().filter_map(|eye| from.towards(*eye)).any(|to_eye| axis.angle_to(to_eye).get() <= half)
}

fn flashing(rig: &Rig, findings: &mut Vec<Finding>) {
    let limit = rig.limits.in_force().get();
    let strobes: Vec<u32> =
        rig.units.iter().filter(|unit| unit.profile.kind == Kind::Strobe).map(|unit| unit.number).collect();
    if !strobes.is_empty() {
        findings.push(
            Finding::caution("strobe", "strobe", format!("{} made to flash", capital(&lights(&strobes))))
                .units(&strobes)
                .figure(format!("limit set here: {limit:.1} flashes a second for the whole rig"))
                .rule("3 flashes a second at most, counted over everything in view", "W3C WCAG 2.3.1, a limit for screens that is borrowed here")
                .remedy("Post a notice at every entrance, stop when anybody asks, ask the venue for its own limit"),
        );
    }
    if limit > 3.0 {
        findings.push(
            Finding::caution("flash-limit", "strobe", "The flash limit is raised")
                .figure(match &rig.limits.flash_reason {
                    Some(reason) => format!("{limit:.1} flashes a second, agreed: {reason}"),
                    None => format!("{limit:.1} flashes a second"),
                })
                .rule(
                    "3 a second is the strictest published figure, 4 a second the one for clubs",
                    "W3C WCAG 2.3.1; UK HSE advice, as quoted in public",
                )
                .remedy("Set it back to 3, unless the venue has agreed by name and date"),
        );
    }
}

fn haze(rig: &Rig, findings: &mut Vec<Finding>) {
    let hazers: Vec<u32> =
        rig.units.iter().filter(|unit| unit.profile.kind.makes_haze()).map(|unit| unit.number).collect();
    if !hazers.is_empty() {
        let verb = if hazers.len() == 1 { "makes" } else { "make" };
        findings.push(
            Finding::caution("haze", "haze", format!("{} {verb} haze: smoke detectors may answer", capital(&lights(&hazers))))
                .units(&hazers)
                .rule("detectors are handled by the building's fire contact and nobody else", TRADE)
                .remedy("Ask in writing before using it; never cover or unplug a detector; keep exits and their signs in sight"),
        );
    }
}
