//! Everything that a starter shows, before it is text.

use lanthorn_rig::Rig;

use super::evening::{self, Chase, Cue};
use super::groups::{Group, Role, groups};
use super::looks::{Designer, Look};
use super::recipes::{IN_ONE_WHITE, SWATCHES, WITHOUT_HEADS};
use super::room::{Space, dm};
use crate::ink::quoted;

/// A path for spots.
pub(super) struct Figure {
    pub(super) name: &'static str,
    pub(super) lines: Vec<(&'static str, String)>,
}

/// Groups, colours, figures, looks, chases and cues that go with each other.
pub(super) struct Show {
    pub(super) groups: Vec<(&'static str, Vec<u32>)>,
    /// Lights that are in no group: heads that do not reach every mark.
    pub(super) left_out: Vec<u32>,
    pub(super) swatches: Vec<(&'static str, &'static str)>,
    pub(super) figures: Vec<Figure>,
    pub(super) looks: Vec<Look>,
    pub(super) chases: Vec<Chase>,
    pub(super) cues: Vec<Cue>,
    /// Looks from which the music may pick, by mood.
    pub(super) moods: Vec<(&'static str, Vec<&'static str>)>,
}

pub(super) fn design(rig: &Rig, space: &Space) -> Show {
    let groups = groups(rig);
    let looks = Designer { rig, space, groups: &groups }.looks();
    let chases = evening::chases(&looks, &groups);
    let cues = evening::cues(&looks, &chases);
    let says = |key: &str, word: &str| {
        let word = quoted(word);
        let part =
            |part: &Vec<(&str, String)>| part.iter().any(|(k, value)| *k == key && value.contains(&word));
        looks.iter().any(|look| look.parts.iter().any(part))
    };
    let grouped = |number: &u32| groups.iter().any(|group| group.numbers(rig).contains(number));
    let mut show = Show {
        left_out: rig.units.iter().map(|unit| unit.number).filter(|number| !grouped(number)).collect(),
        swatches: SWATCHES.into_iter().filter(|(name, _)| says("colour", name)).collect(),
        figures: figures(space).into_iter().filter(|figure| says("figure", figure.name)).collect(),
        groups: groups.iter().map(|group: &Group| (group.name, group.numbers(rig))).collect(),
        moods: evening::moods(&looks),
        looks,
        chases,
        cues,
    };
    if !groups.iter().any(|group| group.colours) {
        show.call(&IN_ONE_WHITE);
    }
    if !groups.iter().any(|group| matches!(group.role, Role::Washes | Role::Spots)) {
        show.call(&WITHOUT_HEADS);
    }
    show
}

impl Show {
    /// Gives looks and chases other names and remarks: as they are, as they shall be.
    fn call(&mut self, words: &[(&'static str, &'static str, &'static str)]) {
        let other = |name: &str| words.iter().find(|(was, ..)| *was == name);
        let named = |name: &mut &'static str| {
            if let Some((_, now, _)) = other(name) {
                *name = now;
            }
        };
        for look in &mut self.looks {
            look.remark = other(look.name).map_or(look.remark, |(.., remark)| remark);
            named(&mut look.name);
        }
        for chase in &mut self.chases {
            chase.remark = other(chase.name).map_or(chase.remark, |(.., remark)| remark);
            named(&mut chase.name);
            chase.steps.iter_mut().for_each(named);
        }
        self.moods.iter_mut().flat_map(|(_, looks)| looks).for_each(named);
        for cue in &mut self.cues {
            named(&mut cue.look);
            cue.chases.iter_mut().flatten().for_each(named);
        }
    }
}

/// Paths on the dance floor, slow enough and far enough from the feet of the heads that they can follow.
fn figures(space: &Space) -> Vec<Figure> {
    let metres = |value: f64| quoted(&format!("{} m", dm(value)));
    vec![
        Figure {
            name: "slow ring",
            lines: vec![
                ("shape", quoted("circle")),
                ("size", metres(space.dance_radius() * 2.0)),
                ("speed", quoted("0.5 m/s")),
                ("phase", "1 # the lights go evenly round".to_owned()),
            ],
        },
        Figure {
            name: "stroll",
            lines: vec![
                ("shape", quoted("line")),
                ("size", metres((space.dance_half() * 0.7).clamp(0.8, 2.0))),
                ("speed", quoted("0.6 m/s")),
                ("phase", "1 # one comes as another goes".to_owned()),
            ],
        },
    ]
}
