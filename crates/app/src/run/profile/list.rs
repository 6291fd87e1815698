//! `lanthorn profile list [WORD]`

use std::io::Write;
use std::sync::Arc;

use lanthorn_fixture::Profile;
use lanthorn_store::library::{self, Offer, Source, identity};
use serde::Serialize;

use super::super::Failure;
use super::find;
use crate::command::ProfileList;
use crate::files;
use crate::words::counted;

#[derive(Serialize)]
struct Printed {
    name: String,
    sort: String,
    modes: Vec<PrintedMode>,
    /// "own", "shipped", "carried", "named".
    from: &'static str,
    identity: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    offer: Option<PrintedOffer>,
}

#[derive(Serialize)]
struct PrintedMode {
    name: String,
    channels: u16,
}

#[derive(Serialize)]
struct PrintedOffer {
    from: &'static str,
    identity: String,
    lights: Vec<u32>,
    differences: Vec<String>,
}

/// Lists the kinds of light, of the library or of a show.
pub(crate) fn run(options: &ProfileList) -> Result<(), Failure> {
    let list = match &options.within {
        Some(show) => of_show(show)?,
        None => of_library(),
    };
    let list: Vec<Printed> = list.into_iter().filter(|one| holds(one, options.word.as_deref())).collect();
    let mut out = std::io::stdout().lock();
    if options.json {
        serde_json::to_writer_pretty(&mut out, &list).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    let wide = list.iter().map(|one| one.name.chars().count()).max().unwrap_or(0);
    for one in &list {
        let modes: Vec<String> = one.modes.iter().map(told).collect();
        let name = format!("{}{}", one.name, " ".repeat(wide - one.name.chars().count()));
        writeln!(out, "{name}  {:12}  {:7}  {}", one.sort, one.from, modes.join(", "))?;
        if let Some(offer) = &one.offer {
            let whose = if offer.from == "own" { "your own folder has" } else { "the library has" };
            let count = counted(offer.differences.len(), "difference");
            writeln!(
                out,
                "    {whose} another description ({} instead of {}), {count}: `lanthorn profile diff --in SHOW \"{}\"`",
                offer.identity, one.identity, one.name
            )?;
        }
    }
    if list.is_empty() {
        writeln!(out, "no kind of light holds that word")?;
    }
    drop(out);
    if options.within.is_none() {
        say_unusable();
    }
    Ok(())
}

/// "4 channels", or "basic (9)" where the name does not say how many.
fn told(mode: &PrintedMode) -> String {
    if mode.name.contains(&mode.channels.to_string()) {
        return mode.name.clone();
    }
    format!("{} ({})", mode.name, mode.channels)
}

fn holds(one: &Printed, word: Option<&str>) -> bool {
    let Some(word) = word.map(str::to_lowercase) else { return true };
    let texts = std::iter::once(&one.name).chain([&one.sort]).chain(one.modes.iter().map(|mode| &mode.name));
    let all: Vec<String> = texts.map(|text| text.to_lowercase()).collect();
    word.split_whitespace().all(|part| all.iter().any(|text| text.contains(part)))
}

fn printed(profile: &Profile, from: &'static str, offer: Option<Offer>) -> Printed {
    Printed {
        name: profile.name.clone(),
        sort: library::sort_word(profile.kind).to_owned(),
        modes: profile
            .modes
            .iter()
            .map(|mode| PrintedMode { name: mode.name.clone(), channels: mode.footprint() })
            .collect(),
        from,
        identity: identity(profile).to_string(),
        offer: offer.map(|offer| PrintedOffer {
            from: if offer.source == Source::Own { "own" } else { "shipped" },
            identity: identity(&offer.offered).to_string(),
            lights: offer.lights,
            differences: offer.differences.iter().map(ToString::to_string).collect(),
        }),
    }
}

fn of_library() -> Vec<Printed> {
    let own = library::own();
    let is_own = |profile: &Arc<Profile>| own.iter().any(|own| own.name == profile.name);
    let from = |profile: &Arc<Profile>| if is_own(profile) { "own" } else { "shipped" };
    library::all().iter().map(|profile| printed(profile, from(profile), None)).collect()
}

fn of_show(show: &str) -> Result<Vec<Printed>, Failure> {
    let file = files::open(show)?.file;
    let row = |profile: &Arc<Profile>| {
        let carried = file.profiles.iter().any(|carried| carried.name == profile.name);
        let from = if carried { "carried" } else { "named" };
        printed(profile, from, library::offer_for(&file.rig, profile))
    };
    Ok(find::of_show(&file).iter().map(row).collect())
}

/// Files of one's own folder that cannot be used, on standard error.
fn say_unusable() {
    let Some(folder) = files::own_folder() else { return };
    match library::read_folder(&folder) {
        Ok(list) => {
            for own in list.iter().filter(|own| own.profile.is_none()) {
                eprintln!("{}", files::lines(&own.file.display().to_string(), &own.problems));
            }
        }
        Err(error) => eprintln!("take care: {error}"),
    }
}
