//! Beams that run figures, through inverse kinematics and limits: where they land tick by tick.

use std::sync::Arc;

use lanthorn_physics::{Instant, Point};
use lanthorn_rig::aim::Aimer;
use lanthorn_rig::limit::Limiter;
use lanthorn_rig::{Rig, RigPose, RigState};
use lanthorn_show::figure::Course;
use lanthorn_show::{Command, Player, Show};
use lanthorn_store::{ShowFile, demo, read_show};

const TICK_MICROS: i64 = 25_000;

/// A rig that is played tick by tick.
struct Played {
    rig: Arc<Rig>,
    player: Player,
    aimer: Aimer,
    limiter: Limiter,
    wished: RigState,
    posed: RigPose,
    tick: i64,
}

impl Played {
    fn new(file: &ShowFile, look: usize) -> Self {
        let rig = Arc::new(file.rig.clone());
        let show = Show { start: Some(file.show.looks[look].name.clone()), ..file.show.clone() };
        let mut player = Player::new(Arc::new(show), Arc::clone(&rig));
        player.apply(&Command::Look(look), Instant::ZERO);
        Self {
            player,
            aimer: Aimer::new(&rig),
            limiter: Limiter::new(&rig),
            wished: RigState::dark(&rig),
            posed: RigPose::dark(&rig),
            tick: 0,
            rig,
        }
    }

    /// One tick; then where each moving head is asked to shine and the pan and tilt that it is sent.
    fn step(&mut self) {
        let now = Instant::from_micros(self.tick * TICK_MICROS);
        self.player.frame(now, &mut self.wished);
        let last = self.posed.clone();
        self.aimer.aim(&self.wished, &last, now, &mut self.posed);
        self.posed = self.limiter.limit(&self.posed, now).get().clone();
        self.tick += 1;
    }

    /// Where a beam meets the floor at a part of the way (0 to 1) from an earlier pose to that of now, moving evenly.
    fn lands(&self, unit: usize, earlier: &RigPose, part: f64) -> Point {
        let head = self.aimer.head(unit).expect("a moving head");
        let (from, to) = (&earlier.units[unit], &self.posed.units[unit]);
        let [pan, tilt] = [(from.pan, to.pan), (from.tilt, to.tilt)].map(|(a, b)| a + (b - a) * part);
        let (pan, tilt) = head.from_sent(pan, tilt);
        let beam = head.direction(pan, tilt);
        let pivot = head.pivot;
        let along = pivot.z() / -beam.z();
        Point::new(pivot.x() + along * beam.x(), pivot.y() + along * beam.y(), 0.0)
    }
}

#[test]
fn the_heads_of_the_demo_keep_up_with_its_figures() {
    let file = demo().unwrap();
    let mut looked_at = 0;
    for (index, look) in file.show.looks.iter().enumerate() {
        let courses = Course::of_look(look, &file.show, &file.rig);
        let mut played = Played::new(&file, index);
        for tick in 0..1200 {
            played.step();
            // The first seconds go to the way from home.
            for course in courses.iter().filter(|_| tick > 240) {
                let wanted = played.wished.units[course.unit].aim.unwrap();
                let lands = played.lands(course.unit, &played.posed, 1.0);
                let number = played.rig.units[course.unit].number;
                let off = wanted.distance(lands).get();
                assert!(off < 0.01, "{}, light {number}, tick {tick}: {off} m off", look.name);
                looked_at += 1;
            }
        }
    }
    assert!(looked_at > 5000, "{looked_at}");
}

#[test]
fn a_line_on_the_floor_is_straight_at_every_moment() {
    const BASE: &str = include_str!("shows/base.show.toml");
    let text = BASE.replacen("aim = \"cake\"\n", "figure = \"it\"\n", 1)
        + "\n[[figure]]\nname = \"it\"\nshape = \"line\"\nsize = \"4 m\"\nspeed = \"1.5 m/s\"\nturn = \"30°\"\ncentre = [0.5, -3.5, 0]\n";
    let (file, problems) = read_show(&text);
    assert_eq!(problems, []);
    let mut played = Played::new(&file.unwrap(), 0);
    let (mut off_ticks, mut off_between, mut fastest) = (0.0_f64, 0.0_f64, 0.0_f64);
    let across = |at: Point| {
        // Distance from the line through the centre at 30°.
        ((at.y() + 3.5) * 0.75_f64.sqrt() - (at.x() - 0.5) * 0.5).abs()
    };
    for tick in 0..800 {
        let earlier = played.posed.clone();
        let was = played.lands(0, &earlier, 0.0);
        played.step();
        if tick > 200 {
            let here = played.lands(0, &earlier, 1.0);
            off_ticks = off_ticks.max(across(here));
            fastest = fastest.max(was.distance(here).get() / 0.025);
            off_between = off_between.max(across(played.lands(0, &earlier, 0.5)));
        }
    }
    assert!(off_ticks < 1e-6, "{off_ticks} m off the line at a tick");
    assert!(off_between < 2e-3, "{off_between} m off the line between two ticks");
    assert!((fastest / 1.5 - 1.0).abs() < 0.01, "{fastest} m/s");
}
