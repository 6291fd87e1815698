//! From one show and rig to the next while they run: what in the one is what in the other.
//!
//! Lights are the same by their number, looks, chases and figures by their name, cues by their number as printed; a
//! [`Rename`] says where that is not so.

use lanthorn_rig::Rig;

use crate::Show;
use crate::figure::Path;

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
            units: next_rig.units.iter().map(|unit| rig.index_of(unit.number)).collect(),
        }
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
    use crate::Look;

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
        }
    }
}
