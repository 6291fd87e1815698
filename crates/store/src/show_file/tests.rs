use super::*;
use crate::DEMO_TEXT;

fn read_whole(name: &str, text: &str) -> ShowFile {
    let (file, problems) = read_show(text);
    let said: Vec<String> = problems.iter().map(|problem| problem.in_file(name)).collect();
    assert_eq!(said, Vec::<String>::new());
    file.unwrap()
}

#[test]
fn the_demo_reads_without_a_problem() {
    let demo = read_whole("demo", DEMO_TEXT);
    assert_eq!((demo.rig.units.len(), demo.show.looks.len(), demo.show.chases.len()), (11, 6, 3));
    assert_eq!(demo.show.cues.len(), 12);
    let kinds: BTreeSet<_> = demo.rig.units.iter().map(|unit| unit.profile.kind).collect();
    assert!(kinds.len() >= 5);
}

#[test]
fn a_written_show_reads_back_as_the_same() {
    for file in [read_whole("demo", DEMO_TEXT), read_whole("demo", DEMO_TEXT).carrying()] {
        let text = write_show(&file);
        assert_eq!(read_whole("written", &text), file, "{text}");
        assert_eq!(write_show(&read_whole("written", &text)), text);
    }
}
