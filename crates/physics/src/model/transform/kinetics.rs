//! Scheil's rule over Li's rates, and martensite, for one point.

use casewright_terms::quantity::ICE_POINT_K;
use casewright_terms::{Composition, Temperature, TemperatureStep, WeightPercent};

use crate::equilibrium::SaturationTable;
use crate::law::decomposition::{Growth, LiCoefficients, Product, Starts};
use crate::law::martensite_start::{martensite_rate_per_k, martensite_start};
use crate::law::transformation_temperature::ac1_andrews;

use super::start::{
    Austenite, FERRITE_WT_PCT, carbon_beside_cementite, carbon_on_ac3, ferrite_zero_c,
};
use super::{KINETICS_CARBON_LIMIT, Phases};

/// Share that ends the incubation and starts the growth.
const SEED: f64 = 0.01;
/// Inner steps from 1 to 99 %: the midpoint rule is then good to 1e-4 of X.
const INNER_STEPS: f64 = 38.0;
/// Most inner steps in one step.
const MOST_INNER: f64 = 40.0;

/// What all points of one steel share on the way down.
#[derive(Clone, Debug)]
pub(crate) struct SteelLines {
    steel: Composition,
    ac1_c: f64,
    /// Ac3 of the steel without carbon, in °C.
    ferrite_zero_c: f64,
    /// Carbon beside cementite from [`TABLE_FROM_K`] in steps of [`TABLE_STEP_K`].
    cementite_wt_pct: [f64; TABLE],
}

const TABLE: usize = 27;
const TABLE_FROM_K: f64 = 500.0;
const TABLE_STEP_K: f64 = 25.0;

impl SteelLines {
    pub(crate) fn new(steel: &Composition) -> Self {
        let table = SaturationTable::new(steel, TemperatureStep::ZERO);
        Self::by(steel, table.as_ref().ok())
    }

    /// The same with the saturation known: the line itself, without a doubt.
    pub(crate) fn by(steel: &Composition, saturation: Option<&SaturationTable>) -> Self {
        Self {
            steel: *steel,
            ac1_c: ac1_andrews(steel).value.to_c(),
            ferrite_zero_c: ferrite_zero_c(steel),
            cementite_wt_pct: cementite_line(steel, saturation),
        }
    }

    /// Whether they are of this steel.
    pub(crate) fn is_of(&self, steel: &Composition) -> bool {
        self.steel == *steel
    }

    /// Carbon of austenite beside cementite, in wt%.
    fn beside_cementite(&self, t_k: f64) -> f64 {
        let place = ((t_k - TABLE_FROM_K) / TABLE_STEP_K).clamp(0.0, (TABLE - 1) as f64 - 1e-9);
        let i = place as usize;
        let (a, b) = (self.cementite_wt_pct[i], self.cementite_wt_pct[i + 1]);
        a + (place - i as f64) * (b - a)
    }

    /// Carbon of austenite beside ferrite, in wt%; held at its value at Ac1 below it.
    fn beside_ferrite(&self, t_k: f64) -> f64 {
        carbon_on_ac3(self.ferrite_zero_c, (t_k - ICE_POINT_K).max(self.ac1_c))
    }
}

/// The carbide line of full equilibrium, carried down without limit: plain iron's line is that of
/// the Gibbs energies, metastable below A1, and the alloy's part, ln(limit/plain limit), holds
/// below 690 °C at what it is there. Nothing better is known colder, where metals no longer move:
/// the share they have in the carbide is that of the last temperature at which they did. A steel
/// outside the Gibbs energies has the fitted rise.
fn cementite_line(steel: &Composition, table: Option<&SaturationTable>) -> [f64; TABLE] {
    std::array::from_fn(|i| {
        let at = Temperature::from_k(TABLE_FROM_K + TABLE_STEP_K * i as f64);
        match table {
            Some(table) => table.carbide(at).value.to_wt_pct(),
            None => carbon_beside_cementite(steel, at),
        }
    })
}

/// Everything about a point that does not change on the way down.
#[derive(Clone, Debug)]
pub(crate) struct Kinetics<'a> {
    lines_of_steel: &'a SteelLines,
    lines: LiCoefficients,
    /// Carbon of the austenite, in wt%.
    carbon: f64,
    /// 1 ÷ factor on all times.
    speed: f64,
    /// Above this nothing happens, in kelvin.
    idle_above_k: f64,
    ms_k: f64,
    rate_per_k: f64,
}

impl<'a> Kinetics<'a> {
    /// Kinetics of austenite with `carbon` wt%; `times` multiplies all times.
    pub(crate) fn new(
        lines_of_steel: &'a SteelLines,
        carbon: f64,
        grain_number: f64,
        times: f64,
    ) -> Self {
        let held = lines_of_steel.steel.with_carbon(WeightPercent::from_wt_pct(
            carbon.min(KINETICS_CARBON_LIMIT),
        ));
        let lines = LiCoefficients::new(&held, grain_number);
        Self::with_lines(lines_of_steel, carbon, lines, times)
    }

    /// The same with chosen speeds.
    pub(crate) fn with_lines(
        lines_of_steel: &'a SteelLines,
        carbon: f64,
        lines: LiCoefficients,
        times: f64,
    ) -> Self {
        let starts = lines.starts();
        let (ms_k, rate_per_k) = martensite(&lines_of_steel.steel, carbon);
        Self {
            lines_of_steel,
            carbon,
            speed: 1.0 / times,
            idle_above_k: starts.ae3_k.max(starts.ae1_k).max(starts.bs_k).max(ms_k),
            lines,
            ms_k,
            rate_per_k,
        }
    }

    /// Temperatures of the starts.
    pub(crate) fn starts(&self) -> Starts {
        self.lines.starts()
    }

    /// Most ferrite of the austenite at a temperature (lever rule, Ac3 carried down to Ac1).
    fn most_ferrite(&self, t_k: f64) -> f64 {
        let rich = self.lines_of_steel.beside_ferrite(t_k);
        if rich <= self.carbon.max(FERRITE_WT_PCT) {
            return 0.0;
        }
        ((rich - self.carbon) / (rich - FERRITE_WT_PCT)).clamp(0.0, 1.0)
    }
}

fn martensite(steel: &Composition, carbon: f64) -> (f64, f64) {
    let austenite = steel.with_carbon(WeightPercent::from_wt_pct(carbon));
    (
        martensite_start(&austenite).value.to_k(),
        martensite_rate_per_k(&austenite).value,
    )
}

/// Shares of the austenite of one point; they add up to 1.
#[derive(Clone, Copy, Debug)]
pub(crate) struct State {
    /// Ferrite, pearlite, bainite.
    formed: [f64; 3],
    incubation: [f64; 3],
    martensite: f64,
    austenite: f64,
    ms_k: f64,
    rate_per_k: f64,
    /// Austenite when martensite began.
    at_start: Option<f64>,
    /// Carbon of the austenite that is left.
    carbon: f64,
}

impl State {
    pub(crate) fn new(kinetics: &Kinetics<'_>) -> Self {
        Self {
            formed: [0.0; 3],
            incubation: [0.0; 3],
            martensite: 0.0,
            austenite: 1.0,
            ms_k: kinetics.ms_k,
            rate_per_k: kinetics.rate_per_k,
            at_start: None,
            carbon: kinetics.carbon,
        }
    }

    pub(crate) fn austenite(&self) -> f64 {
        self.austenite
    }

    /// Ferrite, pearlite and bainite so far.
    pub(crate) fn formed(&self) -> [f64; 3] {
        self.formed
    }

    pub(crate) fn below_martensite_start(&self) -> bool {
        self.at_start.is_some()
    }

    /// Austenite left if the point is at `t_k`, martensite only.
    pub(crate) fn austenite_at(&self, t_k: f64) -> f64 {
        if t_k >= self.ms_k {
            return self.austenite;
        }
        let left = crate::law::martensite_start::austenite_left(self.ms_k, self.rate_per_k, t_k);
        (self.at_start.unwrap_or(self.austenite) * left).min(self.austenite)
    }

    /// Rate of martensite per kelvin at `t_k`, 0 where none forms.
    pub(crate) fn martensite_slope_per_k(&self, t_k: f64) -> f64 {
        let left = self.austenite_at(t_k);
        if t_k < self.ms_k && left < self.austenite {
            left * self.rate_per_k
        } else {
            0.0
        }
    }

    /// Takes the point over a step; gives what formed of ferrite, pearlite and bainite.
    pub(crate) fn advance(
        &mut self,
        kinetics: &Kinetics<'_>,
        from_k: f64,
        to_k: f64,
        step_s: f64,
    ) -> [f64; 3] {
        let before = self.formed;
        if to_k < self.ms_k {
            self.cool_to(to_k);
            return [0.0; 3];
        }
        let mid_k = (from_k + to_k) / 2.0;
        if mid_k >= kinetics.idle_above_k || self.austenite <= 0.0 {
            return [0.0; 3];
        }
        for product in Product::ALL {
            self.form(kinetics, product, mid_k, step_s);
        }
        if self.formed[0] > before[0] {
            self.enrich(kinetics);
        }
        std::array::from_fn(|i| self.formed[i] - before[i])
    }

    /// Martensite down to `t_k`.
    pub(crate) fn finish(&mut self, t_k: f64) {
        if t_k < self.ms_k {
            self.cool_to(t_k);
        }
    }

    fn cool_to(&mut self, t_k: f64) {
        let left = self.austenite_at(t_k);
        self.at_start.get_or_insert(self.austenite);
        self.martensite += self.austenite - left;
        self.austenite = left;
    }

    fn form(&mut self, kinetics: &Kinetics<'_>, product: Product, t_k: f64, step_s: f64) {
        let i = product as usize;
        // [hultgren-1947]: no cementite, so no pearlite, before the austenite that is left has the
        // carbon of the cementite line carried down.
        if product == Product::Pearlite
            && self.carbon < kinetics.lines_of_steel.beside_cementite(t_k)
        {
            return;
        }
        let most = match product {
            Product::Ferrite => kinetics
                .most_ferrite(t_k)
                .min(self.formed[i] + self.austenite),
            Product::Pearlite | Product::Bainite => self.formed[i] + self.austenite,
        };
        if most <= self.formed[i] + 1e-9 {
            return;
        }
        let speed = kinetics.lines.speed_per_s(product, t_k) * kinetics.speed;
        if speed <= 0.0 {
            return;
        }
        let mut rest_s = step_s;
        if self.incubation[i] < 1.0 {
            let share_per_s = kinetics.lines.incubation_per_s(product, t_k) * kinetics.speed;
            let needed_s = (1.0 - self.incubation[i]) / share_per_s;
            if needed_s > rest_s {
                self.incubation[i] += rest_s * share_per_s;
                return;
            }
            self.incubation[i] = 1.0;
            rest_s -= needed_s;
        }
        let x0 = (self.formed[i] / most).clamp(SEED, 1.0);
        let x = grow(kinetics.lines.growth(product), x0, speed * rest_s);
        let grown = (x * most - self.formed[i]).clamp(0.0, self.austenite);
        self.formed[i] += grown;
        self.austenite -= grown;
    }

    /// Ferrite leaves its carbon to the austenite that is left, and moves Ms.
    fn enrich(&mut self, kinetics: &Kinetics<'_>) {
        let ferrite = self.formed[0];
        if ferrite >= 0.999 || kinetics.carbon <= FERRITE_WT_PCT {
            return;
        }
        // Held at the eutectoid: beyond it carbide would form.
        let rich = (kinetics.carbon - ferrite * FERRITE_WT_PCT) / (1.0 - ferrite);
        self.carbon = rich.min(KINETICS_CARBON_LIMIT).max(kinetics.carbon);
        (self.ms_k, self.rate_per_k) = martensite(&kinetics.lines_of_steel.steel, self.carbon);
    }

    /// The phases of the point, with what was not austenite before the quench.
    pub(crate) fn phases(&self, start: &Austenite) -> Phases {
        let share = start.austenite;
        let ferrite = start.ferrite + share * self.formed[0];
        let pearlite = start.pearlite + share * self.formed[1];
        let bainite = share * self.formed[2];
        let martensite = share * self.martensite;
        let soft = ferrite + pearlite;
        let soft_carbon = if soft > 0.0 {
            let in_pearlite = start.pearlite * 0.76 + share * self.formed[1] * self.carbon;
            (ferrite * FERRITE_WT_PCT + in_pearlite) / soft
        } else {
            FERRITE_WT_PCT
        };
        Phases {
            martensite,
            // The remainder, so that the sum is 1 to the last bits.
            retained_austenite: (1.0 - start.carbide - ferrite - pearlite - bainite - martensite)
                .max(0.0),
            bainite,
            pearlite,
            ferrite,
            carbide: start.carbide,
            martensite_carbon_wt_pct: self.carbon,
            soft_carbon_wt_pct: soft_carbon,
        }
    }
}

/// Integrates dx = shape(x) dz from `x` over `z` (midpoint rule, small inner steps).
fn grow(growth: Growth, mut x: f64, z: f64) -> f64 {
    // Long since done: steps this wide would overshoot to where the rate is zero and stand still.
    if z >= growth.whole() {
        return 1.0;
    }
    let inner = (z * INNER_STEPS / growth.whole())
        .ceil()
        .clamp(1.0, MOST_INNER);
    let dz = z / inner;
    for _ in 0..inner as usize {
        let half = x + 0.5 * dz * growth.shape(x);
        if half >= 1.0 {
            return 1.0;
        }
        x = (x + dz * growth.shape(half)).min(1.0);
        if x >= 0.9999 {
            return 1.0;
        }
    }
    x
}
