//! A judgement on the wire.

use casewright_job::evidence::{Evidence, FileResult, Network, Structure};
use casewright_job::spec::Spec;
use casewright_plan::judge::{self, ClauseKind, Judgement, Rule, Standing, Value};
use casewright_terms::{Length, Vickers};
use serde::Serialize;

use super::diag::{Finding, findings};
use super::{Interval, number};
use crate::answer::Texts;

/// The answer of `judge`.
#[derive(Debug, Serialize)]
pub(crate) struct Judged {
    verdict: &'static str,
    /// `simple` or `guarded`.
    rule: &'static str,
    job: Option<String>,
    run: Option<String>,
    limit_hardness_hv: f64,
    /// Per side, before grinding; `null` where no depth was found.
    case_depth_mm: Option<Interval>,
    case_depth_after_grind_mm: Option<Interval>,
    clauses: Vec<Clause>,
    evidence: Vec<Item>,
    missing: Vec<Missing>,
    compared: Vec<Compared>,
    findings: Vec<Finding>,
    sources: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct Clause {
    kind: &'static str,
    /// The face or the area, where the clause is about one.
    of: Option<String>,
    asked: String,
    /// `holds`, `low`, `high`, `not-shown`.
    fared: &'static str,
    found: Option<String>,
    by: Vec<String>,
    /// Whether a limit lies inside the doubt.
    close: bool,
}

#[derive(Debug, Serialize)]
struct Item {
    name: String,
    specimen: String,
    quantity: &'static str,
    /// `direct` or `indirect`.
    standing: &'static str,
    used: bool,
    not_used_because: Option<String>,
    how: String,
    by: Option<String>,
    date: Option<String>,
    tester: Option<String>,
    depth_mm: Option<Interval>,
    depth_at_least_mm: Option<f64>,
    depth_at_most_mm: Option<f64>,
    scale: Option<String>,
    reading: Option<Interval>,
    hardness_hv: Option<Interval>,
    /// The case is too thin for the scale: the surface is at least this hard.
    at_least: bool,
    file: Option<File>,
    uptake_g_m2: Option<Interval>,
    structure: Option<Seen>,
}

#[derive(Debug, Serialize)]
struct File {
    result: &'static str,
    file_hrc: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Seen {
    network: Option<&'static str>,
    retained_austenite_pct: Option<f64>,
    decarburized_mm: Option<f64>,
    white_layer_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Missing {
    kind: &'static str,
    of: Option<String>,
    what: String,
    test: String,
}

#[derive(Debug, Serialize)]
struct Compared {
    what: &'static str,
    unit: &'static str,
    predicted: Interval,
    measured: Interval,
    inside: bool,
    half_widths_off: f64,
}

impl Judged {
    /// From a judgement.
    pub(crate) fn of(judged: &Judgement, spec: &Spec, evidence: &Evidence, texts: &Texts) -> Self {
        let mm = |depth: Length| depth.to_mm();
        Self {
            verdict: judged.verdict.word(),
            rule: match judged.rule {
                Rule::Simple => "simple",
                Rule::Guarded => "guarded",
            },
            job: spec.number.clone(),
            run: evidence.run.clone(),
            limit_hardness_hv: number(judged.limit.to_hv()),
            case_depth_mm: judged.case_depth.map(|band| Interval::of(band, mm)),
            case_depth_after_grind_mm: judged
                .case_depth_after_grind
                .map(|band| Interval::of(band, mm)),
            clauses: judged.clauses.iter().map(clause).collect(),
            evidence: judged
                .read
                .iter()
                .map(|read| item(read, evidence))
                .collect(),
            missing: judged
                .missing
                .iter()
                .map(|one| Missing {
                    kind: one.clause.word(),
                    of: of(&one.clause),
                    what: one.what.clone(),
                    test: one.test.clone(),
                })
                .collect(),
            compared: judged
                .compared
                .iter()
                .map(|one| Compared {
                    what: one.what,
                    unit: one.unit,
                    predicted: Interval::of(one.predicted, |x| x),
                    measured: Interval::of(one.measured, |x| x),
                    inside: one.inside,
                    half_widths_off: number(one.off),
                })
                .collect(),
            findings: findings(&judged.findings, texts),
            sources: judged.sources.clone(),
        }
    }
}

fn of(kind: &ClauseKind) -> Option<String> {
    match kind {
        ClauseKind::CaseDepth(face) => face.clone(),
        ClauseKind::SoftArea(what) | ClauseKind::HardArea(what) => Some(what.clone()),
        ClauseKind::SurfaceHardness | ClauseKind::CoreHardness | ClauseKind::FileHard => None,
    }
}

fn clause(clause: &judge::Clause) -> Clause {
    Clause {
        kind: clause.kind.word(),
        of: of(&clause.kind),
        asked: clause.asked.clone(),
        fared: clause.fared.word(),
        found: super::diag::some(&clause.found),
        by: clause.by.clone(),
        close: clause.close,
    }
}

fn item(read: &judge::Read, evidence: &Evidence) -> Item {
    let mm = |depth: Length| depth.to_mm();
    let own = evidence.items.get(read.item);
    let mut item = Item {
        name: read.name.clone(),
        specimen: read.specimen.clone(),
        quantity: read.quantity.word(),
        standing: match read.standing {
            Standing::Direct => "direct",
            Standing::Indirect => "indirect",
        },
        used: read.left_out.is_none(),
        not_used_because: read.left_out.clone(),
        how: read.how.clone(),
        by: own.and_then(|own| own.by.clone()),
        date: own.and_then(|own| own.date.map(|date| date.to_string())),
        tester: own.and_then(|own| own.tester.clone()),
        depth_mm: None,
        depth_at_least_mm: None,
        depth_at_most_mm: None,
        scale: None,
        reading: None,
        hardness_hv: None,
        at_least: false,
        file: None,
        uptake_g_m2: None,
        structure: None,
    };
    match &read.value {
        Value::Depth(band) => item.depth_mm = Some(Interval::of(*band, mm)),
        Value::DepthAtLeast(depth) => item.depth_at_least_mm = Some(number(depth.to_mm())),
        Value::DepthAtMost(depth) => item.depth_at_most_mm = Some(number(depth.to_mm())),
        Value::Hardness {
            scale,
            reading,
            vickers,
            at_least,
        } => {
            item.scale = Some(scale.to_string());
            item.reading = Some(Interval::of(*reading, |x| x));
            item.hardness_hv = vickers.map(|band| Interval::of(band, Vickers::to_hv));
            item.at_least = *at_least;
        }
        Value::File(result, file_hrc) => {
            item.file = Some(File {
                result: match result {
                    FileResult::Cuts => "cuts",
                    FileResult::Skates => "skates",
                    FileResult::Scratches => "scratches",
                },
                file_hrc: *file_hrc,
            });
        }
        Value::Uptake(band) => item.uptake_g_m2 = Some(Interval::of(*band, |x| x)),
        Value::Structure(seen) => item.structure = Some(structure(seen)),
    }
    item
}

fn structure(seen: &Structure) -> Seen {
    Seen {
        network: seen.network.map(|network| match network {
            Network::None => "none",
            Network::Traces => "traces",
            Network::Broken => "broken",
            Network::Closed => "closed",
        }),
        retained_austenite_pct: seen.retained_austenite.map(|share| number(share.to_pct())),
        decarburized_mm: seen.decarburized.map(|depth| number(depth.to_mm())),
        white_layer_mm: seen.white_layer.map(|depth| number(depth.to_mm())),
    }
}
