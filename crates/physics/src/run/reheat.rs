//! What a reheat did. Values only.

use casewright_terms::{Length, Remark, SourceKey, Span};

use crate::model::quench::QuenchRun;

/// A part after its stay in the furnace.
#[derive(Clone, Debug, PartialEq)]
pub struct ReheatRun {
    /// Temperature of every depth; `heat_to_bath_j_kg` is negative, because heat came in. `None`
    /// where the cycle was that of the part itself.
    pub heating: Option<QuenchRun>,
    /// From going in until every depth was within 5 K of the furnace for good; `None` where that
    /// did not come, or where the cycle was that of the part.
    pub soaked_after: Option<Span>,
    /// How long the surface was above Ac1, where carbon moves.
    pub above_ac1: Span,
    /// Depth of each point in metres, counted from the surface as it is then.
    pub depth_m: Vec<f64>,
    /// Carbon before, in wt%.
    pub before_wt_pct: Vec<f64>,
    /// Carbon after, in wt%.
    pub carbon_wt_pct: Vec<f64>,
    /// Steel turned to scale, per surface.
    pub scaled: Length,
    /// Depth of the highest carbon under a bare surface: outward from there it falls; zero where
    /// the part was protected.
    pub poor_to: Length,
    /// Carbon lost per area, scale and all, in g/m².
    pub carbon_lost_g_m2: f64,
    /// |carbon that went − carbon that is missing| over what was there.
    pub carbon_balance_error: f64,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}
