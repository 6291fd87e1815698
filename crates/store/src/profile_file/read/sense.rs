//! Whether a chart makes sense as a whole: what the model's own check finds, beside the line of the channel.

use lanthorn_fixture::{Profile, ProfileProblem, check};

use crate::tree::{Data, Entry};
use crate::walk::{Fields, Report};

/// Reports what the check finds. Values without meaning and slots left open cost nothing but themselves: they are
/// doubts; all else is an error.
pub(super) fn sense(fields: &Fields<'_>, profile: &Profile, report: &mut Report<'_>) {
    for problem in check(profile) {
        let text = problem.to_string();
        let (what, remedy) = text.rsplit_once(": ").unwrap_or((&text, "check it against the chart"));
        let at = place(fields, problem.place());
        if matches!(problem, ProfileProblem::Gap { .. } | ProfileProblem::MissingSlot { .. }) {
            report.doubt_at(at, &fields.who, what, remedy);
        } else {
            report.wrong_at(at, &fields.who, what, remedy);
        }
    }
}

/// Where the channel stands, else the mode, else the profile.
fn place(fields: &Fields<'_>, (mode, channel): (Option<&str>, Option<&str>)) -> usize {
    let Some(mode) = mode.and_then(|name| named(fields.peek("mode")?, |it| it == name)) else {
        return fields.at;
    };
    // A channel that is repeated for every head has that head's number behind its name.
    let is_channel = |name: &str| {
        channel.is_some_and(|channel| {
            let rest = channel.strip_prefix(name).unwrap_or("-");
            rest.trim_start().chars().all(|c| c.is_ascii_digit())
        })
    };
    let channels = mode.0.iter().find(|entry| entry.key == "channel").map(|entry| &entry.value.data);
    channels.and_then(|channels| named(channels, is_channel)).map_or(mode.1, |(_, at)| at)
}

/// The first table of a list whose name is wanted, with the place of its name.
fn named(list: &Data, is_wanted: impl Fn(&str) -> bool) -> Option<(&[Entry], usize)> {
    let Data::List(items) = list else { return None };
    items.iter().find_map(|item| {
        let Data::Table(entries) = &item.data else { return None };
        let name = entries.iter().find(|entry| entry.key == "name")?;
        matches!(&name.value.data, Data::Text(text) if is_wanted(text))
            .then_some((entries.as_slice(), name.key_at))
    })
}
