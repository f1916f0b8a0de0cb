//! What several readings on one piece say together: two scales that disagree, a skin that is softer
//! than what lies under it.

use casewright_job::evidence::{Readings, Surface, What, Where};
use casewright_physics::law::indentation::rockwell_force;
use casewright_terms::{Diag, Length, Scale};

use super::{Bench, Read, Value};

/// Two scales, or two depths, tell another hardness from here on: some two points of HRC, the scatter
/// of real pairs. [astm-e140]
const APART: f64 = 0.08;

/// Mean Vickers number of a surface reading.
fn hv_mid(read: &Read) -> Option<f64> {
    match &read.value {
        Value::Hardness { vickers, .. } => vickers.map(|band| band.mid.to_hv()),
        _ => None,
    }
}

/// The reading's section in the file, where it is a surface reading.
fn surface_of<'e>(bench: &Bench<'e>, read: &Read) -> Option<&'e Readings> {
    match &bench.evidence.items.get(read.item)?.what {
        What::Hardness(readings) if readings.at == Where::Surface => Some(readings),
        _ => None,
    }
}

/// Two scales on the same surface: falling as the load rises is a thin case, rising is a soft skin.
pub(super) fn scales_differ(bench: &Bench<'_>, read: &[Read], findings: &mut Vec<Diag>) {
    let mut said: Vec<(String, bool)> = Vec::new();
    for (i, a) in read.iter().enumerate() {
        for b in &read[i + 1..] {
            let (Some(x), Some(y)) = (surface_of(bench, a), surface_of(bench, b)) else {
                continue;
            };
            let same = a.specimen.eq_ignore_ascii_case(&b.specimen) && x.surface == y.surface;
            let loads = (rockwell_force(x.scale.scale), rockwell_force(y.scale.scale));
            let (true, (Some(load_x), Some(load_y))) = (same, loads) else {
                continue;
            };
            let (Some(hv_x), Some(hv_y)) = (hv_mid(a), hv_mid(b)) else {
                continue;
            };
            if load_x == load_y {
                continue;
            }
            let ((light, light_hv), (heavy, heavy_hv)) = if load_x.to_n() < load_y.to_n() {
                ((a, hv_x), (b, hv_y))
            } else {
                ((b, hv_y), (a, hv_x))
            };
            let rises = heavy_hv > light_hv * (1.0 + APART);
            let falls = light_hv > heavy_hv * (1.0 + APART);
            let key = (a.specimen.to_ascii_lowercase(), rises);
            if !(rises || falls) || said.contains(&key) {
                continue;
            }
            said.push(key);
            let seen = format!(
                "On {} {} reads as {light_hv:.0} HV and the heavier {} as {heavy_hv:.0} HV.",
                a.specimen, light.name, heavy.name
            );
            let diag = if rises {
                Diag::warn("scales-rise", seen)
                    .why("Harder as the load rises is a soft skin over a hard case: carbon lost in a bare reheat or a leaking box, or much retained austenite.")
                    .accepted("A light polish in steps of 0.05 mm with a reading on each.")
            } else {
                Diag::warn("scales-fall", seen)
                    .why("Softer as the load rises is a case too thin for the heavier scale.")
                    .accepted("The light scale for the surface, a traverse or ground steps for the depth.")
            };
            findings.push(
                diag.at(heavy.place.clone())
                    .also(light.place.clone(), "the other scale"),
            );
        }
    }
}

/// Readings on one piece and scale at several depths that rise inward: a soft skin, and how deep.
pub(super) fn skins(bench: &Bench<'_>, read: &[Read], findings: &mut Vec<Diag>) {
    let mut done: Vec<(String, Scale)> = Vec::new();
    for one in read {
        let Some(own) = surface_of(bench, one) else {
            continue;
        };
        let key = (one.specimen.to_ascii_lowercase(), own.scale.scale);
        if done.contains(&key) {
            continue;
        }
        done.push(key.clone());
        let mut curve: Vec<(Length, f64)> = read
            .iter()
            .filter_map(|other| {
                let readings = surface_of(bench, other)?;
                let same =
                    other.specimen.to_ascii_lowercase() == key.0 && readings.scale.scale == key.1;
                let depth = match &readings.surface {
                    Surface::AsHardened => Length::ZERO,
                    Surface::Removed(depth) => *depth,
                    Surface::Finished(_) => return None,
                };
                same.then_some(())?;
                Some((depth, hv_mid(other)?))
            })
            .collect();
        curve.sort_by(|a, b| a.0.to_m().total_cmp(&b.0.to_m()).then(a.1.total_cmp(&b.1)));
        let Some(first) = curve.first().copied() else {
            continue;
        };
        let hardest = curve.iter().map(|c| c.1).fold(0.0, f64::max);
        if hardest <= first.1 * (1.0 + APART) {
            continue;
        }
        let back = curve
            .iter()
            .find(|c| c.1 >= 0.95 * hardest)
            .map_or(first.0, |c| c.0);
        findings.push(
            Diag::warn(
                "skin-soft",
                format!(
                    "{}: {} rises from {:.0} HV on the surface to {hardest:.0} HV; it is hard from about {} on.",
                    one.specimen,
                    own.scale,
                    first.1,
                    back.depth_text(bench.spec.units)
                ),
            )
            .why("The skin lost carbon, or holds much austenite, after or during the last heat; a case with such a skin wears and cracks early.")
            .accepted("Stock to grind off that is deeper than the skin; or the parts cased again. A reheat packed in used compound for the next lot.")
            .at(one.place.clone()),
        );
    }
}
