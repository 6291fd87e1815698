//! What a show says of the music.

use lanthorn_physics::Span;
use lanthorn_show::MusicRule;
use lanthorn_show::follow::{MOST_LEAD, range};
use lanthorn_show::tempo::RANGE;

use crate::quantity::{TEMPO, TIME};
use crate::walk::{Fields, Report};

/// `[music]`: `lead`, `slowest`, `fastest`.
pub(super) fn rule(root: &Fields<'_>, report: &mut Report<'_>) -> MusicRule {
    let Some(table) = root.get("music").and_then(|s| s.fields("music".to_owned(), report)) else {
        return MusicRule::default();
    };
    let leads = TIME.between(-MOST_LEAD.secs(), MOST_LEAD.secs());
    let lead = table.get("lead").and_then(|s| report.measure(&s, leads)).map(Span::from_secs);
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
        return MusicRule { lead, ..MusicRule::default() };
    }
    table.finish(report);
    MusicRule { lead, range: bpm }
}
