//! One way, solved: the soak that makes the wanted depth and the temper that gives the wanted
//! surface.

use casewright_physics::numerics::fun;
use casewright_physics::run::{CarbonRun, ChainRun, Failure, PackHeatRun};
use casewright_physics::setup::Temper;
use casewright_terms::{Length, Span, Temperature, UnitSystem, Vickers};

use crate::evaluate;
use crate::recipe::{Departure, Recipe, Simulated, stretched};
use crate::search::{Bench, Obstacle};

/// Soaks are set to the quarter hour.
const SOAK_STEP_H: f64 = 0.25;
/// The shortest soak worth packing a box for, and the longest that is planned.
const SOAK_LEAST_H: f64 = 0.5;
/// See [`SOAK_LEAST_H`].
const SOAK_MOST_H: f64 = 30.0;
/// The soak is good when the depth is this near to the aim: a quarter hour moves it by as much.
const DEPTH_NEAR_MM: f64 = 0.01;
/// Tries; each scales or interpolates, and three are the rule.
const ITERATIONS: usize = 8;
/// Over a least hardness without a greatest one, the surface is aimed this far above it.
const OVER_LEAST_HV: f64 = 40.0;

/// Why a way could not be solved.
pub(crate) type Unsolved = (Obstacle, String);

fn numbers(failure: Failure) -> Unsolved {
    let obstacle = match failure {
        Failure::Setup { .. } => Obstacle::Setup,
        Failure::NotSettled { .. } => Obstacle::Numbers,
    };
    (obstacle, failure.to_string())
}

impl<'s> Bench<'s> {
    /// Solves a way.
    ///
    /// # Errors
    /// That the surface does not hold the limit, or that the numbers failed.
    pub(crate) fn solve_recipe(
        &self,
        mut recipe: Recipe<'s>,
    ) -> Result<(Recipe<'s>, Simulated), Unsolved> {
        if let Some(wish) = self.spec.wishes.temper {
            recipe.temper = self.temper(wish);
        }
        // The heat-up is the same for every soak: it is computed once and its flat part stretched.
        let heat = recipe.heat(&Departure::NONE).map_err(numbers)?;
        let (mut hours, heat, carbon, made) = self.soak_hours(&recipe, &heat)?;
        if self.spec.wishes.temper.is_none() {
            self.choose_temper(&mut recipe, &heat, &carbon)?;
            // Another temper moves the limit. Much of a case is made while the pack heats, so the
            // hours of soak cannot be scaled for it: they are sought again from where they stand.
            let run = self.harden(&recipe, &heat, &carbon)?;
            if (self.made(&run)? - made).to_mm().abs() > DEPTH_NEAR_MM {
                recipe.soak = Span::from_h(hours);
                hours = self.soak_hours(&recipe, &heat)?.0;
            }
        }
        let steps = (hours.clamp(SOAK_LEAST_H, SOAK_MOST_H) / SOAK_STEP_H).round();
        recipe.soak = Span::from_h(steps * SOAK_STEP_H);
        let simulated = recipe
            .simulate(self.matter, &Departure::NONE)
            .map_err(numbers)?;
        Ok((recipe, simulated))
    }

    /// Finds the hours of soak whose case is the wanted one. Depth grows about as the root of
    /// time: the first try is scaled by the square of what is missing, later ones are interpolated
    /// on the root.
    fn soak_hours(
        &self,
        recipe: &Recipe<'s>,
        heat: &PackHeatRun,
    ) -> Result<(f64, PackHeatRun, CarbonRun, Length), Unsolved> {
        let aim = self.chain.aim;
        let mut hours = recipe.soak.to_h();
        let mut before: Option<(f64, f64)> = None;
        let mut last = None;
        for _ in 0..ITERATIONS {
            let heat = stretched(heat, recipe.soak, Span::from_h(hours));
            let run = recipe
                .run(self.matter, &Departure::NONE, &heat)
                .map_err(numbers)?;
            let made = self.made(&run)?;
            let (root, miss_mm) = (fun::sqrt(hours), (made - aim).to_mm());
            let carbon = run.carbon;
            last = Some((hours, heat, carbon, made));
            let slope = before
                .map(|(r, m)| (miss_mm - m) / (root - r))
                .filter(|s| *s > 1e-3);
            let next = match slope {
                Some(slope) => (root - miss_mm / slope).max(0.0).powi(2),
                None => hours * (aim / made).powi(2),
            };
            let next = next.clamp(SOAK_LEAST_H, SOAK_MOST_H);
            if miss_mm.abs() < DEPTH_NEAR_MM || (next - hours).abs() < SOAK_STEP_H / 8.0 {
                break;
            }
            before = Some((root, miss_mm));
            hours = next;
        }
        last.ok_or_else(|| (Obstacle::Numbers, "no soak was tried".to_owned()))
    }

    /// Depth made, or that the surface is too soft to have one.
    fn made(&self, run: &ChainRun) -> Result<Length, Unsolved> {
        self.observe(&run.layers)
            .depth_made
            .filter(|made| *made > Length::ZERO)
            .ok_or_else(|| {
                let limit = self.demand.limit_hv().to_hv();
                (
                    Obstacle::Soft,
                    format!("the surface would not hold {limit:.0} HV in this quench"),
                )
            })
    }

    fn harden(
        &self,
        recipe: &Recipe<'s>,
        heat: &PackHeatRun,
        carbon: &CarbonRun,
    ) -> Result<ChainRun, Unsolved> {
        recipe
            .harden(self.matter, &Departure::NONE, heat, carbon)
            .map_err(numbers)
    }

    /// The temper of the ladder that brings the finished surface nearest to the middle of the
    /// note; the lower one where two are as near.
    fn choose_temper(
        &self,
        recipe: &mut Recipe<'s>,
        heat: &PackHeatRun,
        carbon: &CarbonRun,
    ) -> Result<(), Unsolved> {
        let aim = self
            .demand
            .surface
            .and_then(|s| s.middle(Vickers::from_hv(OVER_LEAST_HV)));
        let Some(target) = aim else { return Ok(()) };
        let ladder = self.tempers();
        let tempers: Vec<Temper> = ladder.iter().map(|rung| self.temper(*rung)).collect();
        let over: Vec<f64> = recipe
            .tempered(self.matter, heat, carbon, &tempers)
            .map_err(numbers)?
            .iter()
            .map(|layers| evaluate::hardness_at(layers, self.ground()).to_hv() - target.to_hv())
            .collect();
        // The ladder only ever softens: the first rung at or under the target, or the one before it.
        let low = over
            .iter()
            .position(|over| *over <= 0.0)
            .unwrap_or(over.len() - 1);
        let nearer_above = low > 0 && over[low - 1].abs() <= over[low].abs();
        let mut best = if nearer_above { low - 1 } else { low };
        // A hotter temper than the trade's gives wear away: it is taken only where the note's
        // greatest hardness would be near.
        let room = self
            .demand
            .surface
            .and_then(|s| s.max)
            .map_or(0.0, |max| (max - target).to_hv());
        while ladder[best] > self.usual_most_temper() && over[best - 1] < 0.25 * room {
            best -= 1;
        }
        recipe.temper = self.temper(ladder[best]);
        Ok(())
    }

    /// The hottest temper that case-hardened work usually gets. [trade-practice]
    fn usual_most_temper(&self) -> Temperature {
        match self.spec.units {
            UnitSystem::Inch => Temperature::from_f(400.0),
            UnitSystem::Metric => Temperature::from_c(200.0),
        }
    }

    /// Tempers in the job's round units, from the least that is worth it to the most that a case
    /// takes without giving wear away.
    fn tempers(&self) -> Vec<Temperature> {
        match self.spec.units {
            UnitSystem::Inch => (0..7)
                .map(|i| Temperature::from_f(300.0 + 25.0 * f64::from(i)))
                .collect(),
            UnitSystem::Metric => (0..9)
                .map(|i| Temperature::from_c(150.0 + 10.0 * f64::from(i)))
                .collect(),
        }
    }
}
