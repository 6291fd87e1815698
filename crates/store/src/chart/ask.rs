//! Doubts become questions; what was answered to one of them is looked up as it is asked.

use crate::reading::{Choice, Question, Way};

/// An answer that was given: to which question, and which of its choices.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct Answer {
    /// The question's id.
    pub id: String,
    /// The value of the choice.
    pub value: String,
}

/// Collects the questions of a text.
pub(super) struct Asker<'a> {
    answers: &'a [Answer],
    pub(super) questions: Vec<Question>,
}

/// What a question is about.
#[derive(Clone, Debug, Default)]
pub(super) struct About<'a> {
    pub(super) kind: &'static str,
    pub(super) mode: Option<&'a str>,
    pub(super) ch: Option<u16>,
    /// Tells apart questions of one kind about one channel.
    pub(super) which: u32,
    pub(super) lines: Vec<u32>,
}

impl<'a> Asker<'a> {
    pub(super) fn new(answers: &'a [Answer]) -> Self {
        Self { answers, questions: Vec::new() }
    }

    /// Asks, and says what has been answered, if that is one of the choices. What has been asked is not asked again: the
    /// lines are added to it.
    pub(super) fn ask(&mut self, about: About<'_>, text: String, choices: &[(&str, &str)]) -> Option<String> {
        let mode = about.mode.unwrap_or("-");
        let ch = about.ch.map_or_else(|| "-".to_owned(), |ch| ch.to_string());
        let id = format!("{}/{mode}/{ch}/{}", about.kind, about.which);
        let choices: Vec<Choice> = choices
            .iter()
            .map(|(value, text)| Choice { value: (*value).to_owned(), text: (*text).to_owned() })
            .collect();
        let given =
            self.answers.iter().rev().find(|answer| answer.id == id).map(|answer| answer.value.clone());
        let answered = given.filter(|value| choices.iter().any(|choice| choice.value == *value));
        let asked = self.questions.iter_mut().find(|question| question.id == id);
        let mut lines = about.lines;
        lines.extend(asked.iter().flat_map(|question| &question.lines));
        lines.sort_unstable();
        lines.dedup();
        if let Some(asked) = asked {
            asked.lines = lines;
            return answered;
        }
        self.questions.push(Question {
            id,
            kind: about.kind.to_owned(),
            mode: about.mode.map(str::to_owned),
            ch: about.ch,
            text,
            lines,
            answers: choices,
            answered: answered.clone(),
        });
        answered
    }

    /// Asks which way a level goes.
    pub(super) fn direction(&mut self, about: About<'_>, text: String) -> Option<Way> {
        let choices = [("up", "more with a larger value"), ("down", "less with a larger value")];
        match self.ask(about, text, &choices).as_deref() {
            Some("up") => Some(Way::Up),
            Some("down") => Some(Way::Down),
            _ => None,
        }
    }
}
