//! Chases and the cues of an evening, of the looks that there are.

use super::groups::{Group, Role};
use super::looks::Look;

/// One chase.
pub(super) struct Chase {
    pub(super) name: &'static str,
    pub(super) remark: &'static str,
    pub(super) order: &'static str,
    /// A time as the file writes it.
    pub(super) time: &'static str,
    pub(super) fade: &'static str,
    /// In and out.
    pub(super) own_fade: &'static str,
    pub(super) steps: Vec<&'static str>,
}

/// One cue.
pub(super) struct Cue {
    pub(super) name: &'static str,
    pub(super) note: &'static str,
    pub(super) look: &'static str,
    /// None: those that run go on.
    pub(super) chases: Option<Vec<&'static str>>,
    /// Seconds.
    pub(super) fade: u8,
    pub(super) tempo: Option<u16>,
}

/// Looks for each mood of the music: the dance's own, and one to be calm in. Without a choice there is nothing to pick.
pub(super) fn moods(looks: &[Look]) -> Vec<(&'static str, Vec<&'static str>)> {
    const MEANT: [(&str, &[&str]); 2] =
        [("calm", &["Supper"]), ("groove", &["Ember and dusk", "Lagoon and violet", "Rose and gold"])];
    let there = |name: &&str| looks.iter().any(|look| look.name == *name);
    let moods = MEANT.map(|(mood, names)| (mood, names.iter().copied().filter(there).collect::<Vec<_>>()));
    let choice = moods[1].1.len() >= 2;
    moods.into_iter().filter(|(_, names)| choice && !names.is_empty()).collect()
}

/// A chase as it is meant: it is made where two of its looks are there.
struct Meant {
    name: &'static str,
    remark: &'static str,
    order: &'static str,
    time: &'static str,
    fade: &'static str,
    own_fade: &'static str,
    steps: &'static [&'static str],
}

const COLOURS: Meant = Meant {
    name: "Colour walk",
    remark: "two bars for each pair of colours, and no hard change",
    order: "forward",
    time: "8 beats",
    fade: "8 beats",
    own_fade: "2 s",
    steps: &["Ember and dusk", "Lagoon and violet", "Rose and gold"],
};

const WAVE: Meant = Meant {
    name: "Wave",
    remark: "light runs from left to right and back",
    order: "to and fro",
    time: "2 beats",
    fade: "2 beats",
    own_fade: "2 s",
    steps: &["Wave left", "Wave middle", "Wave right"],
};

const STROLL: Meant = Meant {
    name: "Ring and stroll",
    remark: "movement: spots go round, and then to and fro",
    order: "forward",
    time: "24 beats",
    fade: "12 beats",
    own_fade: "4 s",
    steps: &["First dance", "Slow walk"],
};

const BREATH: Meant = Meant {
    name: "Breath",
    remark: "from colour into blue and back, as one breathes",
    order: "forward",
    time: "8 beats",
    fade: "8 beats",
    own_fade: "3 s",
    steps: &["Between", "Lagoon and violet"],
};

const EVENING: Meant = Meant {
    name: "Slow evening",
    remark: "for a long supper: nobody sees it change",
    order: "forward",
    time: "40 s",
    fade: "30 s",
    own_fade: "5 s",
    steps: &["Supper", "Warm welcome"],
};

const SWELL: Meant = Meant {
    name: "Swell",
    remark: "up and down again, slowly",
    order: "forward",
    time: "8 beats",
    fade: "8 beats",
    own_fade: "3 s",
    steps: &["Low and steady", "Half"],
};

const NOW_AND_THEN: Meant = Meant {
    name: "Now and then",
    remark: "a little for half a minute, then more",
    order: "forward",
    time: "30 s",
    fade: "5 s",
    own_fade: "2 s",
    steps: &["A little haze", "Some haze"],
};

const BY_TURNS: Meant = Meant {
    name: "By turns",
    remark: "outlets left and right; only for what may be switched so often",
    order: "forward",
    time: "8 beats",
    fade: "0 beats",
    own_fade: "0 s",
    steps: &["Left half", "Right half"],
};

/// Chases that suit: a walk of colours, a wave, movement where heads move, and slow ones.
pub(super) fn chases(looks: &[Look], groups: &[Group]) -> Vec<Chase> {
    let moving = |group: &Group| matches!(group.role, Role::Washes | Role::Spots | Role::BackHeads);
    let third = if groups.iter().any(moving) { STROLL } else { BREATH };
    let known = |name: &&'static str| looks.iter().any(|look| look.name == *name);
    let made = |meant: Meant| Chase {
        name: meant.name,
        remark: meant.remark,
        order: meant.order,
        time: meant.time,
        fade: meant.fade,
        own_fade: meant.own_fade,
        steps: meant.steps.iter().copied().filter(known).collect(),
    };
    let all = [COLOURS, WAVE, third, EVENING, SWELL, NOW_AND_THEN, BY_TURNS].map(made);
    all.into_iter().filter(|chase| chase.steps.len() > 1).collect()
}

/// A cue as it is meant: the first of its looks that is there.
struct Moment {
    name: &'static str,
    note: &'static str,
    looks: &'static [&'static str],
    /// The first of these that is there; nothing: all stop.
    chases: &'static [&'static str],
    fade: u8,
    tempo: Option<u16>,
}

const LOW: &str = "Low and steady";

const EVENING_CUES: [Moment; 9] = [
    Moment {
        name: "Doors",
        note: "half an hour before it begins",
        looks: &["Warm welcome", LOW, "A little haze", "In the middle"],
        chases: &[],
        fade: 6,
        tempo: None,
    },
    Moment {
        name: "Welcome",
        note: "when whoever speaks walks up",
        looks: &["Speaking"],
        chases: &[],
        fade: 4,
        tempo: None,
    },
    Moment {
        name: "Supper",
        note: "when the first plates come",
        looks: &["Supper"],
        chases: &[],
        fade: 6,
        tempo: None,
    },
    Moment {
        name: "Tables aside",
        note: "while tables are moved; see that the way is lit",
        looks: &["Between"],
        chases: &[],
        fade: 5,
        tempo: None,
    },
    Moment {
        name: "First dance",
        note: "when they stand on the floor",
        looks: &["First dance", "Half"],
        chases: &[],
        fade: 6,
        tempo: Some(84),
    },
    Moment {
        name: "Dance",
        note: "tap the tempo along with the music",
        looks: &["Ember and dusk", "Half", "Some haze", "Left half"],
        chases: &["Colour walk", "Swell", "Now and then", "By turns"],
        fade: 4,
        tempo: Some(112),
    },
    Moment {
        name: "Dance on",
        note: "for a song with more in it",
        looks: &["Lagoon and violet"],
        chases: &["Wave"],
        fade: 3,
        tempo: Some(120),
    },
    Moment {
        name: "Last song",
        note: "when it is announced",
        looks: &["Slow walk", "First dance", LOW],
        chases: &[],
        fade: 6,
        tempo: Some(76),
    },
    Moment {
        name: "Lights up",
        note: "when the last note is gone; nobody looks for a scarf in the dark",
        looks: &["Lights up"],
        chases: &[],
        fade: 8,
        tempo: None,
    },
];

/// The evening, as far as there are looks for it.
pub(super) fn cues(looks: &[Look], chases: &[Chase]) -> Vec<Cue> {
    let cue = |moment: &Moment| {
        let look = moment.looks.iter().copied().find(|name| looks.iter().any(|look| look.name == *name))?;
        let chase = moment.chases.iter().copied().find(|name| chases.iter().any(|chase| chase.name == *name));
        Some(Cue {
            name: moment.name,
            note: moment.note,
            look,
            chases: Some(chase.into_iter().collect()),
            fade: moment.fade,
            tempo: moment.tempo,
        })
    };
    let mut cues: Vec<Cue> = EVENING_CUES.iter().filter_map(cue).collect();
    let mut runs: Vec<&'static str> = Vec::new();
    for cue in &mut cues {
        // What neither stops nor starts a chase says nothing of them.
        let now = cue.chases.take().unwrap_or_default();
        if now != runs {
            runs.clone_from(&now);
            cue.chases = Some(now);
        }
    }
    cues
}
