//! Any bytes as an entry for the shop book: what is accepted comes back as it was.
#![no_main]

use casewright_records::Event;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(event) = serde_json::from_slice::<Event>(bytes) else {
        return;
    };
    let text = serde_json::to_string(&event).expect("an entry is always text");
    assert_eq!(serde_json::from_str::<Event>(&text).ok(), Some(event));
});
