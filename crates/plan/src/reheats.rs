//! Which heats before a quench are tried. They follow from the steel: just above the Ac1 of the case,
//! where it hardens with fine carbide left in it; above the Ae3 of the core, where the core hardens
//! too; and, where the core's strength is asked for, half way between. All in the job's round units.
//!
//! The Acm of the case is not gone to: what carbide the box left would dissolve, coarsen the grain and
//! leave more austenite. [trade-practice]

use casewright_job::spec::RouteWish as Route;
use casewright_physics::equilibrium::{Boundaries, Partition, PhaseSet};
use casewright_physics::law::transformation_temperature::{ae1_grange, ae3_grange};
use casewright_physics::setup::Austenitise;
use casewright_terms::{Composition, Temperature, TemperatureStep, UnitSystem, WeightPercent};

use crate::search::Bench;

/// Carbon at which the case begins to be austenite, wt%: that of pearlite. [trade-practice]
const CASE_WT_PCT: f64 = 0.8;
/// The trade reheats a plain case at 775 to 800 °C, where its Ae1 is 727 °C: 60 K over it, which also
/// covers the lag on heating and the furnace's own error. [trade-practice]
const OVER_CASE_AE1_K: f64 = 60.0;
/// Core hardening: over the Ae3 by as much as the furnace's error and the lag on heating come to.
/// [trade-practice]
const OVER_CORE_AE3_K: f64 = 30.0;
/// The first of two quenches refines the core: 890 °C for 1018 and 860 °C for 8620, 45 K over their
/// Ae3. [trade-practice]
const REFINING_K: f64 = 45.0;

/// Where this steel's case and core become austenite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Critical {
    /// The case is a tenth austenite: steels with much nickel keep a little far below.
    case_ae1: Temperature,
    /// The core is all austenite.
    core_ae3: Temperature,
}

impl Critical {
    /// Of a steel by its chemistry; by formula where the phases cannot be computed. [grange-1961]
    pub(crate) fn of(core: &Composition) -> Self {
        let of = |steel: &Composition| Boundaries::new(steel, PhaseSet::STEEL, Partition::Full);
        let case = core.with_carbon(WeightPercent::from_wt_pct(CASE_WT_PCT));
        let case_ae1 = of(&case).ae1_10pct().ok().and_then(|valued| valued.value);
        let core_ae3 = of(core).ae3().ok().and_then(|valued| valued.value);
        Self {
            case_ae1: case_ae1.unwrap_or_else(|| ae1_grange(core).value),
            core_ae3: core_ae3.unwrap_or_else(|| ae3_grange(core).value),
        }
    }
}

impl Bench<'_> {
    /// The heats of a route, each list a way of its own.
    pub(crate) fn reheats(&self, route: Route, critical: &Critical) -> Vec<Vec<Austenitise>> {
        let heat = |temperature: Temperature| Austenitise {
            temperature,
            soak: self.reheat_soak(),
            bare: false,
        };
        let over = |line: Temperature, by_k: f64| {
            round(line + TemperatureStep::from_k(by_k), self.spec.units).min(self.furnace.max)
        };
        let case = over(critical.case_ae1, OVER_CASE_AE1_K);
        let core = over(critical.core_ae3, OVER_CORE_AE3_K).max(case);
        match route {
            Route::Direct => vec![Vec::new()],
            Route::Single => {
                let mut list = vec![case];
                if self.demand.core.is_some() || !self.is_plain() {
                    let between = case + (core - case) * 0.5;
                    list.extend([round(between, self.spec.units), core]);
                    list.dedup();
                }
                list.into_iter().map(|at| vec![heat(at)]).collect()
            }
            Route::Double => {
                let refined = over(critical.core_ae3, REFINING_K).max(core);
                vec![vec![heat(refined), heat(case)]]
            }
        }
    }
}

/// To 5 °C or 10 °F.
fn round(at: Temperature, units: UnitSystem) -> Temperature {
    let to = |value: f64, step: f64| (value / step).round() * step;
    match units {
        UnitSystem::Metric => Temperature::from_c(to(at.to_c(), 5.0)),
        UnitSystem::Inch => Temperature::from_f(to(at.to_f(), 10.0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_physics::matter::steel;

    fn of(grade: &str) -> Critical {
        Critical::of(&steel::find(grade).expect("a grade").middle())
    }

    /// Handbook heats: a plain case 775 to 800 °C, its core refined at 870 to 910 °C; 8620's core at
    /// 830 to 860 °C. The lines are known to some 10 K, and heats are chosen in tens. [trade-practice]
    #[test]
    fn the_heats_are_those_of_the_trade() {
        let plain = of("1018");
        let case_c = plain.case_ae1.to_c() + OVER_CASE_AE1_K;
        assert!((765.0..=810.0).contains(&case_c), "{case_c}");
        let refined_c = plain.core_ae3.to_c() + REFINING_K;
        assert!((860.0..=920.0).contains(&refined_c), "{refined_c}");
        let core_c = of("8620").core_ae3.to_c() + OVER_CORE_AE3_K;
        assert!((820.0..=870.0).contains(&core_c), "{core_c}");
    }

    /// Nickel lowers both lines, so its steels are reheated colder than plain ones.
    #[test]
    fn nickel_is_reheated_colder() {
        let (plain, nickel) = (of("1018"), of("9310"));
        assert!(nickel.case_ae1 < plain.case_ae1 && nickel.core_ae3 < plain.core_ae3);
    }

    #[test]
    fn heats_are_round_in_the_jobs_units() {
        let at = Temperature::from_c(786.3);
        assert!((round(at, UnitSystem::Metric).to_c() - 785.0).abs() < 1e-9);
        assert!((round(at, UnitSystem::Inch).to_f() - 1450.0).abs() < 1e-9);
    }
}
