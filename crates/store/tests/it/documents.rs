//! The examples in the documents are read, so that nobody copies one that is wrong.

use lanthorn_store::{read_profile, read_show};

const DOCUMENT: &str = include_str!("../../../../docs/show-file.md");

/// The TOML examples, with the line in the document before each.
fn examples() -> Vec<(usize, &'static str)> {
    let mut list = Vec::new();
    let mut from = 0;
    while let Some(start) = DOCUMENT[from..].find("```toml\n").map(|at| from + at + "```toml\n".len()) {
        let end = start + DOCUMENT[start..].find("```").unwrap_or_default();
        list.push((DOCUMENT[..start].lines().count(), &DOCUMENT[start..end]));
        from = end + 3;
    }
    list
}

#[test]
fn the_show_and_the_profile_in_the_document_are_right() {
    let examples = examples();
    let [(show_line, show), (found_line, found), (profile_line, profile)] = examples[..] else {
        panic!("{} examples", examples.len());
    };
    let (file, problems) = read_show(&format!("{show}\n{found}"));
    println!("what was found is at line {found_line}");
    for problem in &problems {
        println!("show-file.md:{}: {}", show_line + problem.line, problem.message);
    }
    assert!(problems.is_empty());
    let file = file.unwrap();
    assert_eq!(file.rig.units.len(), 5);
    assert_eq!(file.rig.unit(3).unwrap().found.sights.len(), 1);
    assert_eq!(file.rig.unit(4).unwrap().address().unwrap().to_string(), "1.043");
    let (read, problems) = read_profile(profile);
    for problem in &problems {
        println!("show-file.md:{}: {}", profile_line + problem.line, problem.message);
    }
    assert!(problems.is_empty());
    assert_eq!(lanthorn_fixture::check::check(&read.unwrap()), []);
}
