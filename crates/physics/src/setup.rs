//! What to simulate, in physics' own words. Values only.

mod curves;
mod packed;
mod plane;
mod quench_part;
mod reheat;

pub use curves::CurvesSetup;
pub use packed::{
    Axis, BoxDetail, BoxFurnace, BoxSetup, PackedBed, PackedBox, PowerCut, Probe, Solid, SolidForm,
    Survey,
};
pub use plane::{Face, KeywayBody, PlaneGrid, PlanePoint, PlaneSection, PlaneSetup};
pub use quench_part::{BathSetup, Dumped, QuenchBody, QuenchPartSetup, QuenchPlaces};
pub use reheat::{Cover, CycleOf, ReheatSetup};

use casewright_terms::{
    Composition, Fraction, Length, Span, Temperature, TemperatureStep, TransferCoefficient,
    WeightPercent,
};

/// A one-dimensional body. Depth is counted inward from the outer surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// A plate treated from both faces; the mid-plane is a mirror.
    Plate {
        /// Half the thickness.
        half_thickness: Length,
    },
    /// A round bar.
    Cylinder {
        /// Radius.
        radius: Length,
    },
    /// A ball.
    Sphere {
        /// Radius.
        radius: Length,
    },
    /// A tube, treated on both walls.
    Tube {
        /// Inner radius.
        inner_radius: Length,
        /// Outer radius.
        outer_radius: Length,
    },
}

/// One linear piece of a temperature cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ramp {
    /// Temperature at the piece's start.
    pub from: Temperature,
    /// Temperature at its end.
    pub to: Temperature,
    /// How long it takes; never negative.
    pub duration: Span,
}

/// Temperature against time: linear pieces in order. Consecutive pieces may jump.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Cycle {
    /// The pieces.
    pub pieces: Vec<Ramp>,
}

impl Cycle {
    /// The longest of the holds at the highest temperature, from 0; `None` without a hold.
    #[must_use]
    pub fn longest_hot_hold(&self) -> Option<usize> {
        let hold = |piece: &Ramp| (piece.to.to_k(), piece.duration.to_s());
        (0..self.pieces.len())
            .filter(|k| self.pieces[*k].from == self.pieces[*k].to)
            .max_by(|a, b| {
                let (a, b) = (hold(&self.pieces[*a]), hold(&self.pieces[*b]));
                a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
            })
    }
}

/// Which fit of carbon's diffusivity in austenite is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiffusivityModel {
    /// Ågren 1986.
    Agren1986,
    /// Tibbetts 1980.
    Tibbetts1980,
    /// Ågren 1986 times the ratio of the thermodynamic factors of the steel and of iron. The
    /// potential of [`Surface::Transfer`] then counts as that of plain iron.
    Alloy,
}

/// What feeds carbon into the surface.
#[derive(Clone, Debug, PartialEq)]
pub enum Surface {
    /// The surface is held at this carbon.
    Fixed {
        /// Carbon at the surface.
        carbon: WeightPercent,
    },
    /// Flux = coefficient × (potential − surface), while the part is above a temperature.
    Transfer {
        /// Carbon of the steel in equilibrium with the medium; with [`DiffusivityModel::Alloy`]
        /// carbon of plain iron, from which the steel's follows by equal activity.
        potential: WeightPercent,
        /// Coefficient.
        coefficient: TransferCoefficient,
        /// Below this nothing is exchanged.
        above: Temperature,
    },
    /// Charcoal pack: the potential follows the saturation of this steel at each temperature
    /// (the lesser of graphite and carbide), the exchange fades in between two temperatures.
    Pack {
        /// Coefficient at full exchange.
        coefficient: TransferCoefficient,
        /// Exchange begins here.
        begins: Temperature,
        /// Exchange is full from here.
        full: Temperature,
    },
    /// A medium by what the shop knows of it.
    Medium(crate::medium::MediumSetup),
    /// Surfaces in turns, each for a time, from the cycle's start on; sealed afterwards. A program
    /// within a program is refused.
    Program(Vec<(Span, Surface)>),
    /// Nothing is exchanged.
    Sealed,
}

/// A carbon run.
#[derive(Clone, Debug, PartialEq)]
pub struct CarbonSetup {
    /// The steel; its carbon is the core's.
    pub composition: Composition,
    /// The body.
    pub shape: Shape,
    /// Diffusivity.
    pub diffusivity: DiffusivityModel,
    /// Factor on the diffusivity, 1 for the fit itself (the doubt about it).
    pub diffusivity_factor: f64,
    /// Surface condition.
    pub surface: Surface,
    /// Temperature of the part.
    pub cycle: Cycle,
    /// Largest error wanted in the carbon profile.
    pub tolerance: WeightPercent,
    /// Added to the temperatures of the steel's carbide line, zero for the line itself (the doubt
    /// about it, see `equilibrium::doubt`).
    pub saturation_shift: TemperatureStep,
}

/// What hours are looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CarbonTarget {
    /// This carbon at this depth.
    CarbonAtDepth {
        /// Carbon.
        carbon: WeightPercent,
        /// Depth from the outer surface.
        depth: Length,
    },
    /// This depth to the carbon, counted as the first depth at which the profile falls below it.
    DepthToCarbon {
        /// Carbon.
        carbon: WeightPercent,
        /// Depth from the outer surface.
        depth: Length,
    },
}

/// A boost and a diffuse of unknown lengths in one piece of a cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct BoostDiffuseSetup {
    /// The run; its surface is that of the boost, and the duration of the piece is a first guess.
    pub carbon: CarbonSetup,
    /// The piece of the cycle, from 0, that is boost and then diffuse.
    pub piece: usize,
    /// Surface before that piece.
    pub before: Surface,
    /// Surface of the diffuse and of all that follows.
    pub diffuse: Surface,
    /// Case wanted at the end of the cycle.
    pub target: CarbonTarget,
    /// Carbon wanted at the surface at the end of the cycle.
    pub surface_carbon: WeightPercent,
}

/// Quenching liquids as physics knows them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Quenchant {
    Water,
    Brine,
    SlowOil,
    FastOil,
    Polymer,
    Air,
}

/// Movement of the bath, still to strong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Stirring {
    Still,
    Mild,
    Good,
    Strong,
}

/// A quench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QuenchSetup {
    /// Liquid.
    pub quenchant: Quenchant,
    /// Movement.
    pub stirring: Stirring,
    /// Bath temperature at the start.
    pub bath: Temperature,
    /// Time in air between furnace and bath.
    pub transfer: Span,
    /// Factor on the surface heat transfer, 1 for the table itself.
    pub severity_factor: f64,
}

/// A stay in the furnace before a quench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Austenitise {
    /// Temperature of the part.
    pub temperature: Temperature,
    /// Time at temperature.
    pub soak: Span,
    /// Whether the part is bare in air (it loses carbon) or protected.
    pub bare: bool,
}

/// A temper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temper {
    /// Temperature of the part.
    pub temperature: Temperature,
    /// Time at temperature.
    pub soak: Span,
}

/// A cooling below the shop's temperature after the quench, before the temper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SubZero {
    /// Temperature of the part.
    pub temperature: Temperature,
    /// Wait between the end of the quench and the cold.
    pub wait: Span,
}

/// The whole chain from the packed part to the tempered one.
#[derive(Clone, Debug, PartialEq)]
pub struct ChainSetup {
    /// Carbon part; its cycle is the part's temperature in the box, up to the quench (direct) or
    /// down to cold.
    pub carbon: CarbonSetup,
    /// Heats before each quench, in order: none for a direct quench, one, or two.
    pub reheats: Vec<Austenitise>,
    /// Temperature the part has when it leaves the furnace for a direct quench.
    pub direct_from: Option<Temperature>,
    /// The quench (the same for each heat).
    pub quench: QuenchSetup,
    /// The temper, if any.
    pub temper: Option<Temper>,
    /// ASTM grain number of the austenite before the last quench.
    pub grain_number: f64,
    /// Length of the part across its section for cooling where it is not `carbon.shape` alone:
    /// the quench uses this shape (a plate of the same half-thickness for a block).
    pub quench_shape: Shape,
    /// Factor on all times of the decomposition kinetics, 1 for the fit itself.
    pub kinetics_factor: f64,
    /// Added to the hardness of martensite, in HV per HV (0.02 is 2 % harder), and to that of the softer
    /// phases in proportion to how much less they are known: scatter of the hardness fits.
    pub hardness_shift: f64,
    /// Added to the temperatures of the steel's ferrite line at the reheat, zero for the line
    /// itself (the doubt about it, see `equilibrium::doubt`).
    pub ae3_shift: TemperatureStep,
}

/// The packed box, to find when the parts are hot.
#[derive(Clone, Debug, PartialEq)]
pub struct PackHeatSetup {
    /// Inside of the box: width, height, length.
    pub box_inside: [Length; 3],
    /// Wall.
    pub wall: Length,
    /// Share of the inside that is steel.
    pub steel_fraction: Fraction,
    /// Bulk density of the compound in kg/m³ is taken from here.
    pub bulk_density: casewright_terms::Density,
    /// Grain size of the compound.
    pub grain: Length,
    /// Furnace power.
    pub power: casewright_terms::Power,
    /// Furnace chamber.
    pub chamber: [Length; 3],
    /// Temperature of the furnace when the box goes in.
    pub load_at: Temperature,
    /// Set temperature.
    pub set: Temperature,
    /// Soak wanted after the pack is hot.
    pub soak: Span,
    /// How it cools afterwards.
    pub cooling: Cooling,
    /// Factor on the bed's diffusivity, 1 for the estimate itself.
    pub bed_factor: f64,
}

/// What happens at the end of the soak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cooling {
    /// The box cools in the switched-off furnace.
    InFurnace,
    /// The box is pulled and cools in still air.
    InAir,
    /// The furnace is lowered to this temperature and the part quenched from there.
    DropThenQuench {
        /// Temperature of the drop.
        to: Temperature,
        /// Stay at it.
        hold: Span,
    },
}
