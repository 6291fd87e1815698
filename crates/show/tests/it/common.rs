//! A small hall with four heads, a four-headed bar and a hazer, and a bench to play shows on.

use std::sync::Arc;

use lanthorn_fixture::mode::Mode;
use lanthorn_fixture::profile::{Body, Data, Kind, Menu, Movement, Optics, Power, Profile, Wheel, WheelSlot};
use lanthorn_fixture::{Attribute, Fact};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Instant, Point, Span};
use lanthorn_rig::{
    Found, Group, HangingPlace, Mark, PlaceKind, Rig, RigState, Room, Run, Unit, UnitWish, rig::WayUp,
};
use lanthorn_show::{
    Aim, Ask, Chase, Command, Cue, Level, Look, Order, Part, Player, Show, Status, Step, StepTime, Swing, Who,
};

pub(crate) const CAKE: Point = Point::new(2.0, 1.0, 0.9);
pub(crate) const DOOR: Point = Point::new(-4.0, -6.0, 1.5);
pub(crate) const RED: Chromaticity = Chromaticity::new(0.6915, 0.3084);
pub(crate) const GREEN: Chromaticity = Chromaticity::new(0.162, 0.733);
pub(crate) const BLUE: Chromaticity = Chromaticity::new(0.1495, 0.0309);
pub(crate) const WARM: Chromaticity = Chromaticity::new(0.437, 0.404);

/// Plays a show, second by second.
pub(crate) struct Bench {
    pub(crate) player: Player,
    pub(crate) out: RigState,
}

impl Bench {
    pub(crate) fn new(show: Show) -> Self {
        let rig = Arc::new(rig());
        let out = RigState::dark(&rig);
        Self { player: Player::new(Arc::new(show), rig), out }
    }

    pub(crate) fn at(&mut self, secs: f64, command: Command) -> &mut Self {
        self.player.apply(&command, Instant::from_secs(secs));
        self
    }

    pub(crate) fn frame(&mut self, secs: f64) -> &RigState {
        self.player.frame(Instant::from_secs(secs), &mut self.out);
        &self.out
    }

    pub(crate) fn light(&mut self, secs: f64, unit: usize) -> &UnitWish {
        &self.frame(secs).units[unit]
    }

    /// Perceptual level of the first head, in hundredths.
    pub(crate) fn level(&mut self, secs: f64, unit: usize) -> f64 {
        (self.light(secs, unit).heads[0].level.sqrt() * 1e4).round() / 100.0
    }

    /// Levels of one light at several moments, for tables.
    pub(crate) fn levels(&mut self, unit: usize, secs: impl IntoIterator<Item = f64>) -> Vec<f64> {
        secs.into_iter().map(|secs| self.level(secs, unit)).collect()
    }

    pub(crate) fn status(&self, secs: f64) -> Status {
        self.player.status(Instant::from_secs(secs))
    }
}

pub(crate) fn near(a: Point, b: Point) -> bool {
    a.distance(b).get() < 1e-6
}

pub(crate) fn secs(secs: f64) -> Span {
    Span::from_secs(secs)
}

pub(crate) fn part(units: &[u32], colour: Chromaticity, level: f64) -> Part {
    Part {
        colours: vec![Ask { text: "a colour".to_owned(), chromaticity: colour }],
        level: Level(level),
        ..Part::of(Who::Units(units.to_vec()))
    }
}

pub(crate) fn on(mark: &str, part: Part) -> Part {
    Part { aim: Some(Aim::Mark(mark.to_owned())), ..part }
}

pub(crate) fn look(name: &str, fade: f64, parts: Vec<Part>) -> Look {
    Look { name: name.to_owned(), fade: secs(fade), parts }
}

pub(crate) fn chase(name: &str, looks: &[&str], time: StepTime, fade: StepTime) -> Chase {
    let step = |look: &&str| Step { look: (*look).to_owned(), time, fade };
    Chase {
        name: name.to_owned(),
        steps: looks.iter().map(step).collect(),
        order: Order::Forward,
        swing: Swing::EVEN,
        rounds: None,
        calm: false,
        at_each: None,
        fade: Span::ZERO,
    }
}

pub(crate) fn cue(number: &str, look: Option<&str>, fade: f64) -> Cue {
    Cue {
        number: number.to_owned(),
        name: format!("cue {number}"),
        note: String::new(),
        look: look.map(str::to_owned),
        chases: None,
        fade: secs(fade),
        follow: None,
        tempo: None,
    }
}

/// Lights 1 to 4: spot heads. 5: a bar of four heads. 6: a hazer.
pub(crate) fn rig() -> Rig {
    let spot = Arc::new(profile("small spot head", Kind::SpotHead, 1));
    let bar = Arc::new(profile("four-head bar", Kind::Bar, 4));
    let hazer = Arc::new(profile("hazer", Kind::Hazer, 1));
    let kinds = [&spot, &spot, &spot, &spot, &bar, &hazer];
    let units = kinds.iter().zip(1..).map(|(profile, number)| unit(number, Arc::clone(profile))).collect();
    Rig {
        room: room(),
        units,
        groups: vec![Group { name: "heads".to_owned(), units: vec![3, 2, 1, 0] }],
        circuits: Vec::new(),
        controller: None,
        mains: lanthorn_rig::rig::Mains::default(),
        limits: lanthorn_rig::rig::Limits::default(),
        stock: lanthorn_rig::Stock::default(),
    }
}

fn room() -> Room {
    let mark = |name: &str, at| Mark { name: name.to_owned(), at };
    let bar = HangingPlace {
        name: "front bar".to_owned(),
        kind: PlaceKind::Bar,
        middle: Point::new(0.0, -2.0, 4.0),
        length: Metres::new(6.0),
        turn: Radians::ZERO,
        rated: None,
        own_weight: None,
        held: lanthorn_rig::Held::default(),
    };
    Room {
        name: "hall".to_owned(),
        x: [-5.0, 5.0].map(Metres::new),
        y: [-8.0, 4.0].map(Metres::new),
        height: Metres::new(5.0),
        platforms: Vec::new(),
        audience: Vec::new(),
        furniture: Vec::new(),
        marks: vec![mark("cake", CAKE), mark("door", DOOR)],
        places: vec![bar],
    }
}

fn unit(number: u32, profile: Arc<Profile>) -> Unit {
    Unit {
        number,
        profile,
        mode: 0,
        place: 0,
        offset: Metres::new(f64::from(number) - 3.0),
        up: WayUp::Hanging,
        turn: Radians::ZERO,
        lean: Radians::ZERO,
        pan_invert: false,
        tilt_invert: false,
        swap: false,
        focus: None,
        run: Run::Driven { address: None, shares: None },
        circuit: None,
        line: None,
        line_order: 0,
        feed: lanthorn_rig::Feed::default(),
        case: None,
        found: Found::default(),
    }
}

fn profile(name: &str, kind: Kind, heads: u8) -> Profile {
    let slot = |name: &str| WheelSlot {
        name: name.to_owned(),
        chromaticity: Fact::unknown(),
        transmission: Fact::unknown(),
    };
    let gobos =
        Wheel { attribute: Attribute::Gobo1, slots: vec![slot("open"), slot("leaves"), slot("stars")] };
    Profile {
        name: name.to_owned(),
        kind,
        body: Body::default(),
        power: Power::default(),
        data: Data::default(),
        movement: (kind == Kind::SpotHead).then(Movement::default),
        optics: Optics::default(),
        emitters: Vec::new(),
        wheels: if kind == Kind::SpotHead { vec![gobos] } else { Vec::new() },
        noise: Fact::unknown(),
        programmes: Vec::new(),
        kept: Vec::new(),
        menu: Menu::default(),
        modes: vec![Mode {
            name: "only".to_owned(),
            menu: Fact::unknown(),
            breaks: Vec::new(),
            heads,
            channels: Vec::new(),
        }],
    }
}
