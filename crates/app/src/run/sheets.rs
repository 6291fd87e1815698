//! `lanthorn sheets SHOW -o FILE.pdf`

use std::io::Write;
use std::path::Path;
use std::sync::Arc;

use lanthorn_rig::plan::plan;
use lanthorn_sheets::{Input, Options, SheetName, SheetsError};
use lanthorn_store::disk;

use super::Failure;
use crate::command;
use crate::files;
use crate::planned::with_show;
use crate::sheets::Asked;

/// Writes what is asked for: the PDF, drawings, tables.
pub(crate) fn run(options: &command::Sheets) -> Result<(), Failure> {
    let wanted = wanted(options)?;
    let opened = files::open(&options.show)?;
    opened.print_warnings();
    let (show, rig) = (opened.file.show, Arc::new(opened.file.rig));
    let plan = with_show(plan(&rig), &show, &rig);
    let input = Input { show: &show, rig: &rig, plan: &plan };
    let mut out = std::io::stdout().lock();
    if let Some(path) = &options.out {
        let file = lanthorn_sheets::pdf(&input, &wanted).map_err(failed)?;
        disk::keep(path, &file).map_err(anyhow::Error::from)?;
        writeln!(out, "{}: {}", path.display(), sheet_words(&wanted))?;
    }
    if let Some(folder) = &options.svg {
        write_all(&mut out, folder, lanthorn_sheets::svgs(&input, &wanted).map_err(failed)?)?;
    }
    if let Some(folder) = &options.csv {
        write_all(&mut out, folder, lanthorn_sheets::csv(&input).map_err(failed)?)?;
    }
    writeln!(out, "These are sums, not permissions: the venue, local code and competent people decide.")?;
    Ok(())
}

fn write_all(out: &mut impl Write, folder: &Path, files: Vec<(&'static str, String)>) -> Result<(), Failure> {
    for (name, text) in files {
        let path = folder.join(name);
        disk::keep(&path, text).map_err(anyhow::Error::from)?;
        writeln!(out, "{}", path.display())?;
    }
    Ok(())
}

fn failed(error: SheetsError) -> Failure {
    Failure::Machine(error.into())
}

fn sheet_words(options: &Options) -> String {
    let wanted = |name: &SheetName| options.only.is_empty() || options.only.contains(name);
    SheetName::ALL.into_iter().filter(wanted).map(SheetName::word).collect::<Vec<_>>().join(", ")
}

fn wanted(options: &command::Sheets) -> Result<Options, Failure> {
    let asked = Asked {
        only: options.only.iter().map(String::as_str).collect(),
        paper: options.paper,
        large: options.large,
        labels: options.labels,
        url: options.url.as_deref(),
    };
    asked.options().map_err(|(name, why)| Failure::Input(format!("--{name} {why}")))
}
