//! Transformation curves of one austenite. Values only.

use casewright_terms::{Remark, SourceKey, Span, Temperature, Vickers, WeightPercent};

use crate::law::decomposition::Product;
use crate::model::transform::Phases;

/// Temperatures at which something begins, as the rates use them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveLines {
    /// Ferrite can form below this.
    pub ae3: Temperature,
    /// Pearlite can form below this.
    pub ae1: Temperature,
    /// Bainite can form below this.
    pub bainite: Temperature,
    /// Martensite begins.
    pub martensite: Temperature,
    /// Half of the austenite is martensite.
    pub half_martensite: Temperature,
    /// Nine tenths of it are.
    pub most_martensite: Temperature,
}

/// One temperature of the isothermal diagram; `None` where it is not reached in
/// [`crate::model::curves::LONGEST_S`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IsothermalPoint {
    /// Held here.
    pub temperature: Temperature,
    /// What forms first.
    pub first: Option<Product>,
    /// To 1 % transformed.
    pub start: Option<Span>,
    /// To one half.
    pub half: Option<Span>,
    /// To 99 %.
    pub end: Option<Span>,
}

/// A point on the way down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Since the part passed the higher of Ae3 and Ae1.
    pub time: Span,
    /// Temperature there.
    pub temperature: Temperature,
}

/// One way down and what came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingCurve {
    /// Rate while passing 700 °C, in K/s; the way is Newton's towards 25 °C.
    pub rate_k_s: f64,
    /// Where ferrite, pearlite and bainite begin, in this order: 1 % of the whole.
    pub starts: [Option<CurvePoint>; 3],
    /// Half of the austenite is gone, before martensite.
    pub half: Option<CurvePoint>,
    /// 99 % of it are gone, before martensite.
    pub end: Option<CurvePoint>,
    /// Where martensite begins; ferrite that came before lowers it.
    pub martensite: Option<CurvePoint>,
    /// Phases at 25 °C.
    pub phases: Phases,
    /// Hardness of them, untempered.
    pub hardness: Vickers,
    /// The same in HRC, `None` below 20 HRC.
    pub hrc: Option<f64>,
}

/// Transformation curves of one austenite.
#[derive(Clone, Debug, PartialEq)]
pub struct TransformationCurves {
    /// Carbon dissolved in the austenite: what was asked, or what the carbide line allows.
    pub carbon: WeightPercent,
    /// ASTM grain number.
    pub grain_number: f64,
    /// Temperatures of the starts.
    pub lines: CurveLines,
    /// Isothermal curves, from hot to cold.
    pub isothermal: Vec<IsothermalPoint>,
    /// Ways down, from slow to fast.
    pub cooling: Vec<CoolingCurve>,
    /// Slowest rate at 700 °C that leaves at most 1 % other than martensite with its austenite, in
    /// K/s; `None` outside the rates that are looked at.
    pub critical_rate_k_s: Option<f64>,
    /// Slowest rate that leaves half martensite.
    pub half_martensite_rate_k_s: Option<f64>,
    /// Notes about validity.
    pub remarks: Vec<Remark>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}

impl CoolingCurve {
    /// Temperature at a time of this way down.
    #[must_use]
    pub fn at(&self, from: Temperature, time: Span) -> Temperature {
        Temperature::from_k(crate::model::curves::newton_k(
            from.to_k(),
            self.rate_k_s,
            time.to_s(),
        ))
    }
}
