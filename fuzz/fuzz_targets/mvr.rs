//! A rig file: read, written as a show's text, read back. Bytes that are no archive are packed as the scene of one.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lanthorn_store::{mvr, read_show, write_show};

fuzz_target!(|bytes: &[u8]| {
    let read = if bytes.starts_with(b"PK") { mvr::read(bytes, "fuzz") } else { mvr::read_scene(bytes, "fuzz") };
    let Ok(read) = read else { return };
    let text = write_show(&read.file);
    let (back, problems) = read_show(&text);
    assert!(back.is_some(), "{problems:?}\n{text}");
    mvr::write(&read.file).expect("it is packed");
});
