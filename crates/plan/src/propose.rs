//! From a spec to a plan and its report. Complete: nothing is left to choose later. Changes
//! nothing, reads no clock, gives the same answer for the same spec and seed.

use std::sync::Arc;

use casewright_job::spec::{RouteWish as Route, Spec, Steel};
use casewright_physics::matter::steel::SteelRecord;
use casewright_terms::{Band, Diag, Element, Length, Mass, Severity, Span};

use crate::cautions::{self, Scene};
use crate::cloud::{Cloud, Size};
use crate::demand::Demand;
use crate::doubt::Doubts;
use crate::equipment::Equipment;
use crate::members::Members;
use crate::nearest::Tried;
use crate::outcome::{DepthChain, Nearest, Plan, PlanReport, Prediction, Verdict};
use crate::outlook::Outlook;
use crate::own_run::{coolings, own_run, with_heat};
use crate::pack::heat::{Bed, HeatUp, Scene as Boxes};
use crate::pack::spread::{self, Look};
use crate::predict::{Ensemble, Reader, column};
use crate::recipe::{Departure, Matter, Recipe};
use crate::search::{Bench, Candidate, Found};
use crate::steps::Script;
use crate::study::{Held, Way};
use crate::traverse;
use crate::watch::{self, Watch};
use crate::{
    alternatives, check, closing, doubt, edge, equipment, findings, gate, nearest, outlook, pieces,
    readings, refusals, reheat, sensitivity, setup, tank,
};

/// How a plan is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Seed of the ensemble.
    pub seed: u64,
    /// Members of the ensemble.
    pub members: usize,
    /// How many of them are runs of the whole chain; the others are read from a response to those.
    pub runs: usize,
}

impl Options {
    /// The seed and the size that plans are made with unless somebody asks for others.
    pub const USUAL: Self = Self {
        seed: 1,
        members: doubt::MEMBERS,
        runs: doubt::RUNS,
    };
}

/// What the checker and the planner both say: the checker's words are left out where the planner's
/// stand already.
const SAID_BY_BOTH: [(&str, &str); 22] = [
    ("check-quench-cover", "refused-cover"),
    ("check-oil-water", "refused-water-in-oil"),
    ("check-oil-air", "refused-air-in-oil"),
    ("check-oil-flash", "refused-flash"),
    ("check-quench-volume", "refused-flash"),
    ("check-quench-volume", "refused-bath-hot"),
    ("check-band-narrow", "band-narrow"),
    ("check-band-narrow", "chain-narrow"),
    ("check-case-shallow", "case-shallow"),
    ("check-section-thin", "case-deep-for-section"),
    ("check-section", "cases-meet"),
    ("check-box-wide", "box-wide"),
    ("check-section", "web-through-carburized"),
    ("check-section", "web-cases-meet"),
    ("check-section-thin", "web-cases-meet"),
    ("check-box-loads", "several-loads"),
    ("check-compound-strong", "compound-fresh"),
    ("check-compound-spent", "compound-weak"),
    ("check-depth-total", "hardens-through"),
    ("check-effective-share", "hardens-through"),
    ("check-water-hot", "refused-bath-hot"),
    ("check-scale-none", "scale-none-reads"),
];

/// Plans a job.
#[must_use]
pub fn propose(spec: &Spec, options: Options) -> PlanReport {
    held(spec, options, &Watch::nobody()).0
}

/// The same, told to somebody who waits.
#[must_use]
pub fn propose_watched(spec: &Spec, options: Options, watch: &Watch<'_>) -> PlanReport {
    held(spec, options, watch).0
}

/// The same with what of its making serves to answer further questions; that is of the note as it
/// stands, also where the report goes on to offer another.
pub(crate) fn held(spec: &Spec, options: Options, watch: &Watch<'_>) -> (PlanReport, Option<Held>) {
    let Made {
        mut report, held, ..
    } = plan_once(spec, options, watch, false);
    // An offer's plan is reviewed against what it was made for, not against the note it cannot meet.
    let offered = if report.verdict == Verdict::CannotBeMet && report.nearest.is_none() {
        nearest::offer(spec, &mut report, |changed| {
            let Made { report, total, .. } = plan_once(changed, options, watch, true);
            Tried { report, total }
        })
    } else {
        nearest::wider(spec, &mut report);
        None
    };
    let review = check::check_report(&report, offered.as_ref().unwrap_or(spec));
    let said: Vec<&str> = report.findings.iter().map(|diag| diag.code).collect();
    let unsaid = |diag: &Diag| {
        let mut twins = SAID_BY_BOTH.iter().filter(|(check, _)| *check == diag.code);
        !twins.any(|(_, own)| said.contains(own))
    };
    let new: Vec<Diag> = review.into_iter().filter(unsaid).collect();
    report.findings.extend(new);
    // A plan that the second pair of eyes stops is no plan that can be followed.
    if has_stop(&report.findings) {
        report.verdict = Verdict::CannotBeMet;
        if report.nearest.is_none() {
            nearest::say(spec, &mut report);
        }
    }
    report
        .findings
        .sort_by_key(|diag| std::cmp::Reverse(diag.severity));
    (report, held)
}

/// A report, and what of its making is kept.
struct Made {
    report: PlanReport,
    held: Option<Held>,
    /// See [`Tried::total`].
    total: Option<Length>,
}

impl From<PlanReport> for Made {
    fn from(report: PlanReport) -> Self {
        Self {
            report,
            held: None,
            total: None,
        }
    }
}

fn refusal(findings: Vec<Diag>) -> PlanReport {
    PlanReport {
        verdict: Verdict::CannotBeMet,
        findings,
        plan: None,
        prediction: None,
        alternatives: Vec::new(),
        nearest: None,
        doubts: Vec::new(),
        outlook: Outlook::default(),
        inside: None,
        traverse: None,
        sources: Vec::new(),
    }
}

fn has_stop(findings: &[Diag]) -> bool {
    findings.iter().any(|diag| diag.severity == Severity::Stop)
}

/// Plans a note as it stands. One that is only `tried` for an offer is left as soon as it is seen to
/// fail.
fn plan_once(spec: &Spec, options: Options, watch: &Watch<'_>, tried: bool) -> Made {
    let mut findings = spec.remarks.clone();
    findings.extend(gate::open_points(spec));
    findings.extend(refusals::of_job(spec));
    if has_stop(&findings) {
        let mut report = refusal(findings);
        report.nearest = spec.note.question.as_ref().map(|question| Nearest {
            what: "The note must be cleared up with the customer first.".to_owned(),
            to_customer: question.clone(),
        });
        return report.into();
    }
    let demand = match Demand::of(spec) {
        Ok(demand) => demand,
        Err(problems) => {
            findings.extend(problems);
            return refusal(findings).into();
        }
    };
    let Some(matter) = Matter::of(spec) else {
        findings.push(
            Diag::stop(
                "steel-unknown",
                "The steel is not in the table and no chemistry is given.",
            )
            .why("Carbon, hardness and quench all follow from the chemistry.")
            .accepted("Name a grade of the table or write the certificate's chemistry."),
        );
        return refusal(findings).into();
    };
    let record = setup::composition(&spec.steel).and_then(|(_, record)| record);
    findings.extend(gate::steel(record));
    if !has_stop(&findings)
        && let Some(through) = gate::through(spec, &demand, &matter.composition)
    {
        findings.retain(|diag| diag.code != "steel-through-hardening");
        findings.push(through);
    }
    findings.extend(gate::depth(&demand));
    findings.extend(gate::features(spec));
    let chain = demand.depth_chain(spec);
    findings.extend(findings::chain_findings(spec, &chain));
    // The total case is at least as deep as the effective one, so a depth over a quarter of the
    // section is refused before anything is computed.
    if let Some(diag) = gate::section(spec, chain.make_min).filter(|d| d.severity == Severity::Stop)
    {
        findings.push(diag);
    }
    if has_stop(&findings) {
        findings.extend(equipment::no_box(spec));
        return refusal(findings).into();
    }
    let mut equipment = match equipment::choose(spec) {
        Ok(equipment) => equipment,
        Err(diags) => {
            findings.extend(diags);
            return refusal(findings).into();
        }
    };
    let parts = Parts {
        spec,
        demand: &demand,
        chain: &chain,
        matter: &matter,
        record,
        watch,
        tried,
    };
    // The way to pack was weighed for a usual soak. Where the real one does not end in staffed hours
    // and a way that heats sooner would, the job is planned with that one.
    match with_equipment(parts, &equipment, findings.clone(), options, true) {
        Ok(report) => report,
        Err(sooner) => {
            equipment.chosen = equipment.ways[sooner].clone();
            equipment.for_the_day = true;
            with_equipment(parts, &equipment, findings, options, false)
                .unwrap_or_else(|_| unreachable!("no other way is asked for a second time"))
        }
    }
}

/// What a job is before its equipment is chosen.
#[derive(Clone, Copy)]
struct Parts<'s> {
    spec: &'s Spec,
    demand: &'s Demand,
    chain: &'s DepthChain,
    matter: &'s Matter,
    record: Option<&'static SteelRecord>,
    watch: &'s Watch<'s>,
    tried: bool,
}

/// Plans with the equipment as chosen; or, where that is allowed, names the way to pack that would
/// end in staffed hours where the chosen one does not.
fn with_equipment(
    parts: Parts<'_>,
    equipment: &Equipment<'_>,
    mut findings: Vec<Diag>,
    options: Options,
    may_change: bool,
) -> Result<Made, usize> {
    let Parts {
        spec,
        demand,
        chain,
        matter,
        record,
        watch,
        tried,
    } = parts;
    let pack_box = spec
        .shop
        .boxes
        .iter()
        .find(|b| b.id == equipment.chosen.packed.layout.box_id);
    findings.extend(equipment::findings(spec, equipment));
    if has_stop(&findings) {
        return Ok(refusal(findings).into());
    }
    let boxes = Boxes {
        packed: &equipment.chosen.packed,
        furnace: equipment.furnace,
        lot: &equipment.charge.lot,
        bed: Bed::of(pack_box),
    };
    let mut packed = equipment.chosen.packed.clone();
    match HeatUp::of(
        &boxes,
        equipment::usual(spec, equipment.furnace),
        &coolings(spec),
    ) {
        Ok(heat) => packed.heat = Some(Arc::new(heat)),
        Err(failure) => findings.push(findings::boxes_not_run(&failure)),
    }
    let bench = Bench {
        spec,
        demand,
        chain,
        matter,
        record,
        furnace: equipment.furnace,
        lot: &equipment.charge.lot,
        packed: &packed,
        equipment,
        watch,
    };
    watch.steps(watch::PART);
    watch.expect(options.runs + alternatives::MOST_RUNS);
    let mut found = bench.search();
    // No chance and no band makes up for a case that is too deep for the section at its middle.
    if let Some(total) = found.least_total(&bench).filter(|_| tried)
        && let Some(diag) = gate::section(spec, total).filter(|d| d.severity == Severity::Stop)
    {
        findings.push(diag);
        return Ok(Made {
            total: Some(total),
            ..refusal(findings).into()
        });
    }
    found.by_chance(&bench, options);
    let Some(best) = found.candidates.first() else {
        findings.push(findings::nothing_works(&found));
        return Ok(refusal(findings).into());
    };
    let (centred, own) = rayon::join(
        || centred_aim(&bench, best, options),
        || own_run(&boxes, &best.recipe),
    );
    watch.steps(watch::PART);
    let best = &own.map_or_else(|| best.clone(), |heat| with_heat(&bench, best, heat));
    let chain = DepthChain {
        aim: centred,
        ..chain.clone()
    };
    let bench = Bench {
        chain: &chain,
        ..bench
    };
    // Not at any price: a longer soak that nobody can watch is no gain.
    let again = bench.solve(best.recipe.clone());
    let first_soak = best.recipe.soak;
    let best = match &again {
        Ok(again) if again.cost < best.cost + DEAR_H => again,
        _ => best,
    };
    let least_soak = best.recipe.soak.min(first_soak);
    if may_change && let Some(sooner) = bench.sooner_way(best, least_soak) {
        return Err(sooner);
    }
    Ok(finish(&bench, best, &found, findings, options))
}

/// A cost that no convenience explains, in the search's hours.
const DEAR_H: f64 = 20.0;

/// The aim that the doubt allows. Between two depths it is the middle: the bands of the examples lean
/// by 0.02 mm at most, which takes hundreds of members to tell from chance (32 said up to 0.05 mm the
/// other way). Where no greatest depth is set, the aim lifts the band's low end to the least depth.
fn centred_aim(bench: &Bench<'_>, best: &Candidate<'_>, options: Options) -> Length {
    let chain = bench.chain;
    if chain.make_max.is_some() {
        return chain.aim;
    }
    let doubts = doubts(bench, best, options.seed);
    let departures: Vec<Departure> = (0..options.runs as u64)
        .map(|index| doubts.departure(&doubts.draw(index)))
        .collect();
    let (members, _) = doubt::ensemble(&best.recipe, bench.matter, &departures);
    let mut depths_m: Vec<f64> = members
        .iter()
        .filter_map(|(_, run)| bench.observe(&run.chain.layers).depth_made)
        .map(Length::to_m)
        .collect();
    if depths_m.is_empty() {
        return chain.aim;
    }
    let (low, _) = doubt::ninety_band(&mut depths_m);
    // Not more than half as deep again: a band wider than that has another cause than the soak.
    let lift = (chain.make_min - Length::from_m(low)).max(Length::ZERO);
    (chain.aim + lift).min(chain.aim.max(chain.make_min * 1.5))
}

/// The doubts about a candidate.
fn doubts<'b>(bench: &Bench<'b>, best: &Candidate<'_>, seed: u64) -> Doubts<'b> {
    Doubts::of(
        &best.recipe,
        bench.matter,
        open_range(bench.spec, bench.record),
        seed,
    )
}

/// The grade whose range is open: a certificate is the heat itself; only a bare grade name leaves it
/// so.
pub(crate) fn open_range(
    spec: &Spec,
    record: Option<&'static SteelRecord>,
) -> Option<&'static SteelRecord> {
    match spec.steel {
        Steel::Grade { .. } => record,
        Steel::Chemistry { .. } => None,
    }
}

/// Grows the ensemble of a candidate.
pub(crate) fn cloud(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    reader: &Reader<'_>,
    options: Options,
) -> Cloud {
    let size = Size {
        members: options.members,
        runs: options.runs,
    };
    Cloud::grow(
        &doubts(bench, best, options.seed),
        &best.recipe,
        bench.matter,
        size,
        |run| {
            bench.watch.step();
            reader.row(run)
        },
        &reader.kinds(),
        &column::KEY,
    )
}

/// What reads the numbers of a candidate's members.
pub(crate) fn reader<'b>(bench: &'b Bench<'_>, best: &'b Candidate<'_>) -> Reader<'b> {
    Reader {
        nominal: &best.simulated,
        ground: bench.chain.stock.1,
        demand: bench.demand,
        matter: bench.matter,
        depths_m: Reader::depths_of(&best.simulated, bench.matter),
    }
}

/// Everything after the way is chosen: doubt, prediction, steps, verdict.
fn finish(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    found: &Found<'_>,
    mut findings: Vec<Diag>,
    options: Options,
) -> Made {
    let spec = bench.spec;
    let reader = reader(bench, best);
    let cloud = cloud(bench, best, &reader, options);
    if cloud.refused() > 0 {
        findings.push(
            Diag::warn(
                "ensemble-thin",
                format!(
                    "{} of {} trial runs did not settle.",
                    cloud.refused(),
                    cloud.refused() + cloud.size().runs
                ),
            )
            .why("The bands rest on fewer runs.")
            .accepted("Treat the bands as too narrow."),
        );
    }
    let ensemble = Ensemble {
        reader: &reader,
        cloud: &cloud,
    };
    let mut prediction = ensemble.predict();
    // Two dimensions are one run on one core; what else is to be run goes beside it.
    let (edges, (outlook, alternatives)) = rayon::join(
        || edges(bench, best, &prediction),
        || {
            (
                outlook(bench, best, &cloud, &prediction, options.seed),
                alternatives::list(bench, best, found, options),
            )
        },
    );
    bench.watch.steps(watch::PART);
    let plan = build_plan(bench, best, &ensemble, &prediction, &mut findings);
    if let Some(total) = &prediction.total_depth {
        findings.extend(gate::section(spec, total.mid));
    }
    let at_edges = edge::judge(
        &edges,
        &edge::Judge {
            spec,
            core_wt_pct: bench.matter.composition.get(Element::C).to_wt_pct(),
            total_depth: prediction.total_depth.map(|band| band.mid),
        },
    );
    // What was said of a sharp corner without numbers is not said beside them.
    if at_edges
        .iter()
        .any(|diag| diag.code == "edge-over-carburized")
    {
        findings.retain(|diag| diag.code != "sharp-corner");
    }
    findings.extend(at_edges);
    findings.extend(findings::tank_findings(bench, best, plan.as_ref()));
    findings.extend(equipment::over_carbon(bench.equipment, best.recipe.soak));
    findings.extend(findings::prediction_findings(
        spec,
        bench.demand,
        &prediction,
    ));
    findings.extend(findings::grind_findings(spec, bench.chain, &prediction));
    findings.extend(findings::remark_findings(&best.simulated.chain.remarks));
    findings.extend(findings::remark_findings(&best.simulated.heat.remarks));
    let inside = match best.recipe.inside(bench.matter, &best.simulated) {
        Ok(inside) => Some(inside),
        Err(failure) => {
            findings.push(
                Diag::warn(
                    "story-missing",
                    format!("The story by depth was not computed: {failure}."),
                )
                .why("The plan itself stands; only its explanation is missing.")
                .accepted("Nothing needs to be done."),
            );
            None
        }
    };
    let traverse = plan.as_ref().and_then(|plan| {
        let coupon = plan.coupons.iter().find(|coupon| !coupon.control)?;
        traverse::plan(bench.demand, &prediction, &coupon.mark, spec.units)
    });
    let sources = pieces::sources(best, &edges.sources, inside.as_ref(), traverse.as_ref());
    findings.extend(findings::remark_findings(&edges.remarks));
    prediction.edges = edges.seen.into_iter().map(|(_, edge)| edge).collect();
    let verdict = findings::judge(bench.demand, &prediction, &findings);
    if verdict != Verdict::CanBeMet {
        findings.extend(findings::verdict_reasons(
            spec,
            bench.demand,
            &prediction,
            verdict,
        ));
    }
    let verdict = if has_stop(&findings) {
        Verdict::CannotBeMet
    } else {
        verdict
    };
    let held = Held {
        way: Way::of(&best.recipe),
        simulated: best.simulated.clone(),
        depths_m: reader.depths_m.clone(),
        record: bench.record,
        seed: options.seed,
        cloud,
    };
    let report = PlanReport {
        verdict,
        findings,
        plan,
        prediction: Some(prediction),
        alternatives,
        nearest: None,
        doubts: outlook
            .spreads
            .iter()
            .map(|spread| (spread.cause.words().to_owned(), spread.share))
            .collect(),
        outlook,
        inside,
        traverse,
        sources,
    };
    bench.watch.stands_at(1.0);
    Made {
        report,
        held: Some(held),
        total: None,
    }
}

/// Chances, causes and small changes of the way that is chosen.
fn outlook(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    cloud: &Cloud,
    prediction: &Prediction,
    seed: u64,
) -> Outlook {
    let (chances, chance_all) = outlook::chances(bench.demand, cloud);
    let has_certificate = matches!(bench.spec.steel, Steel::Chemistry { .. });
    Outlook {
        chances,
        chance_all,
        chance_found: readings::chance_found(bench.spec, bench.demand, cloud, seed),
        spreads: outlook::spreads(cloud, &best.recipe, prediction.case_depth, has_certificate),
        sensitivity: sensitivity::look(bench, best),
        basis: Some(outlook::basis(cloud)),
        members: Members::of(cloud),
    }
}

/// Edges and webs with the plan's own cycle: two dimensions, once, for the way that is chosen.
fn edges(bench: &Bench<'_>, best: &Candidate<'_>, prediction: &Prediction) -> edge::Edges {
    let setup = best
        .recipe
        .chain_setup(bench.matter, &Departure::NONE, &best.simulated.heat);
    let case = edge::Case {
        setup: &setup,
        chain: &best.simulated.chain,
        case_depth: prediction.case_depth.map(|band| band.mid),
        total_depth: prediction.total_depth.map(|band| band.mid),
        ground: bench.chain.stock.1,
    };
    edge::look(&bench.spec.part, &case)
}

fn build_plan(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    ensemble: &Ensemble<'_>,
    prediction: &Prediction,
    findings: &mut Vec<Diag>,
) -> Option<Plan> {
    let spec = bench.spec;
    let recipe = &best.recipe;
    let layout = &recipe.packed.layout;
    let soft = ensemble.layers_at(&prediction.profile, false);
    let hard = ensemble.layers_at(&prediction.profile, true);
    let scales = pieces::scales(
        spec,
        &best.simulated.chain.layers,
        &soft,
        &hard,
        bench.chain.stock.1,
    );
    findings.extend(pieces::unreadable(spec, &scales, prediction));
    let coupons = pieces::coupons(spec, layout, &steel_name(spec, bench.record));
    let quench = tank::check(
        recipe.tank,
        hot_mass(spec, recipe),
        best.simulated.chain.heat_to_bath_j_kg,
    );
    let scene = Scene {
        medium: recipe.tank.medium,
        lot: recipe.lot,
        lift: layout.lift,
        direct: recipe.route == Route::Direct,
        unattended: spec.unattended,
    };
    let hot = match &recipe.packed.heat {
        Some(heat) => heat.hot,
        None => hot_band(recipe, ensemble),
    };
    let nominal = &best.simulated;
    let carbon = recipe
        .chain_setup(bench.matter, &Departure::NONE, &nominal.heat)
        .carbon;
    let heats = reheat::heats(recipe, bench.matter, nominal, &carbon);
    findings.extend(reheat::finding(&heats, bench.chain, spec.units));
    let script = |hot: Band<Span>| Script {
        heats: &heats,
        spec,
        recipe,
        run: &best.simulated,
        hot,
        couple_reads: recipe
            .packed
            .heat
            .as_ref()
            .and_then(|heat| heat.couple_reads()),
        chain: bench.chain,
        coupons: &coupons,
        scales: &scales,
        quench: &quench,
        scene,
    };
    let (steps, loads) = match script(hot).write() {
        Ok(written) => written,
        Err(diag) => {
            let sure = closing::mostly_by(hot);
            match script(sure).write() {
                Ok(written) if recipe.route != Route::Direct => {
                    findings.push(closing::finding(hot, recipe.soak));
                    written
                }
                _ => {
                    findings.push(diag);
                    return None;
                }
            }
        }
    };
    let pack_heat = recipe.packed.heat.as_ref().map(|heat| {
        let look = Look {
            recipe,
            heat,
            carbon: &carbon,
            chain: &nominal.chain,
            depth: best.observed.depth_made,
            loaded: loads.first().map_or(steps[0].begins, |load| load.loaded),
        };
        look.look()
    });
    if let Some(heat) = &pack_heat {
        findings.extend(spread::findings(heat, bench.chain, recipe, spec.units));
    }
    Some(Plan {
        pack_heat,
        route: recipe.route,
        temperature: recipe.temperature,
        soak: recipe.soak,
        pack_hot_after: hot,
        steps,
        depth: bench.chain.clone(),
        pack: layout.clone(),
        pack_ways: bench.equipment.table(spec, recipe.soak),
        loads,
        coupons,
        test_scales: scales,
        quench,
        furnace_curve: pieces::curve(&best.simulated.heat.furnace),
        part_curve: pieces::curve(&best.simulated.heat.part),
        cautions: cautions::for_job(scene),
        furnace_time: best.simulated.heat.soak_ends,
    })
}

/// The name of the steel for labels.
#[must_use]
pub fn steel_name(spec: &Spec, record: Option<&SteelRecord>) -> String {
    match (&spec.steel, record) {
        (_, Some(record)) => record.name.clone(),
        (Steel::Grade { name, .. }, None) => name.clone(),
        (Steel::Chemistry { label, .. }, None) if !label.is_empty() => label.clone(),
        (Steel::Chemistry { .. }, None) => "steel by certificate".to_owned(),
    }
}

/// The parts of one box, and basket, hooks and wire, go to the tank together.
pub(crate) fn hot_mass(spec: &Spec, recipe: &Recipe<'_>) -> Mass {
    let parts = setup::part_mass(spec.part.shape) * recipe.packed.layout.parts.len() as f64;
    parts + tank::fixture(recipe.tank, parts)
}

/// When the pack is hot, wide as the prior of its bed: the moment is monotone in that one doubt, and
/// the search keeps the day by the same slow end. Only a couple's log may narrow it.
fn hot_band(recipe: &Recipe<'_>, ensemble: &Ensemble<'_>) -> Band<Span> {
    let mid = ensemble.reader.nominal.heat.hot_after;
    let with_bed = |bed: f64| {
        let departure = Departure {
            bed,
            ..Departure::NONE
        };
        recipe.heat(&departure).ok().map(|heat| heat.hot_after)
    };
    match (with_bed(doubt::BED_90), with_bed(1.0 / doubt::BED_90)) {
        (Some(low), Some(high)) => Band {
            low: low.min(mid),
            mid,
            high: high.max(mid),
        },
        _ => ensemble.hot_after(),
    }
}
