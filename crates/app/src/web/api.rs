//! The same answers for scripts, and their description: an OpenAPI 3.1 document written from the list
//! of routes that the router is made from, so that neither can have a route that the other has not.

use std::sync::Arc;

use casewright_job::note;
use casewright_terms::Diag;
use serde::Serialize;
use serde_json::{Map, Value, json};

use super::ask::{Ask, Reply};
use super::book::{self, JobEntry, Stage};
use super::desk::{SEED, Stand, Work};
use super::fault::Fault;
use super::handbook::{carburized, look_up, total_depth};
use super::job::taken;
use super::route::{Kind, Method, Param, Route};
use super::site::Site;
use crate::cli::{convert as hardness, plan, tries};
use crate::wire;

const fn must(name: &'static str, what: &'static str) -> Param {
    Param {
        name,
        what,
        must: true,
    }
}

const fn may(name: &'static str, what: &'static str) -> Param {
    Param {
        name,
        what,
        must: false,
    }
}

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::api(
        "/api/jobs",
        "Jobs of the shop book and where each stands.",
        &[],
        jobs,
    ),
    Route::api(
        "/api/jobs/{job}",
        "One job: where it stands, its files, its text.",
        &[],
        one,
    ),
    Route::api(
        "/api/jobs/{job}/note",
        "How the job's note is read, as `casewright note --json`.",
        &[],
        job_note,
    ),
    Route::api(
        "/api/jobs/{job}/plan",
        "The job's plan, as `casewright plan --json`; 202 with the share done while it is being made.",
        &[],
        job_plan,
    ),
    Route::api(
        "/api/jobs/{job}/try",
        "What one change of the plan does, as `casewright plan --try --json`.",
        &[
            must(
                "what",
                "hours, temperature, reheat, temper, tank, stock, depth, surface or core",
            ),
            must("value", "The new value with its unit, as in 7 h"),
        ],
        job_try,
    ),
    Route::api(
        "/api/jobs/{job}/pictures/{picture}",
        "A drawing of the plan as SVG: carbon, hardness, phases, cycle, pack, chain, section, edge or ways.",
        &[],
        picture,
    ),
    Route::api(
        "/api/note",
        "How a drawing note is read, as `casewright note --json`.",
        &[must("text", "The note, word for word")],
        any_note,
    ),
    Route::api(
        "/api/convert",
        "One hardness on other scales, as `casewright convert --json`.",
        &[must("hardness", "A number with its scale, as in 58 HRC")],
        convert,
    ),
    Route::api(
        "/api/steel",
        "What a steel does, as `casewright steel --json`.",
        &[
            must("grade", "A name from the steel table, as in 8620"),
            may("carbon", "Carbon of the case in wt%, as in 0.80"),
            may("at", "Temperature of phases and activity, as in 1450 °F"),
        ],
        steel,
    ),
    Route::api(
        "/api/depth",
        "Carbon against depth after a time in fresh pack, on a thick flat face.",
        &[
            must("grade", "A name from the steel table, as in 8620"),
            must("at", "Heat, as in 925 °C"),
            must("hours", "Time at heat, as in 8 h"),
        ],
        depth,
    ),
    Route::api("/api/openapi.json", "This description.", &[], description),
];

fn answer(value: &impl Serialize) -> Reply {
    Reply::json(wire::json(value))
}

fn input(diag: Diag) -> Fault {
    Fault::Input(vec![diag])
}

#[derive(Serialize)]
struct JobLine {
    job: String,
    title: String,
    stage: &'static str,
    step: Option<u32>,
    verdict: Option<&'static str>,
    since_utc: String,
    plan_code: Option<String>,
    run: Option<String>,
}

fn job_line(entry: &JobEntry) -> JobLine {
    let (stage, step, verdict) = match &entry.stage {
        Stage::TakenIn => ("taken-in", None, None),
        Stage::Planned => ("planned", None, None),
        Stage::Running(step) => ("under-way", *step, None),
        Stage::Judged(verdict) => ("judged", None, Some(verdict.word())),
    };
    JobLine {
        job: entry.job.clone(),
        title: entry.title.clone(),
        stage,
        step,
        verdict,
        since_utc: entry.since.utc_text(),
        plan_code: entry.plan.as_ref().map(|(code, _)| code.clone()),
        run: entry.run.clone(),
    }
}

fn jobs(site: &Site, _: &Ask) -> Result<Reply, Fault> {
    #[derive(Serialize)]
    struct Jobs {
        shop: String,
        jobs: Vec<JobLine>,
    }
    let look = site.look()?;
    Ok(answer(&Jobs {
        shop: book::shop(&look)?,
        jobs: book::jobs(&look)?.iter().map(job_line).collect(),
    }))
}

fn one(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    #[derive(Serialize)]
    struct One {
        #[serde(flatten)]
        line: JobLine,
        files: Vec<String>,
        job_text: String,
        shop_text: String,
    }
    let taken = taken(site, ask)?;
    Ok(answer(&One {
        line: job_line(&taken.entry),
        files: taken
            .entry
            .files
            .iter()
            .map(|file| file.name.clone())
            .collect(),
        job_text: taken.job,
        shop_text: taken.shop,
    }))
}

fn job_note(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let taken = taken(site, ask)?;
    let (spec, _) = super::desk::read(&taken.job, &taken.shop).map_err(Fault::Input)?;
    Ok(answer(&wire::note::Note::of(&spec.note)))
}

/// The plan, or how far it is.
fn work(site: &Site, ask: &Ask) -> Result<Result<Arc<Work>, Reply>, Fault> {
    #[derive(Serialize)]
    struct Waiting {
        done_pct: u32,
    }
    let taken = taken(site, ask)?;
    match site
        .desk
        .ask(&taken.job, &taken.shop)
        .map_err(Fault::Input)?
    {
        Stand::Ready(work) => Ok(Ok(work)),
        Stand::Failed(words) => Err(Fault::Inside(words)),
        Stand::Waiting(done_pct) => Ok(Err(answer(&Waiting { done_pct }).status(202))),
    }
}

fn job_plan(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    Ok(match work(site, ask)? {
        Ok(work) => Reply::json(plan::json(&work.planned, SEED, &work.texts, None)),
        Err(waiting) => waiting,
    })
}

fn job_try(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let typed = format!("{}={}", ask.query.get("what"), ask.query.get("value"));
    let change = tries::read(&typed).map_err(input)?;
    let work = match work(site, ask)? {
        Ok(work) => work,
        Err(waiting) => return Ok(waiting),
    };
    let planned = work.study.as_planned().map_err(input)?;
    let trial = work.study.change(&change).map_err(input)?;
    Ok(answer(&wire::tries::Report::of(
        SEED,
        &planned,
        &[trial],
        &work.texts,
    )))
}

fn picture(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let work = match work(site, ask)? {
        Ok(work) => work,
        Err(waiting) => return Ok(waiting),
    };
    let figures = &work.planned.sheet.figures;
    let drawing = match ask.parts.get("picture") {
        "carbon" => &figures.carbon,
        "hardness" => &figures.hardness,
        "phases" => &figures.phases,
        "cycle" => &figures.cycle,
        "pack" => &figures.pack,
        "chain" => &figures.chain,
        "section" => &figures.section,
        "edge" => &figures.edge,
        "ways" => &figures.ways,
        _ => &None,
    };
    let drawing = drawing.clone().ok_or(Fault::Missing)?;
    Ok(Reply::bytes("image/svg+xml", drawing.into_bytes()))
}

fn any_note(_: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let text = ask.query.given("text").ok_or_else(|| {
        input(
            Diag::stop("note-empty", "The note is empty.")
                .accepted("Give its words, as in ?text=CHD%20550%20HV%200.8."),
        )
    })?;
    Ok(answer(&wire::note::Note::of(&note::read(text))))
}

fn convert(_: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let found = hardness::look(ask.query.get("hardness")).map_err(input)?;
    Ok(Reply::json(found.json()))
}

fn steel(_: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let looked = look_up(&ask.query).map_err(Fault::Input)?;
    Ok(answer(&wire::steel::Card::of(
        &looked.card,
        looked.record,
        looked.curves.as_ref(),
        None,
    )))
}

fn depth(_: &Site, ask: &Ask) -> Result<Reply, Fault> {
    #[derive(Serialize)]
    struct Depth {
        total_depth_mm: Option<f64>,
        depth_mm: Vec<f64>,
        carbon_wt_pct: Vec<f64>,
        remarks: Vec<wire::diag::RemarkLine>,
        sources: Vec<&'static str>,
    }
    let (run, core) = carburized(&ask.query).map_err(Fault::Input)?;
    let (depth_mm, carbon) = crate::cli::simulate::at_depths(&run, None);
    Ok(answer(&Depth {
        total_depth_mm: total_depth(&run, core).map(|depth| wire::number(depth.to_mm())),
        depth_mm: wire::numbers(&depth_mm),
        carbon_wt_pct: wire::numbers(&carbon),
        remarks: wire::diag::remarks(&run.remarks),
        sources: run.sources.clone(),
    }))
}

fn description(_: &Site, _: &Ask) -> Result<Reply, Fault> {
    Ok(Reply::json(wire::json(&document())))
}

/// What the body of a form holds.
fn form_of(route: &Route) -> Value {
    let fields: Map<String, Value> = route
        .takes
        .iter()
        .map(|param| {
            (
                param.name.to_owned(),
                json!({"type": "string", "description": param.what}),
            )
        })
        .collect();
    let required: Vec<&str> = route
        .takes
        .iter()
        .filter(|param| param.must)
        .map(|param| param.name)
        .collect();
    json!({"required": true, "content": {"application/x-www-form-urlencoded": {
        "schema": {"type": "object", "required": required, "properties": fields}}}})
}

/// The description of every answer for scripts.
pub(crate) fn document() -> Value {
    let mut paths = Map::new();
    for route in super::routes().filter(|route| route.kind == Kind::Api) {
        let method = match route.method {
            Method::Get => "get",
            Method::Post => "post",
        };
        let parts = route.path.split('/').filter_map(|part| {
            let name = part.strip_prefix('{')?.strip_suffix('}')?;
            Some(
                json!({"name": name, "in": "path", "required": true, "schema": {"type": "string"}}),
            )
        });
        let taken = route.takes.iter().map(|param| {
            json!({"name": param.name, "in": "query", "required": param.must,
                   "description": param.what, "schema": {"type": "string"}})
        });
        // A form's values travel in its body; they are described there.
        let looks = route.method == Method::Get;
        let parameters: Vec<Value> = parts.chain(taken.filter(|_| looks)).collect();
        let kind = if route.path.ends_with("{picture}") {
            "image/svg+xml"
        } else {
            "application/json"
        };
        let mut operation = json!({
            "summary": route.what,
            "parameters": parameters,
            "responses": {
                "200": {"description": route.what, "content": {kind: {"schema": true}}},
                "default": {"description": "What was wrong.", "content": {"application/json": {
                    "schema": {"$ref": "#/components/schemas/Fault"}}}},
            },
        });
        if !looks {
            operation["requestBody"] = form_of(route);
        }
        let entry = paths.entry(route.path).or_insert_with(|| json!({}));
        entry[method] = operation;
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Casewright",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "Answers of the shop's own machine. Names carry the unit; null is not known, never zero. \
                            The fields are those of the command line's --json.",
        },
        "paths": paths,
        "components": {"schemas": {"Fault": {
            "type": "object",
            "required": ["code", "findings"],
            "properties": {
                "code": {"type": "string"},
                "findings": {"type": "array", "items": {
                    "type": "object",
                    "properties": {
                        "code": {"type": "string"},
                        "severity": {"enum": ["stop", "warn", "note"]},
                        "text": {"type": "string"},
                        "hint": {"type": ["string", "null"]},
                    },
                }},
            },
        }}},
    })
}
