//! Show files of every earlier version open: one sample for each, never edited.

use lanthorn_store::{read_show, show_file};

const SAMPLES: &[(u32, &str)] = &[(1, include_str!("shows/v1/harvest-supper.show.toml"))];

#[test]
fn every_version_opens() {
    for (version, text) in SAMPLES {
        let (file, problems) = read_show(text);
        assert_eq!(problems, [], "version {version}");
        let file = file.unwrap();
        assert_eq!(file.version, *version);
        assert_eq!((file.rig.units.len(), file.show.looks.len(), file.show.cues.len()), (11, 6, 12));
    }
    let newest = SAMPLES.last().map(|(version, _)| *version);
    assert_eq!(newest, Some(show_file::VERSION), "a new version of the format brings a sample of itself");
}
