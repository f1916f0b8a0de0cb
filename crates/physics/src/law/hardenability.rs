//! Hardenability by calculation: ideal diameter, end-quench hardness.
//!
//! **What** DI as a product of factors; hardness of all and of half martensite; the hardness at those
//! end-quench distances whose dividers are known. A cross-check beside the transform model.
//!
//! **Equation** DI = f(C) · (1 + 3.3333 Mn, or 5.10 Mn − 1.12 above 1.20) · (1 + 0.7 Si) ·
//! (1 + 0.363 Ni) · (1 + 2.16 Cr) · (1 + 3.00 Mo) · (1 + 0.365 Cu) · (1 + 1.73 V) inches;
//! IH and H50 fifth-degree polynomials of C; J(n) = IH / divider(n, DI).
//!
//! **Symbols** Contents in wt%; DI in inches in the formulas; IH, H50, J in HRC; n in sixteenths of
//! an inch from the quenched end.
//!
//! **Source** `astm-a255`: recalled, checked for continuity of f(C) and against the standard's integer
//! table of IH. Only the dividers of J2, J3, J4 and J6 are recalled reliably; J5 and J7 to J32 are
//! not given. Grain other than 7: 8 % per number, a recalled rule of Grossmann.
//!
//! **Valid for** C 0.10–0.70, Mn 0.50–1.65, Si 0.15–0.60, Ni to 1.50, Cr to 1.35, Mo to 0.55 wt%;
//! no boron. Outside, a remark.
//!
//! **Weak where** Additive factors overstate rich steels; boron steels are not covered; a case's DI
//! by the extended f(C) is a guide only.
//!
//! **Checked by** `val_initial_hardness_table`, `factors_join`, `val_worked_8620`, rows
//! `hardenability-*`.

use casewright_terms::{
    Composition, Element, Hardness, Length, Remark, Scale, Valued, WeightPercent,
};

use super::transformation_temperature::Limits;
use crate::numerics::fun;

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 1] = ["astm-a255"];

/// End-quench distances, in sixteenths of an inch, whose divider is known.
pub const KNOWN_SIXTEENTHS: [u8; 5] = [1, 2, 3, 4, 6];

/// A point of the end-quench curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JominyPoint {
    /// Distance from the quenched end in sixteenths of an inch.
    pub sixteenths: u8,
    /// Hardness there in HRC, `None` where it is below 20 HRC, which is not a reading.
    pub hrc: Option<f64>,
}

impl JominyPoint {
    /// Distance from the quenched end.
    #[must_use]
    pub fn distance(&self) -> Length {
        Length::from_in(f64::from(self.sixteenths) / 16.0)
    }
}

/// Ideal critical diameter: the bar that has half martensite in its middle when its surface is cooled
/// without limit.
#[must_use]
pub fn ideal_diameter(composition: &Composition, grain_number: f64) -> Valued<Length> {
    let mut remarks = scope_remarks(composition);
    let mut diameter_in = ideal_diameter_in(composition);
    if grain_number != 7.0 {
        let held = grain_number.clamp(0.0, 14.0);
        // Grossmann's carbon factor falls about 8 % per number (recalled).
        diameter_in *= fun::pow(0.92, held - 7.0);
        if held != grain_number {
            remarks.push(Remark::new(
                "hardenability-grain",
                format!("Grain number {grain_number} is held within 0 to 14."),
            ));
        }
    }
    Valued {
        value: Length::from_in(diameter_in),
        remarks,
    }
}

/// Kernel: DI in inches at grain number 7.
#[must_use]
pub fn ideal_diameter_in(composition: &Composition) -> f64 {
    use Element::{Cr, Cu, Mn, Mo, Ni, Si, V};
    let w = |element| composition.wt_pct(element);
    let manganese = if w(Mn) <= 1.20 {
        1.0 + 3.3333 * w(Mn)
    } else {
        5.10 * w(Mn) - 1.12
    };
    // [astm-a255], multiplying factors
    carbon_factor_in(w(Element::C))
        * manganese
        * (1.0 + 0.7 * w(Si))
        * (1.0 + 0.363 * w(Ni))
        * (1.0 + 2.16 * w(Cr))
        * (1.0 + 3.00 * w(Mo))
        * (1.0 + 0.365 * w(Cu))
        * (1.0 + 1.73 * w(V))
}

/// f(C) in inches at grain number 7; above 0.90 % C, where the table ends, the last value.
#[must_use]
pub fn carbon_factor_in(c: f64) -> f64 {
    // [astm-a255]; the pieces are given at two decimals of carbon, so each holds to the next one.
    let c = c.clamp(0.0, 0.90);
    if c < 0.395 {
        0.54 * c
    } else if c < 0.555 {
        0.171 + 0.001 * c + 0.265 * c * c
    } else if c < 0.655 {
        0.115 + 0.268 * c - 0.038 * c * c
    } else if c < 0.755 {
        0.143 + 0.2 * c
    } else {
        0.062 + 0.409 * c - 0.135 * c * c
    }
}

/// Hardness of all martensite at the quenched end.
#[must_use]
pub fn initial_hardness(carbon: WeightPercent) -> Valued<Hardness> {
    hardness(initial_hrc(carbon.to_wt_pct()), carbon)
}

/// Hardness of half martensite.
#[must_use]
pub fn half_martensite_hardness(carbon: WeightPercent) -> Valued<Hardness> {
    hardness(half_martensite_hrc(carbon.to_wt_pct()), carbon)
}

fn hardness(hrc: f64, carbon: WeightPercent) -> Valued<Hardness> {
    let c = carbon.to_wt_pct();
    let remark = (!(0.10..=0.70).contains(&c)).then(|| {
        Remark::new(
            "hardenability-carbon",
            format!("Carbon {c:.2} % is outside 0.10 to 0.70 %; the nearer end is used."),
        )
    });
    Valued {
        value: Hardness::new(Scale::Hrc, hrc),
        remarks: remark.into_iter().collect(),
    }
}

/// Kernel: IH in HRC from wt% C, which is held within the standard's 0.10–0.70 %.
#[must_use]
pub fn initial_hrc(c: f64) -> f64 {
    // [astm-a255]
    polynomial(
        &[35.395, 6.990, 312.330, -821.744, 1015.479, -538.346],
        c.clamp(0.10, 0.70),
    )
}

/// Kernel: H50 in HRC from wt% C, which is held within the standard's 0.10–0.70 %.
#[must_use]
pub fn half_martensite_hrc(c: f64) -> f64 {
    // [astm-a255]
    polynomial(
        &[22.974, 6.214, 356.364, -1091.488, 1464.880, -750.441],
        c.clamp(0.10, 0.70),
    )
}

/// IH ÷ hardness at a distance, for a DI in inches; `None` where the divider is not known.
#[must_use]
pub fn divider(sixteenths: u8, diameter_in: f64) -> Option<f64> {
    // [astm-a255], non-boron; the second number is the DI from which there is no drop.
    let (coefficients, no_drop_from): (&[f64], f64) = match sixteenths {
        1 => return Some(1.0),
        2 => (
            &[4.68961, -11.00832, 13.83314, -8.80283, 2.78698, -0.34880],
            2.1,
        ),
        3 => (
            &[2.34904, -0.28254, -1.42995, 1.16697, -0.33813, 0.03403],
            3.1,
        ),
        4 => (
            &[5.66795, -6.14648, 3.52874, -1.06026, 0.16301, -0.01015],
            4.1,
        ),
        6 => (
            &[4.39436, -2.16072, 0.56027, -0.08145, 0.00840, -0.00053],
            5.0,
        ),
        _ => return None,
    };
    if diameter_in >= no_drop_from {
        return Some(1.0);
    }
    Some(polynomial(coefficients, diameter_in.max(0.0)).max(1.0))
}

/// The points of the end-quench curve that can be given, and remarks on those that cannot.
#[must_use]
pub fn jominy_points(composition: &Composition, grain_number: f64) -> Valued<Vec<JominyPoint>> {
    let mut remarks = Vec::new();
    let diameter = ideal_diameter(composition, grain_number).into_value(&mut remarks);
    let diameter_in = diameter.to_in();
    let initial = initial_hrc(composition.wt_pct(Element::C));
    remarks.push(Remark::new(
        "jominy-points-known",
        "Only J1, J2, J3, J4 and J6 are calculated; the other dividers of the standard are not held.",
    ));
    if diameter_in < 0.7 {
        remarks.push(Remark::new(
            "jominy-low-hardenability",
            format!("DI {diameter_in:.2} in is below the divider tables, which begin near 0.7 in."),
        ));
    }
    let points = KNOWN_SIXTEENTHS
        .into_iter()
        .filter_map(|sixteenths| {
            let hrc = initial / divider(sixteenths, diameter_in)?;
            Some(JominyPoint {
                sixteenths,
                hrc: (hrc >= 20.0).then_some(hrc),
            })
        })
        .collect();
    Valued {
        value: points,
        remarks,
    }
}

/// [`jominy_points`] where the steel is within the standard's scope, nothing but the remarks where it
/// is not: outside, the product of factors is a number and no hardness.
#[must_use]
pub fn in_scope_points(composition: &Composition, grain_number: f64) -> Valued<Vec<JominyPoint>> {
    let remarks = scope_remarks(composition);
    if remarks.is_empty() {
        return jominy_points(composition, grain_number);
    }
    Valued {
        value: Vec::new(),
        remarks,
    }
}

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// The greatest contents that the standard was made for. [astm-a255]
pub(crate) const SCOPE: Limits = Limits(&[
    (Element::C, 0.70),
    (Element::Mn, 1.65),
    (Element::Si, 0.60),
    (Element::Ni, 1.50),
    (Element::Cr, 1.35),
    (Element::Mo, 0.55),
]);

fn scope_remarks(composition: &Composition) -> Vec<Remark> {
    use Element::{B, C, Mn, Si};
    let mut remarks: Vec<Remark> = SCOPE
        .remark(
            "hardenability-above-scope",
            "Calculated hardenability",
            composition,
        )
        .into_iter()
        .collect();
    let below: Vec<&str> = [(C, 0.10), (Mn, 0.50), (Si, 0.15)]
        .into_iter()
        .filter(|(element, least)| composition.wt_pct(*element) < *least)
        .map(|(element, _)| element.symbol())
        .collect();
    if !below.is_empty() {
        remarks.push(Remark::new(
            "hardenability-below-scope",
            format!(
                "Below the scope of the standard (C 0.10, Mn 0.50, Si 0.15 %): {}.",
                below.join(", ")
            ),
        ));
    }
    if composition.wt_pct(B) > 0.0 {
        remarks.push(Remark::new(
            "hardenability-boron",
            "Boron is not counted; a boron steel hardens deeper than this.",
        ));
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::law::transformation_temperature::tests::nominal;

    #[test]
    fn val_initial_hardness_table() {
        // [astm-a255], integer table: half a unit of rounding, and a tenth for the fit.
        let table = [38, 41, 44, 47, 50, 53, 56, 59, 61, 63, 64, 65];
        for (step, printed) in table.into_iter().enumerate() {
            let c = 0.10 + 0.05 * step as f64;
            assert!((initial_hrc(c) - f64::from(printed)).abs() < 0.6, "{c}");
        }
    }

    #[test]
    fn factors_join() {
        // Joins of the pieces as printed differ by at most 1.6 %.
        for join in [0.395, 0.555, 0.655, 0.755] {
            let step = carbon_factor_in(join) / carbon_factor_in(join - 1e-9);
            assert!((step - 1.0).abs() < 0.016, "{join}: {step}");
        }
        // Each divider returns to one at the end of its range, within the 1 % of its last row.
        for (sixteenths, end) in [(2, 2.1), (3, 3.1), (4, 4.1), (6, 5.0)] {
            let divider = divider(sixteenths, end - 1e-9).unwrap();
            assert!((divider - 1.0).abs() < 0.02, "J{sixteenths}: {divider}");
        }
        assert_eq!(divider(5, 2.0), None);
    }

    #[test]
    fn val_worked_8620() {
        // [worked-here]: DI 1.86 in, J1 44.2, J2 43.4, J3 40.3, J4 32.8, J6 23.5; printed to 0.1.
        let points = jominy_points(&nominal("8620"), 7.0);
        let ours: Vec<f64> = points.value.iter().filter_map(|p| p.hrc).collect();
        for (ours, worked) in ours.iter().zip([44.2, 43.4, 40.3, 32.8, 23.5]) {
            assert!((ours - worked).abs() < 0.15, "{ours} {worked}");
        }
        assert_eq!(ours.len(), 5);
    }

    #[test]
    fn a_reading_below_twenty_is_withheld() {
        let points = jominy_points(&nominal("1018"), 7.0);
        assert_eq!(points.value[4].hrc, None);
        assert!(
            points
                .remarks
                .iter()
                .any(|r| r.code == "jominy-low-hardenability")
        );
    }

    #[test]
    fn finer_grain_hardens_less() {
        let steel = nominal("8620");
        assert!(ideal_diameter(&steel, 9.0).value < ideal_diameter(&steel, 7.0).value);
    }
}
