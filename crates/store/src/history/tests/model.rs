//! Random steps against a model that holds every text in a plain list.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;

/// Texts as a person thinks of them: a way back, a way forward, and all there ever was.
struct Model {
    /// By number, from 1.
    all: Vec<String>,
    /// The numbers on the way to here, here last.
    back: Vec<usize>,
    /// What was undone, the last on top.
    forward: Vec<usize>,
    bookmarks: BTreeMap<String, usize>,
}

impl Model {
    fn text(&self) -> &str {
        &self.all[self.back[self.back.len() - 1] - 1]
    }

    fn add(&mut self, text: String) {
        if text != self.text() {
            self.all.push(text);
            self.back.push(self.all.len());
            self.forward.clear();
        }
    }

    /// Whether there was anything that opens.
    fn undo(&mut self) -> bool {
        let Some(place) =
            (0..self.back.len() - 1).rev().find(|place| opens(&self.all[self.back[*place] - 1]))
        else {
            return false;
        };
        let undone = self.back.split_off(place + 1);
        self.forward.extend(undone.into_iter().rev());
        true
    }

    fn redo(&mut self) -> bool {
        let Some(place) =
            (0..self.forward.len()).rev().find(|place| opens(&self.all[self.forward[*place] - 1]))
        else {
            return false;
        };
        let redone = self.forward.split_off(place);
        self.back.extend(redone.into_iter().rev());
        true
    }
}

#[derive(Clone, Debug)]
enum Act {
    Record(u32),
    Undo,
    Redo,
    /// To one of the entries, as a part of their number.
    Restore(f64),
    ByHand(u32),
    BreakByHand(u32),
    Bookmark,
    OpenAgain,
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        5 => (60..180_u32).prop_map(Act::Record),
        4 => Just(Act::Undo),
        3 => Just(Act::Redo),
        1 => (0.0..1.0).prop_map(Act::Restore),
        1 => (60..180_u32).prop_map(Act::ByHand),
        1 => (60..180_u32).prop_map(Act::BreakByHand),
        1 => Just(Act::Bookmark),
        1 => Just(Act::OpenAgain),
    ]
}

fn play(bench: &mut Bench, model: &mut Model, act: &Act) {
    let base = bench.look().version.id;
    let now = bench.now();
    let is_done = |outcome: Result<Outcome, HistoryError>| match outcome {
        Ok(outcome) => {
            done(outcome);
            true
        }
        Err(HistoryError::NothingToUndo | HistoryError::NothingToRedo | HistoryError::DoesNotOpen { .. }) => {
            false
        }
        Err(other) => panic!("{other}"),
    };
    match act {
        Act::Record(tempo) => {
            model.add(show(*tempo));
            assert!(is_done(bench.history.record(base, &show(*tempo), "Tempo.", "phone", now)));
        }
        Act::Undo => assert_eq!(is_done(bench.history.undo(base, now)), model.undo()),
        Act::Redo => assert_eq!(is_done(bench.history.redo(base, now)), model.redo()),
        Act::Restore(part) => {
            let number = (part * model.all.len() as f64) as usize + 1;
            let text = model.all[number - 1].clone();
            let may = opens(&text) || text == model.text();
            assert_eq!(is_done(bench.history.restore(base, EntryId(number as i64), "phone", now)), may);
            if may {
                model.add(text);
            }
        }
        Act::ByHand(tempo) => {
            fs::write(bench.path(), show(*tempo)).unwrap();
            model.add(show(*tempo));
        }
        Act::BreakByHand(tempo) => {
            let text = show(*tempo).replace("name = ", "nome = ");
            fs::write(bench.path(), &text).unwrap();
            model.add(text);
        }
        Act::Bookmark => {
            let name = format!("bookmark {}", model.bookmarks.len());
            bench.history.bookmark(&name, now).unwrap();
            model.bookmarks.insert(name, *model.back.last().unwrap());
        }
        Act::OpenAgain => drop(bench.again()),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_text_is_always_what_the_model_says(acts in prop::collection::vec(act(), 1..40)) {
        let mut bench = Bench::new(&show(100));
        let mut model = Model {
            all: vec![show(100)],
            back: vec![1],
            forward: Vec::new(),
            bookmarks: BTreeMap::new(),
        };
        for act in &acts {
            play(&mut bench, &mut model, act);
            let seen = bench.look();
            prop_assert_eq!(seen.version.text.as_str(), model.text(), "after {:?}", act);
            prop_assert_eq!(bench.file(), model.text());
        }
        // Nothing that ever was is lost.
        bench.again();
        prop_assert_eq!(bench.says().len(), model.all.len());
        for (index, text) in model.all.iter().enumerate() {
            prop_assert_eq!(&bench.history.text(EntryId(index as i64 + 1)).unwrap(), text);
        }
        for (name, number) in &model.bookmarks {
            prop_assert_eq!(bench.history.find(name).unwrap().number(), *number as i64);
        }
    }
}
