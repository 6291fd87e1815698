//! What one light does in a look: where its beam goes, how much light it brings there, in which colours.
//!
//! For colours the light's own encoder is asked, and what it would send is read back: so colour wheels and white balances
//! count as they are. Light is reckoned as [`lanthorn_rig::shine`] does.

use lanthorn_fixture::decode::{Reading, decode};
use lanthorn_fixture::{Encoder, HeadState, UnitState};
use lanthorn_physics::colour::{Chromaticity, screen_hex};
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Point};
use lanthorn_rig::aim::Head;
use lanthorn_rig::shine::Shine;
use lanthorn_rig::{Rig, Unit};

use super::miss_m;
use crate::figure::Course;
use crate::player::{HeadValue, LookValues, gobo_name};
use crate::{Ask, tell};

/// Points of a figure that are looked at.
const POINTS: usize = 64;

/// One light in one look.
pub(in crate::carry) struct Shining {
    /// Its place in the rig.
    pub unit: usize,
    pub moves: bool,
    pub lit: bool,
    pub strobes: bool,
    /// Name of the gobo that is in.
    pub gobo: Option<String>,
    /// Where it is to shine: its aim, or the focus of a light that stands still.
    pub target: Option<Point>,
    /// How far off the axis of its beam passes, at the worst point of a figure; none without an aim.
    pub miss_m: Option<f64>,
    /// All its heads at the target, square to the beam; none when nobody knows.
    pub lux: Option<f64>,
    /// Colours asked of its heads, and what comes out.
    colours: Vec<(Chromaticity, Option<Chromaticity>)>,
}

impl Shining {
    pub(super) fn new(
        rig: &Rig,
        place: usize,
        values: &LookValues,
        course: Option<&Course<'_>>,
    ) -> Option<Self> {
        let unit = &rig.units[place];
        let value = values.unit(place)?;
        let heads: Vec<HeadValue> =
            (0..usize::from(unit.mode().heads)).filter_map(|head| values.head(place, head)).collect();
        let encoder = Encoder::new(&unit.profile, unit.mode);
        let head = Head::new(rig, unit);
        let shine = Shine::new(rig, unit);
        let aim = values.aimed(place)?.aim;
        let target = aim.or(unit.focus.filter(|_| head.is_none()));
        let lit = shine.is_some() && heads.iter().any(HeadValue::is_lit);
        let miss =
            |at: Point| shine.as_ref().map(|shine| miss_m(shine.pivot, axis(shine, head.as_ref(), at), at));
        let miss_m = match course {
            Some(course) => course.points(POINTS).filter_map(miss).reduce(f64::max),
            None => aim.and_then(miss),
        };
        Some(Self {
            unit: place,
            moves: head.is_some(),
            lit,
            strobes: encoder.can_strobe(),
            gobo: gobo_name(&value.beam, &unit.profile),
            target,
            miss_m,
            lux: shine.zip(target).and_then(|(shine, at)| {
                let axis = axis(&shine, head.as_ref(), at);
                lux(&shine, axis, &heads, value.beam.zoom, at)
            }),
            colours: colours(unit, &encoder, &heads),
        })
    }

    /// Whether one of its heads is asked for that colour.
    pub(super) fn asked(&self, ask: &Ask) -> bool {
        self.colours.iter().any(|(asked, _)| *asked == ask.chromaticity)
    }

    /// How far off in u′v′ what it shows is; none when nobody knows what it shows, or it is not asked.
    pub(super) fn off(&self, ask: &Ask) -> Option<f64> {
        self.shown(ask).map(|shown| shown.distance_uv(ask.chromaticity))
    }

    /// What it shows instead, in a word and a screen's figures.
    pub(super) fn shown_word(&self, ask: &Ask) -> String {
        let Some(shown) = self.shown(ask) else { return "not known".to_owned() };
        let hex = screen_hex(shown);
        format!("{} ({hex})", tell::colour_word(&Ask { text: hex.clone(), chromaticity: shown }))
    }

    fn shown(&self, ask: &Ask) -> Option<Chromaticity> {
        self.colours.iter().find(|(asked, _)| *asked == ask.chromaticity)?.1
    }
}

/// Where the beam goes: on the target if that can be, else as near to it as the travel lets it.
fn axis(shine: &Shine, head: Option<&Head>, target: Point) -> Direction {
    let still = || shine.axis(None).unwrap_or(Direction::DOWN);
    let Some(head) = head else { return still() };
    let home = (Radians::ZERO, Radians::ZERO);
    let (pan, tilt) = match head.solve(target, home).best() {
        Some(best) => (best.pan, best.tilt),
        None => head.nearest(target, home),
    };
    head.direction(pan, tilt)
}

/// All its heads at a point, square to the way from the light; none when nobody knows.
fn lux(shine: &Shine, axis: Direction, heads: &[HeadValue], zoom: Option<Radians>, at: Point) -> Option<f64> {
    let normal = at.towards(shine.pivot)?;
    let of_head = |(head, value): (usize, &HeadValue)| {
        let full = shine.lux(head, axis, (value.colour, zoom), at, normal)?;
        Some(full.get() * value.level * value.level)
    };
    heads.iter().enumerate().map(of_head).sum()
}

/// What comes back of heads that were sent.
fn read_back(unit: &Unit, encoder: &Encoder, heads: Vec<HeadState>) -> Reading {
    let state = UnitState { heads, ..UnitState::dark(encoder.heads()) };
    let mut slots = vec![0; usize::from(encoder.footprint())];
    encoder.encode(&state, &mut slots);
    decode(&unit.profile, unit.mode, &slots)
}

fn colours(unit: &Unit, encoder: &Encoder, heads: &[HeadValue]) -> Vec<(Chromaticity, Option<Chromaticity>)> {
    let full =
        |head: &HeadValue| HeadState { level: 1.0, colour: head.colour, strobe: None, mixing: head.mixing };
    let reading = read_back(unit, encoder, heads.iter().map(full).collect());
    let lit = heads.iter().zip(&reading.heads).filter(|(head, _)| head.is_lit());
    lit.filter_map(|(head, read)| Some((head.colour?, read.chromaticity))).collect()
}
