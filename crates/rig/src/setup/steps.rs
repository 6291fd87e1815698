//! The check-off: what is done to each light at the venue, in the order of each data line.

use lanthorn_physics::units::Radians;

use crate::plan::{Finding, LineKind, Plan, Severity, UnitPlan, Way, plan};
use crate::rig::WayUp;
use crate::{PlaceKind, Rig, Run, Unit};

/// Nearer to the middle of its place than this a light is in the middle.
const MIDDLE_M: f64 = 0.05;
/// Turned by less than this it is not turned.
const TURNED: Radians = Radians::from_deg(2.0);

const BOND_CAUTION: &str = "Take care: the bond is rated steel for more than the light weighs, goes to a sound point of its \
    own, and leaves next to no drop. The venue, the makers’ manuals and a competent person decide what may hang over people.";
const HEIGHT_CAUTION: &str = "Take care: nobody stands below while you work above; work above reach is for people who are trained for it.";
const POWER_CAUTION: &str = "Take care: plug in one light after the other, behind a tested 30 mA RCD (GFCI). A breaker that \
    trips is a sign to stop and ask a licensed electrician.";

/// The check-off of one data line, of one linked chain, or of all lights on their own.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// "line A", "chain of light 4", "on their own".
    pub title: String,
    /// What is to be known first; why it cannot work as planned, where that is so.
    pub says: Vec<String>,
    /// It cannot work as planned: no cable steps are given.
    pub refused: bool,
    /// Its lights in the order in which they are set up.
    pub cards: Vec<Card>,
}

/// The check-off of one light.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// Its number.
    pub unit: u32,
    /// "small wash head on the front bar".
    pub title: String,
    /// What is done to it, in order.
    pub steps: Vec<Step>,
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Stays the same for as long as what is to be done does: what is ticked is known by it.
    pub key: String,
    /// What sort of thing.
    pub kind: StepKind,
    /// What to do.
    pub says: String,
    /// What to mind with it.
    pub caution: Option<&'static str>,
}

/// What sort of thing a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StepKind {
    /// Its mode, in its own menu.
    Mode,
    /// Its start address.
    Address,
    /// To lead or to follow.
    Link,
    /// The programme that it runs.
    Programme,
    /// Where and how it is fixed.
    Hang,
    /// Its safety bond.
    Bond,
    /// Its data cable, or the terminator.
    Cable,
    /// Its circuit.
    Power,
}

impl StepKind {
    /// One word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mode => "mode",
            Self::Address => "address",
            Self::Link => "link",
            Self::Programme => "programme",
            Self::Hang => "hang",
            Self::Bond => "bond",
            Self::Cable => "cable",
            Self::Power => "power",
        }
    }
}

/// What is to be done at the venue: along each driven line, then each linked chain (its followers first, so that all go
/// along as soon as the leader leads), then lights on their own.
pub fn steps(rig: &Rig) -> Vec<Part> {
    let planned = plan(rig);
    let mut parts: Vec<Part> = Vec::new();
    for line in &planned.lines {
        let refusals = refusals(&planned.findings, &line.units);
        let linked = line.kind == LineKind::Linked;
        let mut says: Vec<String> = refusals.iter().map(|finding| refusal_words(finding)).collect();
        if linked {
            says.extend(chain_words(&planned, &line.units));
        }
        let refused = !refusals.is_empty();
        // In a chain the leader is set last: as soon as it leads, all must go along.
        let (first, rest) = line.units.split_at(usize::from(linked).min(line.units.len()));
        let cards = rest.iter().chain(first).filter_map(|number| {
            let (before, last) = (before(&line.legs, *number), line.terminator == Some(*number));
            card(rig, &planned, *number, if refused { None } else { Some((before, last)) })
        });
        let cards: Vec<Card> = cards.collect();
        parts.push(Part { title: line.name.clone(), says, refused, cards });
    }
    let own: Vec<Card> = planned
        .units
        .iter()
        .filter(|unit| unit.way == Way::OnItsOwn)
        .filter_map(|unit| card(rig, &planned, unit.number, None))
        .collect();
    if !own.is_empty() {
        let says = vec![
            "They take no data cable. Only their own menu or their plug stops them: show and stop keys do not reach them."
                .to_owned(),
        ];
        parts.push(Part { title: "on their own".to_owned(), says, refused: false, cards: own });
    }
    parts.retain(|part| !part.cards.is_empty());
    parts
}

/// Findings because of which a line cannot be cabled as planned.
fn refusals<'a>(findings: &'a [Finding], units: &[u32]) -> Vec<&'a Finding> {
    const OF_LINES: [&str; 6] = [
        "mixed-line",
        "two-leaders",
        "leader-unknown",
        "leader-loop",
        "leader-follows",
        "leader-not-leading",
    ];
    let concerns = |finding: &&Finding| {
        finding.severity == Severity::Error
            && OF_LINES.contains(&finding.code)
            && finding.units.iter().any(|unit| units.contains(unit))
    };
    findings.iter().filter(concerns).collect()
}

fn refusal_words(finding: &Finding) -> String {
    format!("Must change before it is cabled: {}. {}.", finding.what, finding.remedy)
}

/// What is to be known of a linked chain.
fn chain_words(planned: &Plan, units: &[u32]) -> Vec<String> {
    let cables = units.len().saturating_sub(1);
    let plural = if cables == 1 { "cable" } else { "cables" };
    let mut says = vec![format!(
        "{} lights, {cables} data {plural}: one fewer than lights, for no controller feeds them. Set the followers first \
         and the leader last: as soon as it leads, all must go along.",
        units.len()
    )];
    let stops = |unit: &UnitPlan| unit.will.iter().find(|will| will.starts_with("When light")).cloned();
    let follower = planned.units.iter().filter(|unit| units.contains(&unit.number)).find_map(stops);
    says.extend(follower.map(|words| format!("{words}.")));
    says
}

/// What is before a light on its line: none for the first of a chain, the inner none for the controller.
fn before(legs: &[crate::plan::Leg], unit: u32) -> Option<Option<u32>> {
    legs.iter().find(|leg| leg.to == unit).map(|leg| leg.from)
}

/// A light's card; `cable`: what is before it on its line, and whether it is the last.
fn card(rig: &Rig, planned: &Plan, number: u32, cable: Option<(Option<Option<u32>>, bool)>) -> Option<Card> {
    let unit = rig.unit(number)?;
    let told = planned.units.iter().find(|unit| unit.number == number)?;
    let mut steps = Vec::new();
    let mut add = |kind: StepKind, value: String, says: String, caution: Option<&'static str>| {
        steps.push(Step { key: format!("{number} {}: {value}", kind.word()), kind, says, caution });
    };
    for (kind, words) in menu_kinds(unit).iter().zip(&told.menu) {
        add(*kind, words.clone(), menu_words(unit, *kind, words), None);
    }
    if let Some(place) = rig.room.places.get(unit.place) {
        let says = hang_words(rig, unit);
        let high = place.middle.z() > 2.0;
        add(StepKind::Hang, says.clone(), says, high.then_some(HEIGHT_CAUTION));
        if place.kind != PlaceKind::Floor {
            let says = "Bond it with its steel safety bond".to_owned();
            add(StepKind::Bond, place.name.clone(), says, Some(BOND_CAUTION));
        }
    }
    if let Some((before, last)) = cable {
        if let Some(from) = before {
            let from =
                from.map_or_else(|| "the controller".to_owned(), |from| format!("light {from}’s output"));
            add(
                StepKind::Cable,
                format!("from {from}"),
                format!("Data cable from {from} to its input"),
                None,
            );
        }
        if last {
            let says = "Terminator into its data output: it is the last of its line".to_owned();
            add(StepKind::Cable, "terminator".to_owned(), says, None);
        }
    }
    let (value, says) = match &told.circuit {
        Some(circuit) => (circuit.clone(), format!("Power from circuit “{circuit}”{}", amps(told))),
        None => ("none".to_owned(), "Power: no circuit is planned for it yet".to_owned()),
    };
    add(StepKind::Power, value, says, Some(POWER_CAUTION));
    Some(Card { unit: number, title: format!("{} on the {}", told.profile, told.place), steps })
}

fn menu_kinds(unit: &Unit) -> &'static [StepKind] {
    match &unit.run {
        Run::Driven { .. } => &[StepKind::Mode, StepKind::Address],
        Run::Linked { leader, .. } if *leader == unit.number => &[StepKind::Link, StepKind::Programme],
        Run::Linked { .. } => &[StepKind::Link],
        Run::OnItsOwn { .. } => &[StepKind::Programme],
    }
}

/// What it is for, and what is selected for it in the light's own menu.
fn menu_words(unit: &Unit, kind: StepKind, words: &str) -> String {
    let what = match kind {
        StepKind::Mode => {
            unit.profile.modes.get(unit.mode).map(|mode| format!("Mode “{}”", mode.name)).unwrap_or_default()
        }
        StepKind::Address => {
            unit.address().map(|at| format!("Start address {:03}", at.slot.number())).unwrap_or_default()
        }
        StepKind::Link if matches!(unit.run, Run::Linked { leader, .. } if leader == unit.number) => {
            "To lead".to_owned()
        }
        StepKind::Link => "To follow".to_owned(),
        _ => "Programme".to_owned(),
    };
    // Words that are not known say what they are for themselves.
    if words.starts_with(&what) || what.is_empty() { words.to_owned() } else { format!("{what}: {words}") }
}

fn amps(unit: &UnitPlan) -> String {
    unit.amps
        .map_or_else(|| ", its current is not known".to_owned(), |amps| format!(", {amps:.1} A by its label"))
}

/// Where it goes, which way up, and which way round.
fn hang_words(rig: &Rig, unit: &Unit) -> String {
    let place = &rig.room.places[unit.place];
    let (middle, at) = (place.middle, place.at(unit.offset));
    let (dx, dy) = (at.x() - middle.x(), at.y() - middle.y());
    let far = unit.offset.get().abs();
    let side = match () {
        () if dx.abs() >= dy.abs() && dx < 0.0 => "left of",
        () if dx.abs() >= dy.abs() => "right of",
        () if dy < 0.0 => "on the audience’s side of",
        () => "beyond",
    };
    let whereabouts = if place.length.get() <= 0.0 {
        format!("the {}", place.name)
    } else if far < MIDDLE_M {
        format!("the {}, in its middle", place.name)
    } else {
        format!("the {}, {far:.2} m {side} its middle", place.name)
    };
    let does = match (place.kind, unit.up) {
        (PlaceKind::Floor, _) => "Stand it on",
        (_, WayUp::Hanging) => "Hang it on",
        (_, WayUp::Standing) => "Stand it on",
    };
    let up = match unit.up {
        WayUp::Hanging => "base plate up",
        WayUp::Standing => "base plate down",
    };
    let turn = if unit.turn.abs() < TURNED {
        "front to the audience".to_owned()
    } else {
        let way = if unit.turn.get() > 0.0 { "anticlockwise" } else { "clockwise" };
        format!("front to the audience, then turned {:.0}° {way} as seen from above", unit.turn.abs().deg())
    };
    let lean = if unit.lean.abs() < TURNED {
        String::new()
    } else {
        format!(", leant by {:.0}°", unit.lean.abs().deg())
    };
    format!("{does} {whereabouts}, {up}, {turn}{lean}")
}
