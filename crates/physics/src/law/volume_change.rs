//! How much each phase swells or shrinks against the annealed steel.
//!
//! **What** Volume change of the transformations and, from it, the linear strain of a phase against
//! the steel as it was machined (ferrite with its carbide). Growth per side follows from these,
//! layer by layer, in the chain model.
//!
//! **Equation** In volume percent, C in wt% of the phase: austenite → martensite 4.64 − 0.53 C;
//! → lower bainite 4.64 − 1.43 C; → pearlite or upper bainite 4.64 − 2.21 C; annealed → austenite
//! −4.64 + 2.21 C; annealed → martensite +1.68 C. Linear strain = one third.
//!
//! **Symbols** Strains as parts of one; contents in wt%.
//!
//! **Source** `lement-1959`: the first line seen quoted, the others recalled, not re-read. They add
//! up among themselves, which a test holds.
//!
//! **Valid for** 0–1.2 wt% C, at room temperature; above, a remark.
//!
//! **Weak where** Substitutional elements are not in the lines. Carbide counts as the annealed state.
//! A strain is not a growth: stress, shape and soak decide how a part moves, and scatter is as
//! large as the value. Lattice parameters give 3.4 to 4 % for the first line at small carbon.
//!
//! **Checked by** `the_lines_add_up`, `val_case_and_core`, rows `volume-*`.

use casewright_terms::{Fraction, Remark, Valued, WeightPercent};

/// Keys of the sources behind this law.
pub const SOURCES: [&str; 1] = ["lement-1959"];

/// A phase as far as its volume goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Austenite kept at room temperature.
    Austenite,
    /// Martensite, untempered.
    Martensite,
    /// Lower bainite, as a quenched case or core forms it.
    Bainite,
    /// Pearlite, ferrite with carbide, or carbide: the annealed state itself.
    Annealed,
}

/// Volume change from the annealed state into `phase`, as parts of one.
#[must_use]
pub fn volume_strain(phase: Phase, carbon: WeightPercent) -> Valued<Fraction> {
    let c = carbon.to_wt_pct();
    let remark = (c > 1.2).then(|| {
        Remark::new(
            "volume-above-range",
            format!("Volume change at {c:.2} % C: the lines end at 1.2 %."),
        )
    });
    Valued {
        value: Fraction::from_pct(100.0 * volume_strain_ratio(phase, c)),
        remarks: remark.into_iter().collect(),
    }
}

/// Linear strain from the annealed state into `phase`, as parts of one.
#[must_use]
pub fn linear_strain(phase: Phase, carbon: WeightPercent) -> Valued<Fraction> {
    let volume = volume_strain(phase, carbon);
    Valued {
        value: volume.value / 3.0,
        remarks: volume.remarks,
    }
}

/// Kernel: volume strain against the annealed state.
#[must_use]
pub fn volume_strain_ratio(phase: Phase, c: f64) -> f64 {
    // [lement-1959], in volume percent
    let percent = match phase {
        Phase::Austenite => -4.64 + 2.21 * c,
        Phase::Martensite => 1.68 * c,
        Phase::Bainite => 0.78 * c,
        Phase::Annealed => 0.0,
    };
    percent / 100.0
}

/// Kernel: linear strain of a mixture of (share, phase) at one carbon.
#[must_use]
pub fn mixture_linear_strain(parts: &[(f64, Phase)], c: f64) -> f64 {
    parts
        .iter()
        .map(|(share, phase)| share * volume_strain_ratio(*phase, c))
        .sum::<f64>()
        / 3.0
}

/// Volume change of austenite into `phase`, as parts of one.
#[must_use]
pub fn from_austenite(phase: Phase, carbon: WeightPercent) -> Fraction {
    let c = carbon.to_wt_pct();
    Fraction::from_ratio(volume_strain_ratio(phase, c) - volume_strain_ratio(Phase::Austenite, c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lines_add_up() {
        // 4.64 − 0.53 C, − 1.43 C, − 2.21 C as printed; rounding of sums only.
        for step in 0..=12 {
            let c = f64::from(step) * 0.1;
            for (phase, slope) in [
                (Phase::Martensite, 0.53),
                (Phase::Bainite, 1.43),
                (Phase::Annealed, 2.21),
            ] {
                let percent = from_austenite(phase, WeightPercent::from_wt_pct(c)).to_pct();
                assert!(
                    (percent - (4.64 - slope * c)).abs() < 1e-12,
                    "{phase:?} {c}"
                );
            }
        }
    }

    #[test]
    fn val_case_and_core() {
        // [lement-1959]: 0.0056 per wt% linear into martensite; case 0.9 % and core 0.2 % C differ
        // by 0.39 % in length. The printed 0.0056 is rounded to two digits.
        let strain = |c: f64| {
            linear_strain(Phase::Martensite, WeightPercent::from_wt_pct(c))
                .value
                .to_ratio()
        };
        assert!((strain(1.0) - 0.0056).abs() < 5e-5);
        assert!((strain(0.9) - strain(0.2) - 0.0039).abs() < 5e-5);
    }

    #[test]
    fn austenite_takes_growth_away() {
        let with = mixture_linear_strain(&[(0.8, Phase::Martensite), (0.2, Phase::Austenite)], 0.9);
        let without = mixture_linear_strain(&[(1.0, Phase::Martensite)], 0.9);
        // 0.2 × (4.64 − 0.53 × 0.9) = 0.8326 vol %: exact arithmetic.
        assert!(((without - with) * 300.0 - 0.8326).abs() < 1e-9);
    }
}
