//! Chances, causes and small changes of the made-up job in `fixture`: for tests only.

use casewright_plan::doubt::Cause;
use casewright_plan::outlook::{Basis, Chance, Change, Outlook, Remedy, Spread};
use casewright_terms::Length;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

pub(crate) fn outlook() -> Outlook {
    Outlook {
        members: casewright_plan::members::Members::default(),
        chances: vec![
            Chance {
                clause: "case depth",
                probability: 0.91,
            },
            Chance {
                clause: "surface hardness",
                probability: 0.998,
            },
        ],
        chance_all: Some(0.905),
        chance_found: Some(0.89),
        spreads: vec![
            Spread {
                cause: Cause::Compound,
                share: 0.66,
                share_surface: 0.1,
                remedy: Some(Remedy {
                    what:
                        "a pull coupon 4 h into the soak, read, and the rest of the soak set by it"
                            .to_owned(),
                    band_after: (mm(0.90), mm(1.05)),
                    width_left: 0.5,
                }),
            },
            Spread {
                cause: Cause::Scatter,
                share: 0.05,
                share_surface: 0.5,
                remedy: None,
            },
        ],
        sensitivity: vec![Change {
            what: "soak 30 min longer".to_owned(),
            depth: Some(mm(0.036)),
            surface_hv: Some(-1.2),
        }],
        basis: Some(Basis {
            members: 1024,
            runs: 128,
            depth_error: Some(mm(0.02)),
            foretold: Some(0.97),
        }),
    }
}

/// A skin pressed together, for sheets.
pub(crate) fn skin_stress() -> casewright_plan::skin::SkinStress {
    use casewright_physics::run::{StressSign, SurfaceStress};
    let stress = SurfaceStress {
        sign: StressSign::Compression,
        surface_changes_at: Some(casewright_terms::Span::from_s(9.0)),
        core_changes_at: Some(casewright_terms::Span::from_s(3.0)),
        strain_mismatch: 3e-3,
    };
    let mismatch = casewright_terms::Band {
        low: 2e-3,
        mid: 3e-3,
        high: 4e-3,
    };
    casewright_plan::skin::judge(&stress, mismatch)
}
