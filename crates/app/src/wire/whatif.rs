//! Mishaps of a planned job on the wire.

use casewright_plan::PlanReport;
use casewright_plan::upset::{Act, Outcome, Remedy, Upset, Values, WhatIf};
use casewright_terms::Band;
use serde::Serialize;

use super::diag::{Finding, findings};
use super::plan::{MomentLine, moment};
use super::{Interval, number};
use crate::answer::Texts;

/// The answer of `whatif`.
#[derive(Debug, Serialize)]
pub(crate) struct WhatIfLine {
    /// `null` where there is no plan to ask.
    planned: Option<ValuesLine>,
    upsets: Vec<OutcomeLine>,
    /// Why there is no plan to ask.
    findings: Vec<Finding>,
    /// How bands and chances after a mishap were made.
    bands_from: &'static str,
}

#[derive(Debug, Serialize)]
struct ValuesLine {
    case_depth_mm: f64,
    after_grind_mm: f64,
    surface_hv: f64,
    core_hv: f64,
    retained_austenite_pct: f64,
    meets: bool,
    /// `null` where the bands could not be carried.
    chance: Option<f64>,
    bands: Option<BandsLine>,
}

#[derive(Debug, Serialize)]
struct BandsLine {
    case_depth_mm: Interval,
    after_grind_mm: Interval,
    surface_hv: Interval,
    core_hv: Interval,
    retained_austenite_pct: Interval,
}

#[derive(Debug, Serialize)]
struct OutcomeLine {
    kind: &'static str,
    /// Size of the mishap; the unit stands beside it.
    size: Option<f64>,
    unit: Option<&'static str>,
    /// Of a power cut, when it comes.
    at_h: Option<f64>,
    what: String,
    assumed: String,
    gives: Option<ValuesLine>,
    remedies: Vec<RemedyLine>,
    stop: Option<Finding>,
    borne: Option<String>,
}

#[derive(Debug, Serialize)]
struct RemedyLine {
    act: &'static str,
    hours: Option<f64>,
    temperature_c: Option<f64>,
    what: String,
    gives: Option<ValuesLine>,
    until: String,
    latest: Option<MomentLine>,
    mind: Option<String>,
}

const BANDS_FROM: &str = "the plan's members moved with the middle run: depths in its ratio, hardness and austenite by its difference";

/// The answer.
pub(crate) fn of(answer: &WhatIf, texts: &Texts) -> WhatIfLine {
    WhatIfLine {
        planned: Some(values(&answer.planned)),
        upsets: answer.outcomes.iter().map(|o| outcome(o, texts)).collect(),
        findings: Vec::new(),
        bands_from: BANDS_FROM,
    }
}

/// The answer where there is no plan to ask.
pub(crate) fn refused(report: &PlanReport, texts: &Texts) -> WhatIfLine {
    WhatIfLine {
        planned: None,
        upsets: Vec::new(),
        findings: findings(&report.findings, texts),
        bands_from: BANDS_FROM,
    }
}

fn values(values: &Values) -> ValuesLine {
    ValuesLine {
        case_depth_mm: number(values.case_depth.to_mm()),
        after_grind_mm: number(values.after_grind.to_mm()),
        surface_hv: number(values.surface.to_hv()),
        core_hv: number(values.core.to_hv()),
        retained_austenite_pct: number(values.austenite_pct),
        meets: values.meets,
        chance: values.chance.map(number),
        bands: values.bands.map(|bands| BandsLine {
            case_depth_mm: Interval::of(bands.case_depth, |l| l.to_mm()),
            after_grind_mm: Interval::of(bands.after_grind, |l| l.to_mm()),
            surface_hv: Interval::of(bands.surface, |v| v.to_hv()),
            core_hv: Interval::of(bands.core, |v| v.to_hv()),
            retained_austenite_pct: Interval::of::<f64>(
                Band {
                    ..bands.austenite_pct
                },
                |p| p,
            ),
        }),
    }
}

fn outcome(outcome: &Outcome, texts: &Texts) -> OutcomeLine {
    let (kind, size, unit) = match outcome.upset {
        Upset::PowerCut { lasts, .. } => ("power cut", Some(lasts.to_h()), Some("h")),
        Upset::LateStart(by) => ("late start", Some(by.to_h()), Some("h")),
        Upset::LatePull(by) => ("late pull", Some(by.to_h()), Some("h")),
        Upset::SetWrong(by) => ("set wrong", Some(by.to_k()), Some("K")),
        Upset::FurnaceOff(by) => ("furnace off", Some(by.to_k()), Some("K")),
        Upset::WeakCompound(feeds) => ("weak compound", Some(feeds.to_pct()), Some("%")),
        Upset::DampCompound => ("damp compound", None, None),
        Upset::Bath(at) => ("bath", Some(at.to_c()), Some("°C")),
        Upset::Transfer(span) => ("transfer", Some(span.to_s()), Some("s")),
        Upset::NoTemper => ("no temper", None, None),
        Upset::Temper(at) => ("temper", Some(at.to_c()), Some("°C")),
    };
    let at_h = match outcome.upset {
        Upset::PowerCut { after, .. } => Some(number(after.to_h())),
        _ => None,
    };
    OutcomeLine {
        kind,
        size: size.map(number),
        unit,
        at_h,
        what: outcome.what.clone(),
        assumed: outcome.assumed.clone(),
        gives: outcome.gives.as_ref().map(values),
        remedies: outcome.remedies.iter().map(remedy).collect(),
        stop: outcome.stop.as_ref().map(|diag| Finding::of(diag, texts)),
        borne: outcome.borne.clone(),
    }
}

fn remedy(remedy: &Remedy) -> RemedyLine {
    let (act, hours, temperature_c) = match remedy.act {
        Act::SoakLonger(by) => ("soak longer", Some(by.to_h()), None),
        Act::PullEarlier(by) => ("pull earlier", Some(by.to_h()), None),
        Act::PackAgain(soak) => ("pack again", Some(soak.to_h()), None),
        Act::Temper(at) => ("temper", None, Some(at.to_c())),
        Act::HardenAgain => ("harden again", None, None),
    };
    RemedyLine {
        act,
        hours: hours.map(number),
        temperature_c: temperature_c.map(number),
        what: remedy.what.clone(),
        gives: remedy.gives.as_ref().map(values),
        until: remedy.until.clone(),
        latest: remedy.latest.map(moment),
        mind: remedy.mind.clone(),
    }
}
