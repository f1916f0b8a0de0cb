//! What becomes of retained austenite after the quench: in a temper, and in the cold.
//!
//! **What** Share of the retained austenite that a temper turns to ferrite and carbide; share that a
//! sub-zero treatment turns to martensite, less with the wait before it.
//!
//! **Equation** Temper: left = exp(−k t), k = k₀ exp(−Q/RT), half in 1 h at 230 °C. Cold: the austenite
//! goes on as if it had been quenched to T, once T is below T_arrest − θ, θ = 10 K · log₁₀(1 + t/60 s):
//! left = exp(−α (T_arrest − θ − T)).
//!
//! **Symbols** t in s; T in K; Q = 132 kJ/mol; R = 8.314 J/(mol·K); α of the law of martensite in
//! 1/K; T_arrest where the quench ended.
//!
//! **Source** Q: `cheng-1988`, recalled, as its range of 240–320 °C on heating. Its place,
//! `retained-austenite-temper-fit`, is put between the two: the trade's words (begins above 200–230 °C
//! [case-temper-anchors], is gone within an hour at 300 °C) alone would have 240 °C, the range on
//! heating of plain iron–carbon some 210 °C. Form of the cold: `koistinen-marburger-1959`;
//! θ: `austenite-stabilisation-assumed`, of the size Harris and Cohen saw, recalled.
//!
//! **Valid for** Low-alloy cases, 0.5–1.2 % C, 20–350 °C; cold to −196 °C, waits of a minute to a
//! month. Beyond, a remark.
//!
//! **Weak where** 20 K either way in the temper, a factor of three in time; silicon and chromium hold
//! austenite to higher temperatures and are not in it. A temper before the cold stabilises far more
//! than a wait at room temperature does and is not in it either.
//!
//! **Checked by** `the_trades_words_are_met`, `val_range_on_heating`,
//! `cold_goes_on_where_the_quench_ended`, `waiting_costs`, rows `austenite-temper-*`.

use casewright_terms::{Fraction, Remark, Span, Temperature, Valued};

use crate::numerics::fun;

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 5] = [
    "cheng-1988",
    "retained-austenite-temper-fit",
    "case-temper-anchors",
    "koistinen-marburger-1959",
    "austenite-stabilisation-assumed",
];

/// Activation energy [cheng-1988], in J/mol.
const ACTIVATION_J_MOL: f64 = 132_000.0;
/// Gas constant in J/(mol·K).
const GAS_J_MOL_K: f64 = 8.314;
/// Half is gone in an hour at this temperature, in kelvin (230 °C) [retained-austenite-temper-fit].
const HALF_IN_AN_HOUR_K: f64 = 503.15;
/// Stabilisation per decade of the wait, in kelvin [austenite-stabilisation-assumed].
const STABILISED_K: f64 = 10.0;
/// A wait shorter than this is none, in seconds: the part still cools.
const NO_WAIT_S: f64 = 60.0;

/// Share of the retained austenite that is left after a temper.
#[must_use]
pub fn left_by_temper(temperature: Temperature, time: Span) -> Valued<Fraction> {
    let remark = (temperature.to_c() > 350.0).then(|| {
        Remark::new(
            "austenite-temper-above-range",
            format!(
                "At {:.0} °C the decomposition of retained austenite is extrapolated; the law ends at 350 °C.",
                temperature.to_c()
            ),
        )
    });
    Valued {
        value: Fraction::from_ratio(left_by_temper_ratio(temperature.to_k(), time.to_s())),
        remarks: remark.into_iter().collect(),
    }
}

/// Kernel of [`left_by_temper`], from kelvin and seconds.
#[must_use]
pub fn left_by_temper_ratio(t_k: f64, time_s: f64) -> f64 {
    if t_k <= 0.0 || time_s <= 0.0 {
        return 1.0;
    }
    fun::exp(-rate_per_s(t_k) * time_s)
}

fn rate_per_s(t_k: f64) -> f64 {
    let at_half = std::f64::consts::LN_2 / 3600.0;
    at_half * fun::exp(-ACTIVATION_J_MOL / GAS_J_MOL_K * (1.0 / t_k - 1.0 / HALF_IN_AN_HOUR_K))
}

/// How far below the end of the quench the transformation begins again after a wait, in kelvin.
#[must_use]
pub fn stabilised_k(wait_s: f64) -> f64 {
    // [austenite-stabilisation-assumed]
    STABILISED_K * fun::log10(1.0 + wait_s.max(0.0) / NO_WAIT_S)
}

/// Kernel: share of the austenite left at `arrest_k` that a cooling to `cold_k` leaves, after a wait.
#[must_use]
pub fn left_by_cold_ratio(rate_per_k: f64, arrest_k: f64, cold_k: f64, wait_s: f64) -> f64 {
    let further_k = arrest_k - stabilised_k(wait_s) - cold_k;
    // [koistinen-marburger-1959]
    fun::exp(-rate_per_k.max(0.0) * further_k.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn left(celsius: f64, hours: f64) -> f64 {
        left_by_temper(Temperature::from_c(celsius), Span::from_h(hours))
            .value
            .to_ratio()
    }

    #[test]
    fn the_trades_words_are_met() {
        // [case-temper-anchors]: the usual tempers leave it alone, it begins above 200–230 °C. An
        // eighth cannot be told by X-rays in a case of 25 %, which scatter by 2–3 points.
        assert!(left(150.0, 2.0) > 0.99 && left(180.0, 2.0) > 0.95);
        assert!(left(204.0, 1.0) > 0.87);
        assert!((0.4..0.9).contains(&left(230.0, 1.0)));
        assert!(left(300.0, 1.0) < 0.05);
    }

    #[test]
    fn val_range_on_heating() {
        // [cheng-1988]: on heating at 20 K/min austenite goes between 240 and 320 °C. Taken as 5 and
        // 60 %, within the law's doubt of 20 K: ours ends less sharply, the last third comes later.
        let mut kept = 1.0;
        let mut at = Vec::new();
        for step in 0..4000 {
            let celsius = 20.0 + 0.1 * f64::from(step);
            kept *= left_by_temper_ratio(Temperature::from_c(celsius).to_k(), 0.3);
            at.push((celsius, 1.0 - kept));
        }
        let passes = |share: f64| at.iter().find(|(_, gone)| *gone > share).unwrap().0;
        let (begins, most) = (passes(0.05), passes(0.60));
        println!("5 % at {begins:.0} °C, 60 % at {most:.0} °C");
        assert!((begins - 240.0).abs() < 20.0, "{begins}");
        assert!((most - 320.0).abs() < 20.0, "{most}");
    }

    #[test]
    fn hotter_and_longer_leaves_less() {
        let mut last = 1.0;
        for celsius in -100..=700 {
            let now = left(f64::from(celsius), 1.0);
            assert!(now <= last && (0.0..=1.0).contains(&now));
            last = now;
        }
        assert!(left(250.0, 2.0) < left(250.0, 1.0));
        assert_eq!(left(250.0, 0.0), 1.0);
    }

    #[test]
    fn cold_goes_on_where_the_quench_ended() {
        // Without a wait the same as a quench to the cold: the exponential's own addition.
        let (ms_k, rate) = (446.0, 0.0113);
        let whole = fun::exp(-rate * (ms_k - 195.0));
        let in_two = fun::exp(-rate * (ms_k - 298.0)) * left_by_cold_ratio(rate, 298.0, 195.0, 0.0);
        assert!((whole - in_two).abs() < 1e-12);
        // Not cold enough to begin again.
        assert_eq!(left_by_cold_ratio(rate, 298.0, 297.0, 3600.0), 1.0);
    }

    #[test]
    fn waiting_costs() {
        let mut last = 0.0;
        for wait_s in [0.0, 60.0, 3600.0, 86_400.0, 2.6e6] {
            let now = left_by_cold_ratio(0.0113, 298.0, 195.0, wait_s);
            assert!(now > last);
            last = now;
        }
    }

    #[test]
    fn far_above_the_range_is_said() {
        let hot = left_by_temper(Temperature::from_c(400.0), Span::from_h(1.0));
        assert_eq!(hot.remarks[0].code, "austenite-temper-above-range");
    }
}
