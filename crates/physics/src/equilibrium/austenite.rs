//! Carbon in austenite alone: its activity, its thermodynamic factor, its saturation.
//!
//! The carbon of this file is the u-fraction `y`, carbon atoms for each substitutional atom, which
//! in austenite is the site fraction. With the metals fixed, ln a = ln(y/(1−y)) + p + q·y, where p
//! and q depend on temperature and steel; so the hot loops of diffusion need two numbers only.

use casewright_terms::{Composition, Remark, Temperature, Valued, WeightPercent};

use super::assessment::{assessment, powers, value};
use super::component::{Amounts, validity};
use super::energy::{Filled, Fractions, GAS_CONSTANT, Mobile};
use super::solve::Search;
use super::{EquilibriumFailure, Phase, PhaseSet, check};
use crate::numerics::fun::ln;
use crate::numerics::root::brent;

/// Greatest u-fraction that is searched: 5 wt% carbon, far above any saturation.
const MOST_Y: f64 = 0.25;
/// Saturation is found to this width in y: 1e-9 wt%.
const WIDTH_Y: f64 = 1e-12;

/// Carbon in the austenite of one steel at one temperature.
#[derive(Clone, Copy, Debug)]
pub struct AusteniteCarbon {
    /// p, with graphite as reference.
    constant: f64,
    /// q.
    slope: f64,
    amounts: Amounts,
}

impl AusteniteCarbon {
    /// Prepares a steel at a temperature; its own carbon does not matter.
    ///
    /// # Errors
    /// The temperature or the steel lies outside the tables.
    pub fn at(
        composition: &Composition,
        temperature: Temperature,
    ) -> Result<Valued<Self>, EquilibriumFailure> {
        check(composition, temperature)?;
        Ok(Valued {
            value: Self::new(&Amounts::of(composition), temperature.to_k()),
            remarks: validity(composition),
        })
    }

    fn new(amounts: &Amounts, t_k: f64) -> Self {
        let template = super::template(Phase::Austenite, amounts.alloying, Mobile::Carbon)
            .expect("austenite has site fractions");
        let powers = powers(t_k);
        let graphite = value(&assessment().graphite, &powers) / (GAS_CONSTANT * t_k);
        let mut filled = Filled::default();
        template.at(&powers, &mut filled);
        let metals = amounts.alloying.count() - 1;
        let carbon = amounts.mole_fraction[metals];
        // Two points inside the range of steels; the model is linear between them but for the
        // magnetic term of austenite, which is below 1e-5.
        let excess = |y: f64| {
            let mut fractions = Fractions::default();
            for (i, component) in template.component.iter().enumerate() {
                fractions[i] = match component {
                    None => 1.0 - y,
                    Some(c) if *c == metals => y,
                    Some(c) => amounts.mole_fraction[*c] / (1.0 - carbon),
                };
            }
            template.expand(&filled, &fractions).gradient[0] - ln(y / (1.0 - y))
        };
        const LOW: f64 = 0.01;
        const HIGH: f64 = 0.06;
        let (low, high) = (excess(LOW), excess(HIGH));
        let slope = (high - low) / (HIGH - LOW);
        Self {
            constant: low - slope * LOW - graphite,
            slope,
            amounts: *amounts,
        }
    }

    /// ln of the activity against graphite at a u-fraction between 0 and 1.
    #[must_use]
    pub fn ln_activity(&self, y: f64) -> f64 {
        ln(y / (1.0 - y)) + self.constant + self.slope * y
    }

    /// Thermodynamic factor d ln a / d ln y.
    #[must_use]
    pub fn factor(&self, y: f64) -> f64 {
        1.0 / (1.0 - y) + self.slope * y
    }

    /// The numbers p and q of ln a = ln(y/(1−y)) + p + q·y.
    #[must_use]
    pub fn coefficients(&self) -> (f64, f64) {
        (self.constant, self.slope)
    }

    /// Activity against graphite at a carbon content; zero without carbon.
    #[must_use]
    pub fn activity(&self, carbon: WeightPercent) -> f64 {
        if carbon.to_wt_pct() <= 0.0 {
            return 0.0;
        }
        crate::numerics::fun::exp(self.ln_activity(self.u_fraction(carbon)))
    }

    /// The u-fraction of a carbon content in this steel, the ratios of the metals kept.
    #[must_use]
    pub fn u_fraction(&self, carbon: WeightPercent) -> f64 {
        self.amounts.u_fraction_of(carbon.to_wt_pct())
    }

    /// The carbon content of a u-fraction.
    #[must_use]
    pub fn carbon(&self, y: f64) -> WeightPercent {
        WeightPercent::from_wt_pct(self.amounts.carbon_wt_pct(y))
    }

    /// The carbon content that has an activity; `None` where that needs more than 5 wt%.
    #[must_use]
    pub fn carbon_of_activity(&self, activity: f64) -> Option<WeightPercent> {
        if !(activity.is_finite() && activity >= 0.0) {
            return None;
        }
        if activity == 0.0 {
            return Some(WeightPercent::ZERO);
        }
        let wanted = ln(activity);
        // The activity rises with carbon wherever austenite does not unmix, which no steel does.
        brent(1e-12, MOST_Y, WIDTH_Y, |y| self.ln_activity(y) - wanted)
            .ok()
            .map(|y| self.carbon(y))
    }
}

/// Where austenite stops dissolving carbon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturation {
    /// Carbon of the saturated austenite.
    pub carbon: WeightPercent,
    /// The phase it is saturated with.
    pub phase: Phase,
}

/// Carbon of austenite in equilibrium with graphite (activity 1): the limit of charcoal.
///
/// # Errors
/// The temperature or the steel lies outside the tables.
pub fn saturation_graphite(
    composition: &Composition,
    temperature: Temperature,
) -> Result<Valued<Saturation>, EquilibriumFailure> {
    let austenite = AusteniteCarbon::at(composition, temperature)?;
    let found = austenite.value.carbon_of_activity(1.0);
    let found = found.map(|carbon| Saturation {
        carbon,
        phase: Phase::Graphite,
    });
    saturation(found, austenite.remarks)
}

/// Carbon at which the first carbide of the set appears in austenite with the metals of the steel.
///
/// # Errors
/// The temperature or the steel lies outside the tables, or the set has no carbide.
pub fn saturation_carbide(
    composition: &Composition,
    temperature: Temperature,
    set: PhaseSet,
) -> Result<Valued<Saturation>, EquilibriumFailure> {
    check(composition, temperature)?;
    let set = set
        .with(Phase::Austenite)
        .without(Phase::Ferrite)
        .without(Phase::Graphite);
    let mut search = Search::new(Amounts::of(composition), set, Mobile::All);
    search.fill(temperature.to_k());
    let mut failure = None;
    let mut phase = Phase::Cementite;
    let root = brent(1e-7, MOST_Y, WIDTH_Y, |y| {
        match search.carbide_lack(y, false) {
            Ok((lack, nearest)) => {
                phase = nearest;
                // No carbide in the set: no change of sign, and so no root.
                lack.min(1.0)
            }
            Err(why) => {
                failure = Some(why);
                f64::NAN
            }
        }
    });
    if let Some(why) = failure {
        return Err(why);
    }
    let found = root.ok().map(|y| Saturation {
        carbon: WeightPercent::from_wt_pct(search.amounts.carbon_wt_pct(y)),
        phase,
    });
    saturation(found, validity(composition))
}

fn saturation(
    found: Option<Saturation>,
    remarks: Vec<Remark>,
) -> Result<Valued<Saturation>, EquilibriumFailure> {
    found
        .map(|value| Valued { value, remarks })
        .ok_or(EquilibriumFailure::NoSaturation)
}
