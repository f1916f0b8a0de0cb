//! The packed box in three dimensions: what stands where, in what furnace. Values only.
//!
//! Axes of a box: x across, y from the door to the back, z up; places are lengths from the inside
//! corner at the left, door side and bottom. Axes of the chamber are the same.

use casewright_terms::{Density, Fraction, Length, Power, Span, Temperature, TemperatureStep};

use super::Cooling;

/// A direction in the box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Across the chamber.
    X,
    /// From the door to the back.
    Y,
    /// Up.
    Z,
}

/// What a solid is within its bounding block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SolidForm {
    /// The whole block.
    Block,
    /// A round about an axis; its ellipse fills the block's section.
    Round {
        /// Its axis.
        about: Axis,
    },
}

/// A piece of steel in the box: a part or a coupon.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    /// Its number or mark.
    pub mark: String,
    /// Nearest corner of its bounding block.
    pub at: [Length; 3],
    /// Size of that block.
    pub size: [Length; 3],
    /// Form.
    pub form: SolidForm,
}

/// A place whose temperature is asked for, such as a buried couple.
#[derive(Clone, Debug, PartialEq)]
pub struct Probe {
    /// Its mark.
    pub mark: String,
    /// Where.
    pub at: [Length; 3],
}

/// The compound as packed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PackedBed {
    /// Bulk density as packed, dry.
    pub bulk_density: Density,
    /// Grain size.
    pub grain: Length,
    /// Water that comes to it, as a share of the dry mass.
    pub moisture: Fraction,
    /// Gap between compound and wall, 0 where it lies against it.
    pub gap: Length,
    /// Factor on the conductivity, 1 for the estimate itself.
    pub factor: f64,
}

/// One packed box.
#[derive(Clone, Debug, PartialEq)]
pub struct PackedBox {
    /// Its mark.
    pub mark: String,
    /// Inside along x, y, z.
    pub inside: [Length; 3],
    /// Wall, lid included.
    pub wall: Length,
    /// Outer corner in the chamber; `None` is the middle of the chamber on its hearth.
    pub stands_at: Option<[Length; 3]>,
    /// The compound.
    pub bed: PackedBed,
    /// Parts and coupons.
    pub solids: Vec<Solid>,
    /// Steel that is not placed, spread evenly as a share of what the solids leave: for many small
    /// parts.
    pub spread_steel: Fraction,
    /// Places asked for.
    pub probes: Vec<Probe>,
    /// Share of the free exchange of heat that each outer face has: left, right, door, back,
    /// bottom, top. 1 is free; a face that stands on the hearth or by another box has less.
    pub exposure: [f64; 6],
}

/// A survey of the empty chamber: what places have more than the controller's couple shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Survey {
    /// Temperature of the survey; differences shrink with the height above the shop's.
    pub at: Temperature,
    /// At the door.
    pub door: TemperatureStep,
    /// At the back.
    pub back: TemperatureStep,
    /// At the hearth.
    pub hearth: TemperatureStep,
    /// Under the roof.
    pub roof: TemperatureStep,
}

/// The furnace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoxFurnace {
    /// Chamber along x, y, z.
    pub chamber: [Length; 3],
    /// Greatest power.
    pub power: Power,
    /// Differences in the chamber.
    pub survey: Survey,
    /// How late the controller's couple is.
    pub couple_lag: Span,
    /// The controller gives full power this far below its set point and none above it.
    pub band: TemperatureStep,
    /// Its temperature when the boxes go in.
    pub load_at: Temperature,
    /// Factor on the exchange of heat between chamber and boxes, 1 for the estimate itself.
    pub exchange_factor: f64,
}

/// How finely the box is divided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BoxDetail {
    /// For a planner that asks often: a few percent in the time to heat.
    Coarse,
    /// Below two percent in the time to heat.
    Standard,
    /// For checks of the other two.
    Fine,
    /// By hand.
    Given {
        /// Greatest cell.
        cell: Length,
        /// Error allowed in a step.
        step_error: TemperatureStep,
    },
}

/// Boxes in a furnace, heated, held and cooled.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxSetup {
    /// The boxes, all in at once.
    pub boxes: Vec<PackedBox>,
    /// The furnace.
    pub furnace: BoxFurnace,
    /// Temperature of the boxes when they go in.
    pub cold: Temperature,
    /// Set temperature.
    pub set: Temperature,
    /// Time over which the set point climbs from the loading temperature; 0 is at once.
    pub rise: Span,
    /// The pack counts as hot when every part is this close to what its place comes to in the end.
    pub hot_within: TemperatureStep,
    /// Soak after the pack is hot.
    pub soak: Span,
    /// Cooling after it.
    pub cooling: Cooling,
    /// How finely.
    pub detail: BoxDetail,
}

/// The power is away during the soak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PowerCut {
    /// From the pack being hot to the cut.
    pub after: Span,
    /// How long it lasts.
    pub lasts: Span,
}
