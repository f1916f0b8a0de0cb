//! From a spec to a plan and its report. Complete: nothing is left to choose later. Changes
//! nothing, reads no clock, gives the same answer for the same spec and seed.

use std::collections::BTreeSet;

use casewright_job::note::reading::{LengthRange, Stage};
use casewright_job::shop::{CompoundLot, Furnace};
use casewright_job::spec::{RouteWish as Route, Spec};
use casewright_physics::matter::steel::SteelRecord;
use casewright_terms::{Band, Diag, Length, Mass, Remark, Severity, SourceKey, Span};

use crate::cautions::{self, Scene};
use crate::demand::Demand;
use crate::doubt;
use crate::evaluate::{self, Evaluation, Observed};
use crate::gate;
use crate::outcome::{Alternative, DepthChain, Nearest, Plan, PlanReport, Prediction, Verdict};
use crate::pack::{self, Packed};
use crate::pieces;
use crate::predict::Ensemble;
use crate::recipe::{Matter, Recipe, Simulated};
use crate::search::{self, Bench, Candidate, Found};
use crate::setup;
use crate::steps::Script;
use crate::tank;

/// How a plan is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Seed of the ensemble.
    pub seed: u64,
    /// Members of the ensemble.
    pub members: usize,
}

impl Options {
    /// The seed and the size that plans are made with unless somebody asks for others.
    pub const USUAL: Self = Self {
        seed: 1,
        members: doubt::MEMBERS,
    };
}

/// Plans a job.
#[must_use]
pub fn propose(spec: &Spec, options: Options) -> PlanReport {
    let mut report = plan_once(spec, options);
    if report.verdict == Verdict::CannotBeMet && report.nearest.is_none() {
        offer_nearest(spec, options, &mut report);
    }
    report
        .findings
        .sort_by_key(|diag| std::cmp::Reverse(diag.severity));
    report
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
        sources: Vec::new(),
    }
}

fn has_stop(findings: &[Diag]) -> bool {
    findings.iter().any(|diag| diag.severity == Severity::Stop)
}

/// Equipment chosen before the search.
struct Equipment<'s> {
    furnace: &'s Furnace,
    lot: &'s CompoundLot,
    packed: Packed,
}

fn plan_once(spec: &Spec, options: Options) -> PlanReport {
    let mut findings = spec.remarks.clone();
    findings.extend(gate::open_points(spec));
    if has_stop(&findings) {
        let mut report = refusal(findings);
        report.nearest = spec.note.question.as_ref().map(|question| Nearest {
            what: "The note must be cleared up with the customer first.".to_owned(),
            to_customer: question.clone(),
        });
        return report;
    }
    let demand = match Demand::of(spec) {
        Ok(demand) => demand,
        Err(problems) => {
            findings.extend(problems);
            return refusal(findings);
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
        return refusal(findings);
    };
    let record = setup::composition(&spec.steel).and_then(|(_, record)| record);
    findings.extend(gate::steel(record));
    findings.extend(gate::depth(&demand));
    findings.extend(gate::features(spec));
    let chain = demand.depth_chain(spec);
    findings.extend(chain_findings(spec, &chain));
    // The total case is at least as deep as the effective one, so a depth over a quarter of the
    // section is refused before anything is computed.
    if let Some(diag) = gate::section(spec, chain.make_min).filter(|d| d.severity == Severity::Stop)
    {
        findings.push(diag);
    }
    let equipment = match choose_equipment(spec) {
        Ok(equipment) => equipment,
        Err(diags) => {
            findings.extend(diags);
            return refusal(findings);
        }
    };
    let pack_box = spec
        .shop
        .boxes
        .iter()
        .find(|b| b.id == equipment.packed.layout.box_id);
    if let Some(pack_box) = pack_box {
        findings.extend(cautions::refusals(
            spec,
            equipment.furnace,
            pack_box,
            equipment.lot,
        ));
    }
    findings.extend(load_findings(&equipment));
    if has_stop(&findings) {
        return refusal(findings);
    }
    let bench = Bench {
        spec,
        demand: &demand,
        chain: &chain,
        matter: &matter,
        record,
        furnace: equipment.furnace,
        lot: equipment.lot,
        packed: &equipment.packed,
    };
    let found = bench.search();
    let Some(best) = found.candidates.first() else {
        findings.push(nothing_works(&found));
        return refusal(findings);
    };
    finish(&bench, best, &found, findings, options)
}

/// Everything after the way is chosen: doubt, prediction, steps, verdict.
fn finish(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    found: &Found<'_>,
    mut findings: Vec<Diag>,
    options: Options,
) -> PlanReport {
    let spec = bench.spec;
    let departures = doubt::departures(
        &best.recipe,
        bench.matter,
        bench.record,
        options.seed,
        options.members,
    );
    let (members, refused) = doubt::ensemble(&best.recipe, bench.matter, &departures);
    if refused > 0 {
        findings.push(
            Diag::warn(
                "ensemble-thin",
                format!(
                    "{refused} of {} trial runs did not settle.",
                    departures.len()
                ),
            )
            .why("The bands rest on fewer runs.")
            .accepted("Treat the bands as too narrow."),
        );
    }
    let ground = bench.chain.stock.1;
    let ensemble = Ensemble {
        nominal: &best.simulated,
        members: &members,
        ground,
        demand: bench.demand,
        matter: bench.matter,
    };
    let prediction = ensemble.predict();
    let depth_of_member: Vec<(usize, f64)> = members
        .iter()
        .map(|(i, run)| {
            (
                *i,
                ensemble
                    .limit_depth(run, Length::ZERO)
                    .unwrap_or(Length::ZERO)
                    .to_m(),
            )
        })
        .collect();
    let doubts = doubt::shares(&departures, &depth_of_member);

    let plan = build_plan(bench, best, &ensemble, &prediction, &members, &mut findings);
    if let Some(total) = &prediction.total_depth {
        findings.extend(gate::section(spec, total.mid));
    }
    findings.extend(tank_findings(bench, best, plan.as_ref()));
    findings.extend(prediction_findings(bench, &prediction));
    findings.extend(remark_findings(&best.simulated.chain.remarks));
    findings.extend(remark_findings(&best.simulated.heat.remarks));
    let verdict = judge(bench, &prediction, &findings);
    if verdict != Verdict::CanBeMet {
        findings.extend(verdict_reasons(bench, &prediction, verdict));
    }
    let verdict = if has_stop(&findings) {
        Verdict::CannotBeMet
    } else {
        verdict
    };
    PlanReport {
        verdict,
        findings,
        plan,
        prediction: Some(prediction),
        alternatives: alternatives(bench, best, found),
        nearest: None,
        doubts,
        sources: sources(best),
    }
}

fn chain_findings(spec: &Spec, chain: &DepthChain) -> Vec<Diag> {
    let mut list = Vec::new();
    if let Some(max) = chain.make_max {
        if max < chain.make_min {
            list.push(
                Diag::stop(
                    "stock-over-band",
                    format!(
                        "With the stock as given the least depth to make ({}) is over the greatest ({}).",
                        chain.make_min.depth_text_both(spec.units),
                        max.depth_text_both(spec.units)
                    ),
                )
                .why("The face that loses most would need more case than the face that loses least may keep.")
                .accepted("Less stock after hardening, the same stock on all cased faces, or a wider depth band."),
            );
        } else if max - chain.make_min < chain.scatter * 2.0 {
            list.push(
                Diag::warn(
                    "chain-narrow",
                    format!(
                        "Between {} and {} there is less room than the scatter of a load (±{}).",
                        chain.make_min.depth_text_both(spec.units),
                        max.depth_text_both(spec.units),
                        chain.scatter.depth_text(spec.units)
                    ),
                )
                .why("Some parts may fall outside.")
                .accepted(
                    "Coupons from the coldest and the hottest place decide before the grind.",
                ),
            );
        }
    }
    let uneven = chain.stock.1 - chain.stock.0;
    if !spec.stock.is_empty() && setup::round_diameter(spec.part.shape).is_none() {
        list.push(
            Diag::note(
                "unground-faces",
                format!(
                    "Faces that are not ground keep the whole case, {} more than ground ones.",
                    chain.stock.1.depth_text_both(spec.units)
                ),
            )
            .why("The note's greatest depth is judged on the ground faces here.")
            .accepted("Tell the customer if the edges count too."),
        );
    } else if uneven > Length::from_mm(0.02) {
        list.push(
            Diag::note(
                "uneven-stock",
                format!(
                    "Stock differs by {} between sides.",
                    uneven.depth_text_both(spec.units)
                ),
            )
            .why("What is left differs by as much.")
            .accepted("Indicate the part true before grinding."),
        );
    }
    list
}

fn choose_equipment(spec: &Spec) -> Result<Equipment<'_>, Vec<Diag>> {
    let shop = &spec.shop;
    let wish = &spec.wishes;
    let wanted = |mark: &str, wish: &Option<String>| wish.as_ref().is_none_or(|w| w == mark);
    let lot = shop
        .compounds
        .iter()
        .filter(|lot| wanted(&lot.id, &wish.compound))
        // Strongest usable lot first: dry, not cyanide, and with a normal share of fresh compound.
        .max_by(|a, b| lot_rank(a).total_cmp(&lot_rank(b)))
        .ok_or_else(|| missing("compound", "no compound"))?;
    let mut best: Option<Equipment<'_>> = None;
    let mut reasons = Vec::new();
    for furnace in shop
        .furnaces
        .iter()
        .filter(|f| wanted(&f.id, &wish.furnace))
    {
        for pack_box in shop.boxes.iter().filter(|b| wanted(&b.id, &wish.pack_box)) {
            match pack::pack(spec, pack_box, furnace, lot) {
                Ok(packed) => {
                    let better = best
                        .as_ref()
                        .is_none_or(|held| load_rank(&packed) < load_rank(&held.packed));
                    if better {
                        best = Some(Equipment {
                            furnace,
                            lot,
                            packed,
                        });
                    }
                }
                Err(small) => reasons.push(format!("box {}: {}", small.box_id, small.why)),
            }
        }
    }
    best.ok_or_else(|| {
        vec![
            Diag::stop(
                "no-box",
                format!("No box of this shop takes the part. {}", reasons.join("; ")),
            )
            .why("A part without cover all round carburizes unevenly or scales.")
            .accepted("A larger box that fits the furnace, or a smaller part."),
        ]
    })
}

/// Fewest loads first, then the smallest box: a small box is hot sooner.
fn load_rank(packed: &Packed) -> (u32, u64) {
    let layout = &packed.layout;
    let inside = (layout.inside[0] * layout.inside[1] * layout.inside[2]).to_mm3();
    (packed.loads, inside as u64 * u64::from(layout.boxes))
}

fn lot_rank(lot: &CompoundLot) -> f64 {
    use casewright_job::shop::Energiser;
    let usable = if lot.dry && lot.energiser != Energiser::Cyanide {
        10.0
    } else {
        0.0
    };
    let energised = if lot.energiser == Energiser::None {
        0.0
    } else {
        1.0
    };
    // A charge of 12–30 % fresh is the trade's normal one; all-new over-carburizes on a long soak.
    let fresh = lot.fresh.to_ratio();
    usable + energised - (fresh - 0.2).abs()
}

fn missing(what: &'static str, seen: &str) -> Vec<Diag> {
    vec![
        Diag::stop(
            "shop-incomplete",
            format!("The shop has {seen} that serves this job."),
        )
        .why(format!("Without a {what} nothing can be packed."))
        .accepted(format!(
            "Add the {what} to the shop file, or drop the wish that names another one."
        )),
    ]
}

fn load_findings(equipment: &Equipment<'_>) -> Vec<Diag> {
    let layout = &equipment.packed.layout;
    let mut list = Vec::new();
    let narrow = layout
        .inside
        .iter()
        .copied()
        .fold(layout.inside[0], Length::min);
    if narrow > Length::from_mm(200.0) {
        list.push(
            Diag::warn(
                "box-wide",
                format!(
                    "Box {} is more than 200 mm (8 in) across its narrow side.",
                    layout.box_id
                ),
            )
            .why("Its middle is hot hours after its skin, so the parts inside differ.")
            .accepted("Split the load into smaller boxes."),
        );
    }
    if equipment.packed.loads > 1 {
        list.push(
            Diag::note(
                "several-loads",
                format!(
                    "The parts need {} loads of {}.",
                    equipment.packed.loads,
                    layout.parts.len()
                ),
            )
            .why("Each load is its own heat: its own coupons, its own clock.")
            .accepted("The plan and its times are those of one load."),
        );
    }
    let lot = equipment.lot;
    if lot.fresh.to_ratio() < 0.10 {
        list.push(
            Diag::warn(
                "compound-weak",
                format!("Compound {} has {:.0} % fresh.", lot.id, lot.fresh.to_pct()),
            )
            .why("Spent compound is the main reason why the second batch comes out shallower.")
            .accepted("Add fresh to 12–30 % of the charge."),
        );
    }
    if lot
        .stock
        .is_some_and(|stock| stock < layout.compound * f64::from(layout.boxes))
    {
        list.push(
            Diag::warn(
                "compound-short",
                format!("Compound {} does not fill the box.", lot.id),
            )
            .why("Parts without cover scale and carburize unevenly.")
            .accepted("Order more, or use a smaller box."),
        );
    }
    list
}

fn nothing_works(found: &Found<'_>) -> Diag {
    let ways: Vec<String> = found
        .dropped
        .iter()
        .map(|dropped| format!("{}: {}", dropped.what, dropped.why))
        .collect();
    Diag::stop("no-way", format!("No way of this shop hardens this steel to the note. {}.", ways.join("; ")))
        .why("The part would be soft however deep the carbon goes.")
        .accepted("A faster quench (water or brine for plain steels), a steel of more hardenability such as 8620, or a smaller section.")
}

fn build_plan(
    bench: &Bench<'_>,
    best: &Candidate<'_>,
    ensemble: &Ensemble<'_>,
    prediction: &Prediction,
    members: &[(usize, Simulated)],
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
    let coupons = pieces::coupons(spec, layout, &steel_name(spec, bench.record));
    let quench = tank::check(
        recipe.tank,
        hot_mass(bench, recipe),
        best.simulated.chain.heat_to_bath_j_kg,
    );
    let scene = Scene {
        medium: recipe.tank.medium,
        lot: recipe.lot,
        lift: layout.lift,
        direct: recipe.route == Route::Direct,
        unattended: spec.unattended,
    };
    let hot = hot_band(&best.simulated, members);
    let script = Script {
        spec,
        recipe,
        run: &best.simulated,
        hot,
        chain: bench.chain,
        coupons: &coupons,
        scales: &scales,
        quench: &quench,
        loads: recipe.packed.loads,
        scene,
    };
    let steps = match script.write() {
        Ok(steps) => steps,
        Err(diag) => {
            findings.push(diag);
            return None;
        }
    };
    Some(Plan {
        route: recipe.route,
        temperature: recipe.temperature,
        soak: recipe.soak,
        pack_hot_after: hot,
        steps,
        depth: bench.chain.clone(),
        pack: layout.clone(),
        coupons,
        test_scales: scales,
        quench,
        furnace_curve: curve(&best.simulated.heat.furnace),
        part_curve: curve(&best.simulated.heat.part),
        cautions: cautions::for_job(scene),
        furnace_time: best.simulated.heat.soak_ends,
    })
}

/// The name of the steel for labels.
#[must_use]
pub fn steel_name(spec: &Spec, record: Option<&SteelRecord>) -> String {
    use casewright_job::spec::Steel;
    match (&spec.steel, record) {
        (_, Some(record)) => record.name.clone(),
        (Steel::Grade { name, .. }, None) => name.clone(),
        (Steel::Chemistry { label, .. }, None) if !label.is_empty() => label.clone(),
        (Steel::Chemistry { .. }, None) => "steel by certificate".to_owned(),
    }
}

/// Parts, coupons, control and an equal mass of basket and wire are taken to the tank together.
fn hot_mass(bench: &Bench<'_>, recipe: &Recipe<'_>) -> Mass {
    let parts = setup::part_mass(bench.spec.part.shape) * recipe.packed.layout.parts.len() as f64;
    // Basket and wires: a tenth of the work, at least 0.3 kg. [trade-practice]
    parts + (parts * 0.1).max(Mass::from_kg(0.3))
}

/// The lag's band: wide as its prior; only a couple's log may narrow it.
fn hot_band(nominal: &Simulated, members: &[(usize, Simulated)]) -> Band<Span> {
    let mid = nominal.heat.hot_after.to_s();
    let mut values: Vec<f64> = members
        .iter()
        .map(|(_, run)| run.heat.hot_after.to_s())
        .collect();
    if values.is_empty() {
        return Band::exact(nominal.heat.hot_after);
    }
    let (low, high) = doubt::ninety_band(&mut values);
    Band {
        low: low.min(mid),
        mid,
        high: high.max(mid),
    }
    .map(Span::from_s)
}

fn curve(cycle: &casewright_physics::setup::Cycle) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    let mut at = Span::ZERO;
    for piece in &cycle.pieces {
        let from = (at.to_h(), piece.from.to_c());
        if points.last() != Some(&from) {
            points.push(from);
        }
        at = at + piece.duration;
        points.push((at.to_h(), piece.to.to_c()));
    }
    points
}

fn tank_findings(bench: &Bench<'_>, best: &Candidate<'_>, plan: Option<&Plan>) -> Vec<Diag> {
    let mut list = Vec::new();
    if let Some(plan) = plan {
        list.extend(tank::findings(best.recipe.tank, &plan.quench));
    }
    let plain_in_oil = tank::is_oil(best.recipe.tank.medium)
        && bench.record.is_some_and(|r| {
            use casewright_physics::matter::steel::SteelClass;
            matches!(
                r.class,
                SteelClass::Plain | SteelClass::FreeCutting | SteelClass::Structural
            )
        });
    if plain_in_oil {
        list.push(
            Diag::warn("plain-in-oil", "A plain steel is to be quenched in oil.")
                .why("Plain steels harden in oil only where the section is thin.")
                .accepted("Water or brine, or prove it on a coupon of the same section first."),
        );
    }
    list
}

fn prediction_findings(bench: &Bench<'_>, prediction: &Prediction) -> Vec<Diag> {
    let mut list = Vec::new();
    let carbon = prediction.surface_carbon_wt_pct.mid;
    if carbon > 1.1 {
        list.push(
            Diag::warn("surface-carbon-high", format!("The skin will hold {carbon:.2} wt% carbon."))
                .why("Over about 1.1 % carbides can join into a network that chips at edges and cracks in grinding.")
                .accepted("Look at an etched coupon; less fresh compound, or a soak at the end at lower temperature, next time."),
        );
    }
    let austenite = prediction.retained_austenite_pct;
    if austenite.mid > 25.0 {
        list.push(
            Diag::warn(
                "austenite-high",
                format!(
                    "About {:.0} % retained austenite is left in the case.",
                    austenite.mid
                ),
            )
            .why("It reads soft and moves in service.")
            .accepted("A lower reheat, or a sub-zero treatment before the temper."),
        );
    }
    let valid_at_hand = bench.spec.shop.scales.len();
    if valid_at_hand == 0 && !bench.spec.shop.micro_hardness {
        list.push(
            Diag::warn("no-tester", "The shop file names no hardness scale.")
                .why("Nothing can be shown to the customer without readings.")
                .accepted("Add the tester's scales, or send coupons out."),
        );
    }
    list
}

fn remark_findings(remarks: &[Remark]) -> Vec<Diag> {
    let unique: BTreeSet<&Remark> = remarks.iter().collect();
    unique
        .into_iter()
        .map(|remark| Diag::note(remark.code, sentence(&remark.text)))
        .collect()
}

/// The text as a sentence: a capital at its head, a full stop at its end.
fn sentence(text: &str) -> String {
    let mut letters = text.trim().chars();
    let head: String = letters
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    let body = letters.as_str();
    let stop = if body.ends_with('.') { "" } else { "." };
    format!("{head}{body}{stop}")
}

/// Observations at the low, middle and high end of the bands.
fn ends(demand: &Demand, prediction: &Prediction) -> [Observed; 3] {
    let pick = |of: fn(Band<f64>) -> f64| Observed {
        depth_made: Some(
            prediction
                .case_depth
                .map_or(Length::ZERO, |b| Length::from_m(of(b.map(Length::to_m)))),
        ),
        depth_after_grind: Some(
            prediction
                .case_depth_after_grind
                .map_or(Length::ZERO, |b| Length::from_m(of(b.map(Length::to_m)))),
        ),
        surface: Some(casewright_terms::Vickers::from_hv(of(prediction
            .surface
            .map(|v| v.to_hv())))),
        core: demand
            .core
            .map(|_| casewright_terms::Vickers::from_hv(of(prediction.core.map(|v| v.to_hv())))),
    };
    [pick(|b| b.low), pick(|b| b.mid), pick(|b| b.high)]
}

fn judge(bench: &Bench<'_>, prediction: &Prediction, findings: &[Diag]) -> Verdict {
    let [low, mid, high] = ends(bench.demand, prediction);
    let meets = |seen: &Observed| evaluate::evaluate(bench.demand, seen).meets();
    if has_stop(findings) || !meets(&mid) {
        Verdict::CannotBeMet
    } else if meets(&low) && meets(&high) {
        Verdict::CanBeMet
    } else {
        Verdict::Marginal
    }
}

fn verdict_reasons(bench: &Bench<'_>, prediction: &Prediction, verdict: Verdict) -> Vec<Diag> {
    use evaluate::Fared::{High, Low};
    let [low, mid, high] =
        ends(bench.demand, prediction).map(|seen| evaluate::evaluate(bench.demand, &seen));
    let units = bench.spec.units;
    let clause = |of: fn(&Evaluation) -> evaluate::Fared| {
        let missed = matches!(of(&mid), Low | High);
        let at_low = matches!(of(&low), Low | High);
        let at_high = matches!(of(&high), Low | High);
        (missed, at_low, at_high)
    };
    let mut list = Vec::new();
    let mut add = |code: &'static str,
                   what: String,
                   (missed, at_low, at_high): (bool, bool, bool)| {
        let diag = match (verdict, missed, at_low || at_high) {
            (Verdict::CannotBeMet, true, _) => Diag::stop(code, format!("{what} misses the note."))
                .why("No plan of this shop comes nearer.")
                .accepted("See the nearest that can be met."),
            (_, false, true) => Diag::warn(
                code,
                format!("{what} may miss the note at the edge of its band."),
            )
            .why("One part in ten or so could fall outside.")
            .accepted("Judge the coupons before the work is reheated, and before the grind."),
            _ => return,
        };
        list.push(diag);
    };
    let depth_band = if bench.demand.after_grind {
        prediction.case_depth_after_grind
    } else {
        prediction.case_depth
    };
    let depth_words = depth_band.map_or_else(
        || "The case depth (the surface does not hold the limit)".to_owned(),
        |b| {
            format!(
                "The case depth, {} to {},",
                b.low.depth_text_both(units),
                b.high.depth_text_both(units)
            )
        },
    );
    add("depth-doubtful", depth_words, clause(|e| e.depth));
    add(
        "surface-doubtful",
        format!(
            "The surface hardness, {:.0} to {:.0} HV,",
            prediction.surface.low.to_hv(),
            prediction.surface.high.to_hv()
        ),
        clause(|e| e.surface),
    );
    add(
        "core-doubtful",
        format!(
            "The core hardness, {:.0} to {:.0} HV,",
            prediction.core.low.to_hv(),
            prediction.core.high.to_hv()
        ),
        clause(|e| e.core),
    );
    list
}

/// The best way not taken of each kind: another tank, another route, another temperature.
fn alternatives(bench: &Bench<'_>, best: &Candidate<'_>, found: &Found<'_>) -> Vec<Alternative> {
    let units = bench.spec.units;
    let ground = |c: &Candidate<'_>| c.observed.depth_after_grind;
    let mut list: Vec<Alternative> = found
        .candidates
        .iter()
        .skip(1)
        .filter(|c| search::describe(&c.recipe, units) != search::describe(&best.recipe, units))
        .take(5)
        .map(|c| Alternative {
            what: format!(
                "{}, soak {}",
                search::describe(&c.recipe, units),
                c.recipe.soak.text()
            ),
            case_depth_after_grind: ground(c),
            surface: c.observed.surface,
            furnace_time: Some(c.simulated.heat.soak_ends),
            why_not: c.against.join("; "),
        })
        .collect();
    list.extend(found.dropped.iter().take(4).map(|dropped| Alternative {
        what: dropped.what.clone(),
        case_depth_after_grind: None,
        surface: None,
        furnace_time: None,
        why_not: dropped.why.clone(),
    }));
    list
}

fn sources(best: &Candidate<'_>) -> Vec<SourceKey> {
    let keys: BTreeSet<SourceKey> = best
        .simulated
        .chain
        .sources
        .iter()
        .chain(&best.simulated.heat.sources)
        .chain(&best.simulated.chain.carbon.sources)
        .copied()
        .chain(["trade-practice"])
        .collect();
    keys.into_iter().collect()
}

/// Looks for the nearest note that this shop can meet, plans it, and finds the words for it.
fn offer_nearest(spec: &Spec, options: Options, report: &mut PlanReport) {
    if report.findings.iter().any(|d| d.code == "cases-meet") {
        offer_shallower(spec, options, report);
        return;
    }
    let Some(prediction) = &report.prediction else {
        return;
    };
    let units = spec.units;
    let depth = prediction.case_depth_after_grind.map_or_else(
        || "no case to that limit".to_owned(),
        |b| {
            format!(
                "a case of {} to {}",
                b.low.depth_text_both(units),
                b.high.depth_text_both(units)
            )
        },
    );
    let what = format!(
        "This shop would come to {depth}, a surface of {:.0} to {:.0} HV and a core of {:.0} to {:.0} HV.",
        prediction.surface.low.to_hv(),
        prediction.surface.high.to_hv(),
        prediction.core.low.to_hv(),
        prediction.core.high.to_hv()
    );
    report.nearest = Some(Nearest {
        to_customer: format!(
            "For \"{}\" ({}) we cannot hold \"{}\". {what} Would that serve, or may we propose another steel?",
            spec.part.what,
            spec.name,
            spec.note.text.trim()
        ),
        what,
    });
}

/// Steps in which a shallower depth is offered, and the smallest worth offering.
const OFFER_STEP_MM: f64 = 0.05;
const OFFER_LEAST_MM: f64 = 0.3;

/// The greatest effective depth whose total stays under a quarter of the section, as a note.
fn offer_shallower(spec: &Spec, options: Options, report: &mut PlanReport) {
    let (section, what) = gate::least_section(spec);
    // Effective is about two thirds of total in a plain case; the plan below checks the real one.
    let mut greatest = section.to_mm() * gate::SECTION_STOP * 0.7;
    while greatest >= OFFER_LEAST_MM {
        let max = Length::from_mm((greatest / OFFER_STEP_MM).floor() * OFFER_STEP_MM);
        let min = Length::from_mm(
            ((max.to_mm() - 0.2).max(max.to_mm() * 0.5) / OFFER_STEP_MM).ceil() * OFFER_STEP_MM,
        );
        let mut offered = spec.clone();
        offered.note.case_depth = Some(LengthRange {
            min: Some(min),
            max: Some(max),
        });
        offered.note.stage = if spec.stock.is_empty() {
            Stage::BeforeGrind
        } else {
            spec.note.stage
        };
        let plan = plan_once(&offered, options);
        if plan.verdict != Verdict::CannotBeMet {
            take_offer(spec, report, plan, (min, max), (section, &what));
            return;
        }
        greatest -= OFFER_STEP_MM;
    }
}

fn take_offer(
    spec: &Spec,
    report: &mut PlanReport,
    offer: PlanReport,
    (min, max): (Length, Length),
    (section, what): (Length, &str),
) {
    let units = spec.units;
    let thicker = report
        .findings
        .iter()
        .find(|d| d.code == "cases-meet")
        .and_then(|_| spec.note.case_depth.and_then(|d| d.min))
        .map_or(section, |asked| asked * (1.5 / gate::SECTION_STOP));
    let words = format!(
        "In {what} of {} a case of {} to {} can be made; the depth asked for needs a section of about {} or more.",
        section.size_text(units),
        min.depth_text_both(units),
        max.depth_text_both(units),
        thicker.size_text(units),
    );
    report.nearest = Some(Nearest {
        to_customer: format!(
            "For \"{}\" ({}) the case asked for (\"{}\") would meet in the middle of the section and leave the part brittle through. {words} Please tell us which you want.",
            spec.part.what,
            spec.name,
            spec.note.text.trim()
        ),
        what: words,
    });
    report.findings.extend(
        offer
            .findings
            .into_iter()
            .filter(|d| d.severity != Severity::Stop)
            .filter(|d| !report.findings.contains(d))
            .collect::<Vec<_>>(),
    );
    report.plan = offer.plan;
    report.prediction = offer.prediction;
    report.alternatives = offer.alternatives;
    report.doubts = offer.doubts;
    report.sources = offer.sources;
}
