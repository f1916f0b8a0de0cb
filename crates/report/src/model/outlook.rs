//! Chances, causes of the spread and small changes in words. One line each; empty where nothing
//! was computed.

use casewright_plan::PlanReport;
use casewright_plan::outlook::{Change, Spread};
use casewright_terms::{Length, UnitSystem};

/// The lines of the outlook.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct OutlookView {
    /// How likely the clauses are met.
    pub chances: Vec<String>,
    /// Causes with what would narrow them.
    pub causes: Vec<String>,
    /// What small changes do.
    pub changes: Vec<String>,
    /// What the bands rest on; empty where there is no ensemble.
    pub basis: String,
}

/// Causes that are worth a line.
const CAUSES: usize = 4;

pub(super) fn view(report: &PlanReport, units: UnitSystem) -> OutlookView {
    let outlook = &report.outlook;
    let percent = |p: f64| match p {
        // 1024 members cannot tell a certainty.
        p if p > 0.995 => "over 99 %".to_owned(),
        p if p < 0.005 => "under 1 %".to_owned(),
        p => format!("{:.0} %", 100.0 * p),
    };
    let mut chances: Vec<String> = outlook
        .chances
        .iter()
        .map(|chance| format!("{}: {}", chance.clause, percent(chance.probability)))
        .collect();
    if let Some(all) = outlook.chance_all.filter(|_| chances.len() > 1) {
        chances.push(format!("all of the note in one part: {}", percent(all)));
    }
    if let Some(found) = outlook.chance_found {
        chances.push(format!(
            "that your own readings show the note met: {}",
            percent(found)
        ));
    }
    OutlookView {
        chances,
        causes: outlook
            .spreads
            .iter()
            .take(CAUSES)
            .map(|spread| cause(spread, units))
            .collect(),
        changes: outlook
            .sensitivity
            .iter()
            .map(|change| self::change(change, units))
            .collect(),
        basis: outlook.basis.map_or_else(String::new, |basis| {
            let error = basis.depth_error.map_or_else(String::new, |error| {
                format!(
                    ", the others are read from those with an error of {} in depth, which is in the band",
                    error.depth_text(units)
                )
            });
            format!(
                "{} trial shops, {} of them run in full{error}",
                basis.members, basis.runs
            )
        }),
    }
}

fn cause(spread: &Spread, units: UnitSystem) -> String {
    let sentence = capital(&spread.sentence());
    match &spread.remedy {
        Some(remedy) => format!(
            "{} ({} to {})",
            sentence.trim_end_matches('.'),
            remedy.band_after.0.depth_text(units),
            remedy.band_after.1.depth_text(units)
        ),
        None => sentence,
    }
}

fn change(change: &Change, units: UnitSystem) -> String {
    let depth = change.depth.map(|depth| signed(depth, units));
    // Less than half a point is no change, and has no sign.
    let surface = change.surface_hv.map(|hv| match hv.round() {
        0.0 => "unchanged".to_owned(),
        hv => format!("{hv:+.0} HV"),
    });
    let parts: Vec<String> = [
        depth.map(|d| format!("depth {d}")),
        surface.map(|s| format!("surface {s}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    format!("{}: {}", change.what, parts.join(", "))
}

fn signed(depth: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:+.3} mm", depth.to_mm()),
        UnitSystem::Inch => format!("{:+.4} in", depth.to_in()),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|c| c.to_uppercase().collect::<String>() + letters.as_str())
        .unwrap_or_default()
}
