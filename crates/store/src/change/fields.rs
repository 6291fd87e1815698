//! The fields that changes set, by the show file's own words. Their order is that in which a new table writes them.

use serde::{Deserialize, Serialize};

/// What one table of the show file may say.
pub(super) trait Field: Copy + Ord {
    /// As the show file writes it.
    fn key(self) -> &'static str;
}

macro_rules! fields {
    ($(#[$doc:meta])* $name:ident: $($field:ident = $key:literal),* $(,)?) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize)]
        #[cfg_attr(feature = "ts", derive(ts_rs::TS))]
        #[expect(missing_docs, reason = "each is the key in the show file, told of in docs/show-file.md")]
        pub enum $name {
            $(#[serde(rename = $key)] $field,)*
        }

        impl $name {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$field),*];
        }

        impl Field for $name {
            fn key(self) -> &'static str {
                match self {
                    $(Self::$field => $key,)*
                }
            }
        }
    };
}

fields! {
    /// Of `[show]`.
    ShowField: Name = "name", Notes = "notes", Tempo = "tempo", Start = "start", Tonight = "tonight"
}
fields! {
    /// Of `[music]`.
    MusicField: Lead = "lead", Rise = "rise", Fall = "fall", Slowest = "slowest", Fastest = "fastest",
    Calm = "calm", Groove = "groove", Peak = "peak"
}
fields! {
    /// Of `[room]`.
    RoomField: Name = "name", X = "x", Y = "y", Height = "height", Controller = "controller"
}
fields! {
    /// Of `[[room.place]]`, its name aside.
    PlaceField: Kind = "kind", Middle = "middle", Length = "length", Turn = "turn", Rated = "rated",
    OwnWeight = "own_weight", Points = "points", PointRated = "point_rated", Tube = "tube", Legs = "legs",
    LegRadius = "leg_radius", Ballast = "ballast", Outdoors = "outdoors"
}
fields! {
    /// Of `[[room.platform]]` and `[[room.audience]]`, the name aside.
    AreaField: X = "x", Y = "y", Height = "height"
}
fields! {
    /// Of `[[room.furniture]]`, its name aside.
    FurnitureField: Kind = "kind", At = "at", Size = "size", Turn = "turn"
}
fields! {
    /// Of `[[circuit]]`, its name aside.
    CircuitField: Breaker = "breaker", OtherLoad = "other_load", At = "at", Reach = "reach", Lead = "lead",
    Phase = "phase", Curve = "curve", Rcd = "rcd"
}
fields! {
    /// Of `[mains]`.
    MainsField: Region = "region", Volts = "volts", Continuous = "continuous", Receptacle = "receptacle", Rcd = "rcd",
    Generator = "generator"
}
fields! {
    /// Of `[limits]`.
    LimitField: Flash = "flash", FlashReason = "flash_reason"
}
fields! {
    /// Of a light; `number` aside.
    LightField: Profile = "profile", Mode = "mode", Place = "place", At = "at", Up = "up", Turn = "turn", Lean = "lean",
    Invert = "invert", Swap = "swap", Focus = "focus", Run = "run", Address = "address", Shares = "shares",
    Leader = "leader", Programme = "programme", Circuit = "circuit", Line = "line", LineOrder = "line_order", PowerFrom = "power_from",
    Lead = "lead", Battery = "battery", Case = "case", CircuitFixed = "circuit_fixed"
}
fields! {
    /// Of `[[figure]]`, its name aside.
    FigureField: Shape = "shape", Size = "size", Speed = "speed", Plane = "plane", Turn = "turn",
    Direction = "direction", Phase = "phase", PhaseSpread = "phase_spread", Centre = "centre"
}
fields! {
    /// Of `[[look.part]]`.
    PartField: Who = "who", Aim = "aim", Figure = "figure", Colour = "colour", ColourSpread = "colour_spread",
    Mixing = "mixing", Match = "match", Level = "level", On = "on", LevelTo = "level_to",
    LevelSpread = "level_spread", Sound = "sound", SoundColour = "sound_colour", Strobe = "strobe", Gobo = "gobo", Prism = "prism", Zoom = "zoom",
    Focus = "focus", Frost = "frost", Iris = "iris", Haze = "haze", Fan = "fan"
}
fields! {
    /// Of `[[chase]]`, its name and steps aside.
    ChaseField: Order = "order", Swing = "swing", Rounds = "rounds", Fade = "fade", Calm = "calm", AtEach = "at_each", StepTime = "step_time",
    StepFade = "step_fade"
}
fields! {
    /// Of a step.
    StepField: Look = "look", Time = "time", Fade = "fade"
}
fields! {
    /// What all steps of a chase can be given at once.
    StepsField: Time = "time", Fade = "fade"
}
fields! {
    /// Of `[[cue]]`, its number aside.
    CueField: Name = "name", Note = "note", Look = "look", Chases = "chases", Fade = "fade", Follow = "follow",
    Tempo = "tempo"
}
fields! {
    /// Of `[[score]]`, its name and parts aside.
    ScoreField: File = "file", Length = "length", Beats = "beats", Bars = "bars", Lines = "lines"
}
fields! {
    /// Of `[[score.part]]`.
    ScorePartField: Bar = "bar", Beat = "beat", Time = "time", Look = "look", Chases = "chases", Fade = "fade",
    Dark = "dark", Why = "why"
}
