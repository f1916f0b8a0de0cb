//! A part in the furnace before its quench. Values only.

use casewright_terms::{
    Composition, HeatTransfer, Length, Temperature, TemperatureStep, WeightPercent,
};

use super::{Cycle, DiffusivityModel, Shape};

/// Whether air reaches the surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// Bare in air: it scales and loses carbon.
    Bare,
    /// Wrapped, packed in used compound or painted: nothing is exchanged.
    Protected,
}

/// What a cycle is the temperature of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CycleOf {
    /// The furnace: the part follows by radiation and convection.
    Furnace,
    /// The part itself, as a couple on or in it reads.
    Part,
}

/// A reheat.
#[derive(Clone, Debug, PartialEq)]
pub struct ReheatSetup {
    /// The steel; its carbon is the core's.
    pub composition: Composition,
    /// The body.
    pub shape: Shape,
    /// Carbon before, by depth from the outer surface, ascending; the last one holds to the middle.
    /// Without a point it is the core's all through.
    pub profile: Vec<(Length, WeightPercent)>,
    /// Whether air reaches the surface.
    pub cover: Cover,
    /// Temperature of the part when it goes in.
    pub start: Temperature,
    /// Temperature against time, planned or logged.
    pub cycle: Cycle,
    /// Whose temperature that is.
    pub cycle_of: CycleOf,
    /// Emissivity that the furnace and the surface (or the wrapping) make together, 0 to 1.
    pub emissivity: f64,
    /// Convection in the furnace.
    pub convection: HeatTransfer,
    /// Diffusivity.
    pub diffusivity: DiffusivityModel,
    /// Factor on the diffusivity, 1 for the fit itself.
    pub diffusivity_factor: f64,
    /// Added to the temperatures of the steel's ferrite line (the doubt about it).
    pub ae3_shift: TemperatureStep,
    /// Added to the temperatures of the steel's carbide line (the doubt about it).
    pub saturation_shift: TemperatureStep,
}
