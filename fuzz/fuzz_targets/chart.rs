//! A manual's text: read, its questions answered at random, and what comes of it is a profile that reads back.
#![no_main]

use lanthorn_store::chart::{self, Answer};
use lanthorn_store::{read_profile, write_profile};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let seed = bytes.iter().fold(7_usize, |sum, byte| sum.wrapping_mul(31).wrapping_add(usize::from(*byte)));
    let reading = chart::read(&text, &[]);
    let answers: Vec<Answer> = reading
        .questions
        .iter()
        .enumerate()
        .filter_map(|(index, question)| {
            let choice = question.answers.get(seed.wrapping_add(index) % question.answers.len().max(1))?;
            Some(Answer { id: question.id.clone(), value: choice.value.clone() })
        })
        .collect();
    for reading in [reading, chart::read(&text, &answers)] {
        if reading.modes.is_empty() {
            continue;
        }
        let profile = chart::profile(&reading, "a light", None);
        let written = write_profile(&profile);
        let (back, problems) = read_profile(&written);
        assert!(back.is_some(), "{problems:?}\n{written}");
    }
});
