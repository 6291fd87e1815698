//! The edge of Lanthorn: command line, page, and everything else's way in.

mod begin;
mod calc;
mod chart;
mod command;
mod current;
mod desk;
mod door;
mod ears;
mod file_watch;
mod files;
mod http;
mod lux;
mod moment;
mod music;
mod page;
mod pdf_text;
mod planned;
mod reach;
mod resume;
mod run;
mod scene;
mod score;
mod setup;
mod sheets;
mod sighting;
mod stage;
mod truth;
mod wire;
mod words;

use std::process::ExitCode;

use clap::Parser;
use command::{Command, CommandLine};
use run::Failure;

fn main() -> ExitCode {
    // First of all: the help names them too.
    files::bring_own_profiles();
    let line = CommandLine::parse();
    let done = match line.command {
        None => run::open::demo(),
        Some(Command::Open(open)) => run::open::run(&open),
        Some(Command::New(new)) => run::new::run(&new),
        Some(Command::Carry(carry)) => run::carry::run(&carry),
        Some(Command::Change(change)) => run::change::run(&change),
        Some(Command::Check(check)) => run::check::run(&check),
        Some(Command::Plan(plan)) => run::plan::run(&plan),
        Some(Command::Sheets(sheets)) => run::sheets::run(&sheets),
        Some(Command::Sight(sight)) => run::sight::run(&sight),
        Some(Command::History(history)) => run::history::run(&history),
        Some(Command::Frames(frames)) => run::frames::run(&frames),
        Some(Command::Watch(watch)) => run::watch::run(&watch),
        Some(Command::Lux(lux)) => run::lux::run(&lux),
        Some(Command::Profile(profile)) => run::profile::run(&profile),
        Some(Command::Listen(listen)) => run::listen::run(&listen),
        Some(Command::Score(score)) => run::score::run(&score),
        Some(Command::Ies(ies)) => run::ies::run(&ies),
        Some(Command::Import(import)) => run::import::run(&import),
        Some(Command::Export(export)) => run::export::run(&export),
        Some(Command::Calc(calc)) => calc::run(&calc),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        // Somebody reads only the first lines ("lanthorn plan demo | head"): that is all right.
        Err(Failure::Output(fault)) if fault.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("{failure}");
            failure.exit_code()
        }
    }
}
