use lanthorn_dmx::sacn::Cid;
use lanthorn_live::output::Sender;
use lanthorn_live::{Engine, Snapshots};
use lanthorn_store::DEMO_TEXT;

use super::*;

/// A show that runs, with its file.
struct Bench {
    _engine: Engine,
    snapshots: Snapshots,
    current: Arc<Current>,
    watch: FileWatch,
    path: PathBuf,
    _folder: tempfile::TempDir,
}

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("dance.show.toml");
        std::fs::write(&path, DEMO_TEXT).unwrap();
        let file = read_show(DEMO_TEXT).0.unwrap();
        let text = Arc::new(Text::new(DEMO_TEXT, &file));
        let (show, rig) = (Arc::new(file.show), Arc::new(file.rig));
        let sender = Sender { cid: Cid::from_random([9; 16]), name: "x".to_owned() };
        let (engine, commands, snapshots) = Engine::start(show.clone(), rig.clone(), &[], &sender).unwrap();
        let watch = FileWatch::new(path.clone(), DEMO_TEXT.to_owned());
        let current = Arc::new(Current::new(show, rig, text, commands));
        Self { _engine: engine, snapshots, current, watch, path, _folder: folder }
    }

    /// Writes a text, and looks as often as it takes to see it.
    fn write(&mut self, text: &str) -> Option<(String, bool)> {
        std::fs::write(&self.path, text).unwrap();
        self.look()
    }

    fn look(&mut self) -> Option<(String, bool)> {
        (0..3).for_each(|_| _ = self.watch.look(&self.current));
        self.current.file_says()
    }

    /// Waits until the machine runs what is the newest.
    fn settle(&mut self) {
        let newest = self.current.both().generation;
        for _ in 0..10_000 {
            if self.snapshots.latest().generation == newest {
                return;
            }
            std::thread::sleep(Duration::from_millis(3));
        }
        panic!("the machine never took generation {newest}");
    }
}

#[test]
fn what_another_program_writes_is_taken_in_and_what_is_wrong_is_told_until_it_is_right() {
    let mut bench = Bench::new();
    assert_eq!(bench.look(), None);
    let faster = DEMO_TEXT.replace("tempo = 96", "tempo = 104 # faster");
    let told = bench.write(&faster).unwrap();
    assert_eq!(told, ("The file was changed by another program: taken in.".to_owned(), false));
    bench.settle();
    let both = bench.current.both();
    assert_eq!((both.generation, both.show.tempo), (1, Some(104.0)));
    // A word more in a comment is no other show.
    bench.write(&format!("{faster}# well\n"));
    assert_eq!(bench.current.both().generation, 1);
    let (says, wrong) = bench.write(&faster.replace("tempo = 104", "tempo = fast")).unwrap();
    assert!(wrong && says.contains("dance.show.toml:8:") && says.ends_with("What runs goes on."), "{says}");
    assert_eq!(bench.current.both().generation, 1);
    // Written again as wrong as it was.
    assert!(bench.write(&faster.replace("tempo = 104", "tempo = fast")).unwrap().1);
    let (says, wrong) = bench.write(&faster.replace("tempo = 104", "tempo = 110")).unwrap();
    assert!(!wrong && says.ends_with("taken in."), "{says}");
    bench.settle();
    assert_eq!(bench.current.both().show.tempo, Some(110.0));
    // Gone, and back as it was.
    std::fs::remove_file(&bench.path).unwrap();
    let (says, wrong) = bench.look().unwrap();
    assert!(wrong && says.contains("there is no such file"), "{says}");
    bench.write(&faster.replace("tempo = 104", "tempo = 110"));
    assert!(!bench.current.file_says().is_some_and(|(_, wrong)| wrong));
    assert_eq!(bench.snapshots.latest().ticks.faults, 0);
}

#[test]
fn commands_count_by_the_places_of_the_show_they_were_asked_of() {
    let mut bench = Bench::new();
    let names: Vec<String> = bench.current.both().show.looks.iter().map(|look| look.name.clone()).collect();
    let (first, last) = (names[0].clone(), names[names.len() - 1].clone());
    // The looks change places while commands come in.
    for round in 0..40 {
        let both = bench.current.both();
        let mut show = (*both.show).clone();
        show.looks.reverse();
        let rig = (*both.rig).clone();
        let name = if round % 2 == 0 { &first } else { &last };
        let now = lanthorn_physics::Instant::ZERO;
        let ask = |both: &crate::current::Both| both.show.look_index(name).map(lanthorn_show::Command::Look);
        bench.current.ask(now, ask);
        bench.current.replace(Arc::new(show), Arc::new(rig), both.text, &[]).unwrap();
        bench.settle();
        let both = bench.current.both();
        let look = bench.snapshots.latest().status.look.unwrap();
        assert_eq!(&both.show.looks[look].name, name, "round {round}");
    }
}
