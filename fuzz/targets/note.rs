//! Any text as a drawing note: read whatever it says, twice the same, never a depth turned round.
#![no_main]

use casewright_job::note::{block_stage, read};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let reading = read(text);
    assert_eq!(format!("{reading:?}"), format!("{:?}", read(text)));
    let _ = block_stage(reading);
});
