//! How hard each phase is, and a mixture of them.
//!
//! **What** Vickers hardness of untempered martensite to 1.2 wt% C, retained austenite, bainite and
//! ferrite–pearlite from composition and cooling rate.
//!
//! **Equation** Martensite: below 0.10 % C a straight line from 294 HV at zero; 0.10–0.60 % the
//! ASTM A255 initial hardness in HRC, taken to HV by table; above, 910 − (910 − H₆₀) exp(−k (C − 0.6))
//! with k such that the slope is the same on both sides. Maynier with V in °C/h at 700 °C:
//! HV_B = −323 + 185 C + 330 Si + 153 Mn + 65 Ni + 144 Cr + 191 Mo
//!      + (89 + 53 C − 55 Si − 22 Mn − 10 Ni − 20 Cr − 33 Mo) log₁₀ V;
//! HV_FP = 42 + 223 C + 53 Si + 30 Mn + 12.6 Ni + 7 Cr + 19 Mo + (10 − 19 Si + 4 Ni + 8 Cr + 130 V%) log₁₀ V.
//! Above 1 K/s ferrite–pearlite is harder than that by 110 HV · C · log₁₀(K/s), C to 0.5 %.
//! Between 0.5 and 0.77 % C ferrite–pearlite goes over to pearlite, 300 + 40 log₁₀(K/s) within
//! 240..400 HV, where that is harder. Bainite follows its line to 0.80 % and stays level. Bainite is
//! held between ferrite–pearlite and martensite. A mixture is the sum of share × hardness.
//!
//! **Symbols** Contents in wt%; V cooling rate at 700 °C; HV.
//!
//! **Source** `astm-a255` and `astm-e140` to 0.6 % C; `krauss-2015` and `yurioka-1987` above;
//! `maynier-1978`; `pearlite-hardness-hyzak-bernstein-1976` for pearlite; `fine-pearlite-fit` for the finer
//! ferrite–pearlite. All recalled, not re-read.
//!
//! **Valid for** Martensite 0.10–1.2 % C. Maynier: C 0.1–0.5, Si to 1, Mn to 2, Ni to 4, Cr to 3,
//! Mo to 1, V to 0.2, Mn + Ni + Cr + Mo to 5 wt%. Outside, a remark.
//!
//! **Weak where** Above 0.6 % C the published martensite curves lie 15–30 HV apart (891/865/856 at
//! 0.8 %, 900/896/882 at 0.9 %); 910 HV as the end is their middle at 0.9–1.2 % C. Retained austenite
//! is taken as 230 HV whatever its carbon. Maynier's own martensite line is not used: 1010 HV at
//! 0.8 % C.
//!
//! **Checked by** `martensite_rises_to_saturation`, `val_high_carbon_martensite`,
//! `soft_phases_are_ordered_and_continuous`, `hardness_of_any_steel_is_ordered`, rows `hardness-*`.

use casewright_terms::{
    Composition, Element, Hardness, Remark, Scale, Valued, Vickers, WeightPercent,
};

use super::hardenability::initial_hrc;
use super::hardness_conversion::hv_of;
use super::transformation_temperature::{Limits, linear};
use crate::numerics::fun;

#[cfg(test)]
mod tests;

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 8] = [
    "astm-a255",
    "astm-e140",
    "krauss-2015",
    "yurioka-1987",
    "maynier-1978",
    "pearlite-hardness-hyzak-bernstein-1976",
    "fine-pearlite-fit",
    "phase-hardness-scatter",
];

/// HV per wt% C and decade of cooling rate above 1 K/s [fine-pearlite-fit].
const REFINEMENT_HV_PER_PCT: f64 = 110.0;

/// How much further bainite scatters about its line than martensite about its own, which is known to
/// some 3.5 % [phase-hardness-scatter].
pub const BAINITE_SCATTER: f64 = 2.0;
/// The same for ferrite with pearlite [phase-hardness-scatter].
pub const SOFT_SCATTER: f64 = 4.0;

/// Retained austenite at case carbon: 200–250 HV, middle. [krauss-2015], recalled.
pub const RETAINED_AUSTENITE_HV: f64 = 230.0;

/// Martensite without carbon: constant of [yurioka-1987].
const CARBON_FREE_HV: f64 = 294.0;
/// Where the A255 polynomial begins.
const A255_FROM: f64 = 0.10;
/// Where it is left: beyond, the polynomial flattens too early and turns down at 0.7.
const A255_TO: f64 = 0.60;
/// Level that martensite without austenite approaches.
const SATURATION_HV: f64 = 910.0;
/// Slowest cooling the hardness lines are asked for, in K/s (3.6 K/h): a furnace cool.
const SLOWEST_K_S: f64 = 1e-3;
/// Fastest, in K/s: Maynier's lines were made on bars, not on foils.
const FASTEST_K_S: f64 = 1e3;
/// Seconds in an hour, for Maynier's rate.
const SECONDS_PER_HOUR: f64 = 3600.0;

/// Hardness of untempered martensite of this carbon, without retained austenite.
#[must_use]
pub fn martensite_hardness(carbon: WeightPercent) -> Valued<Vickers> {
    let c = carbon.to_wt_pct();
    let remark = if c > 1.2 {
        Some(Remark::new(
            "martensite-hardness-above-curves",
            format!("Martensite at {c:.2} % C: the curves end at 1.2 %; the level is held."),
        ))
    } else if c < A255_FROM {
        Some(Remark::new(
            "martensite-hardness-below-curve",
            format!("Martensite at {c:.2} % C: the end-quench curve begins at 0.10 %."),
        ))
    } else {
        None
    };
    Valued {
        value: Vickers::from_hv(martensite_hv(c)),
        remarks: remark.into_iter().collect(),
    }
}

/// Kernel of [`martensite_hardness`]: HV from wt% C; rises everywhere.
#[must_use]
pub fn martensite_hv(c: f64) -> f64 {
    let c = c.max(0.0);
    if c < A255_FROM {
        let at_start = a255_hv(A255_FROM);
        CARBON_FREE_HV + (at_start - CARBON_FREE_HV) * c / A255_FROM
    } else if c <= A255_TO {
        a255_hv(c)
    } else {
        let at_join = a255_hv(A255_TO);
        let room = SATURATION_HV - at_join;
        SATURATION_HV - room * fun::exp(-JOIN_SLOPE_HV_PER_PCT / room * (c - A255_TO))
    }
}

/// Slope of the A255 branch at its end: d(HRC)/dC = 22.82 per wt% there × 32 HV per HRC between
/// 64 and 65 HRC; a test holds it to the branch.
const JOIN_SLOPE_HV_PER_PCT: f64 = 730.3;

fn a255_hv(c: f64) -> f64 {
    // 38.5 HRC at 0.10 % to 64.3 at 0.60 %: always inside the table.
    hv_of(Hardness::new(Scale::Hrc, initial_hrc(c)))
        .map_or(CARBON_FREE_HV, |valued| valued.value.to_hv())
}

/// Hardness of retained austenite; hardly known as a function of its carbon.
#[must_use]
pub fn retained_austenite_hardness(_carbon: WeightPercent) -> Vickers {
    Vickers::from_hv(RETAINED_AUSTENITE_HV)
}

/// Hardness of bainite cooled at `rate_k_s` (K/s while passing 700 °C).
#[must_use]
pub fn bainite_hardness(composition: &Composition, rate_k_s: f64) -> Valued<Vickers> {
    let mut remarks = maynier_remarks(composition, rate_k_s);
    if composition.wt_pct(Element::C) > 0.5 {
        remarks.push(Remark::new(
            "bainite-hardness-extrapolated",
            "Bainite above 0.5 % C: the line is carried on to 0.8 % and then level.",
        ));
    }
    Valued {
        value: Vickers::from_hv(SoftHardness::new(composition).bainite_hv(rate_k_s)),
        remarks,
    }
}

/// Hardness of a ferrite–pearlite mixture as the steel's carbon makes it, cooled at `rate_k_s`
/// (K/s while passing 700 °C).
#[must_use]
pub fn ferrite_pearlite_hardness(composition: &Composition, rate_k_s: f64) -> Valued<Vickers> {
    let mut remarks = maynier_remarks(composition, rate_k_s);
    if composition.wt_pct(Element::C) > 0.5 {
        remarks.push(Remark::new(
            "pearlite-hardness-bridged",
            "Above 0.5 % C the line goes over to pearlite, 240 to 400 HV by cooling rate, \
             without the alloy's share.",
        ));
    }
    Valued {
        value: Vickers::from_hv(SoftHardness::new(composition).ferrite_pearlite_hv(rate_k_s)),
        remarks,
    }
}

/// Kernel: the carbon and alloy part of the softer phases, worked out once per layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoftHardness {
    bainite: (f64, f64),
    ferrite_pearlite: (f64, f64),
    /// What a decade of rate above 1 K/s adds to ferrite–pearlite beyond Maynier, in HV.
    refinement: f64,
    to_pearlite: f64,
    martensite_hv: f64,
}

impl SoftHardness {
    /// For one composition.
    #[must_use]
    pub fn new(composition: &Composition) -> Self {
        use Element::{Cr, Mn, Mo, Ni, Si, V};
        let c = composition.wt_pct(Element::C);
        let (c_bainite, c_ferrite) = (c.min(0.8), c.min(0.5));
        // [maynier-1978]
        Self {
            bainite: (
                -323.0
                    + 185.0 * c_bainite
                    + linear(
                        composition,
                        &[
                            (Si, 330.0),
                            (Mn, 153.0),
                            (Ni, 65.0),
                            (Cr, 144.0),
                            (Mo, 191.0),
                        ],
                    ),
                89.0 + 53.0 * c_bainite
                    + linear(
                        composition,
                        &[
                            (Si, -55.0),
                            (Mn, -22.0),
                            (Ni, -10.0),
                            (Cr, -20.0),
                            (Mo, -33.0),
                        ],
                    ),
            ),
            ferrite_pearlite: (
                42.0 + 223.0 * c_ferrite
                    + linear(
                        composition,
                        &[(Si, 53.0), (Mn, 30.0), (Ni, 12.6), (Cr, 7.0), (Mo, 19.0)],
                    ),
                10.0 + linear(
                    composition,
                    &[(Si, -19.0), (Ni, 4.0), (Cr, 8.0), (V, 130.0)],
                ),
            ),
            refinement: REFINEMENT_HV_PER_PCT * c_ferrite,
            to_pearlite: ((c - 0.5) / (0.77 - 0.5)).clamp(0.0, 1.0),
            martensite_hv: martensite_hv(c),
        }
    }

    /// Ferrite–pearlite at this cooling rate, within 60..400 HV: Maynier's line, finer above 1 K/s.
    #[must_use]
    pub fn ferrite_pearlite_hv(&self, rate_k_s: f64) -> f64 {
        let rate = held_rate_k_s(rate_k_s);
        let finer = self.refinement * fun::log10(rate).max(0.0);
        let line = (self.maynier_ferrite_pearlite_hv(rate) + finer).clamp(60.0, 400.0);
        // Coarse 250, fine 400 HV at the eutectoid [pearlite-hardness-hyzak-bernstein-1976]; the
        // line puts an air-cooled bar (1 K/s) at 300 HV.
        let pearlite = (300.0 + 40.0 * fun::log10(rate)).clamp(240.0, 400.0);
        (line + self.to_pearlite * (pearlite - line).max(0.0)).min(self.martensite_hv)
    }

    /// Maynier's line for ferrite–pearlite as published, carbon held at 0.5 %.
    #[must_use]
    pub fn maynier_ferrite_pearlite_hv(&self, rate_k_s: f64) -> f64 {
        let (constant, slope) = self.ferrite_pearlite;
        constant + slope * fun::log10(held_rate_k_s(rate_k_s) * SECONDS_PER_HOUR)
    }

    /// Bainite at this cooling rate, never softer than ferrite–pearlite nor harder than
    /// martensite.
    #[must_use]
    pub fn bainite_hv(&self, rate_k_s: f64) -> f64 {
        let (constant, slope) = self.bainite;
        let maynier = constant + slope * fun::log10(held_rate_k_s(rate_k_s) * SECONDS_PER_HOUR);
        maynier.clamp(self.ferrite_pearlite_hv(rate_k_s), self.martensite_hv)
    }
}

/// Kernel: hardness of a mixture, from (share, HV) pairs whose shares add up to one.
#[must_use]
pub fn mixture_hv(parts: &[(f64, f64)]) -> f64 {
    parts.iter().map(|(share, hv)| share * hv).sum()
}

fn held_rate_k_s(rate_k_s: f64) -> f64 {
    // Asked this way round, a rate that is not a number goes to the slow end.
    if rate_k_s > SLOWEST_K_S {
        rate_k_s.min(FASTEST_K_S)
    } else {
        SLOWEST_K_S
    }
}

fn maynier_remarks(composition: &Composition, rate_k_s: f64) -> Vec<Remark> {
    use Element::{C, Cr, Mn, Mo, Ni, Si, V};
    let limits = Limits(&[
        (Si, 1.0),
        (Mn, 2.0),
        (Ni, 4.0),
        (Cr, 3.0),
        (Mo, 1.0),
        (V, 0.2),
    ]);
    let mut remarks: Vec<Remark> = limits
        .remark(
            "soft-hardness-outside-fit",
            "Hardness of bainite and ferrite–pearlite",
            composition,
        )
        .into_iter()
        .collect();
    let sum = linear(composition, &[(Mn, 1.0), (Ni, 1.0), (Cr, 1.0), (Mo, 1.0)]);
    if sum > 5.0 {
        remarks.push(Remark::new(
            "soft-hardness-alloy-sum",
            format!("Mn + Ni + Cr + Mo is {sum:.1} %; the fit ends at 5 %."),
        ));
    }
    if composition.wt_pct(C) < 0.1 {
        remarks.push(Remark::new(
            "soft-hardness-low-carbon",
            "The fit begins at 0.1 % C.",
        ));
    }
    if !(SLOWEST_K_S..=FASTEST_K_S).contains(&rate_k_s) {
        remarks.push(Remark::new(
            "soft-hardness-rate-held",
            format!("Cooling at {rate_k_s} K/s is held within 0.001 to 1000 K/s."),
        ));
    }
    remarks
}
