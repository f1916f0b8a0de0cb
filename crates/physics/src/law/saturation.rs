//! **What**: the most carbon plain austenite can hold, against graphite and against cementite; and
//! an old fit of how alloying raises the cementite line, kept as a cross-check of
//! [`crate::equilibrium`], which the engine uses for alloy steels.
//!
//! **Equation**: graphite `ln a(T, y) = 0`; cementite `3 μ_Fe + μ_C = G_cem` with
//! `μ_Fe = G_fcc + R T ln(1 − y) − 34671 y²`, `μ_C = G_gra + R T ln a`,
//! `G_cem = −10745 + 706.04 T − 120.6 T ln T`,
//! `G_fcc = 1225.7 + 124.134 T − 23.5143 T ln T − 4.39752e-3 T² − 5.8927e-8 T³ + 77359/T
//! − 1462.4 + 8.282 T − 1.15 T ln T + 6.4e-4 T²`,
//! `G_gra = −17368.441 + 170.73 T − 24.3 T ln T − 4.723e-4 T² + 2562600/T − 2.643e8/T²
//! + 1.2e10/T³`. Cross-check: cementite line raised by
//! `ΔT = 10.3 Mn + 42.9 Cr + 19.4 Mo`.
//!
//! **Symbols**: `T` K; `y` carbon atoms per iron atom; `G`, `μ` J/mol; `a` activity against
//! graphite; `ΔT` K; element symbols wt%.
//!
//! **Source**: `gustafson-1985` (cementite, austenite), `dinsdale-1991` (iron, graphite), all recalled, not re-read, anchored by the eutectoid;
//! `acm-alloy-fit` (alloy, cementite): our fit to three steels of `equilibrium-run` at 1.0 wt%.
//!
//! **Valid for**: 727 to 1147 °C; below, the lines are metastable extensions (a remark says so).
//!
//! **Weak where**: the fit: three steels are few, what the fit gives to molybdenum may be
//! nickel's, and away from 1.0 wt% the rise is off by up to 13 K (too small below, too large
//! above); two open databases differ by 9 to 22 K on chromium steels.
//!
//! **Checked by**: `val_lines_match_equilibrium_program`, `lines_and_acm_are_inverse`,
//! `val_alloy_rise`, `eutectoid`; rows `saturation-*` of the accuracy table.

use casewright_terms::{Composition, Temperature, Valued, WeightPercent};

use super::carbon_activity::{GAS_J_MOL_K, ln_activity, to_site_fraction, to_wt_pct, within};
use crate::numerics::fun::ln;
use crate::numerics::root::brent;

/// Most carbon the search looks at, as site fraction (about 6 wt%).
const MOST_Y: f64 = 0.3;
const LEAST_Y: f64 = 1e-9;
/// Temperatures for which the lines are computed at all, in K: the fits of the Gibbs energies.
pub(crate) const COMPUTED_K: (f64, f64) = (500.0, 1700.0);

/// Gibbs energy of austenitic iron, J/mol. [dinsdale-1991]
fn fcc_iron_j_mol(t: f64) -> f64 {
    let t_ln_t = t * ln(t);
    let bcc = 1225.7 + 124.134 * t - 23.5143 * t_ln_t - 4.397_52e-3 * t * t - 5.8927e-8 * t * t * t
        + 77_359.0 / t;
    bcc - 1462.4 + 8.282 * t - 1.15 * t_ln_t + 6.4e-4 * t * t
}

/// Gibbs energy of graphite, J/mol. [dinsdale-1991]
fn graphite_j_mol(t: f64) -> f64 {
    -17_368.441 + 170.73 * t - 24.3 * t * ln(t) - 4.723e-4 * t * t + 2_562_600.0 / t
        - 2.643e8 / (t * t)
        + 1.2e10 / (t * t * t)
}

/// Gibbs energy of one mole Fe₃C, J/mol. [gustafson-1985]
fn cementite_j_mol(t: f64) -> f64 {
    -10_745.0 + 706.04 * t - 120.6 * t * ln(t)
}

/// Excess of austenite's potentials over cementite, in J/mol: positive when carbide forms.
fn cementite_drive_j_mol(t: f64, y: f64) -> f64 {
    let rt = GAS_J_MOL_K * t;
    let iron = fcc_iron_j_mol(t) + rt * ln(1.0 - y) - 34_671.0 * y * y;
    let carbon = graphite_j_mol(t) + rt * ln_activity(t, y);
    3.0 * iron + carbon - cementite_j_mol(t)
}

/// Site fraction of austenite in equilibrium with graphite; `t_k` is kept within the fits.
pub(crate) fn graphite_y(t_k: f64) -> f64 {
    let t = t_k.clamp(COMPUTED_K.0, COMPUTED_K.1);
    brent(LEAST_Y, MOST_Y, 1e-13, |y| ln_activity(t, y))
        .expect("the activity rises from below 1 to above 1 between the ends")
}

/// Site fraction of austenite in equilibrium with cementite; `t_k` is kept within the fits.
pub(crate) fn cementite_y(t_k: f64) -> f64 {
    let t = t_k.clamp(COMPUTED_K.0, COMPUTED_K.1);
    brent(LEAST_Y, MOST_Y, 1e-13, |y| cementite_drive_j_mol(t, y))
        .expect("the drive to cementite changes sign between the ends")
}

/// Carbon of plain austenite in equilibrium with graphite.
#[must_use]
pub fn graphite_limit(temperature: Temperature) -> Valued<WeightPercent> {
    let wt_pct = to_wt_pct(graphite_y(temperature.to_k()));
    within(temperature, WeightPercent::from_wt_pct(wt_pct))
}

/// Carbon of plain austenite in equilibrium with cementite.
#[must_use]
pub fn cementite_limit(temperature: Temperature) -> Valued<WeightPercent> {
    let wt_pct = to_wt_pct(cementite_y(temperature.to_k()));
    within(temperature, WeightPercent::from_wt_pct(wt_pct))
}

/// How much higher this steel's last cementite dissolves than plain iron's, in K, from wt%.
/// [acm-alloy-fit]
pub(crate) fn cementite_rise_k(steel: &Composition) -> f64 {
    use casewright_terms::Element::{Cr, Mn, Mo};
    10.3 * steel.wt_pct(Mn) + 42.9 * steel.wt_pct(Cr) + 19.4 * steel.wt_pct(Mo)
}

/// Temperature at which the last cementite of a steel with this carbon dissolves by the fitted
/// rise, to hold beside the equilibrium; `None` where the line does not pass between its computed
/// ends (227 and 1427 °C). Exact for Fe-C.
///
/// Pass the whole composition: `carbon` replaces the steel's own carbon.
#[must_use]
pub fn acm_by_fit(carbon: WeightPercent, steel: &Composition) -> Option<Valued<Temperature>> {
    let wanted = to_site_fraction(carbon.to_wt_pct());
    let plain_k = brent(COMPUTED_K.0, COMPUTED_K.1, 1e-6, |t| {
        cementite_y(t) - wanted
    })
    .ok()?;
    let rise_k = cementite_rise_k(steel);
    let temperature = Temperature::from_k(plain_k + rise_k);
    Some(within(temperature, temperature))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `equilibrium-run` (open database of the same assessment). Graphite: 2e-4 wt% is
    /// the rounding of the table. Cementite: the database takes a newer cementite than Gustafson's, which
    /// moves the line by up to 0.002 wt%.
    #[test]
    fn val_lines_match_equilibrium_program() {
        for (c, graphite, cementite) in [
            (750.0, 0.7145, 0.8197),
            (800.0, 0.8590, 0.9483),
            (850.0, 1.0115, 1.0840),
            (900.0, 1.1704, 1.2267),
            (930.0, 1.2682, 1.3159),
            (1000.0, 1.5018, 1.5346),
            (1100.0, 1.8438, 1.8759),
        ] {
            let t = Temperature::from_c(c);
            let (g, k) = (
                graphite_limit(t).value.to_wt_pct(),
                cementite_limit(t).value.to_wt_pct(),
            );
            assert!(
                (g - graphite).abs() < 2e-4,
                "{c} °C graphite {g} for {graphite}"
            );
            assert!(
                (k - cementite).abs() < 2e-3,
                "{c} °C cementite {k} for {cementite}"
            );
        }
    }

    #[test]
    fn lines_and_acm_are_inverse() {
        let plain = Composition::plain(WeightPercent::from_wt_pct(0.2));
        for wt in [0.8, 1.0, 1.2, 1.5] {
            let t = acm_by_fit(WeightPercent::from_wt_pct(wt), &plain)
                .unwrap()
                .value;
            assert!((cementite_limit(t).value.to_wt_pct() - wt).abs() < 1e-8);
        }
        assert!(acm_by_fit(WeightPercent::from_wt_pct(5.9), &plain).is_none());
        let cold = acm_by_fit(WeightPercent::from_wt_pct(0.5), &plain).unwrap();
        assert_eq!(cold.remarks[0].code, "austenite-data-outside-range");
    }

    /// `equilibrium-run`, carbides gone in 1018, 8620 and 5120: at 1.0 wt%, where the fit was
    /// made, the rounding of its coefficients; at 0.8 and 1.2 wt% what a constant rise misses.
    #[test]
    fn val_alloy_rise() {
        use casewright_terms::Element::{Cr, Mn, Mo, Ni, Si};
        let w = WeightPercent::from_wt_pct;
        let steels = [
            (vec![(Mn, w(0.75)), (Si, w(0.22))], [750.82, 827.07, 897.61]),
            (
                vec![
                    (Mn, w(0.8)),
                    (Si, w(0.25)),
                    (Cr, w(0.5)),
                    (Ni, w(0.55)),
                    (Mo, w(0.2)),
                ],
                [784.9, 852.91, 917.21],
            ),
            (
                vec![(Mn, w(0.8)), (Si, w(0.25)), (Cr, w(0.8))],
                [797.0, 861.9, 923.81],
            ),
        ];
        for (contents, expected) in steels {
            let steel = Composition::new(&contents).unwrap();
            for ((c, celsius), bound) in [0.8, 1.0, 1.2]
                .into_iter()
                .zip(expected)
                .zip([14.0, 1.5, 11.0])
            {
                let ours = acm_by_fit(w(c), &steel).unwrap();
                let off = ours.value.to_c() - celsius;
                assert!(off.abs() < bound, "{c}: {off:.1} K");
            }
        }
    }

    /// Handbooks give 0.76 to 0.77 wt% at 727 °C.
    #[test]
    fn eutectoid() {
        let c = cementite_limit(Temperature::from_c(727.0))
            .value
            .to_wt_pct();
        assert!((0.755..0.775).contains(&c), "{c}");
    }
}
