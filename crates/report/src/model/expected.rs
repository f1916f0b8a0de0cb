//! The table of what is expected: each property with its band, beside what the note asks for.

use casewright_job::note::reading::{DepthKind, HardnessRange, LengthRange, Stage};
use casewright_job::spec::Spec;
use casewright_plan::outcome::Prediction;
use casewright_terms::{Band, Scale, UnitSystem};

use super::parts::PredictionRow;
use crate::show;

fn asked_depth(range: Option<LengthRange>, units: UnitSystem) -> String {
    range
        .filter(|r| r.min.is_some() || r.max.is_some())
        .map(|r| show::depth_range(r.min, r.max, units).main)
        .unwrap_or_default()
}

fn asked_hardness(range: Option<HardnessRange>) -> String {
    let Some(range) = range else {
        return String::new();
    };
    let write =
        |v: f64| casewright_terms::quantity::format_trimmed(v, show::decimals_of(range.scale));
    let scale = match range.force_kgf {
        Some(force) => format!(
            "{}{}",
            range.scale,
            casewright_terms::quantity::format_trimmed(force, 2)
        ),
        None => range.scale.to_string(),
    };
    match (range.min, range.max) {
        (Some(a), Some(b)) => format!("{} to {} {scale}", write(a), write(b)),
        (Some(a), None) => format!("at least {} {scale}", write(a)),
        (None, Some(b)) => format!("at most {} {scale}", write(b)),
        (None, None) => String::new(),
    }
}

/// The limit of the case depth on the scale the note writes it in.
pub(crate) fn limit_words(spec: &Spec, p: &Prediction) -> String {
    match spec.note.limit_hardness {
        Some(limit) if limit.scale != Scale::Hv => limit.to_string(),
        _ => format!("{:.0} HV", p.limit_hardness.to_hv()),
    }
}

/// What physics expects, beside what the note asks.
pub(super) fn rows(spec: &Spec, p: &Prediction) -> Vec<PredictionRow> {
    let units = spec.units;
    let limit = limit_words(spec, p);
    let total = spec.note.depth_kind == DepthKind::Total;
    let before = spec.note.stage == Stage::BeforeGrind;
    let asked = asked_depth(spec.note.case_depth, units);
    let depth_name = if total {
        "Total case depth".to_owned()
    } else {
        format!("Case depth to {limit}")
    };
    let mut rows = Vec::new();
    let mut push = |what: String, value: Option<show::BandShown>, asked: String| {
        if let Some(value) = value {
            rows.push(PredictionRow {
                kept: what.starts_with("Core") || what.starts_with("Total"),
                what,
                value,
                key: !asked.is_empty(),
                asked,
            });
        }
    };
    let depth =
        |band: Option<Band<casewright_terms::Length>>| band.map(|b| show::depth_band(b, units));
    let when = |on: bool| if on { asked.clone() } else { String::new() };
    if p.case_depth == p.case_depth_after_grind {
        push(depth_name.clone(), depth(p.case_depth), asked.clone());
    } else {
        push(
            format!("{depth_name}, after grinding"),
            depth(p.case_depth_after_grind),
            when(!before),
        );
        push(
            format!("{depth_name}, before grinding"),
            depth(p.case_depth),
            when(before),
        );
    }
    if (p.limit_hardness.to_hv() - 550.0).abs() > 0.5 {
        push(
            "Depth to 550 HV".to_owned(),
            depth(p.depth_550hv),
            String::new(),
        );
    }
    if limit != "50 HRC" {
        push(
            "Depth to 50 HRC (513 HV)".to_owned(),
            depth(p.depth_50hrc),
            String::new(),
        );
    }
    if !total {
        push(
            "Total depth (core + 0.04 wt% C)".to_owned(),
            depth(p.total_depth),
            String::new(),
        );
    }
    let surface_asked = asked_hardness(spec.note.surface_hardness);
    let surface_in_hv = spec
        .note
        .surface_hardness
        .is_none_or(|r| r.scale == Scale::Hv);
    match p.surface_hrc {
        Some(hrc) => {
            let other = |on: bool| {
                if on {
                    surface_asked.clone()
                } else {
                    String::new()
                }
            };
            push(
                "Surface hardness, finished".to_owned(),
                Some(show::reading_band(hrc, Scale::Hrc)),
                other(!surface_in_hv),
            );
            push(
                "The same in HV".to_owned(),
                Some(show::vickers_band(p.surface)),
                other(surface_in_hv),
            );
        }
        None => push(
            "Surface hardness, finished".to_owned(),
            Some(show::vickers_band(p.surface)),
            surface_asked,
        ),
    }
    let core = p.core_hrc.map_or_else(
        || show::vickers_band(p.core),
        |b| show::reading_band(b, Scale::Hrc),
    );
    push(
        "Core hardness".to_owned(),
        Some(core),
        asked_hardness(spec.note.core_hardness),
    );
    push(
        "Carbon at the surface, before grinding".to_owned(),
        Some(show::carbon_band(p.surface_carbon_wt_pct)),
        String::new(),
    );
    push(
        "Retained austenite, greatest".to_owned(),
        Some(show::percent_band(p.retained_austenite_pct)),
        String::new(),
    );
    let (low, high) = p.growth_per_side;
    push(
        "Growth per side".to_owned(),
        Some(show::BandShown {
            mid: show::growth((low + high) / 2.0, units),
            range: show::growth_range(low, high, units),
        }),
        String::new(),
    );
    rows
}
