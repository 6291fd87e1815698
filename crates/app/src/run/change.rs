//! `lanthorn change SHOW`

use std::io::{Read, Write};

use lanthorn_store::change::Change;
use lanthorn_store::{BUILT_IN, disk};

use super::Failure;
use crate::command;
use crate::desk::{Kept, NotMade};
use crate::files;

/// Most bytes of a change: a whole show in a look's parts is far less.
const MOST_BYTES: u64 = 4 << 20;

/// Reads one change, or a list of them of which all are made or none, and makes them in the show's file and history.
pub(crate) fn run(options: &command::Change) -> Result<(), Failure> {
    let path = files::with_ending(&options.show);
    let name = path.display().to_string();
    if BUILT_IN.contains(&name.as_str()) && !path.exists() {
        return Err(Failure::Input(format!(
            "{name}: the built-in show stays as it is: `lanthorn new NAME --from {name}` makes one of your own to change"
        )));
    }
    // A file that is not there is said before anything is asked for.
    disk::load(&path).map_err(|error| Failure::Input(error.to_string()))?;
    let mut json = String::new();
    let read = std::io::stdin().lock().take(MOST_BYTES + 1).read_to_string(&mut json);
    read.map_err(|error| Failure::Input(format!("change: the change cannot be read ({error}): write JSON")))?;
    if json.len() as u64 > MOST_BYTES {
        return Err(Failure::Input(
            "change: the change has more than 4 MiB: is it the right one?".to_owned(),
        ));
    }
    let change = parse(&json).map_err(Failure::Input)?;
    let stepped =
        Kept::new(Some(path), String::new(), "lanthorn change").change(&change).map_err(|why| match why {
            NotMade::Refused(why) => Failure::Input(format!("{name}: {why}")),
            NotMade::NotKept(why) => Failure::Machine(anyhow::anyhow!(why)),
        })?;
    writeln!(std::io::stdout().lock(), "{}", stepped.says)?;
    Ok(())
}

/// One change, or a list of them.
fn parse(json: &str) -> Result<Change, String> {
    let wrong = |error: serde_json::Error| {
        format!("change: {error}: write one change or a list of them, as docs/changes.md has them")
    };
    if json.trim_start().starts_with('[') {
        let changes = serde_json::from_str(json).map_err(wrong)?;
        return Ok(Change::Many { changes });
    }
    serde_json::from_str(json).map_err(wrong)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_or_a_list() {
        let one = r#"{"type":"address_all"}"#;
        assert_eq!(parse(one), Ok(Change::AddressAll {}));
        let many = Change::Many { changes: vec![Change::AddressAll {}, Change::AddressAll {}] };
        assert_eq!(parse(&format!(" [{one}, {one}]")), Ok(many));
        let why = parse(r#"{"type":"address_some"}"#).unwrap_err();
        assert!(why.starts_with("change: unknown variant `address_some`"), "{why}");
        assert!(why.ends_with("as docs/changes.md has them"), "{why}");
    }
}
