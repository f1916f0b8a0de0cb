//! Saturation of one steel's austenite over all temperatures of a heat, made once and read often.
//!
//! Plain Fe-C keeps the closed lines of [`crate::law::saturation`]. For an alloy steel the two
//! limits are computed from the Gibbs energies at a few temperatures, and ln(limit/plain limit) is
//! read between them: the alloy's effect is small and smooth where the limit itself is neither.
//! Cementite and the carbides of chromium have a line each, because the lesser of the two has a
//! corner where they cross. It knows no para-equilibrium: carbide that forms in the hours of a box takes its share of metals.

use casewright_terms::{Composition, Remark, Temperature, TemperatureStep, Valued, WeightPercent};

use super::component::{Amounts, validity};
use super::energy::Mobile;
use super::solve::Search;
use super::{
    AusteniteCarbon, EquilibriumFailure, Phase, PhaseSet, check, check_composition,
    saturation_carbide,
};
use crate::law::carbon_activity::{
    RANGE_C, thermodynamic_factor, to_site_fraction, to_wt_pct, within,
};
use crate::law::saturation::{cementite_y, graphite_y};
use crate::numerics::fun::{exp, ln};
use crate::numerics::interpolate::monotone_cubic;
use crate::numerics::root::brent;

/// Temperatures of the table in K (690 to 1200 °C), closest where low-alloy steels change from one
/// carbide to another.
const KNOTS_K: [f64; KNOTS] = [
    963.15, 988.15, 1013.15, 1038.15, 1073.15, 1113.15, 1163.15, 1223.15, 1298.15, 1383.15, 1473.15,
];
const KNOTS: usize = 11;
/// ln of the u-fractions between which a limit is looked for: 2e-6 and 5 wt%.
const LN_LEAST_U: f64 = -16.118_095_650_958_32;
const LN_MOST_U: f64 = -1.386_294_361_119_890_6;
/// How far above cementite, in ln u, the line of the chromium carbides is followed.
const FAR: f64 = 0.5;
/// The search ends when a step of the secant is this share of the limit; the step after it would be
/// a thousand times smaller.
const WIDTH: f64 = 1e-4;
/// Rounds of the search. The secant needs three; halving alone would need 18.
const ROUNDS: usize = 60;
/// Slope of a carbide's lack by ln u where nothing better is known: between those of cementite and
/// M7C3 in low-alloy steels.
const FIRST_SLOPE: f64 = -0.28;
/// Temperatures between which the slope of the activity is taken as a + b/T, in K; it is so but
/// for austenite's magnetism, which is below 1e-5.
const FACTOR_K: (f64, f64) = (1000.0, 1300.0);

/// Saturation lines of one steel, with the alloy's part in the thermodynamic factor of carbon.
#[derive(Clone, Debug)]
pub struct SaturationTable {
    alloy: Option<AlloyLines>,
    shift_k: f64,
    remarks: Vec<Remark>,
}

#[derive(Clone, Debug)]
struct AlloyLines {
    ratios: Ratios,
    /// The carbide of the second line at each temperature of the table.
    chromium: [Phase; KNOTS],
    factor: AlloyFactor,
}

/// ln(limit/plain limit) at the temperatures of the table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ratios {
    graphite: [f64; KNOTS],
    cementite: [f64; KNOTS],
    /// M7C3 and M23C6; held where it would be far above cementite.
    chromium: [f64; KNOTS],
}

impl Ratios {
    /// Limit over plain limit, for graphite.
    pub(crate) fn graphite(&self, t_k: f64) -> f64 {
        exp(monotone_cubic(&KNOTS_K, &self.graphite, t_k))
    }

    /// Limit over plain limit, for the first carbide.
    pub(crate) fn carbide(&self, t_k: f64) -> f64 {
        let read = |line| monotone_cubic(&KNOTS_K, line, t_k);
        exp(read(&self.cementite).min(read(&self.chromium)))
    }
}

/// Thermodynamic factor of carbon in an alloy steel: d ln a/d ln u = 1/(1 − u) + (a + b/T) u.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct AlloyFactor {
    /// u-fraction over the site fraction of this crate, in which every metal has iron's mass.
    u_per_y: f64,
    constant: f64,
    over_t_k: f64,
}

impl AlloyFactor {
    fn new(composition: &Composition) -> Result<Self, EquilibriumFailure> {
        let at = |t_k| AusteniteCarbon::at(composition, Temperature::from_k(t_k));
        let (low, high) = (at(FACTOR_K.0)?.value, at(FACTOR_K.1)?.value);
        let (q_low, q_high) = (low.coefficients().1, high.coefficients().1);
        let over_t_k = (q_low - q_high) / (1.0 / FACTOR_K.0 - 1.0 / FACTOR_K.1);
        let one = WeightPercent::from_wt_pct(1.0);
        Ok(Self {
            u_per_y: low.u_fraction(one) / to_site_fraction(1.0),
            constant: q_low - over_t_k / FACTOR_K.0,
            over_t_k,
        })
    }

    /// The factor at a site fraction of this crate, over that of plain iron with the same carbon.
    #[inline]
    pub(crate) fn over_plain(self, t_k: f64, y: f64) -> f64 {
        let u = self.u_per_y * y;
        (1.0 / (1.0 - u) + (self.constant + self.over_t_k / t_k) * u) / thermodynamic_factor(t_k, y)
    }
}

impl SaturationTable {
    /// Computes the lines of a steel; its own carbon does not matter, the ratios of its metals
    /// do. `shift` raises the temperatures of the carbide line: the doubt about it, zero for the
    /// line itself.
    ///
    /// # Errors
    /// The steel lies outside the Gibbs energies, or the search did not settle.
    pub fn new(
        composition: &Composition,
        shift: TemperatureStep,
    ) -> Result<Self, EquilibriumFailure> {
        check_composition(composition)?;
        let amounts = Amounts::of(composition);
        let alloy = if amounts.alloying.0 == 0 {
            None
        } else {
            Some(AlloyLines::new(composition, &amounts)?)
        };
        Ok(Self {
            alloy,
            shift_k: shift.to_k(),
            remarks: validity(composition),
        })
    }

    /// The same lines with another doubt; see [`Self::new`].
    #[must_use]
    pub fn shifted(&self, shift: TemperatureStep) -> Self {
        Self {
            shift_k: shift.to_k(),
            ..self.clone()
        }
    }

    /// The closed lines of Fe-C.
    #[must_use]
    pub fn plain() -> Self {
        Self {
            alloy: None,
            shift_k: 0.0,
            remarks: Vec::new(),
        }
    }

    /// Carbon of austenite beside the first carbide: the most the matrix holds.
    #[must_use]
    pub fn carbide(&self, temperature: Temperature) -> Valued<WeightPercent> {
        self.told(temperature, self.carbide_y(temperature.to_k()))
    }

    /// Carbon of austenite beside graphite.
    #[must_use]
    pub fn graphite(&self, temperature: Temperature) -> Valued<WeightPercent> {
        self.told(temperature, self.graphite_y(temperature.to_k()))
    }

    /// Carbon that a charcoal pack gives at most: the lesser of the two.
    #[must_use]
    pub fn pack(&self, temperature: Temperature) -> Valued<WeightPercent> {
        let t_k = temperature.to_k();
        self.told(temperature, self.carbide_y(t_k).min(self.graphite_y(t_k)))
    }

    /// Temperature at which the last carbide of this carbon dissolves; `None` outside 427 to
    /// 1427 °C.
    #[must_use]
    pub fn acm(&self, carbon: WeightPercent) -> Option<Temperature> {
        let wanted = to_site_fraction(carbon.to_wt_pct());
        brent(700.0, 1700.0, 1e-6, |t_k| self.carbide_y(t_k) - wanted)
            .ok()
            .map(Temperature::from_k)
    }

    /// The carbide that the austenite is saturated with.
    #[must_use]
    pub fn carbide_phase(&self, temperature: Temperature) -> Phase {
        let Some(alloy) = &self.alloy else {
            return Phase::Cementite;
        };
        let t_k = temperature.to_k() - self.shift_k;
        let read = |line| monotone_cubic(&KNOTS_K, line, t_k);
        if read(&alloy.ratios.cementite) <= read(&alloy.ratios.chromium) {
            return Phase::Cementite;
        }
        let far = |k: &usize| (KNOTS_K[*k] - t_k).abs();
        (0..KNOTS)
            .min_by(|a, b| far(a).total_cmp(&far(b)))
            .map_or(Phase::M7c3, |k| alloy.chromium[k])
    }

    /// Notes on the steel: what lies outside the assessments.
    #[must_use]
    pub fn remarks(&self) -> &[Remark] {
        &self.remarks
    }

    /// Whether the lines are the closed ones of Fe-C.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.alloy.is_none()
    }

    pub(crate) fn carbide_y(&self, t_k: f64) -> f64 {
        let t_k = t_k - self.shift_k;
        cementite_y(t_k) * self.ratios().map_or(1.0, |ratios| ratios.carbide(t_k))
    }

    pub(crate) fn graphite_y(&self, t_k: f64) -> f64 {
        graphite_y(t_k) * self.ratios().map_or(1.0, |ratios| ratios.graphite(t_k))
    }

    /// The alloy's part, to be read where the plain lines are known otherwise; the carbide's at
    /// the temperature less [`Self::shift_k`].
    pub(crate) fn ratios(&self) -> Option<&Ratios> {
        self.alloy.as_ref().map(|alloy| &alloy.ratios)
    }

    /// What the carbide line is raised by, in K.
    pub(crate) fn shift_k(&self) -> f64 {
        self.shift_k
    }

    pub(crate) fn factor(&self) -> Option<AlloyFactor> {
        self.alloy.as_ref().map(|alloy| alloy.factor)
    }

    fn told(&self, temperature: Temperature, y: f64) -> Valued<WeightPercent> {
        let mut remarks = self.remarks.clone();
        let c = temperature.to_c();
        if c < RANGE_C.0 || c > RANGE_C.1 {
            remarks.extend(within(temperature, ()).remarks);
        }
        Valued {
            value: WeightPercent::from_wt_pct(to_wt_pct(y)),
            remarks,
        }
    }
}

/// Carbon of austenite beside the first carbide at one temperature: the closed line for Fe-C, else
/// computed for this temperature alone.
///
/// # Errors
/// The temperature or the steel lies outside the tables.
pub fn carbide_limit(
    composition: &Composition,
    temperature: Temperature,
) -> Result<WeightPercent, EquilibriumFailure> {
    check(composition, temperature)?;
    if Amounts::of(composition).alloying.0 == 0 {
        let plain = to_wt_pct(cementite_y(temperature.to_k()));
        return Ok(WeightPercent::from_wt_pct(plain));
    }
    saturation_carbide(composition, temperature, PhaseSet::STEEL).map(|found| found.value.carbon)
}

impl AlloyLines {
    fn new(composition: &Composition, amounts: &Amounts) -> Result<Self, EquilibriumFailure> {
        let set = |of: PhaseSet| Search::new(*amounts, of.without(Phase::Ferrite), Mobile::All);
        let mut cementite = set(PhaseSet::CEMENTITE_ONLY);
        let mut chromium = set(PhaseSet::STEEL.without(Phase::Cementite));
        let factor = AlloyFactor::new(composition)?;
        let mut lines = Self {
            ratios: Ratios {
                graphite: [0.0; KNOTS],
                cementite: [0.0; KNOTS],
                chromium: [0.0; KNOTS],
            },
            chromium: [Phase::M7c3; KNOTS],
            factor,
        };
        // From above, each from the last.
        for k in (0..KNOTS).rev() {
            let t_k = KNOTS_K[k];
            let again = k + 1 < KNOTS;
            let ln_plain = ln(cementite_y(t_k) * factor.u_per_y);
            let ratios = &mut lines.ratios;
            cementite.fill(t_k);
            let guess = ln_plain + expected(&ratios.cementite, k);
            let (first, _) = carbide_ln_u(&mut cementite, guess, LN_MOST_U, again)?;
            ratios.cementite[k] = first - ln_plain;
            chromium.fill(t_k);
            let guess = ln_plain + expected(&ratios.chromium, k);
            let most = (first + FAR).min(LN_MOST_U);
            let (second, phase) = carbide_ln_u(&mut chromium, guess, most, again)?;
            ratios.chromium[k] = second - ln_plain;
            lines.chromium[k] = phase;
            let austenite = AusteniteCarbon::at(composition, Temperature::from_k(t_k))?.value;
            let graphite = austenite
                .carbon_of_activity(1.0)
                .ok_or(EquilibriumFailure::NoSaturation)?;
            ratios.graphite[k] = ln(to_site_fraction(graphite.to_wt_pct()) / graphite_y(t_k));
        }
        Ok(lines)
    }
}

/// What the two points above a point of a line lead to expect.
fn expected(line: &[f64; KNOTS], k: usize) -> f64 {
    match KNOTS - 1 - k {
        0 => 0.0,
        1 => line[k + 1],
        _ => {
            let slope = (line[k + 2] - line[k + 1]) / (KNOTS_K[k + 2] - KNOTS_K[k + 1]);
            line[k + 1] + slope * (KNOTS_K[k] - KNOTS_K[k + 1])
        }
    }
}

/// ln u at which the first carbide of the search appears, at the temperature it is filled with;
/// the end of what is searched where it appears with the first carbon or not at all.
fn carbide_ln_u(
    search: &mut Search,
    guess: f64,
    most: f64,
    mut again: bool,
) -> Result<(f64, Phase), EquilibriumFailure> {
    // Where the carbide is known to lack energy, and where not.
    let (mut low, mut high) = (None, None);
    let mut x = guess.clamp(LN_LEAST_U, most);
    let mut before: Option<(f64, f64)> = None;
    for _ in 0..ROUNDS {
        let (lack, phase) = search.carbide_lack(exp(x), again)?;
        again = true;
        if (lack > 0.0 && x >= most) || (lack <= 0.0 && x <= LN_LEAST_U) {
            return Ok((x, phase));
        }
        if lack > 0.0 {
            low = Some(x);
        } else {
            high = Some(x);
        }
        let slope = before
            .map(|(at, was)| (lack - was) / (x - at))
            .filter(|slope| *slope < 0.0)
            .unwrap_or(FIRST_SLOPE);
        before = Some((x, lack));
        // Tripling and thirding is as far as a slope is trusted.
        let mut next = (x - (lack / slope).clamp(-1.1, 1.1)).clamp(LN_LEAST_U, most);
        if let (Some(low), Some(high)) = (low, high)
            && !(next > low && next < high)
        {
            next = 0.5 * (low + high);
        }
        if (next - x).abs() < WIDTH {
            return Ok((next, phase));
        }
        x = next;
    }
    Err(EquilibriumFailure::NotSettled {
        temperature_k: search.t_k,
        rounds: ROUNDS,
        change: x,
    })
}

#[cfg(test)]
#[path = "saturation_tests.rs"]
mod tests;
