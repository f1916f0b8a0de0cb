//! Temperatures at which austenite begins to form or to break up, from composition.
//!
//! **What** Regression formulas for Ac1, Ac3, Ae1, Ae3, Bs and Ms. They are printed beside the
//! equilibrium model as a second opinion and start the kinetics of `decomposition`; the Ms used in
//! a case is the one of `martensite_start`.
//!
//! **Equation** Linear in the contents, except Ac3 (square root of C), the product Ms of Andrews
//! (C², C·Mn, C·Cr) and the Bs of van Bohemen (exponential in C). Written out in each function.
//!
//! **Symbols** Contents in wt%; results in °C except Grange's, which are in °F in the source and
//! converted on the way out.
//!
//! **Source** `andrews-1965`; `steven-haynes-1956`; `van-bohemen-2012`; `grange-1961`;
//! `kirkaldy-venugopalan-1984`; `li-1998`. All recalled, not re-read, except the linear Ms of
//! Andrews, which was seen quoted.
//!
//! **Valid for** Low-alloy steels: C to 0.6, Mn to 2, Si to 1, Ni to 5, Cr to 3, Mo to 1 wt%
//! (van Bohemen's Bs to 1.0 wt% C). Outside, the value comes with a remark.
//!
//! **Weak where** Ac3 and Ae3 say nothing above the eutectoid, where carbide and not ferrite is the
//! last to go. Linear Ms formulas fall far too low in a case.
//!
//! **Checked by** `far_outside_stays_a_temperature`, rows `transformation-*`.

use casewright_terms::{Composition, Element, Remark, Temperature, Valued};

use crate::numerics::fun;

/// Upper limits of a fit, in wt%.
pub(crate) struct Limits(pub(crate) &'static [(Element, f64)]);

/// What these regressions were made on, common to all of them here.
pub(crate) const LOW_ALLOY: Limits = Limits(&[
    (Element::C, 0.6),
    (Element::Mn, 2.0),
    (Element::Si, 1.0),
    (Element::Ni, 5.0),
    (Element::Cr, 3.0),
    (Element::Mo, 1.0),
]);

/// van Bohemen's exponential carbon term holds further out.
pub(crate) const TO_ONE_CARBON: Limits = Limits(&[
    (Element::C, 1.0),
    (Element::Mn, 3.0),
    (Element::Si, 2.0),
    (Element::Ni, 5.0),
    (Element::Cr, 3.5),
    (Element::Mo, 1.5),
]);

impl Limits {
    /// One remark that lists every element above its limit, or none.
    pub(crate) fn remark(
        &self,
        code: &'static str,
        what: &str,
        composition: &Composition,
    ) -> Option<Remark> {
        let over: Vec<String> = self
            .0
            .iter()
            .filter(|(element, limit)| composition.wt_pct(*element) > *limit)
            .map(|(element, limit)| {
                format!(
                    "{} {} % (fit to {limit} %)",
                    element.symbol(),
                    casewright_terms::quantity::format_trimmed(composition.wt_pct(*element), 3)
                )
            })
            .collect();
        (!over.is_empty()).then(|| {
            Remark::new(
                code,
                format!("{what} is extrapolated: {}.", over.join(", ")),
            )
        })
    }
}

/// A content above this many times what a fit was made on is not extrapolated to but left out: the
/// steels of the trade with most alloy (9310 with 3.25 % Ni beside 1.5) stay inside, stainless
/// ones are outside. [trade-practice]
const FAR: f64 = 2.5;

impl Limits {
    /// A remark that a value is not given, where the steel is far outside the fit.
    pub(crate) fn withheld(&self, what: &str, composition: &Composition) -> Option<Remark> {
        let far: Vec<String> = self
            .0
            .iter()
            .filter(|(element, limit)| composition.wt_pct(*element) > FAR * limit)
            .map(|(element, limit)| {
                let content = composition.wt_pct(*element);
                let content = casewright_terms::quantity::format_trimmed(content, 3);
                format!("{} {content} % (fit to {limit} %)", element.symbol())
            })
            .collect();
        (!far.is_empty()).then(|| {
            Remark::new(
                "value-withheld",
                format!(
                    "{what} not given: the steel is too far from what the fit was made on, {}.",
                    far.join(", ")
                ),
            )
        })
    }
}

/// Turns a regression's degrees Celsius into a temperature; far outside the fit a linear formula
/// can fall below absolute zero, which is cut off and said.
pub(crate) fn point(celsius: f64, remarks: Vec<Remark>) -> Valued<Temperature> {
    let floor = Temperature::from_k(0.0);
    let mut valued = Valued {
        value: floor,
        remarks,
    };
    if celsius < floor.to_c() {
        valued.remarks.push(Remark::new(
            "below-absolute-zero",
            format!("The formula gives {celsius:.0} °C, which does not exist; 0 K is returned."),
        ));
    } else {
        valued.value = Temperature::from_c(celsius);
    }
    valued
}

fn low_alloy(what: &str, composition: &Composition, celsius: f64) -> Valued<Temperature> {
    let remark = LOW_ALLOY.remark("transformation-outside-fit", what, composition);
    point(celsius, remark.into_iter().collect())
}

/// Sum of coefficient × content.
pub(crate) fn linear(composition: &Composition, terms: &[(Element, f64)]) -> f64 {
    terms
        .iter()
        .map(|(element, coefficient)| coefficient * composition.wt_pct(*element))
        .sum()
}

use Element::{Al, C, Cr, Cu, Mn, Mo, Ni, P, Si, Ti, V, W};

/// Ac1, austenite begins on heating. [andrews-1965]
#[must_use]
pub fn ac1_andrews(composition: &Composition) -> Valued<Temperature> {
    let t = 723.0
        + linear(
            composition,
            &[(Mn, -10.7), (Ni, -16.9), (Si, 29.1), (Cr, 16.9), (W, 6.38)],
        );
    low_alloy("Andrews' Ac1", composition, t)
}

/// Ac3, the last ferrite goes on heating, with all terms held. [andrews-1965]
#[must_use]
pub fn ac3_andrews(composition: &Composition) -> Valued<Temperature> {
    let small = linear(
        composition,
        &[
            (Mn, -30.0),
            (Cr, -11.0),
            (Cu, -20.0),
            (P, 700.0),
            (Al, 400.0),
            (Ti, 400.0),
        ],
    );
    low_alloy("Andrews' Ac3", composition, ac3_main_c(composition) + small)
}

/// Ac3 with the main terms only (C, Ni, Si, V, Mo, W), as the formula is often quoted: 20 to 40 K
/// higher than [`ac3_andrews`]. [andrews-1965]
#[must_use]
pub fn ac3_andrews_main_terms(composition: &Composition) -> Valued<Temperature> {
    low_alloy(
        "Andrews' Ac3 with the main terms",
        composition,
        ac3_main_c(composition),
    )
}

fn ac3_main_c(composition: &Composition) -> f64 {
    910.0 - 203.0 * fun::sqrt(composition.wt_pct(C))
        + linear(
            composition,
            &[(Ni, -15.2), (Si, 44.7), (V, 104.0), (Mo, 31.5), (W, 13.1)],
        )
}

/// Ms, linear form. [andrews-1965]
#[must_use]
pub fn ms_andrews_linear(composition: &Composition) -> Valued<Temperature> {
    let t = 539.0
        + linear(
            composition,
            &[
                (C, -423.0),
                (Mn, -30.4),
                (Ni, -17.7),
                (Cr, -12.1),
                (Mo, -7.5),
            ],
        );
    low_alloy("Andrews' linear Ms", composition, t)
}

/// Ms, product form. [andrews-1965]
#[must_use]
pub fn ms_andrews_product(composition: &Composition) -> Valued<Temperature> {
    let c = composition.wt_pct(C);
    let t = 512.0
        + linear(
            composition,
            &[(C, -453.0), (Ni, -16.9), (Cr, 15.0), (Mo, -9.5)],
        )
        + 217.0 * c * c
        - 71.5 * c * composition.wt_pct(Mn)
        - 67.6 * c * composition.wt_pct(Cr);
    low_alloy("Andrews' product Ms", composition, t)
}

/// Ms. [steven-haynes-1956]
#[must_use]
pub fn ms_steven_haynes(composition: &Composition) -> Valued<Temperature> {
    let t = 561.0
        + linear(
            composition,
            &[
                (C, -474.0),
                (Mn, -33.0),
                (Cr, -17.0),
                (Ni, -17.0),
                (Mo, -21.0),
            ],
        );
    low_alloy("Steven and Haynes' Ms", composition, t)
}

/// Bs. [steven-haynes-1956]
#[must_use]
pub fn bs_steven_haynes(composition: &Composition) -> Valued<Temperature> {
    let t = 830.0
        + linear(
            composition,
            &[
                (C, -270.0),
                (Mn, -90.0),
                (Ni, -37.0),
                (Cr, -70.0),
                (Mo, -83.0),
            ],
        );
    low_alloy("Steven and Haynes' Bs", composition, t)
}

/// Bs with an exponential carbon term. [van-bohemen-2012]
#[must_use]
pub fn bs_van_bohemen(composition: &Composition) -> Valued<Temperature> {
    let t = 839.0
        + linear(
            composition,
            &[
                (Mn, -86.0),
                (Si, -23.0),
                (Cr, -67.0),
                (Ni, -33.0),
                (Mo, -75.0),
            ],
        )
        - 270.0 * (1.0 - fun::exp(-1.33 * composition.wt_pct(C)));
    let remark = TO_ONE_CARBON.remark(
        "transformation-outside-fit",
        "van Bohemen's Bs",
        composition,
    );
    point(t, remark.into_iter().collect())
}

/// Bs that belongs to the kinetics of Kirkaldy and Venugopalan. [kirkaldy-venugopalan-1984]
#[must_use]
pub fn bs_kirkaldy(composition: &Composition) -> Valued<Temperature> {
    let t = 656.0
        + linear(
            composition,
            &[
                (C, -58.0),
                (Mn, -35.0),
                (Si, -75.0),
                (Ni, -15.0),
                (Cr, -34.0),
                (Mo, -41.0),
            ],
        );
    low_alloy("Kirkaldy's Bs", composition, t)
}

/// Bs that belongs to the kinetics of Li et al. [li-1998]
#[must_use]
pub fn bs_li(composition: &Composition) -> Valued<Temperature> {
    let t = 637.0
        + linear(
            composition,
            &[
                (C, -58.0),
                (Mn, -35.0),
                (Ni, -15.0),
                (Cr, -34.0),
                (Mo, -41.0),
            ],
        );
    low_alloy("Li's Bs", composition, t)
}

/// Ae1, equilibrium. [grange-1961]; the source is in °F.
#[must_use]
pub fn ae1_grange(composition: &Composition) -> Valued<Temperature> {
    let f = 1333.0
        + linear(
            composition,
            &[(Mn, -25.0), (Si, 40.0), (Cr, 42.0), (Ni, -26.0)],
        );
    low_alloy("Grange's Ae1", composition, fahrenheit_to_celsius(f))
}

/// Ae3, equilibrium. [grange-1961]; the source is in °F.
#[must_use]
pub fn ae3_grange(composition: &Composition) -> Valued<Temperature> {
    let f = 1570.0
        + linear(
            composition,
            &[
                (C, -323.0),
                (Mn, -25.0),
                (Si, 80.0),
                (Cr, -3.0),
                (Ni, -32.0),
            ],
        );
    low_alloy("Grange's Ae3", composition, fahrenheit_to_celsius(f))
}

fn fahrenheit_to_celsius(f: f64) -> f64 {
    Temperature::from_f(f).to_c()
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use casewright_terms::WeightPercent;

    /// Nominal compositions of the worked table.
    pub(crate) fn nominal(name: &str) -> Composition {
        crate::verify::laws::nominal(name)
    }

    #[test]
    fn the_range_is_said() {
        let case = nominal("8620").with_carbon(WeightPercent::from_wt_pct(0.9));
        assert_eq!(
            ac3_andrews(&case).remarks[0].code,
            "transformation-outside-fit"
        );
        assert!(ac3_andrews(&nominal("8620")).remarks.is_empty());
        assert!(bs_van_bohemen(&case).remarks.is_empty());
    }

    #[test]
    fn far_outside_stays_a_temperature() {
        let strange = Composition::new(&[(Mn, WeightPercent::from_wt_pct(50.0))]).unwrap();
        let bs = bs_steven_haynes(&strange);
        assert_eq!(bs.value.to_k(), 0.0);
        assert!(bs.remarks.iter().any(|r| r.code == "below-absolute-zero"));
    }

    #[test]
    fn the_small_terms_lower_the_line_with_manganese() {
        // 0.80 Mn × 30 + 0.50 Cr × 11 = 29.5 K less; exact arithmetic.
        let steel = nominal("8620");
        let step = ac3_andrews_main_terms(&steel).value - ac3_andrews(&steel).value;
        assert!((step.to_k() - 29.5).abs() < 1e-9);
    }
}
