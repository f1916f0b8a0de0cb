//! Any text as an evidence file: refused with a word, or printed and read again to the same.
#![no_main]

use casewright_job::evidence::{Evidence, parse, print};
use casewright_terms::diag::Severity;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let (read, said) = parse("evidence.toml", text);
    let Some(evidence) = read else {
        assert!(
            said.iter().any(|diag| diag.severity == Severity::Stop),
            "refused without a word"
        );
        return;
    };
    let printed = print(&evidence);
    let (again, said) = parse("evidence.toml", &printed);
    let again = again.unwrap_or_else(|| panic!("{said:?}\n{printed}"));
    assert_eq!(printed, print(&again), "printing is not settled");
    // Places move with the text; everything else is in the printed words.
    let counts = |e: &Evidence| (e.specimens.len(), e.testers.len(), e.items.len());
    assert_eq!(counts(&again), counts(&evidence), "printing lost something");
});
