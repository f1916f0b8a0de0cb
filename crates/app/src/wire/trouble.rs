//! What a script gets where a command gave no answer: still one object, with the reason in it.

use serde::Serialize;

use crate::answer::{Texts, Trouble};
use crate::show::sentence;
use crate::wire::diag::{Finding, findings};

#[derive(Serialize)]
struct Failed {
    error: ErrorLine,
    findings: Vec<Finding>,
}

#[derive(Serialize)]
struct ErrorLine {
    /// `input`, `world`, `numbers` or `defect`.
    kind: &'static str,
    text: String,
}

/// The object for a trouble.
pub(crate) fn trouble(trouble: &Trouble) -> String {
    let none = (Vec::new(), Texts::default());
    let (kind, (diags, texts)) = match trouble {
        Trouble::Input { diags, texts } => ("input", (diags.clone(), texts.clone())),
        Trouble::World(_) => ("world", none),
        Trouble::Numbers(_) => ("numbers", none),
        Trouble::Defect(_) => ("defect", none),
    };
    super::json(&Failed {
        error: ErrorLine {
            kind,
            text: sentence(trouble),
        },
        findings: findings(&diags, &texts),
    })
}

/// The object for a wrong command line.
pub(crate) fn usage(said: &str) -> String {
    super::json(&Failed {
        error: ErrorLine {
            kind: "input",
            text: said.to_owned(),
        },
        findings: Vec::new(),
    })
}
