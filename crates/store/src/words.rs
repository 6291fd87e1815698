//! The words that files use for the choices in the model: one table each, read and written from the same list.

use lanthorn_fixture::mode::{Danger, RangeKind, Sense};
use lanthorn_fixture::profile::{Addressing, Kind, OnLoss, Response};
use lanthorn_fixture::{Attribute, Origin};
use lanthorn_physics::colour::Objective;
use lanthorn_physics::units::Metres;
use lanthorn_rig::place::PlaceKind;
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::room::FurnitureKind;
use lanthorn_rig::sums::electric::{Curve, Region};
use lanthorn_show::figure::{self, PhaseSpread, Shape};
use lanthorn_show::score::LineKind;
use lanthorn_show::{Band, Order, Plane, Spread, Strike};

pub(crate) type Words<T> = &'static [(&'static str, T)];

pub(crate) const KINDS: Words<Kind> = &[
    ("wash head", Kind::WashHead),
    ("spot head", Kind::SpotHead),
    ("par", Kind::Par),
    ("bar", Kind::Bar),
    ("strobe", Kind::Strobe),
    ("hazer", Kind::Hazer),
    ("dimmer", Kind::Dimmer),
    ("fresnel", Kind::Fresnel),
    ("profile spot", Kind::ProfileSpot),
    ("scanner", Kind::Scanner),
    ("flood", Kind::Flood),
    ("blinder", Kind::Blinder),
    ("effect light", Kind::Effect),
    ("fogger", Kind::Fogger),
    ("machine", Kind::Machine),
];
pub(crate) const ON_LOSS: Words<OnLoss> =
    &[("hold", OnLoss::Hold), ("dark", OnLoss::Dark), ("programme", OnLoss::Programme)];
pub(crate) const ADDRESSINGS: Words<Addressing> = &[("menu", Addressing::Menu), ("dip", Addressing::Dip)];
pub(crate) const RESPONSES: Words<Response> = &[("linear", Response::Linear), ("square", Response::Square)];
pub(crate) const MIXINGS: Words<Objective> = &[
    ("most light", Objective::MostLight),
    ("best rendering", Objective::BestRendering),
    ("least power", Objective::LeastPower),
];
pub(crate) const ORIGINS: Words<Origin> = &[
    ("stated", Origin::Stated),
    ("default", Origin::Default),
    ("derived", Origin::Derived),
    ("guessed", Origin::Guessed),
    ("unknown", Origin::Unknown),
];
pub(crate) const RANGE_KINDS: Words<RangeKind> = &[
    ("level", RangeKind::Level),
    ("fixed", RangeKind::Fixed),
    ("select", RangeKind::Select),
    ("nothing", RangeKind::Nothing),
];
pub(crate) const SENSES: Words<Sense> = &[("up", Sense::Up), ("down", Sense::Down)];
pub(crate) const REGIONS: Words<Region> =
    &[("us", Region::Us), ("uk", Region::Uk), ("eu", Region::Eu), ("jp", Region::Jp)];
pub(crate) const CURVES: Words<Curve> = &[("B", Curve::B), ("C", Curve::C), ("D", Curve::D)];
pub(crate) const DANGERS: Words<Danger> = &[
    ("reset", Danger::Reset),
    ("heater", Danger::Heater),
    ("sound", Danger::Sound),
    ("programme", Danger::Programme),
    ("other", Danger::Other),
];
pub(crate) const PLACES: Words<PlaceKind> = &[
    ("bar", PlaceKind::Bar),
    ("truss", PlaceKind::Truss),
    ("stand", PlaceKind::Stand),
    ("floor", PlaceKind::Floor),
];
pub(crate) const FURNITURE: Words<FurnitureKind> = &[
    ("table", FurnitureKind::Table),
    ("round table", FurnitureKind::RoundTable),
    ("cake", FurnitureKind::Cake),
    ("person", FurnitureKind::Person),
];
pub(crate) const WAYS_UP: Words<WayUp> = &[("hanging", WayUp::Hanging), ("standing", WayUp::Standing)];
/// Which way pan was watched to run: `true` is backwards.
pub(crate) const PAN_RUNS: Words<bool> = &[("forwards", false), ("backwards", true)];
pub(crate) const SPREADS: Words<Spread> =
    &[("even", Spread::Even), ("in order", Spread::InOrder), ("from the middle", Spread::FromTheMiddle)];
/// The part of the sound that a level or a colour goes with.
pub(crate) const BANDS: Words<Band> = &[("low", Band::Low), ("middle", Band::Middle), ("high", Band::High)];
/// What a chase may answer to.
pub(crate) const STRIKES: Words<Strike> = &[
    (Strike::Kick.word(), Strike::Kick),
    (Strike::Snare.word(), Strike::Snare),
    (Strike::Hat.word(), Strike::Hat),
    (Strike::Drop.word(), Strike::Drop),
];
/// What a level in lux is measured on.
pub(crate) const PLANES: Words<Plane> = &[("level", Plane::Level), ("face", Plane::Face)];
pub(crate) const ORDERS: Words<Order> = &[
    ("forward", Order::Forward),
    ("backward", Order::Backward),
    ("to and fro", Order::ToAndFro),
    ("random", Order::Random),
];

/// Shapes of figures, made from one size or two.
pub(crate) const SHAPES: Words<fn(Metres, Metres) -> Shape> = &[
    ("circle", |across, _| Shape::Circle { across }),
    ("eight", |width, height| Shape::Eight { width, height }),
    ("line", |length, _| Shape::Line { length }),
    ("sweep", |length, _| Shape::Sweep { length }),
    ("fan", |width, _| Shape::Fan { width }),
    ("wave", |height, _| Shape::Wave { height }),
    ("hold", |across, _| Shape::Hold { across }),
    ("wander", |across, _| Shape::Wander { across }),
];
pub(crate) const FIGURE_PLANES: Words<figure::Plane> = &[
    ("floor", figure::Plane::Floor),
    ("back wall", figure::Plane::BackWall),
    ("left wall", figure::Plane::LeftWall),
    ("right wall", figure::Plane::RightWall),
    ("front wall", figure::Plane::FrontWall),
];
pub(crate) const PHASE_SPREADS: Words<PhaseSpread> = &[
    ("in order", PhaseSpread::InOrder),
    ("from the middle", PhaseSpread::FromTheMiddle),
    ("mirrored", PhaseSpread::Mirrored),
];
pub(crate) const LINE_KINDS: Words<LineKind> = &[
    (LineKind::Section.word(), LineKind::Section),
    (LineKind::Phrase.word(), LineKind::Phrase),
    (LineKind::Breakdown.word(), LineKind::Breakdown),
    (LineKind::Drop.word(), LineKind::Drop),
    (LineKind::Lift.word(), LineKind::Lift),
];
/// Whether it runs backwards.
pub(crate) const DIRECTIONS: Words<bool> = &[("forward", false), ("backward", true)];

/// The word for a shape.
pub(crate) fn shape_word(shape: Shape) -> &'static str {
    let (first, second) = shape.sizes();
    let is = |make: &fn(Metres, Metres) -> Shape| make(first, second.unwrap_or(first)) == shape;
    SHAPES.iter().find(|(_, make)| is(make)).map_or("", |(word, _)| word)
}

/// The word for a choice.
pub(crate) fn word<T: PartialEq>(words: Words<T>, value: &T) -> &'static str {
    words.iter().find(|(_, known)| known == value).map_or("", |(word, _)| word)
}

/// Names that look like those we act on and are meant as they stand: of DIN SPEC 15800 (from memory), and one of ours.
const MEANT: &[&str] = &[
    "BlackoutMove",
    "ColorAdd_BC",
    "ColorAdd_BM",
    "ColorAdd_GC",
    "ColorAdd_RM",
    "ColorSub_B",
    "ColorSub_G",
    "ColorSub_R",
];

/// What a name was probably meant to be, if it looks like a slip of the fingers: what we do not know is left alone,
/// so a light with a misspelt attribute would stand still and nobody would know why.
pub(crate) fn slip(name: &str) -> Option<&'static str> {
    let known = |name: &str| !matches!(attribute(name), Attribute::Other(_));
    // "Gobo2" is a second gobo wheel.
    let first: String = name.chars().map(|c| if c.is_ascii_digit() { '1' } else { c }).collect();
    if known(&first) || MEANT.iter().any(|meant| meant.eq_ignore_ascii_case(&first)) {
        return None;
    }
    crate::nearest::nearest(name, Attribute::names())
}

/// An attribute as files name it.
pub(crate) fn attribute(name: &str) -> Attribute {
    Attribute::from_name(name)
}
