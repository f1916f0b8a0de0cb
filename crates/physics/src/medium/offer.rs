//! What a steel makes of an activity: the carbon of its austenite that has it.
//!
//! By the sublattice model (`equilibrium::AusteniteCarbon`) where the steel and the temperatures
//! lie in its tables, else by plain iron and Gunnarson's factor, with a remark. Saturation is not
//! seen here: more than austenite holds is for the engine to cap.

use casewright_terms::{Composition, Remark, SourceKey, Temperature, Valued, WeightPercent};

use crate::equilibrium::AusteniteCarbon;
use crate::law::carbon_activity::{ln_activity, to_site_fraction, to_wt_pct};
use crate::law::potential::gunnarson_1967;
use crate::numerics::fun::{exp, ln};

/// Constants of `ln a = ln(u/(1 − u)) + p + q u`, with the engine's site fraction `y = ratio u`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub constant: f64,
    pub slope: f64,
}

/// A steel's answer to activities over a range of temperatures.
#[derive(Clone, Debug)]
pub(crate) struct SteelCarbon<'c> {
    composition: &'c Composition,
    by_equilibrium: bool,
    /// Engine's site fraction over the u of the line.
    pub ratio: f64,
    pub remarks: Vec<Remark>,
}

impl<'c> SteelCarbon<'c> {
    /// Decides for a range of temperatures which description is used.
    pub(crate) fn between(composition: &'c Composition, low_k: f64, high_k: f64) -> Self {
        let (low, high) = (Temperature::from_k(low_k), Temperature::from_k(high_k));
        let ends = (
            AusteniteCarbon::at(composition, low),
            AusteniteCarbon::at(composition, high),
        );
        match ends {
            (Ok(_), Ok(austenite)) => {
                // Any u serves: with the ratios of the metals kept the two measures are
                // proportional.
                const U: f64 = 0.04;
                let wt_pct = austenite.value.carbon(U).to_wt_pct();
                Self {
                    composition,
                    by_equilibrium: true,
                    ratio: to_site_fraction(wt_pct) / U,
                    remarks: austenite.remarks,
                }
            }
            (Err(why), _) | (_, Err(why)) => {
                let factor = gunnarson_1967(composition);
                let mut remarks = vec![Remark::new(
                    "medium-alloy-by-factor",
                    format!(
                        "what this steel takes of the medium was found by Gunnarson's factor \
                         {:.3} on plain iron: {why}",
                        factor.value
                    ),
                )];
                remarks.extend(factor.remarks);
                Self {
                    composition,
                    by_equilibrium: false,
                    ratio: factor.value,
                    remarks,
                }
            }
        }
    }

    /// The line at a temperature within the range.
    pub(crate) fn line(&self, t_k: f64) -> Line {
        if self.by_equilibrium
            && let Ok(austenite) = AusteniteCarbon::at(self.composition, Temperature::from_k(t_k))
        {
            let (constant, slope) = austenite.value.coefficients();
            return Line { constant, slope };
        }
        // Plain iron [gustafson-1985]: linear in u beside ln(u/(1 − u)), so two points give it.
        let excess = |u: f64| ln_activity(t_k, u) - ln(u / (1.0 - u));
        let (low, high) = (excess(0.01), excess(0.06));
        let slope = (high - low) / 0.05;
        Line {
            constant: low - 0.01 * slope,
            slope,
        }
    }

    /// Keys behind the description in use.
    pub(crate) fn sources(&self) -> Vec<SourceKey> {
        if self.by_equilibrium {
            crate::equilibrium::sources().to_vec()
        } else {
            vec!["gustafson-1985", "gunnarson-1967"]
        }
    }
}

impl Line {
    /// ln a of a u-fraction.
    pub(crate) fn ln_activity(&self, u: f64) -> f64 {
        ln(u / (1.0 - u)) + self.constant + self.slope * u
    }

    /// The u-fraction of an activity, but no more than `most`.
    ///
    /// Newton in ln u, from the rich side: `ln a` against `ln u` is convex (its slope
    /// 1/(1 − u) + q u only grows), so every step stays on that side and none overshoots.
    pub(crate) fn u(&self, ln_activity: f64, most: f64) -> f64 {
        if self.ln_activity(most) <= ln_activity {
            return most;
        }
        let mut log_u = ln(most);
        for _ in 0..60 {
            let u = exp(log_u);
            let step = (self.ln_activity(u) - ln_activity) / (1.0 / (1.0 - u) + self.slope * u);
            log_u -= step;
            if step.abs() < 1e-14 {
                break;
            }
        }
        exp(log_u)
    }
}

/// Greatest carbon that is looked for, as u: 5 wt%, far above any saturation.
const MOST_U: f64 = 0.25;

/// Carbon of this steel's austenite at an activity against graphite; 5 wt% stands for more.
///
/// `None` where the activity is negative or not finite.
#[must_use]
pub fn carbon(
    steel: &Composition,
    temperature: Temperature,
    activity: f64,
) -> Option<Valued<WeightPercent>> {
    if !(activity.is_finite() && activity >= 0.0) {
        return None;
    }
    let t = temperature.to_k();
    let of_steel = SteelCarbon::between(steel, t, t);
    let u = if activity > 0.0 {
        of_steel.line(t).u(ln(activity), MOST_U)
    } else {
        0.0
    };
    Some(Valued {
        value: WeightPercent::from_wt_pct(to_wt_pct(of_steel.ratio * u)),
        remarks: of_steel.remarks,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::carbon_activity::gustafson_1985;
    use crate::matter::steel;
    use casewright_terms::Element;

    fn w(x: f64) -> WeightPercent {
        WeightPercent::from_wt_pct(x)
    }

    /// Plain iron gives back the carbon the activity was made from. The two descriptions of plain
    /// iron (law and tables) differ by 2e-4 in the activity.
    #[test]
    fn val_plain_iron_goes_both_ways() {
        let plain = Composition::plain(w(0.2));
        for c in [800.0, 927.0, 1000.0] {
            for wt in [0.05, 0.4, 0.8, 1.1] {
                let t = Temperature::from_c(c);
                let a = gustafson_1985(t, w(wt)).value;
                let back = carbon(&plain, t, a).unwrap().value.to_wt_pct();
                assert!((back / wt - 1.0).abs() < 4e-4, "{c} {wt}: {back}");
            }
        }
        assert_eq!(
            carbon(&plain, Temperature::from_c(900.0), 0.0)
                .unwrap()
                .value,
            w(0.0)
        );
        assert!(carbon(&plain, Temperature::from_c(900.0), f64::NAN).is_none());
    }

    /// The sublattice model and its own root finder agree to rounding; Gunnarson stands beside
    /// it with the spread of his variants, 4 %.
    #[test]
    fn val_alloy_steel_takes_what_its_austenite_says() {
        let t = Temperature::from_c(927.0);
        let a = gustafson_1985(t, w(0.9)).value;
        for grade in ["8620", "9310", "16MnCr5"] {
            let steel = steel::find(grade).unwrap().middle();
            let ours = carbon(&steel, t, a).unwrap().value.to_wt_pct();
            let own = AusteniteCarbon::at(&steel, t).unwrap().value;
            let direct = own.carbon_of_activity(a).unwrap().to_wt_pct();
            assert!((ours - direct).abs() < 1e-8, "{grade}: {ours} {direct}");
            let factor = 0.9 * gunnarson_1967(&steel).value;
            assert!(
                (ours / factor - 1.0).abs() < 0.04,
                "{grade}: {ours} {factor}"
            );
        }
    }

    #[test]
    fn a_steel_outside_the_tables_comes_with_a_remark() {
        let odd = Composition::new(&[(Element::C, w(0.2)), (Element::Cr, w(45.0))]).unwrap();
        let found = carbon(&odd, Temperature::from_c(927.0), 0.5).unwrap();
        assert!(
            found
                .remarks
                .iter()
                .any(|r| r.code == "medium-alloy-by-factor"),
            "{:?}",
            found.remarks
        );
    }
}
