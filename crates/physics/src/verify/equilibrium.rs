//! Accuracy rows of the equilibrium.
//!
//! Held against equilibria that were computed outside the project from two open databases
//! (`calphad-2026`; contains information from mc_fe_v2.059.tdb, which is made available under the
//! Open Database License (ODbL) 1.0). Our Gibbs energies follow the first of them, so the rows of
//! Fe-C prove the solver; for alloy steels the row's value is the middle of the two, and the
//! tolerance is half their distance and what the project allows beyond it.

use casewright_terms::{Composition, Element, Temperature, WeightPercent};

use super::{Kind, Row};
use crate::equilibrium::{
    AusteniteCarbon, Boundaries, Equilibrium, Partition, Phase, PhaseSet, acm, equilibrium,
    saturation_carbide, saturation_graphite,
};

/// Rows of this family.
#[must_use]
pub fn rows() -> Vec<Row> {
    [
        iron_carbon_lines(),
        iron_carbon_invariants(),
        iron_carbon_solubility(),
        boundaries(),
        activities(),
        fractions(),
    ]
    .concat()
}

/// A value of each of the two databases.
type Pair = (f64, f64);

/// The steels of the reference, without carbon: Mn, Si, Cr, Ni, Mo.
pub(crate) fn reference_steel(name: &str, carbon: f64) -> Composition {
    let alloy: [f64; 5] = match name {
        "1018" => [0.75, 0.22, 0.0, 0.0, 0.0],
        "8620" => [0.80, 0.25, 0.50, 0.55, 0.20],
        "5120" => [0.80, 0.25, 0.80, 0.0, 0.0],
        _ => [0.0; 5],
    };
    let elements = [
        Element::Mn,
        Element::Si,
        Element::Cr,
        Element::Ni,
        Element::Mo,
    ];
    let contents: Vec<_> = std::iter::once((Element::C, carbon))
        .chain(elements.into_iter().zip(alloy))
        .map(|(element, wt_pct)| (element, WeightPercent::from_wt_pct(wt_pct)))
        .collect();
    Composition::new(&contents).expect("the steels of the reference are sound")
}

/// A computed value that is not there is a failed row, never a passed one.
fn or_far(value: Option<f64>) -> f64 {
    value.unwrap_or(-1e6)
}

fn row(id: String, what: String, published: f64, computed: f64, of: &Claim) -> Row {
    Row {
        id,
        what,
        source: "calphad-2026",
        published,
        computed,
        unit: of.unit,
        tolerance: of.tolerance,
        reason: of.reason,
        kind: Kind::Validation,
    }
}

/// What rows of one kind share.
struct Claim {
    unit: &'static str,
    tolerance: f64,
    reason: &'static str,
}

impl Claim {
    /// The claim against the middle of two databases.
    fn between(&self, pair: Pair) -> Self {
        Self {
            tolerance: self.tolerance + 0.5 * (pair.0 - pair.1).abs(),
            ..*self
        }
    }
}

fn middle(pair: Pair) -> f64 {
    0.5 * (pair.0 + pair.1)
}

const SAME_K: Claim = Claim {
    unit: "°C",
    tolerance: 0.05,
    reason: "the same assessment; the reference is rounded to 0.01 K and uses R = 8.3145",
};
const SAME_WT_PCT: Claim = Claim {
    unit: "wt%",
    tolerance: 2e-4,
    reason: "the same assessment; the reference is rounded to 1e-4 wt%",
};
const BETWEEN_K: Claim = Claim {
    unit: "°C",
    tolerance: 5.0,
    reason: "half the distance of the two databases and 5 K, which measured boundaries scatter by",
};
const BETWEEN_FRACTION: Claim = Claim {
    unit: "mole fraction",
    tolerance: 0.015,
    reason: "three times what the second decimal of a metallographer's estimate can resolve, and \
             half the distance of the two databases",
};

fn plain(carbon: f64) -> Composition {
    Composition::plain(WeightPercent::from_wt_pct(carbon))
}

fn all(steel: &Composition) -> Boundaries {
    Boundaries::new(steel, PhaseSet::STEEL, Partition::Full)
}

fn celsius<E>(found: Result<casewright_terms::Valued<Option<Temperature>>, E>) -> f64 {
    or_far(found.ok().and_then(|v| v.value).map(Temperature::to_c))
}

/// A3 and Acm of Fe-C: carbon, °C.
fn iron_carbon_lines() -> Vec<Row> {
    const A3: [Pair; 7] = [
        (0.01, 906.72),
        (0.05, 888.65),
        (0.10, 869.01),
        (0.20, 836.41),
        (0.40, 787.15),
        (0.60, 750.48),
        (0.75, 728.17),
    ];
    const ACM: [Pair; 7] = [
        (0.80, 742.11),
        (0.90, 781.54),
        (1.00, 819.35),
        (1.20, 890.82),
        (1.40, 957.52),
        (1.70, 1049.81),
        (2.00, 1133.81),
    ];
    let a3 = A3.into_iter().map(|(carbon, published)| {
        let computed = celsius(all(&plain(carbon)).ae3());
        row(
            format!("equilibrium-a3-{carbon}"),
            format!("A3 of Fe-{carbon} % C"),
            published,
            computed,
            &SAME_K,
        )
    });
    let acm = ACM.into_iter().map(|(carbon, published)| {
        let computed = celsius(acm(&plain(carbon), WeightPercent::from_wt_pct(carbon)));
        row(
            format!("equilibrium-acm-{carbon}"),
            format!("Acm of Fe-{carbon} % C"),
            published,
            computed,
            &SAME_K,
        )
    });
    a3.chain(acm).collect()
}

fn at(steel: &Composition, t_c: f64, set: PhaseSet) -> Option<Equilibrium> {
    equilibrium(steel, Temperature::from_c(t_c), set)
        .ok()
        .map(|v| v.value)
}

fn carbon_in(state: Option<&Equilibrium>, phase: Phase) -> f64 {
    or_far(
        state
            .and_then(|s| s.get(phase))
            .map(|share| share.carbon().to_wt_pct()),
    )
}

/// The eutectoids of Fe-C.
fn iron_carbon_invariants() -> Vec<Row> {
    let eutectoid = plain(0.7613);
    let mut rows = vec![row(
        "equilibrium-a1".to_owned(),
        "A1 of Fe-C".to_owned(),
        726.54,
        celsius(all(&eutectoid).ae1()),
        &SAME_K,
    )];
    // Just above A1, steels on either side of the eutectoid show its carbon.
    let above = 726.55;
    let low = at(&plain(0.4), above, PhaseSet::STEEL);
    rows.push(row(
        "equilibrium-eutectoid-carbon".to_owned(),
        "Carbon of austenite at A1".to_owned(),
        0.7613,
        carbon_in(low.as_ref(), Phase::Austenite),
        &Claim {
            tolerance: 6e-4,
            reason: "the reference's A1 is bisected to 0.02 K; its own A3 and Acm cross at 0.7618",
            ..SAME_WT_PCT
        },
    ));
    rows.push(row(
        "equilibrium-ferrite-carbon".to_owned(),
        "Carbon of ferrite at A1".to_owned(),
        0.01905,
        carbon_in(low.as_ref(), Phase::Ferrite),
        &SAME_WT_PCT,
    ));
    let mut with_graphite = Boundaries::new(&plain(0.68), PhaseSet::ALL, Partition::Full);
    rows.push(row(
        "equilibrium-a1-graphite".to_owned(),
        "A1 of Fe-C with graphite".to_owned(),
        738.03,
        celsius(with_graphite.ae1()),
        &SAME_K,
    ));
    rows
}

/// Saturation and activity at saturation: °C, graphite wt%, carbide wt%, activity there.
fn iron_carbon_solubility() -> Vec<Row> {
    const LINES: [(f64, f64, f64, f64); 5] = [
        (750.0, 0.7145, 0.8197, 1.201_93),
        (800.0, 0.8590, 0.9483, 1.147_01),
        (850.0, 1.0115, 1.0840, 1.104_27),
        (930.0, 1.2682, 1.3159, 1.057_18),
        (1000.0, 1.5018, 1.5346, 1.034_49),
    ];
    const SAME_ACTIVITY: Claim = Claim {
        unit: "activity",
        tolerance: 2e-4,
        reason: "the same assessment; the reference's carbon is rounded to 1e-4 wt%",
    };
    let iron = plain(0.1);
    let mut rows = Vec::new();
    for (t_c, graphite, carbide, activity) in LINES {
        let t = Temperature::from_c(t_c);
        let with_graphite = saturation_graphite(&iron, t).ok().map(|v| v.value.carbon);
        let with_carbide = saturation_carbide(&iron, t, PhaseSet::STEEL)
            .ok()
            .map(|v| v.value.carbon);
        let there = AusteniteCarbon::at(&iron, t)
            .ok()
            .zip(with_carbide)
            .map(|(austenite, carbon)| austenite.value.activity(carbon));
        rows.push(row(
            format!("equilibrium-graphite-{t_c}"),
            format!("Fe-C saturated with graphite at {t_c} °C"),
            graphite,
            or_far(with_graphite.map(WeightPercent::to_wt_pct)),
            &SAME_WT_PCT,
        ));
        rows.push(row(
            format!("equilibrium-cementite-{t_c}"),
            format!("Fe-C saturated with cementite at {t_c} °C"),
            carbide,
            or_far(with_carbide.map(WeightPercent::to_wt_pct)),
            &SAME_WT_PCT,
        ));
        rows.push(row(
            format!("equilibrium-activity-cementite-{t_c}"),
            format!("Activity of carbon there, at {t_c} °C"),
            activity,
            or_far(there),
            &SAME_ACTIVITY,
        ));
    }
    rows
}

/// Steel, carbon; first austenite, ferrite gone, carbides gone in °C, all carbides allowed.
pub(crate) const BOUNDARIES: [(&str, f64, [Pair; 3]); 15] = [
    (
        "1018",
        0.18,
        [(707.32, 708.13), (828.94, 826.17), (713.7, 713.83)],
    ),
    (
        "1018",
        0.6,
        [(714.75, 715.38), (743.48, 741.79), (722.79, 722.17)],
    ),
    (
        "1018",
        0.8,
        [(716.85, 717.37), (724.63, 723.72), (750.82, 751.46)],
    ),
    (
        "1018",
        1.0,
        [(718.5, 718.91), (725.16, 724.25), (827.07, 827.11)],
    ),
    (
        "1018",
        1.2,
        [(719.81, 720.14), (725.66, 724.73), (897.61, 897.21)],
    ),
    (
        "8620",
        0.2,
        [(701.13, 701.58), (806.76, 808.02), (724.75, 724.73)],
    ),
    (
        "8620",
        0.6,
        [(704.93, 707.76), (733.5, 734.92), (729.07, 739.32)],
    ),
    (
        "8620",
        0.8,
        [(706.18, 709.47), (726.29, 723.15), (784.9, 780.79)],
    ),
    (
        "8620",
        1.0,
        [(707.14, 710.69), (725.12, 722.91), (852.91, 841.56)],
    ),
    (
        "8620",
        1.2,
        [(707.88, 711.53), (724.45, 722.83), (917.21, 907.89)],
    ),
    (
        "5120",
        0.2,
        [(720.47, 714.12), (814.74, 816.25), (733.13, 722.79)],
    ),
    (
        "5120",
        0.6,
        [(721.39, 718.9), (739.95, 740.73), (736.6, 729.71)],
    ),
    (
        "5120",
        0.8,
        [(722.31, 720.45), (734.4, 729.95), (797.0, 776.88)],
    ),
    (
        "5120",
        1.0,
        [(723.16, 721.68), (732.89, 729.46), (861.9, 846.45)],
    ),
    (
        "5120",
        1.2,
        [(723.93, 722.68), (732.05, 729.25), (923.81, 911.67)],
    ),
];

fn boundaries() -> Vec<Row> {
    let mut rows = Vec::new();
    for (steel, carbon, [first, ferrite, carbides]) in BOUNDARIES {
        let mut found = all(&reference_steel(steel, carbon));
        for (id, what, pair, computed) in [
            ("ae1", "First austenite", first, celsius(found.ae1())),
            ("ae3", "Last ferrite gone", ferrite, celsius(found.ae3())),
            (
                "carbides-gone",
                "Last carbide gone",
                carbides,
                celsius(found.carbide_gone()),
            ),
        ] {
            rows.push(row(
                format!("equilibrium-{id}-{steel}-{carbon}"),
                format!("{what}, {steel} with {carbon} % C"),
                middle(pair),
                computed,
                &BETWEEN_K.between(pair),
            ));
        }
    }
    rows
}

/// Steel, carbon, °C, activity in austenite alone.
pub(crate) const ACTIVITIES: [(&str, f64, f64, Pair); 15] = [
    ("1018", 0.8, 850.0, (0.7307, 0.73024)),
    ("8620", 0.8, 850.0, (0.69636, 0.69825)),
    ("5120", 0.8, 850.0, (0.66272, 0.67209)),
    ("1018", 0.4, 927.0, (0.22977, 0.22978)),
    ("1018", 0.8, 927.0, (0.53581, 0.53581)),
    ("1018", 1.2, 927.0, (0.93863, 0.93858)),
    ("8620", 0.4, 927.0, (0.22038, 0.22084)),
    ("8620", 0.8, 927.0, (0.51324, 0.51427)),
    ("8620", 1.2, 927.0, (0.89788, 0.89963)),
    ("5120", 0.4, 927.0, (0.21046, 0.21313)),
    ("5120", 0.8, 927.0, (0.49003, 0.49623)),
    ("5120", 1.2, 927.0, (0.85708, 0.86793)),
    ("1018", 0.8, 1000.0, (0.41336, 0.41358)),
    ("8620", 0.8, 1000.0, (0.39764, 0.39821)),
    ("5120", 0.8, 1000.0, (0.38068, 0.38504)),
];

fn activities() -> Vec<Row> {
    ACTIVITIES
        .into_iter()
        .map(|(steel, carbon, t_c, pair)| {
            let austenite =
                AusteniteCarbon::at(&reference_steel(steel, carbon), Temperature::from_c(t_c));
            let computed = austenite
                .ok()
                .map(|v| v.value.activity(WeightPercent::from_wt_pct(carbon)));
            let claim = Claim {
                unit: "activity",
                tolerance: 0.01 * middle(pair),
                reason: "half the distance of the two databases and 1 %, the scatter of measured \
                         activities",
            };
            row(
                format!("equilibrium-activity-{steel}-{carbon}-{t_c}"),
                format!("Activity of carbon, {steel} with {carbon} % C at {t_c} °C"),
                middle(pair),
                or_far(computed),
                &claim.between(pair),
            )
        })
        .collect()
}

/// Steel, carbon, °C; austenite, ferrite, cementite, all carbides allowed.
pub(crate) const FRACTIONS: [(&str, f64, f64, [Pair; 3]); 15] = [
    (
        "1018",
        0.18,
        788.0,
        [(0.55939, 0.57229), (0.44061, 0.42771), (0.0, 0.0)],
    ),
    (
        "1018",
        1.0,
        788.0,
        [(0.97835, 0.97817), (0.0, 0.0), (0.02165, 0.02183)],
    ),
    (
        "1018",
        1.2,
        788.0,
        [(0.93737, 0.93722), (0.0, 0.0), (0.06263, 0.06278)],
    ),
    (
        "1018",
        1.2,
        843.0,
        [(0.96705, 0.96709), (0.0, 0.0), (0.03295, 0.03291)],
    ),
    (
        "8620",
        0.2,
        788.0,
        [(0.7749, 0.75627), (0.2251, 0.24373), (0.0, 0.0)],
    ),
    (
        "8620",
        1.0,
        788.0,
        [(0.96418, 0.96978), (0.0, 0.0), (0.03582, 0.03022)],
    ),
    (
        "8620",
        1.0,
        843.0,
        [(0.99417, 1.0), (0.0, 0.0), (0.00583, 0.0)],
    ),
    (
        "8620",
        1.2,
        788.0,
        [(0.92587, 0.93011), (0.0, 0.0), (0.07413, 0.06989)],
    ),
    (
        "8620",
        1.2,
        843.0,
        [(0.95479, 0.9599), (0.0, 0.0), (0.04521, 0.0401)],
    ),
    (
        "5120",
        0.2,
        788.0,
        [(0.68165, 0.66746), (0.31835, 0.33254), (0.0, 0.0)],
    ),
    (
        "5120",
        0.8,
        788.0,
        [(0.99537, 1.0), (0.0, 0.0), (0.00463, 0.0)],
    ),
    (
        "5120",
        1.0,
        788.0,
        [(0.95975, 0.96725), (0.0, 0.0), (0.04025, 0.03275)],
    ),
    (
        "5120",
        1.0,
        843.0,
        [(0.98901, 0.99794), (0.0, 0.0), (0.01099, 0.00206)],
    ),
    (
        "5120",
        1.2,
        788.0,
        [(0.92275, 0.92828), (0.0, 0.0), (0.07725, 0.07172)],
    ),
    (
        "5120",
        1.2,
        843.0,
        [(0.95109, 0.95774), (0.0, 0.0), (0.04891, 0.04226)],
    ),
];

fn fractions() -> Vec<Row> {
    let mut rows = Vec::new();
    for (steel, carbon, t_c, pairs) in FRACTIONS {
        let state = at(&reference_steel(steel, carbon), t_c, PhaseSet::STEEL);
        let phases = [Phase::Austenite, Phase::Ferrite, Phase::Cementite];
        for (phase, pair) in phases.into_iter().zip(pairs) {
            let computed = state.as_ref().map(|s| s.mole_fraction(phase).to_ratio());
            rows.push(row(
                format!("equilibrium-{}-{steel}-{carbon}-{t_c}", phase.name()),
                format!(
                    "Share of {}, {steel} with {carbon} % C at {t_c} °C",
                    phase.name()
                ),
                middle(pair),
                or_far(computed),
                &BETWEEN_FRACTION,
            ));
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_every_row_is_inside() {
        let rows = rows();
        assert!(rows.len() >= 130, "{}", rows.len());
        for row in &rows {
            assert!(row.ok(), "{row:?}");
        }
    }

    /// Our Gibbs energies are those of the first database; what differs is the solver, and the
    /// rounding of the reference.
    #[test]
    fn val_same_assessments_give_the_same_numbers() {
        for (steel, carbon, [first, ferrite, carbides]) in BOUNDARIES {
            let mut found = all(&reference_steel(steel, carbon));
            for (pair, computed) in [
                (first, celsius(found.ae1())),
                (ferrite, celsius(found.ae3())),
                (carbides, celsius(found.carbide_gone())),
            ] {
                // The reference's boundaries are bisected to about 0.02 K.
                assert!(
                    (computed - pair.0).abs() < 0.03,
                    "{steel} {carbon}: {computed} {pair:?}"
                );
            }
        }
        for (steel, carbon, t_c, pairs) in FRACTIONS {
            let state = at(&reference_steel(steel, carbon), t_c, PhaseSet::STEEL).unwrap();
            for (phase, pair) in [Phase::Austenite, Phase::Ferrite, Phase::Cementite]
                .into_iter()
                .zip(pairs)
            {
                // Rounded to 1e-5; R differs by 5e-6, which moves a fraction by as much.
                let computed = state.mole_fraction(phase).to_ratio();
                assert!(
                    (computed - pair.0).abs() < 5e-5,
                    "{steel} {carbon} {t_c} {computed}"
                );
            }
        }
    }
}
