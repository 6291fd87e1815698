//! What a show says of the music.

use lanthorn_physics::Span;
use lanthorn_show::follow::{MOST_LEAD, MOST_SWELL, Mood, range};
use lanthorn_show::tempo::RANGE;
use lanthorn_show::{Look, MusicRule};

use crate::quantity::{TEMPO, TIME};
use crate::walk::{Fields, Report, Spot};

const MOODS: usize = Mood::ALL.len();

/// `[music]`, but for the looks of each mood, which come with it as they are written.
pub(super) fn rule<'f>(root: &Fields<'f>, report: &mut Report<'_>) -> (MusicRule, [Option<Spot<'f>>; MOODS]) {
    let Some(table) = root.get("music").and_then(|s| s.fields("music".to_owned(), report)) else {
        return Default::default();
    };
    let moods = Mood::ALL.map(|mood| table.get(mood.word()));
    let leads = TIME.between(-MOST_LEAD.secs(), MOST_LEAD.secs());
    let lead = table.get("lead").and_then(|s| report.measure(&s, leads)).map(Span::from_secs);
    let swells = TIME.between(0.0, MOST_SWELL.secs());
    let [rise, fall] = ["rise", "fall"]
        .map(|key| table.get(key).and_then(|s| report.measure(&s, swells)).map(Span::from_secs));
    let rule = MusicRule { lead, rise, fall, ..MusicRule::default() };
    let tempi = TEMPO.between(RANGE[0], RANGE[1]);
    let spots = ["slowest", "fastest"].map(|key| table.get(key));
    let bpm = spots.each_ref().map(|spot| spot.as_ref().and_then(|s| report.measure(s, tempi)));
    let whole = [bpm[0].unwrap_or(RANGE[0]), bpm[1].unwrap_or(RANGE[1])];
    if let Some(spot) = spots.iter().rev().flatten().next()
        && range(whole).is_none()
    {
        report.wrong(
            spot,
            &format!("from {} to {} beats a minute leaves tempi without a place", whole[0], whole[1]),
            "let the fastest be twice the slowest or more",
        );
        return (rule, moods);
    }
    table.finish(report);
    (MusicRule { range: bpm, ..rule }, moods)
}

/// The looks of each mood.
pub(super) fn moods(
    spots: [Option<Spot<'_>>; MOODS],
    looks: &[Look],
    report: &mut Report<'_>,
) -> [Vec<String>; MOODS] {
    let looks: Vec<&str> = looks.iter().map(|look| look.name.as_str()).collect();
    spots.map(|spot| {
        let Some(spot) = spot else { return Vec::new() };
        let Some(items) = spot.items() else {
            report.wrong(&spot, "this is a list of looks", "write it such as [\"warm\", \"candlelight\"]");
            return Vec::new();
        };
        let mut names: Vec<String> = Vec::new();
        for item in items {
            let Some(name) = report.name(&item) else { continue };
            if !looks.contains(&name.as_str()) {
                report.no_such(&item, "look", &name, looks.iter().copied());
            } else if names.contains(&name) {
                report.wrong(&item, &format!("\"{name}\" is in this list already"), "name each once");
            }
            names.push(name);
        }
        names
    })
}
