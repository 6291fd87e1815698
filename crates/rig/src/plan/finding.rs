//! Findings: what the plan noticed, why it matters, and what to do about it.

use serde::Serialize;

/// One thing that the plan noticed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// How grave.
    pub severity: Severity,
    /// A short fixed name for programs ("overlap").
    pub code: &'static str,
    /// Where: "light 4", "circuit kitchen".
    pub place: String,
    /// What, one line, with the lights' numbers in it.
    pub what: String,
    /// The lights that it speaks of, ascending.
    pub units: Vec<u32>,
    /// The figure with its unit: "11.6 A of 10.0 A".
    pub figure: Option<String>,
    /// The rule that it comes from, in one line.
    pub rule: &'static str,
    /// Where the rule stands. Code texts were read through secondary pages; the edition in force locally decides.
    pub source: &'static str,
    /// What to do.
    pub remedy: String,
}

/// How grave a finding is; the worst comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// It cannot work or must not be done like this.
    Error,
    /// It needs a decision, a look or a question before the doors open.
    Caution,
    /// Worth knowing.
    Note,
}

impl std::fmt::Display for Severity {
    /// As people read it.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Error => "must change",
            Self::Caution => "take care",
            Self::Note => "for your information",
        })
    }
}

impl Finding {
    /// Something that must change.
    pub(crate) fn error(code: &'static str, place: impl Into<String>, what: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, place, what)
    }

    /// Something to take care of.
    pub(crate) fn caution(code: &'static str, place: impl Into<String>, what: impl Into<String>) -> Self {
        Self::new(Severity::Caution, code, place, what)
    }

    /// Something to know.
    pub(crate) fn note(code: &'static str, place: impl Into<String>, what: impl Into<String>) -> Self {
        Self::new(Severity::Note, code, place, what)
    }

    /// One of that severity, code, place and matter; the rest is added.
    pub fn new(
        severity: Severity,
        code: &'static str,
        place: impl Into<String>,
        what: impl Into<String>,
    ) -> Self {
        let (place, what) = (place.into(), what.into());
        let remedy = String::new();
        Self { severity, code, place, what, units: Vec::new(), figure: None, rule: "", source: "", remedy }
    }

    /// The lights that it speaks of.
    pub fn units(mut self, units: &[u32]) -> Self {
        self.units = units.to_vec();
        self.units.sort_unstable();
        self.units.dedup();
        self
    }

    /// The figure with its unit.
    pub fn figure(mut self, figure: impl Into<String>) -> Self {
        self.figure = Some(figure.into());
        self
    }

    /// The rule and where it stands.
    pub fn rule(mut self, rule: &'static str, source: &'static str) -> Self {
        self.rule = rule;
        self.source = source;
        self
    }

    /// What to do.
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }

    /// Sorting key: worst first, then by place, numbers inside names by their value ("light 4" before "light 10").
    pub fn key(&self) -> impl Ord + use<> {
        (self.severity, natural(&self.place), self.code, self.units.clone(), self.what.clone())
    }
}

/// "light 4" → ("light ", 4): names that end in a number sort by it.
fn natural(place: &str) -> (String, u64) {
    let head = place.trim_end_matches(|c: char| c.is_ascii_digit());
    (head.to_owned(), place[head.len()..].parse().unwrap_or(0))
}

/// "light 4", or "lights 3, 4 and 5".
pub fn lights(numbers: &[u32]) -> String {
    let noun = if numbers.len() == 1 { "light" } else { "lights" };
    format!("{noun} {}", listed(numbers))
}

/// "3, 4 and 5"; runs of three and more are drawn together: "1–4 and 9".
pub(crate) fn listed(numbers: &[u32]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let mut parts: Vec<String> = Vec::new();
    let mut rest = sorted.as_slice();
    while let Some(&first) = rest.first() {
        let run = rest.iter().zip(first..=u32::MAX).take_while(|(have, want)| **have == *want).count();
        let (now, later) = rest.split_at(run);
        match now {
            [_, _, .., last] => parts.push(format!("{first}–{last}")),
            few => parts.extend(few.iter().map(u32::to_string)),
        }
        rest = later;
    }
    and(&parts)
}

/// "a", "a and b", "a, b and c".
pub(crate) fn and(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// The same with a capital first letter, to start a sentence.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_listed_as_people_write_them() {
        for (numbers, text) in [
            (&[4][..], "light 4"),
            (&[4, 3], "lights 3 and 4"),
            (&[1, 2, 3, 4, 9], "lights 1–4 and 9"),
            (&[1, 3, 5, 6], "lights 1, 3, 5 and 6"),
            (&[u32::MAX], "light 4294967295"),
        ] {
            assert_eq!(lights(numbers), text);
        }
    }

    #[test]
    fn findings_sort_worst_first_then_by_place() {
        let mut findings = [
            Finding::note("a", "light 1", ""),
            Finding::error("a", "light 10", ""),
            Finding::caution("a", "circuit kitchen", ""),
            Finding::error("a", "light 4", ""),
        ];
        findings.sort_by_key(Finding::key);
        let places: Vec<&str> = findings.iter().map(|f| f.place.as_str()).collect();
        assert_eq!(places, ["light 4", "light 10", "circuit kitchen", "light 1"]);
    }
}
