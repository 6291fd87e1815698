//! The looks as they are meant, for lights of every kind; a rig gets of each what it has lights for.

use super::groups::Role;

/// Colours by name: each agrees with its neighbours in this list.
pub(super) const SWATCHES: [(&str, &str); 11] = [
    ("speech white", "3000 K"),
    ("working white", "3500 K"),
    ("lamplight", "2700 K"),
    ("supper gold", "#ffb04a"),
    ("embers", "#ff7428"),
    ("ripe peach", "#ff8a70"),
    ("wild rose", "#ff3f7f"),
    ("violet hour", "#8a3cff"),
    ("midnight", "#1c34ff"),
    ("dusk blue", "#3a5cff"),
    ("lagoon", "#18c8d8"),
];

/// What heads are aimed at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Aim {
    /// Heads that hang: side by side over the dance floor. Heads that stand: side by side on the ceiling.
    Wide,
    /// Likewise, the left one to the right.
    Crossed,
    /// Nearer together.
    Narrow,
    /// All on the middle of the dance floor.
    Middle,
    /// Side by side on the far wall.
    Wall,
    /// Side by side where people speak.
    Stage,
}

/// How the level changes from light to light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slope {
    None,
    /// To this level in percent at the right-hand end.
    Across(u8),
    /// To this level in percent at both ends.
    Outwards(u8),
}

/// What lights of one role do in a look.
#[derive(Clone, Copy, Debug)]
pub(super) struct Say {
    pub(super) role: Role,
    /// Names out of [`SWATCHES`].
    pub(super) colours: &'static [&'static str],
    /// Percent.
    pub(super) level: u8,
    pub(super) slope: Slope,
    pub(super) aim: Aim,
    /// Which of their gobos, from 1; 0 for none.
    pub(super) gobo: usize,
    /// Name of a figure, or nothing.
    pub(super) figure: &'static str,
}

/// When a look is worth having.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum For {
    Every,
    /// Rigs with heads that hang.
    Heads,
    /// Rigs with strobes.
    Strobes,
    /// Rigs with hazers.
    Haze,
}

/// Something that a look has beside its sentences.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Extra {
    Nothing,
    /// Light for faces, from whatever is best for that.
    Faces,
    /// A way through the dark, from whatever can.
    Aisle,
    /// Haze.
    Haze,
    /// Slow flashes.
    Flashes,
    /// As bright as lights may be, in one white too.
    Bright,
}

/// One look.
#[derive(Clone, Copy, Debug)]
pub(super) struct Recipe {
    pub(super) name: &'static str,
    pub(super) remark: &'static str,
    /// Seconds.
    pub(super) fade: u8,
    pub(super) needs: For,
    pub(super) extra: Extra,
    pub(super) says: &'static [Say],
    /// What lights do that have one white, where nothing in the rig has colours: percent, and slope.
    pub(super) plain: (u8, Slope),
}

/// A sentence for lights that stand still.
const fn still(role: Role, colours: &'static [&'static str], level: u8) -> Say {
    Say { role, colours, level, slope: Slope::None, aim: Aim::Wide, gobo: 0, figure: "" }
}

/// A sentence for heads.
const fn heads(role: Role, colours: &'static [&'static str], level: u8, aim: Aim) -> Say {
    Say { role, colours, level, slope: Slope::None, aim, gobo: 0, figure: "" }
}

const fn spots(colours: &'static [&'static str], level: u8, aim: Aim, gobo: usize) -> Say {
    Say { role: Role::Spots, colours, level, slope: Slope::None, aim, gobo, figure: "" }
}

const fn moving(role: Role, colours: &'static [&'static str], level: u8, figure: &'static str) -> Say {
    Say { role, colours, level, slope: Slope::None, aim: Aim::Middle, gobo: 0, figure }
}

const fn sloped(role: Role, colours: &'static [&'static str], level: u8, slope: Slope) -> Say {
    Say { role, colours, level, slope, aim: Aim::Wide, gobo: 0, figure: "" }
}

const LEFT: (u8, Slope) = (100, Slope::Across(15));
const MIDDLE: (u8, Slope) = (75, Slope::Outwards(20));
const RIGHT: (u8, Slope) = (15, Slope::Across(100));

/// A step of the wave.
const fn wave((level, slope): (u8, Slope)) -> [Say; 8] {
    [
        sloped(Role::Washes, &["lagoon"], level, slope),
        sloped(Role::Spots, &["lagoon"], level, slope),
        sloped(Role::BackHeads, &["violet hour"], level, slope),
        sloped(Role::FloorHeads, &["violet hour"], level, slope),
        sloped(Role::Front, &["dusk blue"], level, slope),
        sloped(Role::Walls, &["dusk blue", "violet hour"], level, slope),
        sloped(Role::Back, &["lagoon"], level, slope),
        sloped(Role::Packs, &[], level, slope),
    ]
}

const WAVE_LEFT: [Say; 8] = wave(LEFT);
const WAVE_MIDDLE: [Say; 8] = wave(MIDDLE);
const WAVE_RIGHT: [Say; 8] = wave(RIGHT);

/// Every look, in the order of an evening.
pub(super) const RECIPES: [Recipe; 16] = [
    Recipe {
        name: "Warm welcome",
        remark: "as people come in: warm walls, soft faces",
        fade: 4,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: (40, Slope::None),
        says: &[
            heads(Role::Washes, &["supper gold"], 55, Aim::Wide),
            spots(&["embers"], 60, Aim::Wall, 1),
            heads(Role::BackHeads, &["supper gold"], 45, Aim::Narrow),
            heads(Role::FloorHeads, &["supper gold"], 50, Aim::Wide),
            still(Role::Front, &["lamplight"], 45),
            still(Role::White, &[], 40),
            still(Role::Walls, &["supper gold", "embers"], 75),
            still(Role::Back, &["embers"], 45),
            still(Role::Packs, &[], 45),
        ],
    },
    Recipe {
        name: "Speaking",
        remark: "somebody speaks: the face in warm white, calm blue behind",
        fade: 4,
        needs: For::Every,
        extra: Extra::Faces,
        plain: (90, Slope::None),
        says: &[
            heads(Role::Washes, &["speech white"], 35, Aim::Stage),
            heads(Role::FloorHeads, &["dusk blue"], 35, Aim::Wide),
            still(Role::Walls, &["dusk blue"], 45),
            still(Role::Packs, &[], 60),
        ],
    },
    Recipe {
        name: "Supper",
        remark: "warm and low: plates can be seen, nobody squints",
        fade: 5,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: (30, Slope::None),
        says: &[
            heads(Role::Washes, &["supper gold", "ripe peach"], 45, Aim::Wide),
            spots(&["supper gold"], 45, Aim::Narrow, 1),
            heads(Role::BackHeads, &["embers"], 40, Aim::Narrow),
            heads(Role::FloorHeads, &["ripe peach"], 40, Aim::Wide),
            still(Role::Front, &["lamplight"], 38),
            still(Role::White, &[], 30),
            still(Role::Walls, &["supper gold", "ripe peach"], 60),
            still(Role::Back, &["supper gold"], 35),
            still(Role::Packs, &[], 35),
        ],
    },
    Recipe {
        name: "Between",
        remark: "blue, while tables are moved or a band sets up",
        fade: 4,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: (22, Slope::None),
        says: &[
            heads(Role::Washes, &["dusk blue"], 45, Aim::Wide),
            spots(&["lagoon"], 45, Aim::Narrow, 3),
            heads(Role::BackHeads, &["dusk blue"], 40, Aim::Narrow),
            heads(Role::FloorHeads, &["midnight"], 45, Aim::Wide),
            still(Role::Front, &["midnight"], 50),
            still(Role::Walls, &["midnight"], 60),
            still(Role::Back, &["midnight"], 45),
            still(Role::Packs, &[], 20),
        ],
    },
    Recipe {
        name: "Only the aisle",
        remark: "all dark but the way",
        fade: 4,
        needs: For::Every,
        extra: Extra::Aisle,
        plain: (14, Slope::None),
        says: &[],
    },
    Recipe {
        name: "First dance",
        remark: "slow: two people in rose and gold, violet around them",
        fade: 5,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: (45, Slope::Outwards(10)),
        says: &[
            moving(Role::Washes, &["wild rose", "supper gold"], 70, "slow ring"),
            spots(&["lamplight"], 55, Aim::Middle, 2),
            moving(Role::BackHeads, &["wild rose"], 60, "slow ring"),
            heads(Role::FloorHeads, &["violet hour"], 55, Aim::Wide),
            still(Role::Front, &["wild rose", "violet hour"], 45),
            still(Role::Walls, &["violet hour"], 55),
            still(Role::Back, &["wild rose"], 55),
            sloped(Role::Packs, &[], 45, Slope::Outwards(15)),
        ],
    },
    Recipe {
        name: "Ember and dusk",
        remark: "dance: orange against blue",
        fade: 3,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: (30, Slope::Across(85)),
        says: &[
            heads(Role::Washes, &["embers", "dusk blue"], 90, Aim::Wide),
            spots(&["embers"], 85, Aim::Crossed, 3),
            heads(Role::BackHeads, &["dusk blue"], 80, Aim::Narrow),
            heads(Role::FloorHeads, &["embers", "dusk blue"], 80, Aim::Wide),
            still(Role::Front, &["embers", "dusk blue"], 65),
            still(Role::Walls, &["dusk blue", "embers"], 85),
            still(Role::Back, &["embers"], 75),
            sloped(Role::Packs, &[], 30, Slope::Across(70)),
        ],
    },
    Recipe {
        name: "Lagoon and violet",
        remark: "dance: cool neighbours",
        fade: 3,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: (80, Slope::Across(25)),
        says: &[
            heads(Role::Washes, &["lagoon", "violet hour"], 90, Aim::Narrow),
            spots(&["lagoon", "violet hour"], 85, Aim::Wide, 2),
            heads(Role::BackHeads, &["lagoon"], 80, Aim::Wide),
            heads(Role::FloorHeads, &["lagoon", "violet hour"], 80, Aim::Crossed),
            still(Role::Front, &["violet hour", "lagoon"], 65),
            still(Role::Walls, &["violet hour", "lagoon"], 85),
            still(Role::Back, &["lagoon"], 75),
            sloped(Role::Packs, &[], 70, Slope::Across(30)),
        ],
    },
    Recipe {
        name: "Rose and gold",
        remark: "dance: warm neighbours",
        fade: 3,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: (60, Slope::Outwards(25)),
        says: &[
            heads(Role::Washes, &["wild rose", "supper gold"], 90, Aim::Crossed),
            spots(&["supper gold", "wild rose"], 85, Aim::Narrow, 1),
            heads(Role::BackHeads, &["supper gold"], 80, Aim::Narrow),
            heads(Role::FloorHeads, &["wild rose", "supper gold"], 80, Aim::Narrow),
            still(Role::Front, &["wild rose", "supper gold"], 65),
            still(Role::Walls, &["wild rose", "supper gold"], 85),
            still(Role::Back, &["wild rose"], 75),
            sloped(Role::Packs, &[], 60, Slope::Outwards(20)),
        ],
    },
    Recipe {
        name: "Slow walk",
        remark: "spots stroll to and fro",
        fade: 5,
        needs: For::Heads,
        extra: Extra::Nothing,
        plain: (20, Slope::None),
        says: &[
            Say { figure: "stroll", ..heads(Role::Washes, &["violet hour", "dusk blue"], 80, Aim::Wide) },
            Say { figure: "stroll", ..spots(&["lagoon"], 75, Aim::Wide, 2) },
            Say { figure: "stroll", ..heads(Role::BackHeads, &["violet hour"], 70, Aim::Narrow) },
            heads(Role::FloorHeads, &["midnight"], 60, Aim::Wide),
            still(Role::Front, &["midnight"], 35),
            still(Role::Walls, &["midnight", "violet hour"], 55),
            still(Role::Back, &["midnight"], 50),
        ],
    },
    Recipe {
        name: "In the haze",
        remark: "beams in the air: haze only as agreed with the building's fire contact",
        fade: 4,
        needs: For::Haze,
        extra: Extra::Haze,
        plain: (45, Slope::None),
        says: &[
            heads(Role::Washes, &["lagoon", "dusk blue"], 90, Aim::Crossed),
            spots(&["lagoon"], 85, Aim::Crossed, 0),
            heads(Role::BackHeads, &["violet hour"], 75, Aim::Wide),
            heads(Role::FloorHeads, &["lagoon"], 75, Aim::Crossed),
            still(Role::Front, &["midnight"], 40),
            still(Role::Walls, &["violet hour"], 70),
            still(Role::Back, &["dusk blue"], 70),
            still(Role::Packs, &[], 15),
        ],
    },
    Recipe {
        name: "Wave left",
        remark: "three looks that the wave runs through",
        fade: 2,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: LEFT,
        says: &WAVE_LEFT,
    },
    Recipe {
        name: "Wave middle",
        remark: "",
        fade: 2,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: MIDDLE,
        says: &WAVE_MIDDLE,
    },
    Recipe {
        name: "Wave right",
        remark: "",
        fade: 2,
        needs: For::Every,
        extra: Extra::Nothing,
        plain: RIGHT,
        says: &WAVE_RIGHT,
    },
    Recipe {
        name: "Short flashes",
        remark: "slow flashes at the ceiling: tell everybody at the door, and stop when anybody asks",
        fade: 3,
        needs: For::Strobes,
        extra: Extra::Flashes,
        plain: (35, Slope::None),
        says: &[
            heads(Role::Washes, &["wild rose"], 60, Aim::Wide),
            spots(&["wild rose"], 60, Aim::Narrow, 3),
            heads(Role::BackHeads, &["wild rose"], 50, Aim::Narrow),
            heads(Role::FloorHeads, &["wild rose"], 60, Aim::Wide),
            still(Role::Front, &["violet hour"], 45),
            still(Role::Walls, &["wild rose", "violet hour"], 60),
            still(Role::Back, &["violet hour"], 50),
        ],
    },
    Recipe {
        name: "Lights up",
        remark: "coats and chairs: everything on",
        fade: 6,
        needs: For::Every,
        extra: Extra::Bright,
        plain: (96, Slope::None),
        says: &[
            heads(Role::Washes, &["working white"], 90, Aim::Wide),
            spots(&["lamplight"], 80, Aim::Narrow, 0),
            heads(Role::BackHeads, &["working white"], 80, Aim::Narrow),
            heads(Role::FloorHeads, &["working white"], 80, Aim::Wide),
            still(Role::Front, &["working white"], 95),
            still(Role::White, &[], 96),
            still(Role::Walls, &["working white"], 85),
            still(Role::Back, &["working white"], 85),
            still(Role::Packs, &[], 95),
        ],
    },
];

/// For rigs of strobes alone: name, level in percent, flashes a second.
pub(super) const STROBES_ALONE: [(&str, u8, u8); 4] =
    [("Low and steady", 15, 0), ("Half", 35, 0), ("Short flashes", 30, 1), ("Lights up", 70, 0)];

/// For rigs of hazers alone: name, haze and fan in percent.
pub(super) const HAZE_ALONE: [(&str, u8, u8); 3] =
    [("A little haze", 15, 30), ("Some haze", 30, 40), ("Much haze", 60, 60)];

/// What is said of haze in the file.
pub(super) const OF_HAZE: &str = "haze only as agreed with the building's fire contact";

/// For rigs whose outlets are on or off: name, level in percent, slope; half of the light is what switches them.
pub(super) const SWITCHES_ALONE: [(&str, u8, Slope); 4] = [
    ("In the middle", 100, Slope::Outwards(40)),
    ("Left half", 100, Slope::Across(45)),
    ("Right half", 45, Slope::Across(100)),
    ("Lights up", 100, Slope::None),
];

/// Looks and chases as they are called and told where no light has colours.
pub(super) const IN_ONE_WHITE: [(&str, &str, &str); 10] = [
    ("Warm welcome", "Warm welcome", "as people come in: low, faces can be seen"),
    ("Speaking", "Speaking", "somebody speaks: the face lit"),
    ("Supper", "Supper", "lower: plates can be seen, nobody squints"),
    ("Between", "Between", "low, while tables are moved or a band sets up"),
    ("First dance", "First dance", "slow: light in the middle, the sides low"),
    ("Ember and dusk", "From the right", "dance: bright on the right"),
    ("Lagoon and violet", "From the left", "dance: bright on the left"),
    ("Rose and gold", "From the middle", "dance: bright in the middle"),
    ("Colour walk", "From side to side", "two bars for each side, and no hard change"),
    ("Breath", "Breath", "up and down again, as one breathes"),
];

/// Looks as they are called and told where no head lights the way.
pub(super) const WITHOUT_HEADS: [(&str, &str, &str); 1] =
    [("Only the aisle", "Enough to walk by", "all low: look whether everybody sees the way")];
