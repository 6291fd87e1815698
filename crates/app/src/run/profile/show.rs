//! `lanthorn profile show NAME`

use std::io::Write;
use std::sync::Arc;

use lanthorn_fixture::states::{Which, state};
use lanthorn_fixture::{Origin, Profile};
use lanthorn_store::library::{self, ChartRow, chart, facts, identity};
use serde::Serialize;

use super::super::Failure;
use super::find;
use crate::command::ProfileShow;
use crate::files;
use crate::words::{capital, counted};

#[derive(Serialize)]
struct Printed {
    name: String,
    identity: String,
    facts: Vec<PrintedFact>,
    modes: Vec<PrintedMode>,
}

#[derive(Serialize)]
struct PrintedFact {
    what: String,
    value: Option<String>,
    origin: Origin,
}

#[derive(Serialize)]
struct PrintedMode {
    name: String,
    channels: u16,
    heads: u8,
    menu: Option<String>,
    chart: Vec<PrintedRow>,
    states: Vec<PrintedState>,
}

#[derive(Serialize)]
struct PrintedRow {
    place: String,
    channel: String,
    values: String,
    meaning: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    danger: Option<&'static str>,
    origin: Origin,
}

#[derive(Serialize)]
struct PrintedState {
    state: &'static str,
    /// None: the mode gives no steady light.
    values: Option<Vec<u8>>,
}

/// Prints a kind of light.
pub(crate) fn run(options: &ProfileShow) -> Result<(), Failure> {
    let profile: Arc<Profile> = match &options.within {
        Some(show) => find::within(&files::open(show)?.file, &options.name)?,
        None => find::one(&options.name)?,
    };
    let modes = chosen(&profile, options.mode.as_deref())?;
    let printed = Printed {
        name: profile.name.clone(),
        identity: identity(&profile).whole(),
        facts: facts(&profile)
            .into_iter()
            .map(|line| PrintedFact { what: line.what, value: line.value, origin: line.origin })
            .collect(),
        modes: modes.iter().map(|mode| printed_mode(&profile, *mode)).collect(),
    };
    let mut out = std::io::stdout().lock();
    if options.json {
        serde_json::to_writer_pretty(&mut out, &printed).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    writeln!(out, "{}, {}", capital(&profile.name), identity(&profile))?;
    let lines = facts(&profile);
    let wide = lines.iter().map(|line| line.what.chars().count()).max().unwrap_or(0);
    for line in lines {
        let gap = " ".repeat(wide - line.what.chars().count());
        writeln!(out, "  {}{gap}  {}", line.what, line.told())?;
    }
    for mode in &printed.modes {
        say_mode(&mut out, mode)?;
    }
    Ok(())
}

fn chosen(profile: &Profile, mode: Option<&str>) -> Result<Vec<usize>, Failure> {
    let Some(wanted) = mode else { return Ok((0..profile.modes.len()).collect()) };
    let found = profile.modes.iter().position(|mode| mode.name.eq_ignore_ascii_case(wanted.trim()));
    found.map(|found| vec![found]).ok_or_else(|| {
        let names: Vec<&str> = profile.modes.iter().map(|mode| mode.name.as_str()).collect();
        Failure::Input(format!(
            "--mode {wanted}: \"{}\" has no such mode; it has {}",
            profile.name,
            names.join(", ")
        ))
    })
}

fn printed_mode(profile: &Profile, index: usize) -> PrintedMode {
    let mode = &profile.modes[index];
    let row = |row: ChartRow| PrintedRow {
        place: row.place,
        channel: row.channel,
        values: row.values,
        meaning: row.meaning,
        danger: row.danger,
        origin: row.origin,
    };
    PrintedMode {
        name: mode.name.clone(),
        channels: mode.footprint(),
        heads: mode.heads,
        menu: mode.menu.get().cloned(),
        chart: chart(mode).into_iter().map(row).collect(),
        states: Which::ALL
            .iter()
            .map(|which| PrintedState { state: which.word(), values: state(profile, index, *which) })
            .collect(),
    }
}

fn say_mode(out: &mut impl Write, mode: &PrintedMode) -> std::io::Result<()> {
    let heads = if mode.heads > 1 { format!(", {} heads", mode.heads) } else { String::new() };
    let menu = mode.menu.as_ref().map_or("not known".to_owned(), |menu| format!("\"{menu}\""));
    writeln!(
        out,
        "\nMode \"{}\": {}{heads}; menu {menu}",
        mode.name,
        counted(mode.channels.into(), "channel")
    )?;
    let mut last = "";
    for row in &mode.chart {
        let (place, channel) =
            if row.place == last { ("", "") } else { (row.place.as_str(), row.channel.as_str()) };
        last = &row.place;
        let danger = row.danger.map(|danger| format!("  ! {danger}")).unwrap_or_default();
        let origin = match row.origin {
            Origin::Stated => String::new(),
            origin => format!(" ({})", library::origin_word(origin)),
        };
        writeln!(out, "  {place:>7}  {channel:24} {:>11}  {}{origin}{danger}", row.values, row.meaning)?;
    }
    for state in &mode.states {
        match &state.values {
            Some(values) => {
                let values: Vec<String> = values.iter().map(u8::to_string).collect();
                writeln!(out, "  {:12} {}", state.state, values.join(" "))?;
            }
            None => writeln!(out, "  {:12} this mode gives no steady light", state.state)?,
        }
    }
    Ok(())
}
