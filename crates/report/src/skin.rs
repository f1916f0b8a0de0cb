//! The skin in words: its stress, and what Vickers and Knoop testers would read on it by test force.

use casewright_job::spec::Spec;
use casewright_plan::loads::{LoadReading, heaviest};
use casewright_plan::outcome::Prediction;
use casewright_terms::{Force, Scale, UnitSystem};

use crate::show;

/// The force that is told where the note names none.
const USUAL_KGF: f64 = 1.0;

/// Sentences that stand under what is expected.
#[must_use]
pub fn sentences(spec: &Spec, prediction: &Prediction) -> Vec<String> {
    let stress = &prediction.skin_stress;
    let mut all = vec![format!(
        "stress in the skin: {}; {}",
        stress.words(),
        stress.reason
    )];
    all.extend(by_force(spec, &prediction.loads));
    all
}

/// What the note's force would read, and the heaviest that reads the case alone.
fn by_force(spec: &Spec, loads: &[LoadReading]) -> Option<String> {
    let asked = spec
        .note
        .surface_hardness
        .filter(|range| matches!(range.scale, Scale::Hv | Scale::Hk));
    let scale = asked.map_or(Scale::Hv, |range| range.scale);
    let wanted = Force::from_kgf(asked.and_then(|range| range.force_kgf).unwrap_or(USUAL_KGF));
    let told = loads
        .iter()
        .filter(|load| load.scale == scale)
        .min_by(|a, b| off(a.force, wanted).total_cmp(&off(b.force, wanted)))?;
    let reading = told.reading?;
    let heavy = heaviest(loads).map_or_else(
        || "no named Vickers force reads the case alone".to_owned(),
        |load| {
            let least = load.least_case.map_or_else(String::new, |least| {
                format!(" (needs {})", least.depth_text_both(spec.units))
            });
            format!(
                "{} is the heaviest Vickers force that reads the case alone{least}",
                load.name()
            )
        },
    );
    Some(format!(
        "{} on the finished surface: {:.0} ({:.0} to {:.0}){}; {heavy}",
        told.name(),
        reading.mid,
        reading.low,
        reading.high,
        if told.valid {
            ""
        } else {
            ", which reads the core too"
        }
    ))
}

fn off(a: Force, b: Force) -> f64 {
    (a.to_kgf() - b.to_kgf()).abs()
}

/// All test forces, as a table in lines.
#[must_use]
pub fn table(loads: &[LoadReading], units: UnitSystem) -> String {
    let mut out = String::from(
        "Vickers and Knoop by test force, on the finished surface (flat or section)\n",
    );
    for load in loads {
        let reading = load.reading.map_or_else(
            || "–".to_owned(),
            |band| format!("{:.0} ({:.0} to {:.0})", band.mid, band.low, band.high),
        );
        let least = load
            .least_case
            .map_or_else(|| "–".to_owned(), |least| show::depth(least, units).main);
        out.push_str(&format!(
            "  {:<6} {reading:<18} layer {least:<9} {}\n",
            load.name(),
            if load.valid {
                "reads the case"
            } else {
                "reads the core too"
            }
        ));
    }
    // What makes small indents doubtful is the same sentence for each: the first stands for them.
    if let Some(note) = loads
        .iter()
        .flat_map(|load| &load.notes)
        .find(|note| note.contains("µm"))
    {
        out.push_str(&format!("  {note}\n"));
    }
    out
}
