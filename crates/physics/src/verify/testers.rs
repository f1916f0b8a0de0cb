//! Accuracy rows of readings on a layered case, of the recalled rows of the conversion table, and of
//! the carbide that slow cooling puts on the grain boundaries.

use casewright_terms::{Composition, Force, Length, Scale, Vickers, WeightPercent};

use super::{Kind, Row, row};
use crate::law::hardness_conversion::scale_of;
use crate::law::hardness_conversion::table::C_TABLE;
use crate::law::indentation::{VICKERS_FORCES_KGF, vickers_layer};
use crate::model::chain::inside::boundary_carbide;
use crate::model::testers::would_read_with;
use crate::numerics::fun;
use crate::numerics::root::brent;
use crate::run::Layers;

/// Rows of this family.
#[must_use]
pub fn rows() -> Vec<Row> {
    [uniform(), step(), layer(), recalled(), boundary()].concat()
}

/// A body of hardness by depth in mm, for readings only.
fn body(points: &[(f64, f64)]) -> Layers {
    let zeros = vec![0.0; points.len()];
    let hv: Vec<f64> = points.iter().map(|p| p.1).collect();
    Layers {
        depth_m: points.iter().map(|p| Length::from_mm(p.0).to_m()).collect(),
        carbon_wt_pct: zeros.clone(),
        martensite: vec![1.0; points.len()],
        retained_austenite: zeros.clone(),
        bainite: zeros.clone(),
        pearlite: zeros.clone(),
        ferrite: zeros.clone(),
        carbide: zeros,
        quenched_hv: hv.clone(),
        hardness_hv: hv,
    }
}

fn reading(body: &Layers, kgf: f64) -> f64 {
    would_read_with(body, Scale::Hv, Force::from_kgf(kgf), Length::ZERO, None)
        .reading
        .unwrap_or(0.0)
}

/// Uniform steel reads its own hardness with every force: the worst of all of them.
fn uniform() -> Vec<Row> {
    let flat = body(&[(0.0, 640.0), (5.0, 640.0)]);
    let worst = VICKERS_FORCES_KGF
        .iter()
        .map(|kgf| reading(&flat, *kgf))
        .fold(640.0_f64, |worst, hv| {
            if (hv - 640.0).abs() > (worst - 640.0).abs() {
                hv
            } else {
                worst
            }
        });
    vec![row(
        "tester-uniform-1".to_owned(),
        "uniform 640 HV, the worst of HV0.1 to HV100".to_owned(),
        "iso-6507",
        Kind::Identity,
        (640.0, worst, "HV"),
        (
            1e-9,
            "the number does not depend on the force in uniform steel",
        ),
    )]
}

/// A hard layer on a soft core with one step, whose reading can be written down: the weight
/// (1 − z/Z)² leaves the layer the share 1 − (1 − t/Z)³.
fn step() -> Vec<Row> {
    const LAYER_MM: f64 = 0.4;
    let (hard, soft) = (700.0, 220.0);
    let stepped = body(&[
        (0.0, hard),
        (LAYER_MM, hard),
        (LAYER_MM + 1e-4, soft),
        (6.0, soft),
    ]);
    [5.0, 10.0, 30.0, 50.0, 100.0]
        .into_iter()
        .enumerate()
        .map(|(i, kgf)| {
            let off = |hv: f64| {
                // Ten times the depth, which is a seventh of the diagonal.
                let zone_mm = 10.0 / 7.0 * fun::sqrt(1.8544 * kgf / hv);
                let beyond = (1.0 - LAYER_MM / zone_mm).max(0.0);
                soft + (hard - soft) * (1.0 - beyond * beyond * beyond) - hv
            };
            let exact = brent(soft, hard, 1e-9, off).unwrap_or(f64::MAX);
            row(
                format!("tester-step-{}", i + 1),
                format!("700 HV to 0.40 mm on 220 HV, HV{kgf}"),
                "tester-weight-assumed",
                Kind::Identity,
                (exact, reading(&stepped, kgf), "HV"),
                (
                    6.0,
                    "sixty points stand for the zone: half a cell at the step is 4 HV where the zone is twice the layer",
                ),
            )
        })
        .collect()
}

/// Least layers by the standard's one and a half diagonals, worked by hand.
fn layer() -> Vec<Row> {
    [
        (0.5, 700.0, 54.6),
        (1.0, 700.0, 77.2),
        (10.0, 700.0, 244.1),
        (30.0, 700.0, 422.9),
        (100.0, 700.0, 772.1),
    ]
    .into_iter()
    .enumerate()
    .map(|(i, (kgf, hv, um))| {
        let ours = vickers_layer(Vickers::from_hv(hv), Force::from_kgf(kgf));
        row(
            format!("tester-layer-{}", i + 1),
            format!("least layer for HV{kgf} at {hv} HV, one and a half diagonals"),
            "iso-6507",
            Kind::CrossCheck,
            (um, ours.map_or(0.0, Length::to_um), "µm"),
            (0.06, "worked values are printed to a tenth of a micrometre"),
        )
    })
    .collect()
}

/// Rows of the C table that are recalled and not re-read.
const RECALLED_HRC: [f64; 13] = [
    39.0, 37.0, 34.0, 33.0, 32.0, 31.0, 29.0, 28.0, 27.0, 26.0, 24.0, 23.0, 21.0,
];

/// Recalled N-scale rows against the straight line between the nearest rows that were seen: what a
/// slip of memory would stand out from.
fn recalled() -> Vec<Row> {
    let seen = |hrc: f64| !RECALLED_HRC.contains(&hrc);
    let scales = [Scale::Hr15n, Scale::Hr30n, Scale::Hr45n];
    let on = |hrc: f64, scale: Scale| {
        let row = C_TABLE.iter().find(|row| row.hrc == hrc)?;
        scale_of(Vickers::from_hv(row.values[0]?), scale)
    };
    let line = |hrc: f64, scale: Scale| {
        let above = C_TABLE
            .iter()
            .rev()
            .map(|r| r.hrc)
            .find(|h| *h > hrc && seen(*h))?;
        let below = C_TABLE
            .iter()
            .map(|r| r.hrc)
            .find(|h| *h < hrc && seen(*h))?;
        let (a, b) = (on(above, scale)?, on(below, scale)?);
        Some(b + (a - b) * (hrc - below) / (above - below))
    };
    RECALLED_HRC
        .into_iter()
        .flat_map(|hrc| scales.map(|scale| (hrc, scale)))
        .enumerate()
        .map(|(i, (hrc, scale))| {
            row(
                format!("conversion-recalled-{}", i + 1),
                format!("{hrc} HRC on {scale}, a recalled row, against the line between rows seen"),
                "astm-e140",
                Kind::CrossCheck,
                (line(hrc, scale).unwrap_or(0.0), on(hrc, scale).unwrap_or(-1.0), "scale's own"),
                (
                    0.5,
                    "steps of a row are 0.5 to 1.2 and vary by 0.4 among the rows seen; a slip of a digit is 1 or more",
                ),
            )
        })
        .collect()
}

/// Carbide beyond the eutectoid of plain steels, by the lever from 0.77 wt% to cementite.
fn boundary() -> Vec<Row> {
    let plain = Composition::plain(WeightPercent::from_wt_pct(0.0));
    [(0.7, 0.0), (0.9, 2.2), (1.0, 3.9), (1.2, 7.3)]
        .into_iter()
        .enumerate()
        .map(|(i, (carbon, share))| {
            let ours = boundary_carbide(&plain, WeightPercent::from_wt_pct(carbon)).share;
            row(
                format!("inside-boundary-carbide-{}", i + 1),
                format!("carbide shed above the eutectoid, iron with {carbon} wt% C"),
                "worked-here",
                Kind::CrossCheck,
                (share, 100.0 * ours, "%"),
                (
                    0.7,
                    "the eutectoid is quoted from 0.76 to 0.80 wt%, which is 0.6 % of carbide",
                ),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matter::sources::source;

    #[test]
    fn val_every_row_is_within_its_tolerance() {
        for row in rows() {
            println!(
                "{} {}: {:.3} against {:.3} {}",
                row.id, row.what, row.computed, row.published, row.unit
            );
            assert!(source(row.source).is_some(), "{}", row.source);
        }
        let bad: Vec<Row> = rows().into_iter().filter(|row| !row.ok()).collect();
        assert!(bad.is_empty(), "{bad:#?}");
    }
}
