//! What to mind: the cautions that apply to a rig, each one line.

use lanthorn_fixture::profile::Kind;

use super::place;
use super::units::{UnitPlan, Way, noise};
use crate::{PlaceKind, Rig};

/// Above this a person needs something to stand on.
const REACH_M: f64 = 2.0;

pub(crate) fn list(rig: &Rig, units: &[UnitPlan]) -> Vec<String> {
    let on =
        |kind: PlaceKind| rig.units.iter().any(|u| place(rig, u).is_some_and(|place| place.kind == kind));
    let kind = |kind: Kind| rig.units.iter().any(|unit| unit.profile.kind == kind);
    let high = rig.units.iter().any(|u| place(rig, u).is_some_and(|place| place.middle.z() > REACH_M));
    let hangs = on(PlaceKind::Bar) || on(PlaceKind::Truss) || on(PlaceKind::Stand);
    let heads = rig.units.iter().any(|unit| unit.profile.movement.is_some());
    let cabled = rig.units.iter().any(|unit| Way::of(&unit.run) != Way::OnItsOwn);
    let chained = rig.units.iter().any(|unit| unit.profile.power.through.is_known());
    let any = !units.is_empty();

    let strobe = format!(
        "Strobe: flashing light can bring on seizures in people who do not know that they are at risk. Put a notice at \
         every entrance, leave a way out, stop when asked. Everything that pulses together counts; the limit here is \
         {:.1} flashes a second, the venue's may be lower.",
        rig.limits.in_force().get(),
    );
    let fans = noise(rig, units).sum_dba_at_1_m.map(|sum| {
        format!("Noise: the known fans add up to {sum:.0} dBA at 1 m. Near loudspeakers, wear ear plugs.")
    });
    let battery = rig.units.iter().any(|unit| super::packing::watt_hours(unit).is_some());
    let outdoors = rig.room.places.iter().any(|place| place.held.outdoors);
    let rows: [(bool, &str); 21] = [
        (true, GENERAL),
        (any, POWER),
        (any, RCD),
        (any, LEADS),
        (chained, CHAINS),
        (units.len() > 1, INRUSH),
        (rig.mains.generator.is_some(), GENERATOR),
        (battery, BATTERY),
        (outdoors, OUTDOORS),
        (hangs, WEIGHT),
        (hangs, BONDS),
        (on(PlaceKind::Stand), STANDS),
        (high, HEIGHT),
        (any, HEAT),
        (any, if heads { EYES_AND_HEADS } else { EYES }),
        (kind(Kind::Strobe), &strobe),
        (kind(Kind::Hazer) || kind(Kind::Fogger), HAZE),
        (kind(Kind::Fogger), FOG),
        (kind(Kind::Machine), MACHINES),
        (kind(Kind::Blinder), BLINDERS),
        (any, EXITS),
    ];
    let fixed = rows.iter().filter(|(applies, _)| *applies).map(|(_, text)| (*text).to_owned());
    fixed.chain(fans).chain(cabled.then(|| DATA.to_owned())).collect()
}

const GENERAL: &str = "First of all: these are sums made from what was typed in. The local code, the venue, the \
    makers' manuals, a licensed electrician, a competent rigger and the fire officer overrule every figure here.";
const POWER: &str = "Power: currents rest on the labels. Let a licensed electrician confirm the supply, which sockets \
    share a breaker, and the earth. A circuit planned full takes nothing else.";
const RCD: &str = "Residual current: plug in only behind a 30 mA RCD (GFCI) that was tested today with its button. \
    Never bridge one; never disconnect an earth.";
const LEADS: &str = "Leads: unroll every drum, keep leads out of walkways or under ramps, match each to its load, and \
    do not plug lead into lead where the local code forbids it.";
const CHAINS: &str = "Power from light to light: the printed limit of the first light holds for everything behind it, \
    whatever the breaker would carry.";
const INRUSH: &str = "Switching on: one group after another, with the lights at zero. A breaker that trips at \
    switch-on asks for smaller groups, never for a bigger breaker.";
const GENERATOR: &str = "Generator: outside and level, exhaust away from people, refuelled only when cold, earthed as its \
    maker and the local code say, a residual current device on every outlet.";
const BATTERY: &str = "Batteries: charge where somebody watches, on a hard surface, away from the exits. One that is swollen, \
    hot or was dropped goes outside and out of use.";
const OUTDOORS: &str = "Outdoors: only lights and connectors made for it, plugs off the ground, a wind limit with a named \
    person, and everything off for lightning or water inside.";
const WEIGHT: &str = "Weight: a sum is no permission. Get the written limit of every bar and point; where there is \
    none, nothing hangs.";
const BONDS: &str = "Second securing: every light that could fall, and every part that could come off it, has its own \
    rated steel bond to a sound second point, short enough that nothing drops more than 20 cm.";
const STANDS: &str = "Stands: a light push tips a tall stand. Legs fully out, load balanced, weight low, tied or \
    fenced off, away from escape routes. Not outdoors in wind.";
const HEIGHT: &str = "Height: nobody below while work goes on above; ladder one out for four up, three points of \
    contact, tools on a string. Higher work is for trained people.";
const HEAT: &str = "Heat: keep the distance on the label to cloth, scenery and ceiling, keep vents open, let lights \
    cool before packing.";
const EYES: &str = "Eyes: never look into a lens.";
const EYES_AND_HEADS: &str = "Eyes: never look into a lens. Heads swing anywhere when they are switched on or reset: \
    nobody close, nobody on a ladder beside them.";
const FOG: &str = "Fog: the outlet is hot and spits hot droplets; nobody within 1 m in front of it, nothing that burns near \
    it. Short bursts: exits, steps and faces stay in sight. The floor below can become slippery.";
const MACHINES: &str = "Machines: bubbles and snow make floors slippery and leave marks; keep them off stairs, ways out and \
    mains plugs, and wipe up. Hair, scarves and fingers stay away from what turns; its maker says what may hang on it.";
const BLINDERS: &str = "Blinders: turned at faces they dazzle for a while afterwards, and people on stairs or at work cannot \
    see. Low and short, never with somebody on a step, and away from cloth: their lamps are hot.";
const HAZE: &str = "Haze: not before the building's fire contact has agreed in writing how detectors are handled, who \
    keeps watch and when they go back on. Never cover or unplug one yourself. Tell people with asthma.";
const EXITS: &str = "Exits: escape signs and emergency lights are no part of the show; nothing here may dim, hide or \
    outshine them. On an alarm: effects off, house lights on, do as the venue says.";
const DATA: &str = "Data: one chain, its last light terminated, never a plain Y. Before doors, pull the cable once \
    and see what every light does.";
