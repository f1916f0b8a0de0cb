//! A shop's equipment, as its shop file tells it. Values only; `read` fills them.

use casewright_terms::{
    Density, Fraction, Length, Mass, Power, Scale, Span, Temperature, TemperatureStep, Volume,
};

/// Everything the shop can use.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// Its name.
    pub name: String,
    /// Furnaces that can carburize or reheat.
    pub furnaces: Vec<Furnace>,
    /// Lidded steel boxes.
    pub boxes: Vec<PackBox>,
    /// Lots of carburizing compound.
    pub compounds: Vec<CompoundLot>,
    /// Quench tanks.
    pub tanks: Vec<QuenchTank>,
    /// Tempering ovens.
    pub ovens: Vec<Furnace>,
    /// Hardness scales the testers can read.
    pub scales: Vec<Scale>,
    /// Whether a micro-hardness (Vickers) tester is in the house or at hand.
    pub micro_hardness: bool,
    /// Whether a set of test files is at hand.
    pub file_set: bool,
    /// Where a box is opened while it is hot; `None` where the shop file does not say.
    pub hot_opening: Option<HotOpening>,
    /// What parts can be cooled with below room temperature; `None` where the shop file does not say.
    pub cold: Option<ColdGear>,
    /// Hours in which somebody is there, by weekday.
    pub staffed: Staffed,
    /// What things cost; `None` where the shop does not say.
    pub prices: Option<Prices>,
    /// What finished jobs have taught, in the order of the text.
    pub learnt: Vec<Learnt>,
}

/// What a learnt value belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A furnace.
    Furnace,
    /// A box.
    PackBox,
    /// A lot of compound.
    Compound,
    /// A steel: its grade, or what its certificate calls it.
    Steel,
    /// A quench tank.
    Tank,
}

/// What was learnt about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trait {
    /// Error of the furnace's couple.
    Couple,
    /// Where the load stands in the chamber's unevenness.
    Place,
    /// How fast carbon moves in the steel.
    Diffusion,
    /// How much carbon the compound hands over.
    Transfer,
    /// How fast the pack heats.
    HeatUp,
    /// How hard the tank quenches.
    Severity,
    /// Time from the furnace to the bath.
    Carry,
    /// How soon the steel transforms.
    Kinetics,
    /// Hardness of the steel at a given structure.
    Hardness,
    /// Grain of the steel.
    Grain,
    /// Lines of carbide and ferrite of the steel.
    Lines,
}

/// One value that finished jobs have taught. `mid` and `doubt` count in half-widths of what the planner
/// doubts without any evidence: 0 and 1 are that doubt itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Learnt {
    /// What it belongs to.
    pub about: Subject,
    /// The mark of that.
    pub mark: String,
    /// What about it.
    pub what: Trait,
    /// Where it is believed to stand.
    pub mid: f64,
    /// 90 % of what is left of its doubt.
    pub doubt: f64,
    /// Its correlation with each value before it in the list, in order.
    pub together: Vec<f64>,
    /// Date of the last job that it rests on, as written.
    pub date: Option<String>,
    /// Jobs that it rests on.
    pub from: Vec<String>,
}

/// What things cost a shop, in its own currency. What is not given is not known, and never nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// Word for the currency, as the shop writes it.
    pub currency: String,
    /// A kilowatt-hour.
    pub energy_per_kwh: Option<f64>,
    /// A kilogram of fresh compound.
    pub compound_per_kg: Option<f64>,
    /// An hour of hands-on work.
    pub hour: Option<f64>,
}

/// Where a hot box is opened: its gas burns when air comes in, and carbon monoxide comes with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HotOpening {
    /// Under an extraction hood.
    Hood,
    /// Outdoors.
    Outdoors,
    /// In the room, without extraction: refused.
    Indoors,
}

/// What a part is cooled with below room temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColdGear {
    /// Nothing.
    Nothing,
    /// A chest freezer.
    Freezer,
    /// Dry ice in spirit.
    DryIce,
    /// Liquid nitrogen.
    Nitrogen,
}

impl ColdGear {
    /// How cold a part gets in it; `None` for nothing. [trade-practice]
    #[must_use]
    pub fn reaches(self) -> Option<Temperature> {
        let celsius = match self {
            Self::Nothing => return None,
            Self::Freezer => -18.0,
            Self::DryIce => -75.0,
            Self::Nitrogen => -190.0,
        };
        Some(Temperature::from_c(celsius))
    }
}

/// What closes the joint between box and lid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lute {
    /// Fire clay, with sand or without.
    FireClay,
    /// A refractory cement that cracks off again.
    RefractoryCement,
    /// Asbestos rope, board or putty, as old texts have it: refused.
    Asbestos,
}

/// A furnace or an oven.
#[derive(Clone, Debug, PartialEq)]
pub struct Furnace {
    /// Its mark.
    pub id: String,
    /// Chamber: width, height, depth.
    pub inside: [Length; 3],
    /// Heating power.
    pub power: Power,
    /// Half-width of the surveyed uniformity (a survey of ±14 °C is 14 K).
    pub survey: TemperatureStep,
    /// Highest temperature it may be set to.
    pub max: Temperature,
    /// Whether an independent high-limit cut-off is fitted (not the controller itself).
    pub independent_high_limit: bool,
    /// Whether a couple can be buried in the pack and read.
    pub pack_couple: bool,
}

/// A lidded box.
#[derive(Clone, Debug, PartialEq)]
pub struct PackBox {
    /// Its mark.
    pub id: String,
    /// Inside width, height, length.
    pub inside: [Length; 3],
    /// Wall thickness.
    pub wall: Length,
    /// Heats it has seen, where known.
    pub heats: Option<u32>,
    /// `true` where the lid is welded, bolted tight or otherwise gas-tight: refused.
    pub gas_tight: bool,
    /// What the lid is luted with; `None` where the shop file does not say.
    pub lute: Option<Lute>,
    /// How many of these there are.
    pub count: u32,
    /// What the log of a buried couple has taught about the compound in it; `None` before one.
    pub bed: Option<LearntBed>,
}

/// What a couple's log said about the bed in a box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LearntBed {
    /// Factor on the conductivity that is estimated for the compound.
    pub factor: f64,
    /// 90 % of its doubt: the factor may be this share more, or as many times less.
    pub doubt: Fraction,
}

/// What speeds the gas reaction in a compound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Energiser {
    /// Plain charcoal.
    None,
    /// Barium carbonate (poisonous).
    BariumCarbonate,
    /// Sodium carbonate.
    SodiumCarbonate,
    /// Calcium carbonate.
    CalciumCarbonate,
    /// A mixture of carbonates, with barium.
    MixedWithBarium,
    /// A mixture of carbonates, without barium.
    MixedWithoutBarium,
    /// A cyanide or ferrocyanide: refused.
    Cyanide,
}

/// A lot of compound.
#[derive(Clone, Debug, PartialEq)]
pub struct CompoundLot {
    /// Its mark.
    pub id: String,
    /// Energiser.
    pub energiser: Energiser,
    /// Energiser by mass.
    pub energiser_fraction: Fraction,
    /// Share of fresh compound in the charge.
    pub fresh: Fraction,
    /// Bulk density.
    pub bulk_density: Density,
    /// Grain size.
    pub grain: Length,
    /// `false` where it is known to be damp.
    pub dry: bool,
    /// Volume in stock.
    pub stock: Option<Volume>,
}

/// A quenching liquid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Medium {
    /// Plain water.
    Water,
    /// Salt brine, about 10 %.
    Brine,
    /// Slow (plain mineral) oil.
    SlowOil,
    /// Fast (accelerated) quench oil.
    FastOil,
    /// Water with polymer.
    Polymer,
    /// Still air.
    Air,
}

/// How strongly the bath or the part is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Agitation {
    /// None.
    Still,
    /// Moved gently.
    Mild,
    /// Moved well.
    Good,
    /// Driven hard.
    Strong,
}

/// A quench tank.
#[derive(Clone, Debug, PartialEq)]
pub struct QuenchTank {
    /// Its mark.
    pub id: String,
    /// What is in it.
    pub medium: Medium,
    /// How much.
    pub volume: Volume,
    /// Bath temperature before the quench.
    pub bath: Temperature,
    /// Movement.
    pub agitation: Agitation,
    /// Flash point, for oils.
    pub flash_point: Option<Temperature>,
    /// Time from the furnace door to full immersion.
    pub transfer: Span,
    /// Liquid over the top of the work once it is in; `None` where nobody measured.
    pub over_work: Option<Length>,
    /// Water in an oil, by its last test; `None` without one.
    pub water: Option<Fraction>,
    /// Whether the liquid is moved by blowing air into it.
    pub air_blown: bool,
    /// Basket, hooks and wire that go in hot with the work; `None` where nobody weighed them.
    pub fixture: Option<Mass>,
}

/// Hours in which somebody is there: minutes after midnight, by weekday from Monday.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Staffed {
    /// `None` on a day when nobody is there.
    pub by_weekday: [Option<(u16, u16)>; 7],
}
