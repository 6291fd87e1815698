//! A show for another room and other lights: the same looks, chases and cues, said anew in the names and metres of the
//! other rig, and everything that could not be kept, in words and figures.
//!
//! Marks and groups are matched by name, lights by number and use, points by proportion of the floor. What cannot be
//! matched is a [`Question`]; whoever carries answers it in [`Names`] or leaves its sentences out. Nothing is lost
//! without a word: a sentence either goes along, or a [`Finding`] says that it does not.

mod judge;
mod names;
mod points;

use lanthorn_physics::Point;
use lanthorn_rig::Rig;
use lanthorn_rig::plan::Finding;
use serde::Serialize;

pub use names::{AnswerError, LightsFor, Name, Names, PlaceFor, Question, questions};

use crate::tell;
use crate::{Aim, Part, Show, Who};

/// A carried show.
#[derive(Clone, Debug, PartialEq)]
pub struct Carried {
    /// The show in the other rig's names and metres.
    pub show: Show,
    /// Where each sentence of each look came from: `from[look][part]` is its place among the parts of the same look at
    /// home. A part that is not named here was left out.
    pub from: Vec<Vec<usize>>,
    /// What became of each look, in their order.
    pub looks: Vec<LookReport>,
}

/// What became of one look.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LookReport {
    /// Its name.
    pub look: String,
    /// It is on when the show opens.
    pub start: bool,
    /// Numbers of the cues that put it on.
    pub cues: Vec<String>,
    /// Chases that have it as a step.
    pub chases: Vec<String>,
    /// How many of its sentences went along, and of how many.
    pub sentences: [usize; 2],
    /// What changed or could not be kept; the worst first.
    pub findings: Vec<Finding>,
}

/// Carries a show from the rig that it was made for to another. Both rigs are whole (as a reader of files makes them).
/// What [`questions`] would still ask is left out, with a finding.
pub fn carry(show: &Show, home: &Rig, there: &Rig, names: &Names) -> Carried {
    let anew = Anew { home, there, names };
    let mut carried = show.clone();
    let figures = anew.figures(&mut carried);
    let mut from = Vec::new();
    let mut looks = Vec::new();
    let mut said = Vec::new();
    for (look, before) in carried.looks.iter_mut().zip(&show.looks) {
        let mut findings = Vec::new();
        let mut kept = Vec::new();
        look.parts.clear();
        for (place, part) in before.parts.iter().enumerate() {
            if let Some(part) = anew.part(part, &figures, &mut findings) {
                look.parts.push(part);
                kept.push(place);
            }
        }
        said.push(findings);
        from.push(kept);
    }
    for (place, (before, mut findings)) in show.looks.iter().zip(said).enumerate() {
        let (after, kept) = (&carried.looks[place], &from[place]);
        let (before, after) = ((before, show, home), (after, &carried, there));
        judge::look(&judge::Pair { before, after, kept }, &mut findings);
        findings.sort_by_key(|finding| finding.severity);
        let name = &before.0.name;
        looks.push(LookReport {
            start: show.start.as_ref() == Some(name),
            cues: cues(name, show),
            chases: chases(name, show),
            look: name.clone(),
            sentences: [kept.len(), before.0.parts.len()],
            findings,
        });
    }
    Carried { show: carried, from, looks }
}

fn cues(look: &str, show: &Show) -> Vec<String> {
    let cues = show.cues.iter().filter(|cue| cue.look.as_deref() == Some(look));
    cues.map(|cue| cue.number.clone()).collect()
}

fn chases(look: &str, show: &Show) -> Vec<String> {
    let chases = show.chases.iter().filter(|chase| chase.steps.iter().any(|step| step.look == look));
    chases.map(|chase| chase.name.clone()).collect()
}

/// A figure with what is said about its centre, or the mark that is missing for it.
struct Centred {
    name: String,
    centre: Result<Vec<Finding>, String>,
}

/// Says sentences anew.
struct Anew<'c> {
    home: &'c Rig,
    there: &'c Rig,
    names: &'c Names,
}

impl Anew<'_> {
    /// Says the centres of all figures anew; one that is missing is left out.
    fn figures(&self, show: &mut Show) -> Vec<Centred> {
        let mut centred = Vec::new();
        for figure in &mut show.figures {
            let mut findings = Vec::new();
            let place = format!("figure {}", figure.name);
            let centre = match &figure.centre {
                None => Ok(None),
                Some(centre) => self.aim(centre, &place, &mut findings).map(Some),
            };
            figure.centre = centre.as_ref().ok().cloned().flatten();
            centred.push(Centred { name: figure.name.clone(), centre: centre.map(|_| findings) });
        }
        centred
    }

    /// None: it has to stay behind, and a finding says so.
    fn part(&self, part: &Part, figures: &[Centred], findings: &mut Vec<Finding>) -> Option<Part> {
        let place = tell::who(&part.who, self.home);
        match part.figure.as_ref().and_then(|name| figures.iter().find(|figure| figure.name == *name)) {
            Some(Centred { name, centre: Err(mark) }) => {
                findings
                    .push(left_out(&place, &format!("the mark \"{mark}\" of figure {name} is not there")));
                return None;
            }
            Some(Centred { centre: Ok(said), .. }) => findings.extend(said.iter().cloned()),
            None => {}
        }
        let aim = match &part.aim {
            None => None,
            Some(aim) => match self.aim(aim, &place, findings) {
                Ok(aim) => Some(aim),
                Err(mark) => {
                    findings.push(left_out(&place, &format!("the mark \"{mark}\" is not there")));
                    return None;
                }
            },
        };
        match self.who(&part.who, &place, findings) {
            Ok(who) => Some(Part { who, aim, ..part.clone() }),
            Err(missing) => {
                findings.push(left_out(&place, &missing));
                None
            }
        }
    }

    fn who(&self, who: &Who, place: &str, findings: &mut Vec<Finding>) -> Result<Who, String> {
        match who {
            Who::All => Ok(Who::All),
            Who::Group(name) => match self.names.group(name, self.there) {
                Some(LightsFor::Group(group)) => {
                    if group != *name {
                        findings.push(renamed(place, "the group", name, &format!("the group \"{group}\"")));
                    }
                    Ok(Who::Group(group))
                }
                Some(LightsFor::Units(numbers)) => {
                    findings.push(renamed(place, "the group", name, &judge::lights(&numbers)));
                    Ok(Who::Units(numbers))
                }
                Some(LightsFor::Nothing) | None => Err(format!("the group \"{name}\" is not there")),
            },
            Who::Units(numbers) => self.units(numbers, place, findings),
        }
    }

    fn units(&self, numbers: &[u32], place: &str, findings: &mut Vec<Finding>) -> Result<Who, String> {
        let (mut found, mut kept, mut missing) = (Vec::new(), Vec::new(), Vec::new());
        let mut group = None;
        for &number in numbers {
            match self.names.light(number, self.home, self.there) {
                Some(LightsFor::Units(others)) => {
                    if others == [number] {
                        kept.push(number);
                    } else {
                        let lights = judge::lights(&others);
                        findings.push(renamed(place, "light", &number.to_string(), &lights));
                    }
                    found.extend(others);
                }
                Some(LightsFor::Group(name)) => {
                    let answer = format!("the group \"{name}\"");
                    findings.push(renamed(place, "light", &number.to_string(), &answer));
                    let members = self.there.group(&name).map(|group| group.units.clone());
                    let units = members.unwrap_or_default();
                    found.extend(units.iter().filter_map(|unit| Some(self.there.units.get(*unit)?.number)));
                    group = Some(name);
                }
                Some(LightsFor::Nothing) | None => missing.push(number),
            }
        }
        if !kept.is_empty() {
            findings.push(judge::same_number(&kept, self.home, self.there, place));
        }
        let mut seen = Vec::new();
        found.retain(|number| {
            !seen.contains(number) && {
                seen.push(*number);
                true
            }
        });
        let what = format!("{} stayed at home", judge::lights(&missing));
        match (group, &found[..]) {
            // One light for which one group stands: it is that group.
            (Some(group), _) if numbers.len() == 1 => Ok(Who::Group(group)),
            (_, []) => Err(what),
            _ => {
                if !missing.is_empty() {
                    findings.push(
                        judge::caution("left-out", place, what)
                            .rule("who is not there is left out", "this tool")
                            .remedy("Give lights for them with --light, or leave it"),
                    );
                }
                Ok(Who::Units(found))
            }
        }
    }

    /// The mark that is missing when there is no such place.
    fn aim(&self, aim: &Aim, place: &str, findings: &mut Vec<Finding>) -> Result<Aim, String> {
        Ok(match aim {
            Aim::Mark(mark) => match self.mark(mark, place, findings)? {
                PlaceFor::At(at) => Aim::At(at),
                PlaceFor::Mark(mark) => Aim::Mark(mark),
                PlaceFor::Nothing => return Err(mark.clone()),
            },
            Aim::At(at) => match points::mark_at(*at, &self.home.room) {
                Some(mark) => return self.aim(&Aim::Mark(mark.to_owned()), place, findings),
                None => Aim::At(self.carried(*at, place, findings)),
            },
            Aim::Line { from, to } => {
                Aim::Line { from: self.end(*from, place, findings)?, to: self.end(*to, place, findings)? }
            }
        })
    }

    fn mark(&self, name: &str, place: &str, findings: &mut Vec<Finding>) -> Result<PlaceFor, String> {
        let found = self.names.mark(name, self.there).ok_or_else(|| name.to_owned())?;
        match &found {
            PlaceFor::Mark(mark) if mark != name => {
                findings.push(renamed(place, "the mark", name, &format!("the mark \"{mark}\"")));
            }
            PlaceFor::At(at) => findings.push(renamed(place, "the mark", name, &metres(*at))),
            _ => {}
        }
        Ok(found)
    }

    /// An end of a line. One that is on a mark at home is on that mark there.
    fn end(&self, at: Point, place: &str, findings: &mut Vec<Finding>) -> Result<Point, String> {
        let Some(mark) = points::mark_at(at, &self.home.room) else {
            return Ok(self.carried(at, place, findings));
        };
        match self.mark(mark, place, findings)? {
            PlaceFor::At(at) => Ok(at),
            PlaceFor::Mark(name) => {
                self.there.room.mark(&name).map(|mark| mark.at).ok_or_else(|| mark.to_owned())
            }
            PlaceFor::Nothing => Err(mark.to_owned()),
        }
    }

    fn carried(&self, at: Point, place: &str, findings: &mut Vec<Finding>) -> Point {
        let there = points::carried(at, &self.home.room, &self.there.room);
        let words = tell::place(there, &self.there.room);
        findings.push(
            judge::note("point", place, format!("{} is {} there: {words}", metres(at), metres(there)))
                .rule(
                    "points in metres go along by proportion of the floor, heights over it stay",
                    "this tool",
                )
                .remedy("Have a look, and set a mark there: marks go along by name"),
        );
        there
    }
}

fn left_out(place: &str, why: &str) -> Finding {
    judge::caution("left-out", place, format!("left out: {why}"))
        .rule("a sentence without its lights or its place says nothing", "this tool")
        .remedy("Give it another name with --mark, --group or --light, or write the sentence anew")
}

fn renamed(place: &str, kind: &str, name: &str, other: &str) -> Finding {
    judge::note("renamed", place, format!("{kind} {} is {other} there", quoted(kind, name)))
        .rule("names go along as they were matched or answered", "this tool")
        .remedy("Have a look whether that is what was meant")
}

fn quoted(kind: &str, name: &str) -> String {
    if kind == "light" { name.to_owned() } else { format!("\"{name}\"") }
}

/// `[-2.4, 3, 0]`, as it is written in a show file.
fn metres(at: Point) -> String {
    let figures: Vec<String> = <[f64; 3]>::from(at).iter().map(|metres| tell::number(*metres)).collect();
    format!("[{}]", figures.join(", "))
}
