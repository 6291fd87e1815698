//! A fixture file: read, written as a profile's text, read back, written as a fixture file.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lanthorn_store::{gdtf, read_profile, write_profile};

fuzz_target!(|bytes: &[u8]| {
    let Ok(read) = gdtf::read(bytes) else { return };
    let text = write_profile(&read.profile);
    let (back, problems) = read_profile(&text);
    assert!(back.is_some(), "{problems:?}\n{text}");
    let written = gdtf::write(&read.profile).expect("it is packed");
    gdtf::read(&written.bytes).expect("what we write opens");
});
