//! A show's text: read; what opens is written and reads back as the same.
#![no_main]

use lanthorn_store::{read_show, write_show};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let (Some(file), _) = read_show(text) else { return };
    let written = write_show(&file);
    let (back, problems) = read_show(&written);
    assert!(back.as_ref() == Some(&file), "{problems:?}\n{written}");
});
