use lanthorn_dmx::sacn::Cid;
use lanthorn_live::Engine;
use lanthorn_live::output::Sender;
use lanthorn_store::change::{ChaseField, PartField, Value, apply};
use lanthorn_store::{DEMO_TEXT, History};
use tokio::sync::mpsc::{UnboundedReceiver, unbounded_channel};

use super::*;
use crate::current::Edits;

struct Bench {
    worker: Worker,
    current: Arc<Current>,
    engine: Option<Engine>,
    answers: UnboundedReceiver<Utf8Bytes>,
}

impl Bench {
    fn new(path: Option<PathBuf>, text: &str) -> Self {
        let file = read_show(text).0.unwrap();
        let told = Arc::new(Text::new(text, &file));
        let (show, rig) = (Arc::new(file.show), Arc::new(file.rig));
        let sender = Sender { cid: Cid([7; 16]), name: "test".to_owned() };
        let (engine, commands, _) = Engine::start(show.clone(), rig.clone(), &[], &sender).unwrap();
        let current = Arc::new(Current::new(show, rig, told, commands));
        let (_, requests) = sync_channel(1);
        let watch = path.clone().map(|path| FileWatch::new(path, text.to_owned()));
        let mut worker = Worker {
            kept: Kept::new(path, text.to_owned(), WHO),
            names: 0,
            watch,
            current: current.clone(),
            requests,
        };
        worker.tell();
        let (_, answers) = unbounded_channel();
        Self { worker, current, engine: Some(engine), answers }
    }

    fn change(&mut self, change: Change) -> Result<String, String> {
        self.worker.make(Making::Change(change))
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        self.answers.close();
        if let Some(engine) = self.engine.take() {
            engine.stop();
        }
    }
}

fn level(part: usize, level: &str) -> Change {
    Change::PartSet {
        look: "Supper".to_owned(),
        part,
        field: PartField::Level,
        value: Some(Value::from(level)),
    }
}

/// The first level of the show that runs.
fn first_level(bench: &Bench) -> String {
    format!("{:.0} %", bench.current.both().show.looks[0].parts[0].level.0 * 100.0)
}

#[test]
fn a_change_is_in_the_file_in_what_runs_and_can_be_taken_back_after_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("dance.show.toml");
    std::fs::write(&path, DEMO_TEXT).unwrap();
    let mut bench = Bench::new(Some(path.clone()), DEMO_TEXT);
    assert_eq!(bench.current.edits(), Edits::default());
    assert!(!History::is_there(&path), "nothing is written before there is something to keep");
    let says = bench.change(level(1, "35 %")).unwrap();
    assert!(says.contains("35 %"), "{says}");
    let text = std::fs::read_to_string(&path).unwrap();
    assert_eq!(text, apply(DEMO_TEXT, &level(1, "35 %")).unwrap().text);
    assert_eq!(first_level(&bench), "35 %");
    assert!(bench.current.edits().undo.unwrap().contains("35 %"));
    // What we wrote ourselves is no news of the file.
    bench.worker.look();
    bench.worker.look();
    assert_eq!(bench.current.file_says(), None);
    drop(bench);

    let mut bench = Bench::new(Some(path.clone()), &text);
    assert!(bench.current.edits().undo.unwrap().contains("35 %"));
    let says = bench.worker.make(Making::Undo).unwrap();
    assert!(says.starts_with("Taken back: look"), "{says}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), DEMO_TEXT);
    assert!(bench.current.edits().redo.is_some());
    assert!(bench.worker.make(Making::Undo).unwrap_err().contains("nothing to undo"));
    bench.worker.make(Making::Redo).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn the_built_in_show_is_changed_until_it_ends() {
    let mut bench = Bench::new(None, DEMO_TEXT);
    let says = bench.change(level(1, "35 %")).unwrap();
    assert!(says.contains("lanthorn new NAME --from demo"), "{says}");
    assert!(!bench.change(level(1, "40 %")).unwrap().contains("lanthorn new"));
    assert!(bench.worker.make(Making::Undo).unwrap().contains("40 %"));
    assert_eq!(first_level(&bench), "35 %");
    assert!(bench.worker.make(Making::Redo).unwrap().starts_with("Done again: "));
    assert!(bench.worker.make(Making::Redo).is_err());
}

#[test]
fn what_is_refused_changes_nothing_and_what_another_program_wrote_stays() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("dance.show.toml");
    std::fs::write(&path, DEMO_TEXT).unwrap();
    let mut bench = Bench::new(Some(path.clone()), DEMO_TEXT);
    assert!(bench.change(level(1, "a lot")).is_err());
    assert_eq!(std::fs::read_to_string(&path).unwrap(), DEMO_TEXT);
    // Somebody edits the file, and at once the page asks for a change.
    let edited = DEMO_TEXT.replace("tempo = 96", "tempo = 104 # faster");
    std::fs::write(&path, &edited).unwrap();
    bench.change(level(1, "35 %")).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), apply(&edited, &level(1, "35 %")).unwrap().text);
    assert_eq!(bench.current.both().show.tempo, Some(104.0));
    // In the middle of it: nothing is built on what does not open.
    let broken = edited.replace("tempo = 104", "tempo = ");
    std::fs::write(&path, &broken).unwrap();
    let why = bench.change(level(1, "50 %")).unwrap_err();
    assert!(why.contains("line 8"), "{why}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), broken);
}

#[test]
fn a_renamed_chase_goes_on_by_its_new_name() {
    let chase = read_show(DEMO_TEXT).0.unwrap().show.chases[0].name.clone();
    let both = Change::Many {
        changes: vec![
            Change::ChaseRename { name: chase.clone(), to: "first".to_owned() },
            Change::ChaseSet {
                name: "first".to_owned(),
                field: ChaseField::Rounds,
                value: Some(Value::Whole(9)),
            },
            Change::ChaseRename { name: "first".to_owned(), to: "second".to_owned() },
        ],
    };
    let renames = rename::renames(&both);
    assert_eq!(renames.len(), 1);
    assert_eq!((renames[0].old.as_str(), renames[0].new.as_str()), (chase.as_str(), "second"));
    let mut bench = Bench::new(None, DEMO_TEXT);
    bench.change(both).unwrap();
    assert_eq!(bench.current.both().show.chases[0].name, "second");
}
