//! Sign of the stress at the surface, from the order in which surface and core change.
//!
//! What changes last swells against what is already hard and ends in compression; what is hard first
//! is torn by what swells later. Beside the order stands the mismatch of the free strains, which has to
//! agree before anything is said. No number in MPa: creep, shape and the temper decide that.

use casewright_terms::{Remark, Span};

use crate::model::quench::Body;
use crate::run::{Layers, StressSign, SurfaceStress};

use super::growth;

/// See [`SurfaceStress::LEAST_STRAIN`].
const LEAST_STRAIN: f64 = SurfaceStress::LEAST_STRAIN;
/// Times nearer than this count as one: the quench is known no better.
const TOGETHER: f64 = 1.1;

/// Judges the surface against the core; `half_gone_s` is when half of their austenite was gone.
pub(super) fn judge(layers: &Layers, body: &Body, half_gone_s: [Option<f64>; 2]) -> SurfaceStress {
    let [surface, core] = half_gone_s;
    let mismatch = growth::strain(layers, 0) - growth::mean_strain(layers, body);
    // A middle that never changes is hard from the start; a skin that never gets half way is last.
    let last = match (surface, core) {
        (Some(s), Some(c)) if s > TOGETHER * c => Order::SurfaceLast,
        (Some(s), Some(c)) if c > TOGETHER * s => Order::SurfaceFirst,
        (Some(_), Some(_)) => Order::Together,
        _ => Order::SurfaceLast,
    };
    let sign = match last {
        _ if mismatch <= -LEAST_STRAIN => StressSign::Tension,
        Order::SurfaceLast if mismatch >= LEAST_STRAIN => StressSign::Compression,
        Order::SurfaceFirst if mismatch < LEAST_STRAIN => StressSign::Tension,
        _ => StressSign::Unsure,
    };
    SurfaceStress {
        sign,
        surface_changes_at: surface.map(Span::from_s),
        core_changes_at: core.map(Span::from_s),
        strain_mismatch: mismatch,
    }
}

enum Order {
    SurfaceLast,
    SurfaceFirst,
    Together,
}

impl SurfaceStress {
    /// Mismatch of linear strains below which nothing is said: 60 MPa if it were elastic, far less
    /// than the scatter of measured stresses.
    pub const LEAST_STRAIN: f64 = 3e-4;

    /// Time of the skin's change over that of the middle; `None` where one of them does not get half
    /// way.
    #[must_use]
    pub fn order(&self) -> Option<f64> {
        let (skin, core) = (
            self.surface_changes_at?.to_s(),
            self.core_changes_at?.to_s(),
        );
        (core > 0.0).then(|| skin / core)
    }

    /// The judgement in words.
    #[must_use]
    pub fn reason(&self) -> String {
        let when = |at: Option<Span>| {
            at.map_or_else(
                || "does not get half way".to_owned(),
                |at| {
                    let decimals = usize::from(at.to_s() < 20.0);
                    format!("is half changed after {:.decimals$} s", at.to_s())
                },
            )
        };
        let order = format!(
            "in the quench the skin {}, the middle {}",
            when(self.surface_changes_at),
            when(self.core_changes_at)
        );
        let swells = if self.strain_mismatch.abs() < LEAST_STRAIN {
            "both swell alike".to_owned()
        } else {
            format!(
                "the skin {} {:.2} % in length against the section",
                if self.strain_mismatch < 0.0 {
                    "shrinks"
                } else {
                    "swells"
                },
                100.0 * self.strain_mismatch.abs()
            )
        };
        match self.sign {
            StressSign::Compression => {
                format!("the skin ends in compression: {order}, and {swells}")
            }
            StressSign::Tension => format!(
                "the skin ends in tension, which opens cracks and grinding checks: {order}, and {swells}"
            ),
            StressSign::Unsure => {
                format!("whether the skin ends in compression is not sure: {order}, and {swells}")
            }
        }
    }

    /// The judgement as a note.
    #[must_use]
    pub fn remark(&self) -> Remark {
        let code = match self.sign {
            StressSign::Compression => "surface-compression",
            StressSign::Tension => "surface-tension",
            StressSign::Unsure => "surface-stress-unsure",
        };
        Remark::new(code, self.reason())
    }
}
