//! A first score for any track with a beat, from the person's own looks and chases.
//!
//! Changes come at lines of the form and nowhere else. How much is going on in a section chooses how lively its look is; what
//! sounds alike gets the same look; no look follows itself. The same track and show always give the same score.

mod rank;

use lanthorn_physics::Span;
use lanthorn_physics::units::Hertz;
use lanthorn_rig::Rig;

use super::{Line, LineKind, Place, Score, ScorePart};
use crate::{Show, StepTime};
use rank::Ranked;

/// Sections with less going on than this let no chase run.
const CHASE_FROM: f64 = 0.3;

/// Sections with less going on than this have no accents.
const ACCENT_FROM: f64 = 0.7;

/// Without drums a section counts as so much calmer.
const WITHOUT_DRUMS: f64 = 0.5;

/// A look that has been used counts as so much further from what is wanted, each time, so that others have their turn.
const USED: f64 = 0.08;

/// Where a track has drops, nothing else is livelier than this, so that they stand out.
const BELOW_DROP: f64 = 0.8;

/// One beat of dark and back is no flash to the limit where at least one flash a second is allowed.
const DARK_FROM: Hertz = Hertz::new(1.0);

/// A section of a track as it was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// The bar that it begins with, from 1; 0: the track before its first bar.
    pub bar: u32,
    /// What begins there.
    pub kind: LineKind,
    /// How much is going on in it, 0 (least of the track) to 1 (most).
    pub energy: f64,
    /// Drums are heard.
    pub drums: bool,
    /// Which section before it sounds alike, by its place; none where that is not known.
    pub like: Option<usize>,
}

/// Why no score can be laid: a sentence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CannotLay {
    /// No bars.
    #[error("no beat is heard in it, so there is nothing to lay a score on")]
    NoBeat,
    /// No looks.
    #[error(
        "the show has no look that a score could use: add one that lights something without strobe or haze"
    )]
    NoLooks,
}

/// Lays a first score over a track: `grid` has its bars and metres, and gets its lines and parts.
///
/// # Errors
/// A track without bars, or a show without a look that gives light.
pub fn lay(show: &Show, rig: &Rig, grid: &mut Score, sections: &[Section]) -> Result<(), CannotLay> {
    if grid.bar_count() == 0 {
        return Err(CannotLay::NoBeat);
    }
    let looks = rank::looks(show, rig);
    if looks.is_empty() {
        return Err(CannotLay::NoLooks);
    }
    let chases = rank::chases(show, rig);
    let (accents, at_drops) = (rank::accents(show, rig), rank::at_drops(show, rig));
    let names = names(sections);
    let mut chosen: Vec<usize> = Vec::new();
    let (mut lines, mut parts) = (Vec::new(), Vec::new());
    for (index, section) in sections.iter().enumerate() {
        let calm = is_calm(sections, index);
        let wanted = wanted(sections, index, calm);
        let (look, same) = choose(&looks, &chosen, sections, index, wanted);
        chosen.push(look);
        let chase = (!calm && wanted >= CHASE_FROM).then(|| nearest(&chases, wanted)).flatten();
        // Accents come where it is livest, on top of what runs; those of a drop wait from the part before it on.
        let accent = (!calm && wanted >= ACCENT_FROM).then(|| nearest(&accents, wanted)).flatten();
        let next = sections.get(index + 1).is_some_and(|next| next.kind == LineKind::Drop);
        let drop = (next || section.kind == LineKind::Drop).then(|| at_drops.last()).flatten();
        let dark = section.kind == LineKind::Drop && index > 0 && rig.limits.flash >= DARK_FROM;
        lines.push(Line {
            bar: section.bar,
            kind: section.kind,
            name: names[index].clone(),
            energy: Some((section.energy * 100.0).round() / 100.0),
        });
        parts.push(ScorePart {
            place: place(section),
            look: Some(looks[look].name.clone()),
            chases: Some(
                chase.into_iter().chain(accent).chain(drop).map(|chase| chase.name.clone()).collect(),
            ),
            fade: fade(grid, section, calm),
            dark: dark.then_some(StepTime::Beats(1.0)),
            why: why(section, calm, dark, looks[look].rank >= 1.0, same.map(|same| sections[same].bar)),
        });
    }
    (grid.lines, grid.parts) = (lines, parts);
    Ok(())
}

fn place(section: &Section) -> Place {
    match section.bar {
        0 => Place::Time(Span::ZERO),
        bar => Place::Bar { bar, beat: 1 },
    }
}

/// The beginning and the end where they are quieter than what is beside them, breakdowns, and what has no drums.
fn is_calm(sections: &[Section], index: usize) -> bool {
    let section = &sections[index];
    if section.kind == LineKind::Drop {
        return false;
    }
    let beside = |other: Option<&Section>| other.is_some_and(|other| section.energy < other.energy - 0.05);
    let intro = index == 0 && beside(sections.get(1));
    let outro = index + 1 == sections.len() && index > 0 && beside(sections.get(index - 1));
    section.bar == 0 || section.kind == LineKind::Breakdown || !section.drums || intro || outro
}

/// How lively it is to be, 0 to 1.
fn wanted(sections: &[Section], index: usize, calm: bool) -> f64 {
    let drops = sections.iter().any(|section| section.kind == LineKind::Drop);
    let most = if drops { BELOW_DROP } else { 1.0 };
    let section = &sections[index];
    match section.kind {
        LineKind::Drop => 1.0,
        _ if calm => section.energy * WITHOUT_DRUMS,
        _ => section.energy * most,
    }
    .clamp(0.0, 1.0)
}

/// The look for a section, by its place in the list; and the section that it is like, where it gets the same.
fn choose(
    looks: &[Ranked],
    chosen: &[usize],
    sections: &[Section],
    index: usize,
    wanted: f64,
) -> (usize, Option<usize>) {
    let before = chosen.last().copied();
    let like = sections[index].like.filter(|like| *like < index);
    // A drop is the liveliest, whatever it sounds like.
    let like = like
        .filter(|like| (sections[*like].kind == LineKind::Drop) == (sections[index].kind == LineKind::Drop));
    if let Some(like) = like
        && before != Some(chosen[like])
    {
        return (chosen[like], Some(like));
    }
    let turns = if sections[index].kind == LineKind::Drop { 0.0 } else { USED };
    let off = |look: usize| {
        let used = chosen.iter().filter(|one| **one == look).count() as f64;
        (looks[look].rank - wanted).abs() + turns * used
    };
    let free = (0..looks.len()).filter(|look| before != Some(*look));
    let best = free.min_by(|a, b| off(*a).total_cmp(&off(*b)));
    (best.unwrap_or(0), None)
}

fn nearest(ranked: &[Ranked], wanted: f64) -> Option<&Ranked> {
    let off = |one: &&Ranked| (one.rank - wanted).abs();
    ranked.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// A bar into what is calm, a beat into all else, and at once into a drop.
fn fade(grid: &Score, section: &Section, calm: bool) -> Span {
    let at = grid.bar_at(section.bar.max(1)).unwrap_or_default();
    let beat = grid.beat_at(at).map_or(0.5, |beat| beat.secs);
    let secs = match section.kind {
        LineKind::Drop => 0.0,
        _ if calm => beat * f64::from(grid.beats_of(section.bar.max(1)).max(1)),
        _ => beat,
    };
    Span::from_secs((secs * 10.0).round() / 10.0)
}

/// What sections are called: intro, breakdown, drop and outro where they are that; others by letters, the same for what
/// sounds alike.
fn names(sections: &[Section]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    let mut letters = 0;
    for (index, section) in sections.iter().enumerate() {
        let last = index + 1 == sections.len();
        let name = match section.kind {
            LineKind::Breakdown => "breakdown".to_owned(),
            LineKind::Drop => "drop".to_owned(),
            LineKind::Phrase if index > 0 => names[index - 1].clone(),
            _ if index == 0 && is_calm(sections, 0) => "intro".to_owned(),
            _ if last && is_calm(sections, index) => "outro".to_owned(),
            _ => match section.like.filter(|like| *like < index && names[*like].len() <= 2) {
                Some(like) => names[like].clone(),
                None => {
                    letters += 1;
                    letter(letters)
                }
            },
        };
        names.push(name);
    }
    names
}

/// A, B … Z, A2 …
fn letter(number: usize) -> String {
    let (place, round) = ((number - 1) % 26, (number - 1) / 26);
    let letter = char::from(b'A' + place as u8);
    if round == 0 { letter.to_string() } else { format!("{letter}{}", round + 1) }
}

/// In one sentence.
fn why(section: &Section, calm: bool, dark: bool, most: bool, same: Option<u32>) -> String {
    let percent = (section.energy * 100.0).round();
    let liveliest = if most { "the liveliest look" } else { "the liveliest look but the one before" };
    if let Some(bar) = same {
        return match bar {
            0 => "Sounds like the beginning: the same look.".to_owned(),
            bar => format!("Sounds like bar {bar}: the same look."),
        };
    }
    match section.kind {
        LineKind::Drop if dark => format!("The drop: {liveliest}, after a beat of dark."),
        LineKind::Drop => format!("The drop: {liveliest}."),
        LineKind::Phrase => "A new phrase, and all goes on: another look about as lively.".to_owned(),
        LineKind::Breakdown => "The kick has gone: a calm look, and no chase.".to_owned(),
        _ if section.bar == 0 => "Before the beat: a calm look.".to_owned(),
        _ if calm && !section.drums => {
            format!("No drums, {percent} % of the most: a calm look, and no chase.")
        }
        _ if calm => format!("Quieter than what is beside it ({percent} % of the most): a calm look."),
        LineKind::Lift => format!("Louder from here, {percent} % of the most: a look as lively as that."),
        _ => format!("{percent} % of the most, with drums: a look as lively as that."),
    }
}
