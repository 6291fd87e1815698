//! Typed changes to the text of a show.

mod begin;
mod charts;
mod examples;
mod lines;
mod random;
mod refused;
mod remarks;
mod renames;
mod take;

use lanthorn_store::change::{Change, apply};
use lanthorn_store::{ShowFile, read_show};

/// A change from its JSON.
fn change(json: &str) -> Change {
    serde_json::from_str(json).unwrap_or_else(|error| panic!("{json}: {error}"))
}

/// The text after a change, and what it says.
fn changed(text: &str, json: &str) -> (String, String) {
    let changed = apply(text, &change(json)).unwrap_or_else(|refused| panic!("{json}: {refused}"));
    (changed.text, changed.says)
}

/// Why a change is not made.
fn refused(text: &str, json: &str) -> String {
    match apply(text, &change(json)) {
        Ok(changed) => panic!("{json}: {}", changed.says),
        Err(refused) => refused.to_string(),
    }
}

fn read(text: &str) -> ShowFile {
    let (file, problems) = read_show(text);
    file.unwrap_or_else(|| panic!("{problems:?}\n{text}"))
}

/// Lines less and lines more, each with its sign, in the order of the text: a longest common subsequence.
fn diff(before: &str, after: &str) -> String {
    let (a, b): (Vec<&str>, Vec<&str>) = (before.split('\n').collect(), after.split('\n').collect());
    let mut common = vec![vec![0_u32; b.len() + 1]; a.len() + 1];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            common[i][j] =
                if a[i] == b[j] { common[i + 1][j + 1] + 1 } else { common[i + 1][j].max(common[i][j + 1]) };
        }
    }
    let (mut i, mut j, mut out) = (0, 0, String::new());
    while i < a.len() || j < b.len() {
        if i < a.len() && j < b.len() && a[i] == b[j] {
            (i, j) = (i + 1, j + 1);
        } else if j == b.len() || (i < a.len() && common[i + 1][j] >= common[i][j + 1]) {
            out.push_str(&format!("-{}\n", a[i]));
            i += 1;
        } else {
            out.push_str(&format!("+{}\n", b[j]));
            j += 1;
        }
    }
    out
}
