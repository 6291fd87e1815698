//! A patch list into a show that is there: what differs is told first, and done when that is asked for.

use std::io::Write;
use std::path::Path;

use lanthorn_store::change::Change;
use lanthorn_store::patch_table::{self, compare};
use lanthorn_store::{BUILT_IN, read_show};

use super::Failure;
use crate::command::Import;
use crate::desk::{Kept, NotMade};
use crate::files;

pub(super) fn run(options: &Import, bytes: &[u8]) -> Result<(), Failure> {
    let file = options.file.display();
    if bytes.len() > patch_table::MOST_BYTES {
        return Err(Failure::Input(format!("{file}: a table has at most 4 MiB: is it the right file?")));
    }
    let table = std::str::from_utf8(bytes).map_err(|_| {
        Failure::Input(format!("{file}: this is neither an MVR archive nor a table in UTF-8: save it as one"))
    })?;
    let path = files::with_ending(Path::new(&options.show));
    if BUILT_IN.contains(&options.show.as_str()) && !path.exists() {
        return Err(Failure::Input(format!(
            "{0}: the built-in show stays as it is: `lanthorn new NAME --from {0}` makes one of your own to change",
            options.show
        )));
    }
    let opened = files::open(&options.show)?;
    let compared =
        compare(table, &opened.file.rig).map_err(|why| Failure::Input(format!("{file}: {why}")))?;
    let mut says = None;
    if options.write && !compared.changes.is_empty() {
        let change = Change::Many { changes: compared.changes.clone() };
        let stepped = Kept::new(Some(path), String::new(), "lanthorn import").change(&change);
        let stepped = stepped.map_err(|why| match why {
            NotMade::Refused(why) => Failure::Input(format!("{}: {why}", opened.name)),
            NotMade::NotKept(why) => Failure::Machine(anyhow::anyhow!(why)),
        })?;
        debug_assert!(read_show(&stepped.text).0.is_some());
        says = Some(stepped.says);
    }
    tell(options, &compared, says.is_some())
}

fn tell(options: &Import, compared: &patch_table::Compared, done: bool) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    if options.json {
        let differences: Vec<_> = compared
            .differences
            .iter()
            .map(|it| serde_json::json!({ "number": it.number, "what": it.what, "from": it.from, "to": it.to }))
            .collect();
        let told = serde_json::json!({
            "differences": differences, "not_named": compared.not_named, "written": done,
        });
        serde_json::to_writer_pretty(&mut out, &told).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    let words = |text: &str| if text.is_empty() { "none".to_owned() } else { text.to_owned() };
    for one in &compared.differences {
        writeln!(out, "light {}: {} {} → {}", one.number, one.what, words(&one.from), words(&one.to))?;
    }
    if !compared.not_named.is_empty() {
        let list: Vec<String> = compared.not_named.iter().map(u32::to_string).collect();
        writeln!(out, "not in the table, and left as they are: {}", list.join(", "))?;
    }
    match (compared.differences.is_empty(), done) {
        (true, _) => writeln!(out, "nothing differs")?,
        (false, true) => writeln!(out, "{} is changed; lanthorn history has what it was", options.show)?,
        (false, false) => writeln!(out, "nothing is changed yet: --write does it")?,
    }
    Ok(())
}
