//! One way to do the job, complete enough to be simulated, and its simulation under a doubt.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use casewright_job::shop::{CompoundLot, Furnace, QuenchTank};
use casewright_job::spec::{RouteWish as Route, Spec};
use casewright_physics::equilibrium;
use casewright_physics::model::chain::{self, SteelTables};
use casewright_physics::model::pack_heat;
use casewright_physics::numerics::fun;
use casewright_physics::run::{CarbonRun, ChainRun, Failure, Layers, PackHeatRun};
use casewright_physics::setup::{
    Austenitise, CarbonSetup, ChainSetup, Cooling, Cycle, DiffusivityModel, PackHeatSetup, Shape,
    Surface, Temper,
};
use casewright_terms::{
    Composition, Element, Length, Span, Temperature, TemperatureStep, WeightPercent,
};

use crate::beliefs::{self, Things};
use crate::doubt::{self, BED_90};
use crate::pack::Packed;
use crate::pack::heat::HeatUp;
use crate::setup;

/// Error asked of the carbon profile: far below any doubt about the pack.
const CARBON_TOLERANCE_WT_PCT: f64 = 1e-3;
/// The same for one member of an ensemble, of which only the spread counts. It moves a depth by a
/// few micrometres (`cloud::tests::a_member_is_run_finely_enough`).
const MEMBER_TOLERANCE_WT_PCT: f64 = 2e-3;

/// A furnace is cold when a box goes in, unless the plan says otherwise.
const ROOM_C: f64 = 25.0;

/// What the parts of all recipes of one job have in common.
#[derive(Clone, Debug)]
pub struct Matter {
    /// Chemistry: middle of the grade or the mill certificate.
    pub composition: Composition,
    /// Body for carbon and quench.
    pub shape: Shape,
    /// Least section.
    pub section: Length,
    /// What was computed of the steel, and of the heats of it that are tried.
    tables: Arc<Tables>,
}

/// Tables of steels by the bits of their chemistry. All ways of a job are tried on the same heats of
/// the steel, so most of them are asked for several times; they are the same whoever asks first.
#[derive(Debug, Default)]
struct Tables(Mutex<BTreeMap<Vec<u64>, Arc<SteelTables>>>);

impl Tables {
    fn of(&self, steel: &Composition) -> Result<Arc<SteelTables>, Failure> {
        let key: Vec<u64> = Element::ALL
            .iter()
            .map(|element| steel.wt_pct(*element).to_bits())
            .collect();
        // Whoever panicked while holding it has put nothing half into it.
        let kept = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = kept().get(&key) {
            return Ok(Arc::clone(known));
        }
        // Not while the others wait.
        let made = Arc::new(SteelTables::new(steel)?);
        kept().insert(key, Arc::clone(&made));
        Ok(made)
    }
}

impl Matter {
    /// The job's body and chemistry; `None` where the steel is not in the table.
    #[must_use]
    pub fn of(spec: &Spec) -> Option<Self> {
        let (composition, _) = setup::composition(&spec.steel)?;
        Some(Self {
            composition,
            shape: setup::shape(spec.part.shape),
            section: setup::section(spec.part.shape),
            tables: Arc::default(),
        })
    }
}

/// One way to do the job.
#[derive(Clone, Debug)]
pub struct Recipe<'shop> {
    /// Route from the box to the quench.
    pub route: Route,
    /// Carburizing temperature.
    pub temperature: Temperature,
    /// Soak from when the pack is hot.
    pub soak: Span,
    /// Furnace.
    pub furnace: &'shop Furnace,
    /// Tank.
    pub tank: &'shop QuenchTank,
    /// Compound.
    pub lot: &'shop CompoundLot,
    /// The packed box.
    pub packed: Packed,
    /// How the box cools.
    pub cooling: Cooling,
    /// Heats before each quench.
    pub reheats: Vec<Austenitise>,
    /// The temper.
    pub temper: Temper,
}

/// The furnace brought down before a direct quench, and how long the pack is given to follow it.
pub(crate) fn dropped(to: Temperature) -> Cooling {
    Cooling::DropThenQuench {
        to,
        hold: Span::from_min(30.0),
    }
}

/// A departure from the middle of every doubt. [`Departure::NONE`] is the plan itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Departure {
    /// Load against set temperature, in all heats of the furnace.
    pub furnace: TemperatureStep,
    /// Factor on the diffusivity.
    pub diffusivity: f64,
    /// Factor on the transfer of carbon from the pack.
    pub transfer: f64,
    /// Factor on the bed's thermal diffusivity.
    pub bed: f64,
    /// Factor on the heat transfer of the quench.
    pub severity: f64,
    /// Factor on the time from furnace to bath.
    pub carry: f64,
    /// Factor on the times of the decomposition kinetics.
    pub kinetics: f64,
    /// Hardness scatter, HV per HV.
    pub hardness: f64,
    /// Added to the grain number.
    pub grain: f64,
    /// Tempering oven against its setting.
    pub oven: TemperatureStep,
    /// Where the steel's carbide and ferrite lines lie within the doubt about them: 1 is the upper
    /// end of what holds 90 %.
    pub saturation: f64,
    /// The chemistry of this heat, where it is not the middle.
    pub composition: Option<Composition>,
}

impl Departure {
    /// The plan itself.
    pub const NONE: Self = Self {
        furnace: TemperatureStep::ZERO,
        diffusivity: 1.0,
        transfer: 1.0,
        bed: 1.0,
        severity: 1.0,
        carry: 1.0,
        kinetics: 1.0,
        hardness: 0.0,
        grain: 0.0,
        oven: TemperatureStep::ZERO,
        saturation: 0.0,
        composition: None,
    };

    /// This departure, taken from a middle that has itself departed.
    #[must_use]
    pub(crate) fn beyond(&self, middle: &Self) -> Self {
        Self {
            furnace: middle.furnace + self.furnace,
            diffusivity: middle.diffusivity * self.diffusivity,
            transfer: middle.transfer * self.transfer,
            bed: middle.bed * self.bed,
            severity: middle.severity * self.severity,
            carry: middle.carry * self.carry,
            kinetics: middle.kinetics * self.kinetics,
            hardness: middle.hardness + self.hardness,
            grain: middle.grain + self.grain,
            oven: middle.oven + self.oven,
            saturation: middle.saturation + self.saturation,
            composition: self.composition,
        }
    }
}

/// What one simulation of a recipe gave.
#[derive(Clone, Debug)]
pub struct Simulated {
    /// The box.
    pub heat: PackHeatRun,
    /// The part.
    pub chain: ChainRun,
}

impl Recipe<'_> {
    /// Simulates the job as planned, or under a departure.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn simulate(&self, matter: &Matter, departure: &Departure) -> Result<Simulated, Failure> {
        let heat = self.heat(departure)?;
        let chain = self.run(matter, departure, &heat)?;
        Ok(Simulated { heat, chain })
    }

    /// Carbon, hardening and temper for a heat-up that is known already.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn run(
        &self,
        matter: &Matter,
        departure: &Departure,
        heat: &PackHeatRun,
    ) -> Result<ChainRun, Failure> {
        let setup = self.chain_setup(matter, departure, heat);
        let tables = matter.tables.of(&setup.carbon.composition)?;
        chain::run_chain_with(&setup, &tables)
    }

    /// Only the box.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn heat(&self, departure: &Departure) -> Result<PackHeatRun, Failure> {
        let middle = self.middle();
        let whole = departure.beyond(&middle);
        if let Some(known) = &self.packed.heat {
            return Ok(self.heat_by(known, &middle, &whole));
        }
        let heat = |bed: f64, offset: TemperatureStep, soak: Span| {
            pack_heat::heat_pack(&self.heat_setup(bed, offset, soak))
        };
        // With a couple in the pack the soak is counted from the real moment; without one the
        // furnace is switched off by the planned clock, however late the pack was.
        let by_the_clock = !self.furnace.pack_couple && *departure != Departure::NONE;
        let soak = if by_the_clock {
            let planned = heat(middle.bed, middle.furnace, self.soak)?.hot_after;
            let hot = heat(whole.bed, whole.furnace, self.soak)?.hot_after;
            (self.soak + planned - hot).max(Span::ZERO)
        } else {
            self.soak
        };
        heat(whole.bed, whole.furnace, soak)
    }

    /// Where the shop's own jobs have moved the middle of the doubts to.
    fn middle(&self) -> Departure {
        let mid = self.packed.learnt.as_ref().and_then(|learnt| {
            let things = self.things(learnt.steel());
            learnt.mid(&things)
        });
        mid.map_or(Departure::NONE, |z| doubt::middle(self, &z))
    }

    /// How the doubts vary together after the shop's own jobs; `None` before any.
    pub(crate) fn learnt_covariance(&self) -> Option<[[f64; beliefs::N]; beliefs::N]> {
        let learnt = self.packed.learnt.as_ref()?;
        let things = self.things(learnt.steel());
        learnt.mid(&things)?;
        Some(learnt.covariance(&things))
    }

    /// What it is done with.
    pub(crate) fn things(&self, steel: &str) -> Things {
        Things {
            furnace: self.furnace.id.clone(),
            pack_box: self.packed.layout.box_id.clone(),
            compound: self.lot.id.clone(),
            steel: steel.to_owned(),
            tank: self.tank.id.clone(),
        }
    }

    /// The kept run of the boxes under a departure. The doubt of the bed stands for all that is not
    /// known about the box: how far out it is, in its own 90 %, is how far out the time to heat is.
    fn heat_by(&self, known: &HeatUp, middle: &Departure, departure: &Departure) -> PackHeatRun {
        let at = |bed: f64| fun::ln(bed) / fun::ln(BED_90);
        let (z, planned) = (at(departure.bed), at(middle.bed));
        let soak = if self.furnace.pack_couple {
            self.soak
        } else {
            (self.soak + known.hot_at(planned) - known.hot_at(z)).max(Span::ZERO)
        };
        let cooling = self.cooling_of(departure.furnace);
        known.under(self.temperature + departure.furnace, soak, cooling, z)
    }

    fn cooling_of(&self, offset: TemperatureStep) -> Cooling {
        match self.cooling {
            Cooling::DropThenQuench { to, hold } => Cooling::DropThenQuench {
                to: to + offset,
                hold,
            },
            other => other,
        }
    }

    /// Hardens a carbon profile that is there already: for variants of the heat treatment after
    /// the box.
    ///
    /// # Errors
    /// What physics could not do.
    pub fn harden(
        &self,
        matter: &Matter,
        departure: &Departure,
        heat: &PackHeatRun,
        carbon: &CarbonRun,
    ) -> Result<ChainRun, Failure> {
        chain::harden(carbon, &self.chain_setup(matter, departure, heat))
    }

    /// Layers of one quench for each temper of a list.
    ///
    /// # Errors
    /// What physics could not do.
    pub(crate) fn tempered(
        &self,
        matter: &Matter,
        heat: &PackHeatRun,
        carbon: &CarbonRun,
        tempers: &[Temper],
    ) -> Result<Vec<Layers>, Failure> {
        let setup = self.chain_setup(matter, &Departure::NONE, heat);
        let tables = matter.tables.of(&setup.carbon.composition)?;
        chain::harden_each(carbon, &setup, tempers, &tables)
    }

    fn heat_setup(&self, bed_factor: f64, offset: TemperatureStep, soak: Span) -> PackHeatSetup {
        PackHeatSetup {
            box_inside: self.packed.layout.inside,
            wall: self.packed.layout.wall,
            steel_fraction: self.packed.steel_fraction,
            bulk_density: self.lot.bulk_density,
            grain: self.lot.grain,
            power: self.furnace.power,
            chamber: self.furnace.inside,
            load_at: Temperature::from_c(ROOM_C),
            set: self.temperature + offset,
            soak,
            cooling: self.cooling_of(offset),
            bed_factor,
        }
    }

    /// What the chain is run with, for what else is to be asked of the same heat.
    pub(crate) fn chain_setup(
        &self,
        matter: &Matter,
        departure: &Departure,
        heat: &PackHeatRun,
    ) -> ChainSetup {
        let planned = *departure == Departure::NONE;
        let departure = &departure.beyond(&self.middle());
        let offset = departure.furnace;
        let composition = departure.composition.unwrap_or(matter.composition);
        let surface = match setup::pack_surface(self.lot) {
            Surface::Pack {
                coefficient,
                begins,
                full,
            } => Surface::Pack {
                coefficient: coefficient * departure.transfer,
                begins,
                full,
            },
            other => other,
        };
        let doubt = equilibrium::doubt(&composition);
        let mut quench = setup::quench(self.tank);
        quench.severity_factor *= departure.severity;
        quench.transfer = quench.transfer * departure.carry;
        ChainSetup {
            carbon: CarbonSetup {
                composition,
                shape: matter.shape,
                diffusivity: DiffusivityModel::Agren1986,
                diffusivity_factor: departure.diffusivity,
                surface,
                cycle: heat.part.clone(),
                tolerance: WeightPercent::from_wt_pct(if planned {
                    CARBON_TOLERANCE_WT_PCT
                } else {
                    MEMBER_TOLERANCE_WT_PCT
                }),
                saturation_shift: TemperatureStep::from_k(doubt.acm_k * departure.saturation),
            },
            reheats: self
                .reheats
                .iter()
                .map(|heat| Austenitise {
                    temperature: heat.temperature + offset,
                    ..*heat
                })
                .collect(),
            direct_from: match self.cooling {
                Cooling::DropThenQuench { to, .. } => Some(to + offset),
                Cooling::InFurnace | Cooling::InAir => None,
            },
            quench,
            temper: Some(Temper {
                temperature: self.temper.temperature + departure.oven,
                ..self.temper
            }),
            grain_number: self.grain_number() + departure.grain,
            quench_shape: matter.shape,
            kinetics_factor: departure.kinetics,
            hardness_shift: departure.hardness,
            ae3_shift: TemperatureStep::from_k(doubt.ae3_k * departure.saturation),
        }
    }

    /// Grain of a fine-grained steel before the last quench: refined by a reheat, one number
    /// coarser straight from the box, and coarser again above 1750 °F. [trade-practice]
    fn grain_number(&self) -> f64 {
        grain_before_quench(self.route, self.temperature)
    }

    /// Grain in the box, before any reheat. [trade-practice]
    pub(crate) fn grain_in_box(&self) -> f64 {
        grain_in_box(self.temperature)
    }
}

fn grain_in_box(temperature: Temperature) -> f64 {
    7.0 - (temperature.to_f() - 1750.0).max(0.0) / 25.0
}

/// See [`Recipe::grain_number`]: for whoever has the plan and no recipe.
pub(crate) fn grain_before_quench(route: Route, in_box: Temperature) -> f64 {
    let refined = if route == Route::Direct { 0.0 } else { 1.0 };
    grain_in_box(in_box) + refined
}

/// A heat-up computed for one soak, made to last for another: the flat piece in which the soak
/// ends is lengthened or shortened. Where it is too short for that, it shrinks to nothing and the
/// rest of the difference is left out; the chosen way is computed anew anyway.
pub(crate) fn stretched(heat: &PackHeatRun, from: Span, to: Span) -> PackHeatRun {
    let by = to - from;
    let stretch = |cycle: &Cycle| {
        let mut pieces = cycle.pieces.clone();
        let mut end = Span::ZERO;
        for piece in &mut pieces {
            end = end + piece.duration;
            if end >= heat.soak_ends {
                piece.duration = (piece.duration + by).max(Span::ZERO);
                break;
            }
        }
        Cycle { pieces }
    };
    PackHeatRun {
        furnace: stretch(&heat.furnace),
        part: stretch(&heat.part),
        soak_ends: heat.soak_ends + by,
        ends: heat.ends + by,
        ..heat.clone()
    }
}
