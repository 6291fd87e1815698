//! A profile's text: read; what opens is written, as text and as a fixture file, and reads back.
#![no_main]

use lanthorn_store::{gdtf, read_profile, write_profile};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let (Some(profile), _) = read_profile(text) else { return };
    let written = write_profile(&profile);
    let (back, problems) = read_profile(&written);
    assert!(back.as_ref() == Some(&profile), "{problems:?}\n{written}");
    let file = gdtf::write(&profile).expect("it is packed");
    gdtf::read(&file.bytes).expect("what we write opens");
});
