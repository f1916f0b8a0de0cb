//! Words the whole house uses: quantities, hardness scales, compositions, sources, diagnostics.
//!
//! Values only. No policy, no formula of metallurgy, no input or output.

pub mod band;
pub mod composition;
pub mod diag;
pub mod hardness;
pub mod quantity;
pub mod remark;

pub use band::Band;
pub use composition::{Composition, CompositionProblem, Element};
pub use diag::{Diag, Place, Severity};
pub use hardness::{Hardness, Scale};
pub use quantity::{
    Area, CarbonFlux, Conductivity, Density, Diffusivity, Force, Fraction, HeatTransfer, Length,
    Mass, Power, Span, Temperature, TemperatureStep, TransferCoefficient, UnitSystem, Vickers,
    Volume, WeightPercent,
};
pub use remark::{Remark, SourceKey, Valued};
