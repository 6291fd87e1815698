//! `lanthorn profile diff A B`, `lanthorn profile diff --in SHOW NAME`

use std::io::Write;
use std::sync::Arc;

use lanthorn_fixture::Profile;
use lanthorn_store::library::{self, difference, identity};
use serde::Serialize;

use super::super::Failure;
use super::find;
use crate::command::ProfileDiff;
use crate::files;

#[derive(Serialize)]
struct Printed {
    old: String,
    new: String,
    differences: Vec<PrintedDifference>,
}

#[derive(Serialize)]
struct PrintedDifference {
    at: String,
    how: String,
}

/// Says what differs between two descriptions of a light.
pub(crate) fn run(options: &ProfileDiff) -> Result<(), Failure> {
    let (old, new) = both(options)?;
    let differences = difference(&old, &new);
    let differs = !differences.is_empty();
    let mut out = std::io::stdout().lock();
    if options.json {
        let printed = Printed {
            old: identity(&old).whole(),
            new: identity(&new).whole(),
            differences: differences
                .into_iter()
                .map(|one| PrintedDifference { at: one.at, how: one.how })
                .collect(),
        };
        serde_json::to_writer_pretty(&mut out, &printed).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    writeln!(out, "\"{}\" ({}) and \"{}\" ({})", old.name, identity(&old), new.name, identity(&new))?;
    if differences.is_empty() {
        writeln!(out, "nothing differs")?;
    }
    for one in differences {
        writeln!(out, "  {one}")?;
    }
    if let Some(show) = options.within.as_ref().filter(|_| differs) {
        writeln!(
            out,
            "The show keeps what it has. To take the other: echo '{{\"type\":\"profile_take\",\"name\":\"{}\"}}' | lanthorn \
             change {show}",
            old.name
        )?;
    }
    Ok(())
}

fn both(options: &ProfileDiff) -> Result<(Arc<Profile>, Arc<Profile>), Failure> {
    if let Some(show) = &options.within {
        let file = files::open(show)?.file;
        let has = find::within(&file, &options.first)?;
        let offered = library::offer_for(&file.rig, &has).map_or_else(|| has.clone(), |offer| offer.offered);
        return Ok((has, offered));
    }
    if let Some(second) = &options.second {
        return Ok((find::one(&options.first)?, find::one(second)?));
    }
    let own = find::one(&options.first)?;
    let shipped = library::shipped_profile(&own.name).ok_or_else(|| {
        Failure::Input(format!(
            "no shipped light is called \"{}\": name what to compare it with, a name or a file",
            own.name
        ))
    })?;
    Ok((shipped, own))
}
