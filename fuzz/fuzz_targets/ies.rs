//! A photometric file.
#![no_main]

use lanthorn_fixture::profile::Measured;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = Measured::read(text);
    }
});
