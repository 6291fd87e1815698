//! From one show and rig to the next while they run: what in the one is what in the other.
//!
//! Lights are the same by their number, looks, chases and figures by their name, cues by their number as printed; a
//! [`Rename`] says where that is not so.

use lanthorn_rig::Rig;

use crate::figure::Path;
use crate::{Chase, Figure, Look, Show};

/// What can be named anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A look, by name.
    Look,
    /// A chase, by name.
    Chase,
    /// A cue, by its number as printed.
    Cue,
    /// A figure, by name.
    Figure,
    /// A group of lights, by name.
    Group,
}

/// Something that has another name in the next show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rename {
    /// What it is.
    pub kind: Kind,
    /// Its name in the show that runs.
    pub old: String,
    /// Its name in the show that takes its place.
    pub new: String,
}

/// What has another name in the next show, as far as that can be seen: of the looks, chases and figures whose name is gone
/// those of which one, and only one, with a name that was not there is all the same.
pub fn renamed(show: &Show, next: &Show) -> Vec<Rename> {
    let figures = pairs(
        &show.figures,
        &next.figures,
        |figure| &figure.name,
        |old, new| Figure { name: new.name.clone(), ..old.clone() } == *new,
    );
    let with = |name: &str, renames: &[(String, String)]| -> String {
        let renamed = renames.iter().find(|(old, _)| old == name);
        renamed.map_or_else(|| name.to_owned(), |(_, new)| new.clone())
    };
    let looks = pairs(
        &show.looks,
        &next.looks,
        |look| &look.name,
        |old, new| {
            let mut look = Look { name: new.name.clone(), ..old.clone() };
            for figure in look.parts.iter_mut().filter_map(|part| part.figure.as_mut()) {
                *figure = with(figure, &figures);
            }
            look == *new
        },
    );
    let chases = pairs(
        &show.chases,
        &next.chases,
        |chase| &chase.name,
        |old, new| {
            let mut chase = Chase { name: new.name.clone(), ..old.clone() };
            for step in &mut chase.steps {
                step.look = with(&step.look, &looks);
            }
            chase == *new
        },
    );
    let of = |kind: Kind, renames: Vec<(String, String)>| {
        renames.into_iter().map(move |(old, new)| Rename { kind, old, new })
    };
    of(Kind::Figure, figures).chain(of(Kind::Look, looks)).chain(of(Kind::Chase, chases)).collect()
}

/// Old and new names of things whose name is gone and of which exactly one new one is the same, and that one's only.
fn pairs<T>(
    old: &[T],
    new: &[T],
    name: impl Fn(&T) -> &String,
    same: impl Fn(&T, &T) -> bool,
) -> Vec<(String, String)> {
    let only = |here: &[T], there: &[T]| -> Vec<usize> {
        (0..here.len()).filter(|&at| there.iter().all(|other| name(other) != name(&here[at]))).collect()
    };
    let (gone, come) = (only(old, new), only(new, old));
    let matches =
        |at: usize| come.iter().filter(|&&other| same(&old[at], &new[other])).copied().collect::<Vec<_>>();
    let mut found = Vec::new();
    for &at in &gone {
        let [other] = matches(at)[..] else { continue };
        if gone.iter().filter(|&&rival| same(&old[rival], &new[other])).count() == 1 {
            found.push((name(&old[at]).clone(), name(&new[other]).clone()));
        }
    }
    found
}

/// What of one show and rig is what in the next, by their places.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Succession {
    /// For each place in the old show the place in the new one.
    pub(crate) looks: Vec<Option<usize>>,
    /// The same of chases.
    pub(crate) chases: Vec<Option<usize>>,
    /// The same of cues.
    pub(crate) cues: Vec<Option<usize>>,
    /// The same of those figures that run as they did.
    pub(crate) figures: Vec<Option<usize>>,
    /// The same of the rig's groups.
    groups: Vec<Option<usize>>,
    /// For each light of the new rig its place in the old one.
    units: Vec<Option<usize>>,
}

impl Succession {
    /// From one show and rig to the next. Takes a while: not for the tick.
    pub fn new((show, rig): (&Show, &Rig), (next, next_rig): (&Show, &Rig), renames: &[Rename]) -> Self {
        let named = |kind: Kind, name: &str| {
            let renamed = renames.iter().find(|rename| rename.kind == kind && rename.old == name);
            renamed.map_or_else(|| name.to_owned(), |rename| rename.new.clone())
        };
        // A name that another was renamed to is not also its own.
        let taken = |kind: Kind, name: &str| {
            let of_kind = || renames.iter().filter(|rename| rename.kind == kind);
            of_kind().any(|rename| rename.new == name) && !of_kind().any(|rename| rename.old == name)
        };
        let place = |kind: Kind, name: &str, find: &dyn Fn(&str) -> Option<usize>| {
            if taken(kind, name) { None } else { find(&named(kind, name)) }
        };
        let same_path =
            |old: usize, new: &usize| Path::new(&show.figures[old]) == Path::new(&next.figures[*new]);
        let figure = |name: &str| next.figures.iter().position(|figure| figure.name == name);
        Self {
            looks: show
                .looks
                .iter()
                .map(|look| place(Kind::Look, &look.name, &|name| next.look_index(name)))
                .collect(),
            chases: show
                .chases
                .iter()
                .map(|chase| place(Kind::Chase, &chase.name, &|name| next.chase_index(name)))
                .collect(),
            cues: show
                .cues
                .iter()
                .map(|cue| place(Kind::Cue, &cue.number, &|name| next.cue_index(name)))
                .collect(),
            figures: (0..show.figures.len())
                .map(|old| {
                    place(Kind::Figure, &show.figures[old].name, &figure).filter(|new| same_path(old, new))
                })
                .collect(),
            groups: rig
                .groups
                .iter()
                .map(|group| place(Kind::Group, &group.name, &|name| next_rig.group_index(name)))
                .collect(),
            units: next_rig.units.iter().map(|unit| rig.index_of(unit.number)).collect(),
        }
    }

    /// For each group of the old rig its place in the new one; none for one that is gone.
    pub fn groups(&self) -> &[Option<usize>] {
        &self.groups
    }

    /// For each light of the new rig its place in the old one; none for one that is new.
    pub fn units(&self) -> &[Option<usize>] {
        &self.units
    }
}

#[cfg(test)]
mod tests {
    use lanthorn_physics::Span;

    use super::*;
    use crate::{Order, Step, StepTime, Swing};

    fn show(names: &[&str]) -> Show {
        let look = |name: &&str| Look { name: (*name).to_owned(), fade: Span::ZERO, parts: Vec::new() };
        Show { looks: names.iter().map(look).collect(), ..Show::default() }
    }

    #[test]
    fn names_are_followed_through_renames() {
        // (looks before, looks after, renames, place of each in the new show)
        type Row<'r> = (&'r [&'r str], &'r [&'r str], &'r [(&'r str, &'r str)], &'r [Option<usize>]);
        let rows: [Row<'_>; 5] = [
            (&["a", "b"], &["b", "a"], &[], &[Some(1), Some(0)]),
            (&["a", "b"], &["a"], &[], &[Some(0), None]),
            (&["a", "b"], &["c", "b"], &[("a", "c")], &[Some(0), Some(1)]),
            // They change names.
            (&["a", "b"], &["a", "b"], &[("a", "b"), ("b", "a")], &[Some(1), Some(0)]),
            // The one is gone, the other has its name now.
            (&["a", "b"], &["b"], &[("a", "b")], &[Some(0), None]),
        ];
        let rig = empty_rig();
        for (before, after, renames, want) in rows {
            let renames: Vec<Rename> = renames
                .iter()
                .map(|(old, new)| Rename { kind: Kind::Look, old: (*old).to_owned(), new: (*new).to_owned() })
                .collect();
            let (old, new) = (show(before), show(after));
            let succession = Succession::new((&old, &rig), (&new, &rig), &renames);
            assert_eq!(succession.looks, want, "{before:?} to {after:?}");
        }
    }

    #[test]
    fn what_is_all_the_same_under_a_new_name_is_seen() {
        let fading = |names: &[(&str, i64)]| {
            let mut show = show(&names.iter().map(|(name, _)| *name).collect::<Vec<_>>());
            for (look, (_, secs)) in show.looks.iter_mut().zip(names) {
                look.fade = Span::from_millis(1000 * secs);
            }
            let step = |look: &Look| Step {
                look: look.name.clone(),
                time: StepTime::Beats(1.0),
                fade: StepTime::Beats(0.0),
            };
            show.chases = vec![Chase {
                name: "round".to_owned(),
                steps: show.looks.iter().map(step).collect(),
                order: Order::Forward,
                fade: Span::ZERO,
                swing: Swing::EVEN,
                rounds: None,
                calm: false,
                at_each: None,
            }];
            show
        };
        let seen = |old: &[(&str, i64)], new: &[(&str, i64)]| -> Vec<(Kind, String, String)> {
            let renames = renamed(&fading(old), &fading(new));
            renames.into_iter().map(|rename| (rename.kind, rename.old, rename.new)).collect()
        };
        let look = |old: &str, new: &str| (Kind::Look, old.to_owned(), new.to_owned());
        assert_eq!(seen(&[("a", 1), ("b", 2)], &[("a", 1), ("c", 2)]), [look("b", "c")]);
        // Changed as well, or with two that it could be: nobody knows.
        assert_eq!(seen(&[("a", 1), ("b", 2)], &[("a", 1), ("c", 3)]), []);
        assert_eq!(seen(&[("b", 2)], &[("c", 2), ("d", 2)]), []);
        assert_eq!(seen(&[("b", 2), ("c", 2)], &[("d", 2)]), []);
        // A chase under a new name, of looks under new names.
        let (old, mut new) = (fading(&[("a", 1), ("b", 2)]), fading(&[("x", 1), ("y", 2)]));
        new.chases[0].name = "about".to_owned();
        let chase = Rename { kind: Kind::Chase, old: "round".to_owned(), new: "about".to_owned() };
        assert_eq!(renamed(&old, &new).last(), Some(&chase));
        assert_eq!(renamed(&old, &new).len(), 3);
    }

    fn empty_rig() -> Rig {
        use lanthorn_physics::units::Metres;
        Rig {
            room: lanthorn_rig::Room {
                name: "hall".to_owned(),
                x: [-5.0, 5.0].map(Metres::new),
                y: [-8.0, 4.0].map(Metres::new),
                height: Metres::new(6.0),
                platforms: Vec::new(),
                audience: Vec::new(),
                furniture: Vec::new(),
                marks: Vec::new(),
                places: Vec::new(),
            },
            units: Vec::new(),
            groups: Vec::new(),
            circuits: Vec::new(),
            controller: None,
            mains: lanthorn_rig::rig::Mains::default(),
            limits: lanthorn_rig::rig::Limits::default(),
            stock: lanthorn_rig::Stock::default(),
        }
    }
}
