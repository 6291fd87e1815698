//! The whole show with names resolved against each other and the rig.

use lanthorn_music::pulse::Strike;
use lanthorn_physics::Span;
use lanthorn_rig::Rig;

use super::compile::{Layout, LookValues};
use super::steps::Track;
use crate::figure::Path;
use crate::follow::{Mood, MusicRule};
use crate::{Chase, Cue, Show, tempo};

#[derive(Clone, Debug)]
pub(super) struct Script {
    pub layout: Layout,
    /// In the order of the show's figures.
    pub paths: Vec<Path>,
    pub looks: Vec<LookValues>,
    pub look_fades: Vec<Span>,
    pub chases: Vec<ChaseScript>,
    pub cues: Vec<CueScript>,
    pub tempo: f64,
    pub music: MusicRule,
    /// Looks of each mood, by their places.
    pub moods: [Vec<usize>; Mood::ALL.len()],
    pub start_look: Option<usize>,
    pub start_chase: Option<usize>,
}

#[derive(Clone, Debug)]
pub(super) struct ChaseScript {
    pub track: Track,
    /// The look of each step; a look that the show does not have is darkness.
    pub looks: Vec<Option<usize>>,
    /// For each light of the rig.
    pub drives: Vec<bool>,
    pub fade: Span,
    /// Stands while there is no music.
    pub calm: bool,
    /// What it waits for.
    pub at_each: Option<Strike>,
}

#[derive(Clone, Debug)]
pub(super) struct CueScript {
    /// What the cue itself says.
    pub own: CueChange,
    /// The same with all that the cues before it have said.
    pub whole: CueChange,
    pub fade: Span,
    pub follow: Option<Span>,
}

#[derive(Clone, Debug, Default)]
pub(super) struct CueChange {
    pub look: Option<usize>,
    pub chases: Option<Vec<usize>>,
    pub tempo: Option<f64>,
}

impl Script {
    pub(super) fn new(show: &Show, rig: &Rig) -> Self {
        let layout = Layout::new(rig);
        let looks: Vec<_> =
            show.looks.iter().map(|look| LookValues::new(look, &show.figures, rig, &layout)).collect();
        let chases = show.chases.iter().map(|chase| chase_script(chase, show, &looks, &layout)).collect();
        let start = show.start.as_deref();
        let start_look = start.and_then(|name| show.look_index(name));
        Self {
            paths: show.figures.iter().map(Path::new).collect(),
            look_fades: show.looks.iter().map(|look| look.fade).collect(),
            chases,
            cues: cue_scripts(&show.cues, show),
            tempo: show.tempo.unwrap_or(tempo::DEFAULT),
            music: show.music,
            moods: show
                .moods
                .each_ref()
                .map(|names| names.iter().filter_map(|name| show.look_index(name)).collect()),
            start_look,
            start_chase: start.filter(|_| start_look.is_none()).and_then(|name| show.chase_index(name)),
            layout,
            looks,
        }
    }
}

fn chase_script(chase: &Chase, show: &Show, looks: &[LookValues], layout: &Layout) -> ChaseScript {
    let of_step: Vec<_> = chase.steps.iter().map(|step| show.look_index(&step.look)).collect();
    let names = |unit| of_step.iter().flatten().any(|&look| looks[look].names(unit));
    ChaseScript {
        track: Track::new(chase),
        drives: (0..layout.units()).map(names).collect(),
        looks: of_step,
        fade: chase.fade,
        calm: chase.calm,
        at_each: chase.at_each,
    }
}

fn cue_scripts(cues: &[Cue], show: &Show) -> Vec<CueScript> {
    let mut whole = CueChange::default();
    let script = |cue: &Cue| {
        let find_chases =
            |names: &Vec<String>| names.iter().filter_map(|name| show.chase_index(name)).collect();
        let own = CueChange {
            look: cue.look.as_deref().and_then(|name| show.look_index(name)),
            chases: cue.chases.as_ref().map(find_chases),
            tempo: cue.tempo,
        };
        whole.look = own.look.or(whole.look);
        whole.chases = own.chases.clone().or(whole.chases.take());
        whole.tempo = own.tempo.or(whole.tempo);
        let follow = cue.follow.map(|follow| follow.max(Span::ZERO));
        CueScript { own, whole: whole.clone(), fade: cue.fade, follow }
    };
    cues.iter().map(script).collect()
}
