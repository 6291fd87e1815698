//! Where light lands: throw, reach, spot size, light level; and whom it may dazzle.

use lanthorn_fixture::Attribute;
use lanthorn_fixture::profile::Kind;
use lanthorn_physics::beam::{BeamShape, face, illuminance, spot_ellipse};
use lanthorn_physics::units::{Candela, Radians};
use lanthorn_physics::{Direction, Point};
use serde::Serialize;

use super::finding::{Finding, and, capital, lights};
use super::units::{UnitPlan, Way};
use super::{at, has, mode, position, straight_m};
use crate::{Area, Rig, Unit};

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
    /// Whether pan and tilt reach it; none when that is not known or the light does not move.
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
    let Some(from) = position(rig, unit).filter(|_| shines(unit)) else { return Vec::new() };
    if aims(unit) {
        let one = |mark: &crate::Mark| landing(rig, unit, from, mark.at, Some(mark.name.clone()));
        return rig.room.marks.iter().map(one).collect();
    }
    unit.focus.map(|focus| landing(rig, unit, from, focus, None)).into_iter().collect()
}

fn landing(rig: &Rig, unit: &Unit, from: Point, to: Point, mark: Option<String>) -> Landing {
    let optics = &unit.profile.optics;
    let throw_m = straight_m(from, to);
    let raised = to.z() - floor_under(rig, to) > RAISED_M;
    let surface = if raised { Surface::Upright } else { Surface::Level };
    // Beyond a kilometre nothing is worth computing.
    let along = from.towards(to).filter(|_| throw_m.is_some_and(|throw| throw > 0.1 && throw < 1e3));
    let normal = along.and_then(|along| match surface {
        Surface::Level => Some(Direction::UP),
        Surface::Upright => face(along.reversed()),
    });
    let spot = along
        .zip(normal)
        .zip(optics.beam.value())
        .and_then(|((along, normal), beam)| spot_ellipse(from, along, beam / 2.0, to, normal));
    let peak = peak(unit);
    let lux = normal.zip(peak).map(|(normal, (peak, _))| illuminance(peak, from, to, normal).get());
    // Light from below or behind the surface lands on its other side: no figure for this one.
    let lux = lux.filter(|lux| *lux > 0.0);
    Landing {
        reachable: if aims(unit) { reaches(rig, unit, to) } else { None },
        mark,
        throw_m,
        surface,
        spot_long_m: spot.map(|spot| 2.0 * spot.semi_major().max(spot.semi_minor())),
        spot_short_m: spot.map(|spot| 2.0 * spot.semi_major().min(spot.semi_minor())),
        lux,
        assumed: lux.is_some() && peak.is_some_and(|(_, assumed)| assumed),
    }
}

/// Peak of one head, and whether that is assumed. From the flux it is worked out by the shape of the beam.
fn peak(unit: &Unit) -> Option<(Candela, bool)> {
    use lanthorn_fixture::Origin::{Default, Guessed};
    let optics = &unit.profile.optics;
    if let Some(peak) = optics.peak.value() {
        return Some((peak, matches!(optics.peak.origin(), Default | Guessed)));
    }
    let (flux, beam) = optics.flux.value().zip(optics.beam.value())?;
    if beam.get() <= 0.0 {
        return None;
    }
    let shape = match optics.field.value().filter(|field| *field > beam) {
        Some(field) => BeamShape::new(beam, field),
        None => BeamShape::from_beam(beam),
    };
    Some((shape.peak_from_flux(flux), true))
}

/// Floor or platform below a point.
fn floor_under(rig: &Rig, point: Point) -> f64 {
    let over = rig.room.platforms.iter().filter(|area| covers(area, point)).map(|area| area.height.get());
    over.filter(|height| *height <= point.z() + 1e-9).fold(0.0, f64::max)
}

fn covers(area: &Area, point: Point) -> bool {
    let within = |value: f64, ends: [f64; 2]| value >= ends[0] - 1e-9 && value <= ends[1] + 1e-9;
    within(point.x(), area.x.map(|x| x.get())) && within(point.y(), area.y.map(|y| y.get()))
}

/// Whether pan and tilt reach a point, both about home within half of their travel. With tilt `t = ±acos(−d_z)` the
/// pan is `atan2(∓d_x, ±d_y)`, any number of turns added. None when a travel is not known.
fn reaches(rig: &Rig, unit: &Unit, to: Point) -> Option<bool> {
    let movement = unit.profile.movement.as_ref()?;
    let half_pan = movement.pan_travel.value()?.get() / 2.0 + 1e-9;
    let half_tilt = movement.tilt_travel.value()?.get() / 2.0 + 1e-9;
    let in_world = position(rig, unit)?.towards(to)?;
    let d = unit.world_from_fixture().inverse().apply(in_world);
    let tilt = d.angle_to(Direction::DOWN).get();
    let turned = libm::hypot(d.x(), d.y()) > 1e-9;
    let pan = |sign: f64| libm::atan2(-sign * d.x(), sign * d.y()).abs();
    // The turn nearest to home has the smallest pan of its family: if that one is out of travel, all are.
    let pan_ok = !turned || [1.0, -1.0].into_iter().any(|sign| pan(sign) <= half_pan);
    Some(tilt <= half_tilt && pan_ok)
}

/// `true` for whatever gives light.
fn shines(unit: &Unit) -> bool {
    !matches!(unit.profile.kind, Kind::Hazer | Kind::Dimmer)
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
        coarse(unit, lands, findings);
    }
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

/// One step of an 8-bit pan or tilt, as far as it moves the spot.
fn coarse(unit: &Unit, lands: &[Landing], findings: &mut Vec<Finding>) {
    let Some((mode, movement)) = mode(unit).zip(unit.profile.movement.as_ref()) else { return };
    let eight_bit = |attribute: &Attribute| {
        mode.channels
            .iter()
            .any(|c| c.fine.is_none() && c.ranges.iter().any(|range| range.attribute == *attribute))
    };
    let step = |attribute: Attribute, travel: Option<Radians>| {
        travel.filter(|_| eight_bit(&attribute)).map(|travel| travel.get() / 255.0)
    };
    let steps = [
        step(Attribute::Pan, movement.pan_travel.value()),
        step(Attribute::Tilt, movement.tilt_travel.value()),
    ];
    let Some(widest) = steps.into_iter().flatten().reduce(f64::max) else { return };
    let throw = lands.iter().filter_map(|l| l.throw_m).reduce(f64::max).unwrap_or(5.0);
    let cm = throw * libm::tan(widest.min(1.5)) * CM_PER_M;
    findings.push(
        Finding::note(
            "coarse-aim",
            at(unit),
            format!("Light {} aims in coarse steps in this mode", unit.number),
        )
        .units(&[unit.number])
        .figure(format!("one step is {:.2}°, {cm:.0} cm at {throw:.1} m", Radians::new(widest).deg()))
        .rule("an 8-bit channel cuts the travel into 255 steps", "arithmetic")
        .remedy("Use its mode with fine pan and tilt channels, if it has one"),
    );
}

/// Figures without which reach, spot or light level stay unknown; one finding each.
fn not_known(rig: &Rig, findings: &mut Vec<Finding>) {
    type Lacks = fn(&Unit) -> bool;
    let kinds: [(&'static str, &str, &str, Lacks); 4] = [
        (
            "travel-unknown",
            "pan or tilt travel not known, so reach is not checked",
            "Put both travels into the profile",
            |u| {
                aims(u)
                    && !u
                        .profile
                        .movement
                        .as_ref()
                        .is_some_and(|m| m.pan_travel.is_known() && m.tilt_travel.is_known())
            },
        ),
        (
            "beam-unknown",
            "beam angle not known, so spots have no size",
            "Measure a spot: its width and its distance",
            |u| shines(u) && u.profile.kind != Kind::Strobe && !u.profile.optics.beam.is_known(),
        ),
        (
            "brightness-unknown",
            "neither peak nor flux known, so no light level",
            "Look for candela, lumens or lux at a distance",
            |u| shines(u) && u.profile.kind != Kind::Strobe && peak(u).is_none(),
        ),
        ("focus-unknown", "not said where a person points it, so no throw", "Say where it is pointed", |u| {
            shines(u) && u.profile.kind != Kind::Strobe && !aims(u) && u.focus.is_none()
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

/// Lights whose beam can meet eyes in an audience area: heads by their travel, other lights as they are pointed.
fn eyes(rig: &Rig, findings: &mut Vec<Finding>) {
    let eyes: Vec<Point> = rig.room.audience.iter().flat_map(eyes_in).collect();
    let heads = |unit: &&Unit| aims(unit) && eyes.iter().any(|eye| reaches(rig, unit, *eye) == Some(true));
    let pointed =
        |unit: &&Unit| shines(unit) && !aims(unit) && eyes.iter().any(|eye| in_beam(rig, unit, *eye));
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

/// A grid of eyes over an area, edges included.
fn eyes_in(area: &Area) -> Vec<Point> {
    let steps = 8u8;
    let part = |ends: [f64; 2], step: u8| ends[0] + (ends[1] - ends[0]) * f64::from(step) / f64::from(steps);
    let (x, y, floor) = (area.x.map(|x| x.get()), area.y.map(|y| y.get()), area.height.get());
    (0..=steps)
        .flat_map(|i| (0..=steps).map(move |j| (i, j)))
        .flat_map(|(i, j)| EYES_M.map(|eye| Point::new(part(x, i), part(y, j), floor + eye)))
        .collect()
}

fn in_beam(rig: &Rig, unit: &Unit, eye: Point) -> bool {
    let Some((from, focus)) = position(rig, unit).zip(unit.focus) else { return false };
    let half = unit.profile.optics.beam.value().map_or(0.0, |beam| beam.get() / 2.0);
    let Some((axis, to_eye)) = from.towards(focus).zip(from.towards(eye)) else { return false };
    axis.angle_to(to_eye).get() <= half
}

fn flashing(rig: &Rig, findings: &mut Vec<Finding>) {
    let limit = rig.limits.flash.get();
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
                .figure(format!("{limit:.1} flashes a second"))
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
        rig.units.iter().filter(|unit| unit.profile.kind == Kind::Hazer).map(|unit| unit.number).collect();
    if !hazers.is_empty() {
        findings.push(
            Finding::caution("haze", "haze", format!("{} makes haze: smoke detectors may answer", capital(&lights(&hazers))))
                .units(&hazers)
                .rule("detectors are handled by the building's fire contact and nobody else", TRADE)
                .remedy("Ask in writing before using it; never cover or unplug a detector; keep exits and their signs in sight"),
        );
    }
}
