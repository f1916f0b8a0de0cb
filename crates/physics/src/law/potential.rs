//! **What**: how alloying shifts the carbon a steel takes at a given carbon potential.
//!
//! **Equation**: `log10(Cₚ/C) = 0.055 Si − 0.013 Mn − 0.040 Cr + 0.014 Ni − 0.013 Mo`.
//!
//! **Symbols**: `Cₚ` carbon of a pure iron foil in equilibrium with the medium, wt%; `C` carbon
//! of the steel in equilibrium with the same medium, wt%; element symbols wt%.
//!
//! **Source**: `gunnarson-1967`, recalled, not re-read: sure of the form, less of the digits.
//!
//! **Valid for**: low-alloy carburizing steels near 900 to 950 °C; we say so above 2 Si, 2 Mn,
//! 2 Cr, 4.5 Ni and 1 Mo wt% (assumed limits of "low-alloy").
//!
//! **Weak where**: published variants differ by 2 to 4 % of the carbon (chromium −0.057 is also
//! found); it says nothing on where carbide forms, which chromium and manganese make easier.
//!
//! **Checked by**: `val_worked_factors`; rows `alloy-*` of the accuracy table.

use casewright_terms::{Composition, Element, Remark, Valued, WeightPercent};

use crate::numerics::fun::exp10;

/// Element, coefficient, and limit of what we call low-alloy (wt%). [gunnarson-1967]
const TERMS: [(Element, f64, f64); 5] = [
    (Element::Si, 0.055, 2.0),
    (Element::Mn, -0.013, 2.0),
    (Element::Cr, -0.040, 2.0),
    (Element::Ni, 0.014, 4.5),
    (Element::Mo, -0.013, 1.0),
];

/// Carbon of this steel ÷ carbon of pure iron in the same medium.
#[must_use]
pub fn gunnarson_1967(steel: &Composition) -> Valued<f64> {
    let sum: f64 = TERMS.iter().map(|(e, k, _)| k * steel.wt_pct(*e)).sum();
    let beyond: Vec<String> = TERMS
        .iter()
        .filter(|(e, _, limit)| steel.wt_pct(*e) > *limit)
        .map(|(e, _, limit)| format!("{} {:.2} wt% (up to {limit})", e.symbol(), steel.wt_pct(*e)))
        .collect();
    let value = exp10(-sum);
    if beyond.is_empty() {
        Valued::inside(value)
    } else {
        let text = format!(
            "alloy correction of the carbon potential used beyond low-alloy steel: {}",
            beyond.join(", ")
        );
        Valued::with(value, Remark::new("alloy-potential-outside-range", text))
    }
}

/// Carbon of this steel in equilibrium with a medium of the given potential (pure-iron basis).
#[must_use]
pub fn steel_carbon(potential: WeightPercent, steel: &Composition) -> Valued<WeightPercent> {
    let factor = gunnarson_1967(steel);
    Valued {
        value: potential * factor.value,
        remarks: factor.remarks,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn steel(contents: &[(Element, f64)]) -> Composition {
        let contents: Vec<_> = contents
            .iter()
            .map(|(e, v)| (*e, WeightPercent::from_wt_pct(*v)))
            .collect();
        Composition::new(&contents).unwrap()
    }

    /// Worked values of 8620, 1018 and 9310; three decimals are quoted.
    #[test]
    fn val_worked_factors() {
        use Element::{Cr, Mn, Mo, Ni, Si};
        let cases = [
            (
                steel(&[(Mn, 0.80), (Si, 0.25), (Ni, 0.55), (Cr, 0.50), (Mo, 0.20)]),
                1.027,
            ),
            (steel(&[(Mn, 0.75), (Si, 0.20)]), 0.997),
            (
                steel(&[(Mn, 0.55), (Si, 0.25), (Ni, 3.25), (Cr, 1.20), (Mo, 0.11)]),
                0.994,
            ),
        ];
        for (steel, factor) in cases {
            let ours = gunnarson_1967(&steel);
            assert!(
                (ours.value - factor).abs() < 6e-4,
                "{} for {factor}",
                ours.value
            );
            assert!(ours.remarks.is_empty());
        }
        let plain = Composition::plain(WeightPercent::from_wt_pct(0.2));
        assert_eq!(gunnarson_1967(&plain).value, 1.0);
        let tool = gunnarson_1967(&steel(&[(Cr, 12.0)]));
        assert_eq!(tool.remarks[0].code, "alloy-potential-outside-range");
    }
}
