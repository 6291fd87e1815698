//! How lively a look or a chase is, from its own sentences: a figure to put them in order by, and no more than that.

use lanthorn_fixture::profile::Kind;
use lanthorn_physics::colour::{Chromaticity, cct_duv};
use lanthorn_rig::Rig;

use crate::figure::Pace;
use crate::{Chase, Figure, Look, Part, Show, StepTime, Strike, Swing, lights_of};

/// How much brightness, colour and movement count; together 1 (common practice, no source).
const BRIGHT: f64 = 0.5;
const COLOURED: f64 = 0.2;
const MOVING: f64 = 0.3;

/// From here on a colour counts as full: its distance from the curve of whites (Duv). That of red and blue of usual emitters
/// is more.
const FULL_DUV: f64 = 0.06;

/// A tempo to compare steps in seconds with steps in beats by, seconds a beat.
const BEAT_SECS: f64 = 0.5;

/// A figure that takes so long for a round, or longer, is calm, seconds.
const CALM_ROUND: f64 = 16.0;

/// A look or a chase that a score may use by itself, with its liveliness, 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ranked {
    pub(super) name: String,
    /// Where it stands among the others: 0 the calmest, 1 the liveliest.
    pub(super) rank: f64,
}

/// A look that lights less than this share of the lights, and stands in chases alone, is a step and no picture.
const WHOLE: f64 = 0.6;

/// Looks in order of their liveliness: those that light something, without those that are mere steps of a chase while others are
/// left. What strobes or makes haze is taken only where the person's own cues put it on already.
pub(super) fn looks(show: &Show, rig: &Rig) -> Vec<Ranked> {
    let lively = |look: &Look| liveliness(look, show, rig);
    let usable: Vec<&Look> =
        show.looks.iter().filter(|look| may_come(look, show) && brightness(look, rig) > 0.0).collect();
    let step = |look: &&Look| only_a_step(look, show) && lit_share(look, rig) < WHOLE;
    let wanted: Vec<&Look> = usable.iter().copied().filter(|look| !step(look)).collect();
    let chosen = if wanted.len() >= 2 { wanted } else { usable };
    ranked(chosen.into_iter().map(|look| (look.name.clone(), lively(look))).collect())
}

/// Chases that run by themselves, likewise.
pub(super) fn chases(show: &Show, rig: &Rig) -> Vec<Ranked> {
    of_chases(show, rig, |chase| chase.rounds.is_none() && chase.at_each.is_none())
}

/// Those that answer to the music, but for its drops.
pub(super) fn accents(show: &Show, rig: &Rig) -> Vec<Ranked> {
    of_chases(show, rig, |chase| chase.at_each.is_some_and(|strike| strike != Strike::Drop))
}

/// Those that answer to drops.
pub(super) fn at_drops(show: &Show, rig: &Rig) -> Vec<Ranked> {
    of_chases(show, rig, |chase| chase.at_each == Some(Strike::Drop))
}

fn of_chases(show: &Show, rig: &Rig, wanted: impl Fn(&Chase) -> bool) -> Vec<Ranked> {
    let look = |name: &str| show.looks.iter().find(|look| look.name == name);
    let usable = |chase: &&Chase| {
        let on_pad = show.tonight.as_ref().is_none_or(|pads| pads.contains(&chase.name));
        let comes = |name: &str| look(name).is_some_and(|look| may_come(look, show));
        on_pad && wanted(chase) && chase.steps.iter().all(|step| comes(&step.look))
    };
    let lively = |chase: &Chase| {
        let mean = chase.steps.iter().filter_map(|step| look(&step.look));
        let looks =
            mean.map(|look| liveliness(look, show, rig)).sum::<f64>() / chase.steps.len().max(1) as f64;
        (chase.name.clone(), 0.7 * pace(chase) + 0.3 * looks)
    };
    ranked(show.chases.iter().filter(usable).map(lively).collect())
}

/// Places by liveliness; those that are equally lively keep the order of the show.
fn ranked(mut list: Vec<(String, f64)>) -> Vec<Ranked> {
    list.sort_by(|a, b| a.1.total_cmp(&b.1));
    let last = list.len().saturating_sub(1).max(1) as f64;
    list.into_iter()
        .enumerate()
        .map(|(place, (name, _))| Ranked { name, rank: place as f64 / last })
        .collect()
}

/// It neither strobes nor makes haze, or the person's cues put it on as it is.
fn may_come(look: &Look, show: &Show) -> bool {
    let harmless = look.parts.iter().all(|part| part.strobe.is_none() && part.haze <= 0.0);
    let called = |name: &String| {
        let chase = show.chases.iter().find(|chase| chase.name == *name);
        chase.is_some_and(|chase| chase.steps.iter().any(|step| step.look == look.name))
    };
    let in_cue = show
        .cues
        .iter()
        .any(|cue| cue.look.as_ref() == Some(&look.name) || cue.chases.iter().flatten().any(called));
    harmless || in_cue
}

/// It is a step of a chase, and stands nowhere else.
fn only_a_step(look: &Look, show: &Show) -> bool {
    let step = show.chases.iter().any(|chase| chase.steps.iter().any(|step| step.look == look.name));
    let cue = show.cues.iter().any(|cue| cue.look.as_ref() == Some(&look.name));
    let pad = show.tonight.as_ref().is_some_and(|pads| pads.contains(&look.name));
    step && !cue && !pad && show.start.as_ref() != Some(&look.name)
}

fn liveliness(look: &Look, show: &Show, rig: &Rig) -> f64 {
    let lit: Vec<(usize, &Part)> =
        last_words(look, rig).into_iter().filter(|(_, part)| level(part) > 0.0).collect();
    let share = |value: &dyn Fn(usize, &Part) -> f64| {
        lit.iter().map(|(unit, part)| value(*unit, part)).sum::<f64>() / lit.len().max(1) as f64
    };
    let coloured = share(&|_, part| {
        let all: f64 = part.colours.iter().map(|ask| colour(ask.chromaticity)).sum();
        all / part.colours.len().max(1) as f64
    });
    let moving = share(&|unit, part| {
        let figure = part.figure.as_ref().and_then(|name| show.figure(name));
        figure.filter(|_| rig.units[unit].moves()).map_or(0.0, movement)
    });
    BRIGHT * brightness(look, rig) + COLOURED * coloured + MOVING * moving
}

/// Mean level over all lights of the rig that give light.
fn brightness(look: &Look, rig: &Rig) -> f64 {
    over_lights(look, rig, level)
}

/// How many of the lights that give light are lit at all.
fn lit_share(look: &Look, rig: &Rig) -> f64 {
    over_lights(look, rig, |part| if level(part) > 0.0 { 1.0 } else { 0.0 })
}

/// The mean over all lights that give light; none for those that the look leaves dark.
fn over_lights(look: &Look, rig: &Rig, of: impl Fn(&Part) -> f64) -> f64 {
    let gives_light =
        |unit: usize| !matches!(rig.units[unit].profile.kind, Kind::Hazer | Kind::Fogger | Kind::Machine);
    let lights = (0..rig.units.len()).filter(|unit| gives_light(*unit)).count();
    let words = last_words(look, rig);
    let lit = words.iter().filter(|(unit, _)| gives_light(*unit));
    lit.map(|(_, part)| of(part)).sum::<f64>() / lights.max(1) as f64
}

/// Every light that the look names, with the last sentence that names it.
fn last_words<'l>(look: &'l Look, rig: &Rig) -> Vec<(usize, &'l Part)> {
    let mut last: Vec<Option<&Part>> = vec![None; rig.units.len()];
    for part in &look.parts {
        for unit in lights_of(&part.who, rig) {
            last[unit] = Some(part);
        }
    }
    last.into_iter().enumerate().filter_map(|(unit, part)| Some((unit, part?))).collect()
}

fn level(part: &Part) -> f64 {
    part.level_to.map_or(part.level.0, |to| (part.level.0 + to.0) / 2.0).clamp(0.0, 1.0)
}

/// 0 for a white, 1 for a full colour.
fn colour(chromaticity: Chromaticity) -> f64 {
    (cct_duv(chromaticity).1.abs() / FULL_DUV).min(1.0)
}

/// 0 for what stands, 1 for a round within a second.
fn movement(figure: &Figure) -> f64 {
    if !figure.shape.moves() {
        return 0.0;
    }
    let round = match figure.pace {
        Pace::Round(span) => span.secs(),
        Pace::Beats(beats) => beats * BEAT_SECS,
        // Twice through its larger extent is about a round.
        Pace::Speed(speed) => 2.0 * figure.shape.sizes().0.get() / speed.get().max(0.01),
    };
    let octaves = libm::log2(CALM_ROUND / round.max(0.1)) / libm::log2(CALM_ROUND);
    0.3 + 0.7 * octaves.clamp(0.0, 1.0)
}

/// 0 for a step in eight beats, 1 for one in half a beat.
fn pace(chase: &Chase) -> f64 {
    let beats = |time: StepTime| match time {
        StepTime::Time(span) => span.secs() / BEAT_SECS,
        StepTime::Beats(beats) => beats,
        StepTime::Bars(bars) => 4.0 * bars,
    };
    let mean = chase.steps.iter().map(|step| beats(step.time)).sum::<f64>() / chase.steps.len().max(1) as f64;
    let swung = if chase.swing > Swing::EVEN { 0.05 } else { 0.0 };
    ((3.0 - libm::log2(mean.max(0.1))) / 4.0 + swung).clamp(0.0, 1.0)
}
