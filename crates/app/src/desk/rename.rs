//! What a change calls otherwise.

use lanthorn_show::{Kind, Rename};
use lanthorn_store::change::Change;

/// Looks, chases, figures and groups that the change renames, in order; one renamed twice goes from the first name to the last.
pub(super) fn renames(change: &Change) -> Vec<Rename> {
    let mut found = Vec::new();
    collect(change, &mut found);
    found
}

fn collect(change: &Change, found: &mut Vec<Rename>) {
    let (kind, name, to) = match change {
        Change::Many { changes } => return changes.iter().for_each(|change| collect(change, found)),
        Change::LookRename { name, to } => (Kind::Look, name, to),
        Change::ChaseRename { name, to } => (Kind::Chase, name, to),
        Change::GroupRename { name, to } => (Kind::Group, name, to),
        Change::FigureRename { name, to } => (Kind::Figure, name, to),
        _ => return,
    };
    let (name, to) = (name.trim(), to.trim().to_owned());
    match found.iter_mut().find(|before| before.kind == kind && before.new == name) {
        Some(before) => before.new = to,
        None => found.push(Rename { kind, old: name.to_owned(), new: to }),
    }
}
