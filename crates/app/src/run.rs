//! One module for each command.

pub(crate) mod carry;
pub(crate) mod change;
pub(crate) mod check;
pub(crate) mod export;
pub(crate) mod frames;
pub(crate) mod history;
pub(crate) mod ies;
pub(crate) mod import;
pub(crate) mod listen;
pub(crate) mod lux;
pub(crate) mod new;
pub(crate) mod open;
pub(crate) mod plan;
pub(crate) mod profile;
pub(crate) mod score;
pub(crate) mod sheets;
pub(crate) mod sight;
pub(crate) mod watch;

use std::process::ExitCode;

use lanthorn_store::disk::DiskError;
use lanthorn_store::history::HistoryError;

/// Why a command did not do what was asked.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The show file or the command line is wrong: exit status 2.
    Input(String),
    /// The machine could not: exit status 1.
    Machine(anyhow::Error),
    /// Printing failed.
    Output(std::io::Error),
}

impl Failure {
    pub(crate) fn exit_code(&self) -> ExitCode {
        match self {
            Self::Input(_) => ExitCode::from(2),
            Self::Machine(_) | Self::Output(_) => ExitCode::from(1),
        }
    }
}

impl std::fmt::Display for Failure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Input(message) => f.write_str(message),
            Self::Machine(error) => write!(f, "lanthorn: {error:#}"),
            Self::Output(error) => write!(f, "lanthorn: print: {error}"),
        }
    }
}

impl From<HistoryError> for Failure {
    fn from(error: HistoryError) -> Self {
        let wrong = match &error {
            HistoryError::Disk(disk) => !matches!(disk, DiskError::System { .. }),
            HistoryError::Restless { .. }
            | HistoryError::Busy { .. }
            | HistoryError::Broken { .. }
            | HistoryError::System { .. } => false,
            _ => true,
        };
        if wrong { Self::Input(error.to_string()) } else { Self::Machine(error.into()) }
    }
}

impl From<anyhow::Error> for Failure {
    fn from(error: anyhow::Error) -> Self {
        Self::Machine(error)
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        Self::Output(error)
    }
}
