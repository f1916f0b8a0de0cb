//! Any text as a job file and as a shop file; what can be meant is printed and read again.
#![no_main]

use casewright_job::spec::GradeBook;
use casewright_job::{parse, parse_shop, print, resolve};
use casewright_terms::diag::Severity;
use libfuzzer_sys::fuzz_target;

const SHOP: &str = include_str!("../../examples/gannet-slip/shop.toml");

struct Grades;

impl GradeBook for Grades {
    fn find(&self, written: &str) -> Option<String> {
        ["C15E", "8620", "1018"]
            .into_iter()
            .find(|name| name.eq_ignore_ascii_case(written.trim()))
            .map(str::to_owned)
    }

    fn near(&self, _written: &str) -> Vec<String> {
        Vec::new()
    }
}

fuzz_target!(|text: &str| {
    let (own, _) = parse_shop("shop.toml", text);
    let (demo, said) = parse_shop("shop.toml", SHOP);
    assert!(!said.iter().any(|diag| diag.severity == Severity::Stop));
    let (draft, _) = parse("job.toml", text);
    match resolve(draft, own.or(demo.clone()), &Grades) {
        Ok(spec) => {
            let printed = print(&spec);
            let (again, said) = parse("job.toml", &printed);
            let spec = resolve(again, demo, &Grades)
                .unwrap_or_else(|more| panic!("{said:?} {more:?}\n{printed}"));
            assert_eq!(printed, print(&spec), "printing is not settled");
        }
        Err(said) => assert!(!said.is_empty(), "refused without a word"),
    }
});
