//! What names and numbers of one room mean in another: found, answered, or asked.

use std::fmt;

use lanthorn_fixture::profile::Kind;
use lanthorn_physics::Point;
use lanthorn_rig::{Rig, Unit};

use super::points;
use crate::{Aim, Part, Show, Who};

/// Answers to what cannot be found by name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Names {
    /// What a mark's name means there.
    pub marks: Vec<(String, PlaceFor)>,
    /// What a group's name means there.
    pub groups: Vec<(String, LightsFor)>,
    /// What a light's number means there.
    pub lights: Vec<(u32, LightsFor)>,
}

/// What stands for a mark.
#[derive(Clone, Debug, PartialEq)]
pub enum PlaceFor {
    /// A mark of the other room.
    Mark(String),
    /// A point of the other room.
    At(Point),
    /// Nothing: sentences that aim there are left out.
    Nothing,
}

/// What stands for a group or a light.
#[derive(Clone, Debug, PartialEq)]
pub enum LightsFor {
    /// A group of the other rig.
    Group(String),
    /// Lights of the other rig by number.
    Units(Vec<u32>),
    /// Nothing: it is left out.
    Nothing,
}

/// Something that a show names.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Name {
    /// A mark.
    Mark(String),
    /// A group.
    Group(String),
    /// A light.
    Light(u32),
}

/// A name that the other room does not know.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Which.
    pub name: Name,
    /// The looks that use it.
    pub looks: Vec<String>,
    /// What could be meant, likeliest first: marks; groups; or numbers of lights and groups.
    pub near: Vec<String>,
}

/// Why an answer is none.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AnswerError {
    /// The show does not use it.
    #[error("no look of the show names the {0}; there is nothing to answer")]
    NotAsked(Name),
    /// The other room has nothing of that name.
    #[error("the {name} cannot be \"{answer}\": {room} has {known}")]
    NoSuch {
        /// What was answered.
        name: Name,
        /// With what.
        answer: String,
        /// Name of the other room.
        room: String,
        /// What there is.
        known: String,
    },
}

/// What a light is used for. Lights of one use can stand for each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Use {
    Moving,
    Fixed,
    Strobe,
    Hazer,
    Machine,
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mark(name) => write!(f, "mark \"{name}\""),
            Self::Group(name) => write!(f, "group \"{name}\""),
            Self::Light(number) => write!(f, "light {number}"),
        }
    }
}

impl Use {
    pub(super) fn of(unit: &Unit) -> Self {
        match unit.profile.kind {
            Kind::Hazer | Kind::Fogger => Self::Hazer,
            Kind::Machine => Self::Machine,
            Kind::Strobe => Self::Strobe,
            _ if unit.moves() => Self::Moving,
            _ => Self::Fixed,
        }
    }
}

impl Names {
    /// What a mark means there; none: it must be asked.
    pub(super) fn mark(&self, name: &str, there: &Rig) -> Option<PlaceFor> {
        let answered = self.marks.iter().find(|(asked, _)| asked == name).map(|(_, answer)| answer.clone());
        let known = there.room.marks.iter().map(|mark| mark.name.as_str());
        answered.or_else(|| same(name, known).map(|mark| PlaceFor::Mark(mark.to_owned())))
    }

    /// What a group means there; none: it must be asked.
    pub(super) fn group(&self, name: &str, there: &Rig) -> Option<LightsFor> {
        let answered = self.groups.iter().find(|(asked, _)| asked == name).map(|(_, answer)| answer.clone());
        let known = there.groups.iter().map(|group| group.name.as_str());
        answered.or_else(|| same(name, known).map(|group| LightsFor::Group(group.to_owned())))
    }

    /// What a light's number means there: the light of the same number if it is used alike. None: it must be asked.
    pub(super) fn light(&self, number: u32, home: &Rig, there: &Rig) -> Option<LightsFor> {
        let answered =
            self.lights.iter().find(|(asked, _)| *asked == number).map(|(_, answer)| answer.clone());
        answered.or_else(|| {
            let (here, there) = (home.unit(number)?, there.unit(number)?);
            (Use::of(here) == Use::of(there)).then(|| LightsFor::Units(vec![number]))
        })
    }

    /// The first answer that means nothing: the show does not ask it, or the other room has no such thing.
    pub fn check(&self, show: &Show, home: &Rig, there: &Rig) -> Result<(), AnswerError> {
        let used: Vec<Name> = used(show, home).into_iter().map(|(name, _)| name).collect();
        let marks =
            self.marks.iter().map(|(name, answer)| (Name::Mark(name.clone()), mark_error(answer, there)));
        let groups =
            self.groups.iter().map(|(name, answer)| (Name::Group(name.clone()), lights_error(answer, there)));
        let lights =
            self.lights.iter().map(|(number, answer)| (Name::Light(*number), lights_error(answer, there)));
        for (name, error) in marks.chain(groups).chain(lights) {
            if !used.contains(&name) {
                return Err(AnswerError::NotAsked(name));
            }
            if let Some((answer, known)) = error {
                return Err(AnswerError::NoSuch { name, answer, room: there.room.name.clone(), known });
            }
        }
        Ok(())
    }
}

fn mark_error(answer: &PlaceFor, there: &Rig) -> Option<(String, String)> {
    match answer {
        PlaceFor::Mark(mark) if there.room.mark(mark).is_none() => {
            let known: Vec<&str> = there.room.marks.iter().map(|mark| mark.name.as_str()).collect();
            Some((mark.clone(), listed("the marks", &known)))
        }
        _ => None,
    }
}

fn lights_error(answer: &LightsFor, there: &Rig) -> Option<(String, String)> {
    match answer {
        LightsFor::Group(group) if there.group(group).is_none() => {
            let known: Vec<&str> = there.groups.iter().map(|group| group.name.as_str()).collect();
            Some((group.clone(), listed("the groups", &known)))
        }
        LightsFor::Units(numbers) => {
            let missing = numbers.iter().find(|number| there.unit(**number).is_none())?;
            let known: Vec<String> = there.units.iter().map(|unit| unit.number.to_string()).collect();
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            Some((missing.to_string(), listed("the lights", &known)))
        }
        _ => None,
    }
}

fn listed(what: &str, names: &[&str]) -> String {
    if names.is_empty() { format!("none of {what}") } else { format!("{what} {}", names.join(", ")) }
}

/// Every name that the show's looks use, in the order of their first use, with the looks that use it.
pub(super) fn used(show: &Show, home: &Rig) -> Vec<(Name, Vec<String>)> {
    let mut used: Vec<(Name, Vec<String>)> = Vec::new();
    for look in &show.looks {
        for name in look.parts.iter().flat_map(|part| names_of(part, show, home)) {
            let known = used.iter().position(|(known, _)| *known == name);
            let place = known.unwrap_or_else(|| {
                used.push((name, Vec::new()));
                used.len() - 1
            });
            let looks = &mut used[place].1;
            if looks.last() != Some(&look.name) {
                looks.push(look.name.clone());
            }
        }
    }
    used
}

fn names_of(part: &Part, show: &Show, home: &Rig) -> Vec<Name> {
    let mut names = match &part.who {
        Who::All => Vec::new(),
        Who::Group(name) => vec![Name::Group(name.clone())],
        Who::Units(numbers) => numbers.iter().map(|number| Name::Light(*number)).collect(),
    };
    let on_mark = |at: Point| points::mark_at(at, &home.room).map(|mark| Name::Mark(mark.to_owned()));
    let figure = part.figure.as_deref().and_then(|name| show.figure(name));
    let centre = figure.and_then(|figure| figure.centre.as_ref());
    for aim in part.aim.iter().chain(centre) {
        match aim {
            Aim::Mark(name) => names.push(Name::Mark(name.clone())),
            Aim::At(at) => names.extend(on_mark(*at)),
            Aim::Line { from, to } => names.extend(on_mark(*from).into_iter().chain(on_mark(*to))),
        }
    }
    names
}

/// What must be asked, in the order of its first use.
pub fn questions(show: &Show, home: &Rig, there: &Rig, names: &Names) -> Vec<Question> {
    let open = |name: &Name| match name {
        Name::Mark(name) => names.mark(name, there).is_none(),
        Name::Group(name) => names.group(name, there).is_none(),
        Name::Light(number) => names.light(*number, home, there).is_none(),
    };
    let asked = used(show, home).into_iter().filter(|(name, _)| open(name));
    asked.map(|(name, looks)| Question { near: near(&name, home, there), name, looks }).collect()
}

/// What could be meant, likeliest first: what shares words with it, then what is nearest in kind, size or place.
fn near(name: &Name, home: &Rig, there: &Rig) -> Vec<String> {
    match name {
        Name::Mark(name) => {
            let at = home.room.mark(name).map(|mark| points::carried(mark.at, &home.room, &there.room));
            let off = |to: Point| at.map_or(0.0, |at| at.distance(to).get());
            let marks = there.room.marks.iter();
            sorted(marks.map(|mark| ((!alike(name, &mark.name), off(mark.at)), mark.name.clone())).collect())
        }
        Name::Group(name) => {
            let own = home.group(name).map(|group| group.units.as_slice()).unwrap_or_default();
            let far = |units: &[usize]| {
                let unlike = uses(own, home) != uses(units, there);
                let other_kind = kinds(own, home) != kinds(units, there);
                let size = own.len().abs_diff(units.len()) as f64;
                f64::from(u8::from(unlike)) * 1e6 + f64::from(u8::from(other_kind)) * 1e3 + size
            };
            let groups = there.groups.iter();
            sorted(
                groups
                    .map(|group| ((!alike(name, &group.name), far(&group.units)), group.name.clone()))
                    .collect(),
            )
        }
        Name::Light(number) => near_light(*number, home, there),
    }
}

/// Lights of the same use by their distance, then groups that hold nothing else.
fn near_light(number: u32, home: &Rig, there: &Rig) -> Vec<String> {
    let Some(unit) = home.unit(number) else { return Vec::new() };
    let at = points::carried(home.position(unit), &home.room, &there.room);
    let alike = there.units.iter().filter(|other| Use::of(other) == Use::of(unit));
    let mut list = sorted(
        alike
            .map(|other| ((false, there.position(other).distance(at).get()), other.number.to_string()))
            .collect(),
    );
    let wanted = Some(Use::of(unit));
    let groups = there.groups.iter().filter(|group| uses(&group.units, there) == wanted);
    list.extend(groups.map(|group| group.name.clone()));
    list
}

/// The use that all of these lights have.
fn uses(units: &[usize], rig: &Rig) -> Option<Use> {
    let mut uses = units.iter().filter_map(|unit| rig.units.get(*unit)).map(Use::of);
    let first = uses.next()?;
    uses.all(|other| other == first).then_some(first)
}

/// The kind that all of these lights have.
fn kinds(units: &[usize], rig: &Rig) -> Option<Kind> {
    let mut kinds = units.iter().filter_map(|unit| rig.units.get(*unit)).map(|unit| unit.profile.kind);
    let first = kinds.next()?;
    kinds.all(|other| other == first).then_some(first)
}

fn sorted(mut list: Vec<((bool, f64), String)>) -> Vec<String> {
    list.sort_by(|((unlike, far), _), ((other_unlike, other_far), _)| {
        unlike.cmp(other_unlike).then(far.total_cmp(other_far))
    });
    list.into_iter().map(|(_, name)| name).collect()
}

/// The name itself, or the first that differs from it only in capitals and spaces.
fn same<'n>(name: &str, mut known: impl Iterator<Item = &'n str> + Clone) -> Option<&'n str> {
    let exact = known.clone().find(|other| *other == name);
    exact.or_else(|| known.find(|other| bare(other) == bare(name)))
}

fn bare(name: &str) -> String {
    name.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}

/// They share a word of more than two letters.
fn alike(a: &str, b: &str) -> bool {
    let words = |text: &str| -> Vec<String> {
        text.split_whitespace().filter(|word| word.chars().count() > 2).map(str::to_lowercase).collect()
    };
    let others = words(b);
    words(a).iter().any(|word| others.contains(word))
}
