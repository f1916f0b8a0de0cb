//! What a steel does, on the wire.

use casewright_physics::law::hardenability;
use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::matter::steel::{ContentRange, SteelRecord};
use casewright_physics::model::cold_card::{self, CaseState, ColdCard};
use casewright_physics::model::jominy::EndQuenchPoint;
use casewright_physics::model::steel_card::{CardPhase, CrossCheck, SteelCard};
use casewright_physics::run::TransformationCurves;
use casewright_terms::{Composition, Scale, Temperature};
use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use super::curves::Curves;
use super::diag::{RemarkLine, remarks, some};
use super::number;

/// Contents by the element's symbol, in print order; elements that are absent are not listed.
#[derive(Debug)]
pub(crate) struct Contents(Vec<(&'static str, f64)>);

impl Contents {
    /// From a composition.
    pub(crate) fn of(composition: &Composition) -> Self {
        Self(
            composition
                .present()
                .map(|(element, content)| (element.symbol(), number(content.to_wt_pct())))
                .collect(),
        )
    }
}

impl Serialize for Contents {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (symbol, content) in &self.0 {
            map.serialize_entry(symbol, content)?;
        }
        map.end()
    }
}

/// The answer of `steel`.
#[derive(Debug, Serialize)]
pub(crate) struct Card {
    grade: Option<GradeLine>,
    composition_wt_pct: Contents,
    at_carbon_wt_pct: f64,
    at_c: f64,
    ae1_c: Option<f64>,
    ae1_10pct_c: Option<f64>,
    carbide_gone_c: Option<f64>,
    ae3_c: Option<f64>,
    acm_c: Option<f64>,
    ms_c: Option<f64>,
    carbon_activity: Option<f64>,
    phases: Vec<PhaseLine>,
    retained_austenite_pct: Option<f64>,
    jominy: Jominy,
    /// With `at_carbon_wt_pct` all through; `null` where that is the base carbon.
    jominy_case: Option<Jominy>,
    /// Calculated by ASTM A255; `null` outside its scope.
    jominy_a255: Option<Calculated>,
    /// `null` where the rates cannot be asked.
    curves: Option<Curves>,
    /// The sub-zero treatment that was asked for.
    cold: Option<ColdLine>,
    cross_checks: Vec<CrossLine>,
    remarks: Vec<RemarkLine>,
    sources: Vec<String>,
}

#[derive(Debug, Serialize)]
struct GradeLine {
    name: String,
    system: String,
    aliases: Vec<String>,
    class: &'static str,
    quench: &'static str,
    quench_note: Option<String>,
    ranges: Vec<RangeLine>,
    warnings: Vec<WarningLine>,
}

#[derive(Debug, Serialize)]
struct RangeLine {
    element: &'static str,
    min_wt_pct: Option<f64>,
    max_wt_pct: Option<f64>,
}

#[derive(Debug, Serialize)]
struct WarningLine {
    code: String,
    severity: &'static str,
    text: String,
}

#[derive(Debug, Serialize)]
struct PhaseLine {
    name: &'static str,
    mole_fraction: f64,
    carbon_wt_pct: f64,
}

#[derive(Debug, Serialize)]
struct Jominy {
    distance_mm: Vec<f64>,
    rate_700c_k_s: Vec<f64>,
    martensite: Vec<f64>,
    /// `null` where the steel is too soft for the scale, below 20 HRC.
    hardness_hrc: Vec<Option<f64>>,
    /// `null` where the steel is too hard for the scale.
    hardness_hrb: Vec<Option<f64>>,
    hardness_hv: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct Calculated {
    distance_mm: Vec<f64>,
    hardness_hrc: Vec<Option<f64>>,
}

#[derive(Debug, Serialize)]
struct CrossLine {
    name: &'static str,
    quantity: &'static str,
    /// `null` where the steel is too far from what the formula was made on.
    value_c: Option<f64>,
    source: &'static str,
}

impl Card {
    /// From a card and the grade it was made for.
    pub(crate) fn of(
        card: &SteelCard,
        grade: Option<&SteelRecord>,
        curves: Option<&TransformationCurves>,
        cold: Option<&ColdCard>,
    ) -> Self {
        let celsius = |t: Option<Temperature>| t.map(|t| number(t.to_c()));
        let mut sources: Vec<String> = card.sources.iter().map(ToString::to_string).collect();
        if let Some(record) = grade
            && !sources.contains(&record.source)
        {
            sources.push(record.source.clone());
        }
        for key in cold.iter().flat_map(|_| cold_card::SOURCES) {
            if !sources.iter().any(|known| known == key) {
                sources.push(key.to_owned());
            }
        }
        Self {
            grade: grade.map(grade_line),
            composition_wt_pct: Contents::of(&card.composition),
            at_carbon_wt_pct: number(card.at_carbon.to_wt_pct()),
            at_c: number(card.at.to_c()),
            ae1_c: celsius(card.ae1),
            ae1_10pct_c: celsius(card.ae1_10pct),
            carbide_gone_c: celsius(card.carbide_gone),
            ae3_c: celsius(card.ae3),
            acm_c: celsius(card.acm),
            ms_c: celsius(card.ms),
            carbon_activity: card.carbon_activity.map(number),
            phases: card.phases.iter().map(phase).collect(),
            retained_austenite_pct: card.retained_austenite.map(|part| number(part.to_pct())),
            jominy: jominy(&card.jominy),
            jominy_case: (!card.jominy_case.is_empty()).then(|| jominy(&card.jominy_case)),
            jominy_a255: calculated(&card.jominy_a255),
            curves: curves.map(Curves::of),
            cold: cold.map(cold_line),
            cross_checks: card.cross_checks.iter().map(cross).collect(),
            remarks: remarks(&card.remarks),
            sources,
        }
    }
}

/// The case before and after the cold, as quenched.
#[derive(Debug, Serialize)]
struct ColdLine {
    temperature_c: f64,
    wait_h: f64,
    before: StateLine,
    after: StateLine,
    remarks: Vec<RemarkLine>,
}

#[derive(Debug, Serialize)]
struct StateLine {
    retained_austenite_pct: f64,
    hardness_hv: f64,
    hardness_hrc: Option<f64>,
}

fn cold_line(card: &ColdCard) -> ColdLine {
    let state = |state: &CaseState| StateLine {
        retained_austenite_pct: number(state.retained_austenite.to_pct()),
        hardness_hv: number(state.hardness.to_hv()),
        hardness_hrc: scale_of(state.hardness, Scale::Hrc).map(number),
    };
    ColdLine {
        temperature_c: number(card.treatment.temperature.to_c()),
        wait_h: number(card.treatment.wait.to_h()),
        before: state(&card.before),
        after: state(&card.after),
        remarks: remarks(&card.remarks),
    }
}

fn grade_line(record: &SteelRecord) -> GradeLine {
    GradeLine {
        name: record.name.clone(),
        system: record.system.clone(),
        aliases: record.aliases.clone(),
        class: record.class.word(),
        quench: record.quench.word(),
        quench_note: some(&record.quench_note),
        ranges: record.ranges.iter().map(range).collect(),
        warnings: record
            .warnings
            .iter()
            .map(|warning| WarningLine {
                code: warning.code.clone(),
                severity: warning.severity.word(),
                text: warning.text.clone(),
            })
            .collect(),
    }
}

fn range(range: &ContentRange) -> RangeLine {
    RangeLine {
        element: range.element.symbol(),
        min_wt_pct: range.min.map(|min| number(min.to_wt_pct())),
        max_wt_pct: range.max.map(|max| number(max.to_wt_pct())),
    }
}

fn phase(phase: &CardPhase) -> PhaseLine {
    PhaseLine {
        name: phase.name,
        mole_fraction: number(phase.mole_fraction.to_ratio()),
        carbon_wt_pct: number(phase.carbon.to_wt_pct()),
    }
}

fn jominy(points: &[EndQuenchPoint]) -> Jominy {
    let all = |f: fn(&EndQuenchPoint) -> f64| points.iter().map(|p| number(f(p))).collect();
    Jominy {
        distance_mm: all(|p| p.distance.to_mm()),
        rate_700c_k_s: all(|p| p.rate_k_s),
        martensite: all(|p| p.martensite),
        hardness_hrc: points.iter().map(|p| p.hrc.map(number)).collect(),
        hardness_hrb: points
            .iter()
            .map(|p| scale_of(p.hardness, Scale::Hrb).map(number))
            .collect(),
        hardness_hv: all(|p| p.hardness.to_hv()),
    }
}

fn calculated(points: &[hardenability::JominyPoint]) -> Option<Calculated> {
    (!points.is_empty()).then(|| Calculated {
        distance_mm: points
            .iter()
            .map(|p| number(p.distance().to_mm()))
            .collect(),
        hardness_hrc: points.iter().map(|p| p.hrc.map(number)).collect(),
    })
}

fn cross(check: &CrossCheck) -> CrossLine {
    CrossLine {
        name: check.name,
        quantity: check.quantity,
        value_c: check.value.map(|value| number(value.to_c())),
        source: check.source,
    }
}
