//! Writes the sample certificate, a record with gaps and a record with hostile words as PDF, to be
//! looked at: `cargo run -p casewright-report --example record -- FOLDER`.
#![expect(
    clippy::disallowed_methods,
    reason = "an example that writes pages to look at"
)]

use casewright_report::Paper as Format;
use casewright_report::pdf::render_record;
use casewright_report::record::{Facts, Paper, sample};

fn main() {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    let mut gaps = Facts {
        heat: None,
        customer: None,
        ..sample()
    };
    gaps.logs[0].proven = false;
    let hostile = Facts {
        customer: Some(
            "#panic() $x$ *bold* <script>alert(1)</script> // no \u{202e}gnp".to_owned(),
        ),
        order: Some("W".repeat(300)),
        note: "case harden ".repeat(40),
        ..sample()
    };
    let papers = [
        (
            "certificate",
            Paper::certificate(&sample()).expect("the sample is whole"),
        ),
        ("gaps", Paper::record(&gaps)),
        ("hostile", Paper::record(&hostile)),
    ];
    for (name, paper) in papers {
        for (size, format) in [("a4", Format::A4), ("letter", Format::Letter)] {
            let bytes = render_record(&paper, format).expect("renders");
            std::fs::write(format!("{folder}/{name}-{size}.pdf"), bytes)
                .expect("the folder is there");
        }
    }
}
