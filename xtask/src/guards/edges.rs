//! Which crate may import which: the table in ARCHITECTURE.md against what the manifests say.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use super::read;

/// For each crate the ones of ours that it imports.
type Edges = BTreeMap<String, BTreeSet<String>>;

#[test]
fn crates_import_only_what_the_map_allows() {
    let allowed = allowed(&read("ARCHITECTURE.md"));
    let used = used();
    assert_eq!(
        allowed.keys().collect::<Vec<_>>(),
        used.keys().collect::<Vec<_>>(),
        "ARCHITECTURE.md's table of edges and the workspace name different crates"
    );
    for (name, imports) in &used {
        for import in imports {
            assert!(
                allowed[name].contains(import),
                "{name} imports {import}: ARCHITECTURE.md does not allow it; move the code, or change the map"
            );
        }
    }
}

#[test]
fn the_map_has_no_circle() {
    let allowed = allowed(&read("ARCHITECTURE.md"));
    let mut left = allowed.clone();
    while !left.is_empty() {
        let free: Vec<_> = left
            .iter()
            .filter(|(_, imports)| imports.iter().all(|i| !left.contains_key(i)))
            .map(|(n, _)| n.clone())
            .collect();
        assert!(!free.is_empty(), "these import each other in a circle: {:?}", left.keys());
        for name in free {
            left.remove(&name);
        }
    }
}

/// The lines `name <- import import …` of the block that begins with "```edges".
fn allowed(map: &str) -> Edges {
    let block =
        map.split_once("```edges\n").and_then(|(_, rest)| rest.split_once("```")).map(|(block, _)| block);
    let block = block.expect("ARCHITECTURE.md has a block ```edges");
    let edge = |line: &str| {
        let (name, imports) = line.split_once("<-").unwrap_or_else(|| panic!("no arrow in \"{line}\""));
        (name.trim().to_owned(), imports.split_whitespace().map(str::to_owned).collect())
    };
    block.lines().filter(|line| !line.trim().is_empty()).map(edge).collect()
}

/// What the manifests say, tests and benches included.
fn used() -> Edges {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1"])
        .current_dir(crate::root().unwrap())
        .output()
        .unwrap();
    assert!(output.status.success(), "cargo metadata: {}", String::from_utf8_lossy(&output.stderr));
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    packages
        .iter()
        .map(|package| {
            let imports = package["dependencies"].as_array().unwrap().iter();
            let ours = imports.filter(|d| d["path"].is_string()).map(|d| short(d["name"].as_str().unwrap()));
            (short(package["name"].as_str().unwrap()), ours.collect())
        })
        .collect()
}

/// The crate's name on the map.
fn short(package: &str) -> String {
    match package {
        "lanthorn" => "app".to_owned(),
        _ => package.trim_start_matches("lanthorn-").to_owned(),
    }
}
