use std::sync::Arc;

use lanthorn_live::Machine;
use lanthorn_physics::Span;
use lanthorn_rehearsal::StandIn;
use lanthorn_rehearsal::planted::{parse, plant};

use super::*;
use crate::wire::{CheckView, SeenName, SetUpView};

/// The demo as it runs, with its stand-in, and the session over it.
struct Evening {
    machine: Machine,
    stand_in: StandIn,
    session: Session,
    now: Instant,
}

const SEES: Sees = Sees { blackout: false, master: 1.0, strobe_stopped: false };

impl Evening {
    fn new(faults: &str, ticks: Ticks) -> Self {
        let demo = lanthorn_store::demo().unwrap();
        let rig = Arc::new(demo.rig);
        let really = plant(&rig, &parse(faults, &rig).unwrap());
        Self {
            machine: Machine::new(Arc::new(demo.show), rig.clone()),
            stand_in: StandIn::new(Arc::new(really)),
            session: Session::new((*rig).clone(), ticks),
            now: Instant::ZERO,
        }
    }

    fn say(&mut self, intent: &Intent) -> SetUpView {
        self.session.see(self.machine.frames());
        self.session.take(intent, self.now, SEES);
        self.view()
    }

    fn view(&self) -> SetUpView {
        self.session.view(SEES)
    }

    fn check(&self) -> CheckView {
        self.view().check.unwrap()
    }

    /// Ticks on, and gives the most that the light in view changed from tick to tick.
    fn run(&mut self, seconds: f64) -> f64 {
        let mut steepest = 0.0_f64;
        for tick in 0..(seconds / 0.025) as i64 {
            self.now = self.now + Span::from_millis(25);
            if tick % 2 == 0 {
                self.session.look(self.now);
                for command in self.session.acts() {
                    self.machine.apply(&command, self.now);
                }
            }
            let before: f64 = self.light();
            self.machine.tick(self.now);
            self.stand_in.take(self.machine.frames(), self.now);
            steepest = steepest.max((self.light() - before).abs());
        }
        steepest
    }

    fn light(&self) -> f64 {
        let lights = self.stand_in.lights();
        lights
            .iter()
            .map(|light| light.heads.iter().map(|head| head.level).sum::<f64>() / light.heads.len() as f64)
            .sum::<f64>()
            / lights.len() as f64
    }

    fn level(&self, number: u32) -> f64 {
        self.stand_in.lights().iter().find(|light| light.number == number).unwrap().heads[0].level
    }

    fn answer(&mut self, otherwise: &[(u32, SeenName)]) -> SetUpView {
        let question = self.check().answered;
        let otherwise =
            otherwise.iter().map(|(unit, seen)| Otherwise { unit: *unit, seen: Some(*seen) }).collect();
        self.say(&Intent::SetUpAnswer { question, otherwise })
    }
}

#[test]
fn lights_of_a_question_come_up_slowly_and_the_others_go_dark() {
    let mut evening = Evening::new("", Ticks::default());
    evening.run(3.0);
    let view = evening.say(&Intent::SetUpCheck { on: true });
    let question = view.check.unwrap().question.unwrap();
    assert_eq!((question.kind.as_str(), question.about.len()), ("lit", 10));
    // From what the supper look shows.
    let begun = evening.run(3.0);
    assert!([1, 7, 10].iter().all(|light| evening.level(*light) > 0.3), "all are lit");
    evening.answer(&[]);
    let steepest = evening.run(4.5);
    let about = evening.check().question.unwrap().about;
    for light in [1, 2, 3, 4, 5, 6, 7, 8, 9, 10] {
        assert_eq!(evening.level(light) > 0.3, about.contains(&light), "light {light} of {about:?}");
    }
    // A tenth of it, up and down, would be half a flash (WCAG 2.2).
    assert!(begun.max(steepest) < 0.05, "nothing jumps: {begun} {steepest}");
    // And back to the show.
    let check = evening.say(&Intent::SetUpCheck { on: false }).check.unwrap();
    assert!(!check.open && check.question.is_none(), "what was found stays to be read");
    evening.run(4.0);
    assert!((0..11).all(|unit| evening.machine.seen(unit).held == lanthorn_show::player::Held::default()));
}

#[test]
fn a_fault_is_named_answers_are_taken_back_and_late_ones_count_for_nothing() {
    let mut evening = Evening::new("dead 7", Ticks::default());
    evening.say(&Intent::SetUpCheck { on: true });
    assert_eq!(evening.check().causes, []);
    let view = evening.answer(&[(7, SeenName::Dark)]);
    let check = view.check.unwrap();
    assert_eq!(check.answered, 1);
    assert_eq!(check.causes[0].units, [7], "{:#?}", check.causes);
    // The same key tapped twice.
    evening.say(&Intent::SetUpAnswer { question: 0, otherwise: Vec::new() });
    assert_eq!(evening.check().answered, 1);
    // Nonsense is left out: a light that is not there, one that is not asked about, what it cannot do.
    let words = evening.check().question.unwrap().words;
    evening.say(&Intent::SetUpBack);
    assert_eq!((evening.check().answered, evening.check().causes), (0, Vec::new()));
    evening.answer(&[(99, SeenName::Dark), (11, SeenName::White), (1, SeenName::Left), (7, SeenName::Dark)]);
    assert_eq!(evening.check().question.unwrap().words, words, "as before");
    evening.say(&Intent::SetUpAnew);
    assert_eq!(evening.check().answered, 0);
    // Another rig: from the beginning, and said so.
    let mut rig = evening.session.rig.clone();
    rig.units[0].pan_invert = true;
    evening.session.replace(&rig);
    assert!(evening.check().says.contains("begins anew"));
}

#[test]
fn ticks_survive_a_restart_and_only_as_long_as_what_is_to_be_done_stays_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let show = folder.path().join("dance.show.toml");
    let file = file_of(folder.path(), &show);
    let open = || Ticks::open(Some(file.clone()), Some(&show));
    let mut evening = Evening::new("", open());
    let first = evening.view().parts[0].cards[0].clone();
    assert_eq!(first.unit, 7);
    let keys: Vec<String> = first.steps.iter().map(|step| step.key.clone()).collect();
    let view = evening.say(&Intent::SetUpTick { keys: keys.clone(), done: true });
    assert_eq!((view.done, view.of), (1, 11));
    evening.say(&Intent::SetUpTick { keys: vec!["never heard of".to_owned()], done: true });
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(!text.contains("never heard of"), "{text}");
    let mut evening = Evening::new("", open());
    assert_eq!(evening.view().done, 1);
    let view = evening.say(&Intent::SetUpTick { keys: keys[..1].to_vec(), done: false });
    assert_eq!((view.done, view.parts[0].cards[0].steps[0].done), (0, false));
    // What cannot be read counts as nothing ticked.
    std::fs::write(&file, "{").unwrap();
    assert_eq!(Evening::new("", open()).view().done, 0);
}

#[test]
fn blackout_is_said() {
    let mut evening = Evening::new("", Ticks::default());
    evening.say(&Intent::SetUpCheck { on: true });
    let view = evening.session.view(Sees { blackout: true, ..SEES });
    assert_eq!(view.check.unwrap().says, "Blackout is on: nothing is seen.");
}
