//! The charts that a show keeps beside the profiles that were read from them, so that their questions can be answered later.

use lanthorn_fixture::Profile;

use crate::chart::Answer;
use crate::ink::{line, lines, list, quoted};
use crate::profile_file::write_table;
use crate::tree::{self, Data, Entry};

/// The longest text of a chart that a show keeps, in bytes.
pub const MOST_BYTES: usize = 256 << 10;

/// A chart's text and what was answered about it, as a show keeps them under `[profile.chart]`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeptChart {
    /// Name of the profile that was read from it.
    pub profile: String,
    /// The chart as it was copied.
    pub text: String,
    /// In the order in which they were given.
    pub answers: Vec<Answer>,
}

/// Every chart that a show's text keeps. Empty for a text that is no TOML.
pub fn kept_charts(show: &str) -> Vec<KeptChart> {
    let Ok(root) = tree::parse(show) else { return Vec::new() };
    let Data::Table(top) = &root.data else { return Vec::new() };
    let Some(Data::List(profiles)) = data(top, "profile") else { return Vec::new() };
    profiles.iter().filter_map(|profile| kept(&profile.data)).collect()
}

fn kept(profile: &Data) -> Option<KeptChart> {
    let Data::Table(profile) = profile else { return None };
    let Some(Data::Table(chart)) = data(profile, "chart") else { return None };
    let answers = match data(chart, "answers") {
        Some(Data::List(items)) => items.iter().filter_map(|item| answer(&item.data)).collect(),
        _ => Vec::new(),
    };
    // Whatever line ends the file has, a chart has one kind.
    let chart = text(chart, "text")?.replace("\r\n", "\n");
    Some(KeptChart { profile: text(profile, "name")?, text: chart, answers })
}

fn answer(item: &Data) -> Option<Answer> {
    let Data::Table(entries) = item else { return None };
    Some(Answer { id: text(entries, "id")?, value: text(entries, "value")? })
}

fn data<'e>(entries: &'e [Entry], key: &str) -> Option<&'e Data> {
    entries.iter().find(|entry| entry.key == key).map(|entry| &entry.value.data)
}

fn text(entries: &[Entry], key: &str) -> Option<String> {
    match data(entries, key)? {
        Data::Text(text) => Some(text.clone()),
        _ => None,
    }
}

/// A profile as a table of a show file, with the chart that it was read from.
pub(crate) fn write_with_chart(profile: &Profile, chart: &str, answers: &[Answer]) -> String {
    let mut out = write_table(profile);
    out.push_str("\n[profile.chart]\n");
    line(&mut out, "text", &lines(chart));
    if !answers.is_empty() {
        let answers = answers
            .iter()
            .map(|answer| format!("{{ id = {}, value = {} }}", quoted(&answer.id), quoted(&answer.value)));
        line(&mut out, "answers", &list(answers));
    }
    out
}
