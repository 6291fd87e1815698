//! Kinds of drum patterns. Four steps a beat unless a comment says three.

use super::Groove;
use crate::kit::Drum::{
    Bell, Brush, Clap, Clave, CongaHi, CongaLo, Hat, Kick, Open, Ride, Rim, Shaker, Snap, Snare, Tamb, TomHi,
    TomLo,
};

pub(super) const PLAIN_FOUR: Groove = &[(Kick, "X..."), (Snare, "....X...")];
pub(super) const PLAIN_ROCK: Groove = &[(Kick, "X.......X......."), (Snare, "....X..."), (Hat, "x.")];
pub(super) const PLAIN_THREE: Groove = &[(Kick, "X..........."), (Snare, "....x...x..."), (Hat, "x.")];

pub(super) const HOUSE: Groove = &[
    (Kick, "X...X...X...X..a"),
    (Clap, "....9.......9..."),
    (Open, "..9."),
    (Hat, "6e4e"),
    (Shaker, "5454"),
];
pub(super) const FOUR_BARE: Groove = &[(Kick, "X..."), (Hat, "..9."), (Clap, "....4.......4..b")];
pub(super) const TECHNO: Groove = &[
    (Kick, "X...X...X...X.2."),
    (Hat, "d7dX"),
    (Open, "..7."),
    (Rim, "2.13..2.1.3..2.."),
    (Clap, "....5.......5..."),
];
pub(super) const TRANCE: Groove =
    &[(Kick, "X..."), (Open, "..X."), (Hat, "x5x6"), (Snare, "....8.......8..2")];
pub(super) const DISCO: Groove =
    &[(Kick, "X..."), (Snare, "....X.......X.b."), (Open, "..X."), (Hat, "x.dx"), (Tamb, "5.55")];
pub(super) const HARD: Groove = &[(Kick, "X..."), (Open, "..x."), (Hat, "8888"), (Clap, "....2...")];

pub(super) const HALF: Groove =
    &[(Kick, "X..2..3...2...2."), (Snare, "........X......."), (Hat, "x.6.x.6.x.6.x3x4")];
pub(super) const DUBSTEP: Groove = &[
    (Kick, "X.....4.......3."),
    (Snare, "........X......."),
    (Hat, "6.3.6.5.3.6.6.4."),
    (Rim, "..1..2.1..1...2."),
];
pub(super) const TWO_STEP: Groove = &[
    (Kick, "X.........7....."),
    (Snare, "....X.......X..b"),
    (Hat, "..X...X2..X..3X."),
    (Rim, ".2.1..3..2..1..2"),
    (Shaker, ".5.5"),
];
pub(super) const TWO_STEP_B: Groove =
    &[(Kick, "X..1..2...8..2.."), (Clap, "....9.......9..."), (Open, "..9."), (Hat, "..X..4X...X.4.X.")];
pub(super) const DNB: Groove =
    &[(Kick, "X.........X....."), (Snare, "....X.......X..."), (Hat, "x.x."), (Ride, "3.2.")];
pub(super) const DNB_BREAK: Groove =
    &[(Kick, "X.8.......X4...."), (Snare, "....X..f.e..X..d"), (Hat, "x.x.x.x.x.x.x.x5")];
pub(super) const BREAK: Groove =
    &[(Kick, "X.x.......x3...."), (Snare, "....X..g.g..X..d"), (Hat, "x.x.x.x.x.x.x.x.")];
pub(super) const BREAK_B: Groove =
    &[(Kick, "X.....4.x..x..2."), (Snare, "....X..e....X.e."), (Hat, "xdx8"), (Open, "..............3.")];
pub(super) const BIG_BEAT: Groove =
    &[(Kick, "X...3.6..3x..2.."), (Snare, "....X.......X..3"), (Open, "x.x."), (Tamb, "..5.")];

pub(super) const BOOM_BAP: Groove =
    &[(Kick, "X.2....5.3x..2.."), (Snare, "....X..b....X..b"), (Hat, "x.xbx.x.x.x4x.x.")];
pub(super) const TRAP: Groove = &[
    (Kick, "X..3..5...4..3.."),
    (Snare, "........X......."),
    (Hat, "x4x3x5x4x3x6x8x8"),
    (Open, "......2.......2."),
];
pub(super) const LATE_NIGHT: Groove =
    &[(Kick, "X......4..x..2.."), (Snap, "....X...9...X..."), (Hat, "x.e."), (Rim, "...2..2....2....")];
pub(super) const DEMBOW: Groove = &[(Kick, "X..."), (Snare, "...x..x....x..x."), (Hat, "5.5.")];

pub(super) const ONE_DROP: Groove =
    &[(Kick, "........X......."), (Rim, "........8..a...."), (Hat, "x.xax.x.x.xax.x.")];
pub(super) const STEPPERS: Groove = &[(Kick, "X..."), (Rim, "....4...8..2...."), (Hat, "..x...x.")];
pub(super) const ROCKERS: Groove =
    &[(Kick, "X.......X......."), (Snare, "....3...X..b...."), (Hat, "..x.x.x.")];
pub(super) const SKA: Groove = &[(Kick, "X.......X...2..."), (Snare, "....X.......X..."), (Hat, "..X.")];

pub(super) const ROCK: Groove = &[(Kick, "X.....3.x.4...2."), (Snare, "....X.......X..."), (Hat, "X.x.")];
pub(super) const ROCK_RIDE: Groove =
    &[(Kick, "X..2..4.x.5....."), (Snare, "....X.......X..b"), (Ride, "x.x.")];
pub(super) const FOUR_ROCK: Groove =
    &[(Kick, "X...4...X.6...2."), (Snare, "....X.......X..."), (Open, "x...")];
pub(super) const PUNK: Groove = &[(Kick, "X..."), (Snare, "..X."), (Hat, "x.")];
pub(super) const SKATE: Groove = &[(Kick, "X.....x.x......."), (Snare, "....X.......X..."), (Open, "x.")];
pub(super) const METAL: Groove = &[(Kick, "XxXx"), (Snare, "....X..."), (Open, "x...")];
pub(super) const METAL_B: Groove =
    &[(Kick, "XxX.XxX.Xx6.X.XX"), (Snare, "........X......."), (Bell, "3..."), (Ride, "x...")];
pub(super) const FOUR_SNARE: Groove =
    &[(Kick, "X.....x.x.3....."), (Snare, "X..."), (Hat, "x.x."), (Tamb, "....X...")];

pub(super) const SOUL: Groove =
    &[(Kick, "X..4..3...x..3.."), (Snare, "....X..f.e..X..e"), (Hat, "xcxexcxcxcxexcxc")];
pub(super) const FUNK: Groove = &[
    (Kick, "X.4...x..5x..3.."),
    (Snare, "..b.X..g.g..X.be"),
    (Hat, "xgxgxgxgxgxgxgxg"),
    (Open, "..............2."),
];
pub(super) const FUNK_B: Groove =
    &[(Kick, "X..x..4...7..x.."), (Snare, ".c..X..f.d.fX..."), (Hat, "x.x.x.x.x.x.x.4x")];
pub(super) const SHUFFLE: Groove = &[(Kick, "X..2..X..3.."), (Snare, "..bX.b..bX.b"), (Hat, "x.x")]; // three
pub(super) const TWELVE: Groove = &[(Kick, "X.....X.4..3"), (Snare, "...X.....X.b"), (Hat, "xxx")]; // three
pub(super) const TRIPLET_MARCH: Groove = &[(Kick, "X..X..X..X.."), (Snare, "...x....gX.g"), (Ride, "x.f")]; // three

pub(super) const JAZZ: Groove =
    &[(Ride, "X..x.x"), (Hat, "...x.."), (Kick, "d..d..d..d.b"), (Snare, "..b..c.b..bc")]; // three
pub(super) const JAZZ_BRUSH: Groove =
    &[(Brush, "x..x.e"), (Hat, "...x.."), (Kick, "e.....e....a"), (Rim, ".........3..")]; // three
pub(super) const JAZZ_WALTZ: Groove =
    &[(Ride, "X..x.xx.e"), (Hat, "...x....."), (Kick, "x.....b.."), (Snare, "..b..c.db")]; // three

pub(super) const BOSSA: Groove = &[(Kick, "X..xX..xX..xX..x"), (Rim, "x..x..x...x..x.."), (Hat, "xdxd")];
pub(super) const SAMBA: Groove = &[
    (Kick, "o...X..."),
    (Shaker, "XooX"),
    (Tamb, "x.xx.x.xx.xx.x.x"),
    (Snare, "cdcgcdcg"),
    (Bell, "4.2..4.3"),
];
pub(super) const SALSA_23: Groove = &[
    (Clave, "....x...x.......x.....x.....x..."),
    (CongaHi, "....X..."),
    (CongaLo, "o.......o.....xxo.......o.....xx"),
    (Bell, "X...x.x.x...x.x."),
    (Kick, "......4.........2.....4........."),
    (Hat, "8.5."),
    (Tamb, "2."),
];
pub(super) const SALSA_32: Groove = &[
    (Clave, "x.....x.....x.......x...x......."),
    (CongaHi, "....X.b."),
    (CongaLo, "............x.x."),
    (Bell, "X...x...X.x.x..."),
    (Kick, "......5."),
];
pub(super) const RUMBA: Groove = &[
    (Clave, "x.....x.......x.....x...x......."),
    (CongaLo, "x..e..e.x...e.x."),
    (CongaHi, "..e.X..e"),
    (Shaker, "x.e.x.e."),
];
pub(super) const CUMBIA: Groove =
    &[(Kick, "X.......X......."), (Shaker, "X.xx"), (Bell, "X...x..."), (CongaHi, "....x.xx"), (Rim, "3...")];
pub(super) const AFRO: Groove = &[
    (Kick, "X...X...X...X..."),
    (Shaker, "xdxd"),
    (Bell, "x..x..x...x.x..."),
    (CongaHi, "..3.5..4..3.5.6."),
    (Clap, "...4..4....4..4."),
];
pub(super) const SONGO: Groove =
    &[(Kick, "...X..X...3X..X."), (Snare, "....X..e.e..4..e"), (Ride, "x.x."), (CongaHi, "..5...5.")];
pub(super) const TANGO: Groove = &[(Kick, "o...o..."), (Rim, "d..e"), (Snare, "c.....c.")];

pub(super) const POLKA: Groove = &[(Kick, "X..."), (Snare, "..X."), (Hat, "5.5.")];
pub(super) const MARCH: Groove = &[(Kick, "X..."), (Snare, "x.XgxeXgx.XgxxXx"), (Open, "X...")];
pub(super) const WALTZ: Groove = &[(Kick, "X..........."), (Snare, "....x...x..."), (Hat, "3...5...5...")];
pub(super) const WALTZ_B: Groove = &[(Kick, "X.......3..."), (Brush, "....x...x..b"), (Ride, "x...x.d.x...")];
pub(super) const SIX_EIGHT: Groove = &[(Kick, "X....3"), (Snare, "...X.."), (Hat, "xxx")]; // three, two beats
pub(super) const SIX_EIGHT_B: Groove =
    &[(Kick, "X.2..4X..2.."), (Snare, "...X.....X.b"), (Ride, "xdx"), (TomLo, "..........1.")];
pub(super) const JIG: Groove = &[(Kick, "X..X.."), (Tamb, "x.ex.e"), (CongaLo, "..4..4")]; // three, two beats
pub(super) const REEL: Groove = &[(Kick, "X...X..."), (Snare, "..x...xd"), (Tamb, "x.e.")];
pub(super) const TRAIN: Groove = &[(Kick, "X.......X......."), (Snare, "ooXoooXoooXoooXo"), (Brush, "3.")];
pub(super) const COUNTRY: Groove = &[(Kick, "X.......X..3...."), (Snare, "....X..."), (Hat, "x.x.")];
pub(super) const FIVE: Groove =
    &[(Kick, "X.....4.....x..2...."), (Snare, "....x...X.......X..."), (Ride, "x.x.")];
pub(super) const FIVE_B: Groove =
    &[(Kick, "X.........x....."), (Snare, "........X.......X.e."), (Hat, "x.xd")];
pub(super) const SEVEN: Groove = &[(Kick, "X...4...3....."), (Snare, "....X...X...3."), (Hat, "x.")]; // two steps, 2+2+3
pub(super) const SEVEN_B: Groove = &[(Kick, "X...X...X...3."), (Snare, "..x...x...x..."), (Tamb, "x.")]; // two steps
pub(super) const TRIBAL: Groove =
    &[(Kick, "X..2X..2"), (TomLo, "..5..5.3"), (TomHi, "5..4..5."), (Shaker, "xexe"), (CongaHi, ".3.4")];
pub(super) const CHIP: Groove = &[(Kick, "X.....3.x......."), (Snare, "....X.......X..b"), (Hat, "x.x4")];
pub(super) const SYNTH_POP: Groove =
    &[(Kick, "X...X...X...X..."), (Snare, "....X.......X..."), (Hat, "7.7."), (Clap, "....3...")];
pub(super) const NEW_WAVE: Groove =
    &[(Kick, "X.....x.X......."), (Snare, "....X.......X..."), (Hat, "x.x."), (TomHi, "..............3.")];
pub(super) const BALLAD: Groove = &[(Kick, "X......3x......."), (Snare, "....X..."), (Hat, "x.xc")];
pub(super) const AMBIENT: Groove = &[(Kick, "X...8...8...8..."), (Hat, "..4."), (Rim, "..1..2.1..1..1..")];
pub(super) const STOMP: Groove = &[(Kick, "X.X....."), (Clap, "....X..."), (Tamb, "....4...")];
pub(super) const HAND: Groove = &[(CongaLo, "X..d..e.x..d..e."), (CongaHi, "....x..e"), (Shaker, "x.e.")];
