//! A plan and its report on the wire.

use casewright_job::shop::Agitation;
use casewright_job::spec::Spec;
use casewright_physics::model::testers;
use casewright_plan::outcome::{
    Alternative, CarbonLevel, Caution, Coupon, DepthChain, DepthLimit, Edge, EdgeKind, LoadTimes,
    Moment, Nearest, PackWay, Placed, Plan, PlanReport, Prediction, Profile, QuenchCheck,
    ScaleAdvice, Scoop, Step, StepKind, Verdict,
};
use casewright_terms::{Band, Length};
use serde::Serialize;

use super::diag::Finding;
use super::inside::{BoxedLine, StoryLine, TraverseLine};
use super::note::{PhraseLine, phrases};
use super::outlook::{
    CauseLine, ChanceLine, ChangeLine, EnsembleLine, cause, chance, change, ensemble,
};
use super::pack_heat::{self, PackHeatLine};
use super::reasons::{self, ReasonLines, WayLine, medium, route};
use super::skin::{ForceLine, StressLine};
use super::{Interval, Reading, number, numbers};
use crate::answer::Texts;

/// The answer of `plan`.
#[derive(Debug, Serialize)]
pub(crate) struct Report {
    verdict: &'static str,
    job: JobLine,
    findings: Vec<Finding>,
    reading: Vec<PhraseLine>,
    assumptions: Vec<String>,
    defaults: Vec<String>,
    route: Option<&'static str>,
    temperature_c: Option<f64>,
    soak_h: Option<f64>,
    pack_hot_after_h: Option<Interval>,
    furnace_h: Option<f64>,
    cost: Option<super::cost::CostLine>,
    steps: Vec<StepLine>,
    depth: Option<DepthLine>,
    prediction: Option<PredictionLine>,
    pack: Option<PackLine>,
    quench: Option<QuenchLine>,
    coupons: Vec<CouponLine>,
    test_scales: Vec<ScaleLine>,
    cautions: Vec<CautionLine>,
    story: Vec<StoryLine>,
    after_box: Option<BoxedLine>,
    traverse: Option<TraverseLine>,
    furnace_curve: Option<Curve>,
    part_curve: Option<Curve>,
    alternatives: Vec<AlternativeLine>,
    nearest: Option<NearestLine>,
    doubts: Vec<DoubtLine>,
    /// How likely each clause of the note is met.
    chances: Vec<ChanceLine>,
    /// How likely all of them are met.
    chance_all: Option<f64>,
    chance_found: Option<f64>,
    /// Causes of the spread with what would narrow each.
    doubt: Vec<CauseLine>,
    /// What small changes of the plan do.
    sensitivity: Vec<ChangeLine>,
    /// What the bands rest on.
    ensemble: Option<EnsembleLine>,
    seed: u64,
    /// Where the run sheet was written.
    sheet: Option<String>,
    sources: Vec<&'static str>,
    #[serde(flatten)]
    reasons: ReasonLines,
}

#[derive(Debug, Serialize)]
struct JobLine {
    name: String,
    number: Option<String>,
    quantity: u32,
    part: String,
    units: &'static str,
}

#[derive(Debug, Serialize)]
struct StepLine {
    kind: &'static str,
    temperature_c: Option<f64>,
    temperature_tolerance_k: Option<f64>,
    soak_h: Option<f64>,
    text: String,
    begins: MomentLine,
    ends: MomentLine,
    equipment: Option<String>,
    acceptance: Vec<String>,
    stop_if: Vec<String>,
    hold_point: bool,
    cautions: Vec<CautionLine>,
    record: Vec<RecordLine>,
}

#[derive(Debug, Serialize)]
pub(super) struct MomentLine {
    after_h: f64,
    /// Local clock time, where the start is known.
    clock: Option<String>,
}

#[derive(Debug, Serialize)]
struct RecordLine {
    label: String,
    unit: String,
}

#[derive(Debug, Serialize)]
struct CautionLine {
    code: &'static str,
    hazard: String,
    text: String,
}

#[derive(Debug, Serialize)]
struct DepthLine {
    finish_min_mm: f64,
    finish_max_mm: Option<f64>,
    stock_min_mm: f64,
    stock_max_mm: f64,
    scatter_mm: f64,
    make_min_mm: f64,
    make_max_mm: Option<f64>,
    aim_mm: f64,
    /// `hardness` or `core-carbon`.
    limit: &'static str,
    limit_hardness: Option<Reading>,
}

#[derive(Debug, Serialize)]
struct PredictionLine {
    case_depth_mm: Option<Interval>,
    case_depth_after_grind_mm: Option<Interval>,
    depth_550hv_mm: Option<Interval>,
    depth_50hrc_mm: Option<Interval>,
    total_depth_mm: Option<Interval>,
    surface_hardness_hv: Interval,
    surface_hardness_hrc: Option<Interval>,
    core_hardness_hv: Interval,
    core_hardness_hrc: Option<Interval>,
    surface_carbon_wt_pct: Interval,
    retained_austenite_pct: Interval,
    growth_per_side_mm: Ends,
    surface_stress: StressLine,
    vickers_loads: Vec<ForceLine>,
    limit_hardness_hv: f64,
    profile: ProfileLine,
    /// Edges, webs and walls in two dimensions.
    edges: Vec<EdgeLine>,
}

#[derive(Debug, Serialize)]
struct EdgeLine {
    feature: String,
    /// `corner`, `web`, `wall` or `keyway`.
    kind: &'static str,
    radius_mm: f64,
    section_mm: f64,
    surface_carbon_wt_pct: f64,
    face_carbon_wt_pct: f64,
    saturation_wt_pct: Option<f64>,
    quenched_from_c: Option<f64>,
    carbide_pct: f64,
    face_carbide_pct: f64,
    retained_austenite_pct: f64,
    least_carbon_wt_pct: Option<f64>,
    middle_hardness_hv: Option<f64>,
    limit_carbon_wt_pct: Option<f64>,
    depth_mid_face_mm: Option<f64>,
    depth_corner_mm: Option<f64>,
    /// What breaking the edge to a radius would leave.
    broken: Option<BrokenLine>,
    /// Lower left and upper right of what the lines show.
    window_mm: [[f64; 2]; 2],
    outline: Vec<OutlineLine>,
    contours: Vec<ContourLine>,
}

#[derive(Debug, Serialize)]
struct BrokenLine {
    radius_mm: f64,
    surface_carbon_wt_pct: f64,
}

#[derive(Debug, Serialize)]
struct OutlineLine {
    treated: bool,
    points_mm: Vec<[f64; 2]>,
}

#[derive(Debug, Serialize)]
struct ContourLine {
    carbon_wt_pct: f64,
    /// `case-limit`, `saturation`, `total` or `carbon`.
    what: &'static str,
    lines_mm: Vec<Vec<[f64; 2]>>,
}

#[derive(Debug, Serialize)]
struct Ends {
    low: f64,
    high: f64,
}

#[derive(Debug, Serialize)]
struct ProfileLine {
    depth_mm: Vec<f64>,
    carbon_wt_pct: Vec<f64>,
    carbon_low_wt_pct: Vec<f64>,
    carbon_high_wt_pct: Vec<f64>,
    hardness_hv: Vec<f64>,
    hardness_low_hv: Vec<f64>,
    hardness_high_hv: Vec<f64>,
    martensite: Vec<f64>,
    retained_austenite: Vec<f64>,
    bainite: Vec<f64>,
    pearlite: Vec<f64>,
    ferrite: Vec<f64>,
    carbide: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct PackLine {
    #[serde(rename = "box")]
    box_id: String,
    boxes: u32,
    inside_mm: [f64; 3],
    wall_mm: f64,
    parts: Vec<PlacedLine>,
    coupons: Vec<PlacedLine>,
    couple_mm: Option<[f64; 3]>,
    cover_below_mm: f64,
    cover_above_mm: f64,
    cover_wall_mm: f64,
    cover_between_mm: f64,
    compound: String,
    compound_l: f64,
    compound_kg: f64,
    fresh_kg: f64,
    lots: Vec<ScoopLine>,
    top_up_l: f64,
    box_kg: f64,
    steel_kg: f64,
    lift_kg: f64,
    loads: Vec<LoadLine>,
    alternatives: Vec<PackWayLine>,
    heat: Option<PackHeatLine>,
}

/// What one lot of compound gives to one box.
#[derive(Debug, Serialize)]
struct ScoopLine {
    lot: String,
    l: f64,
    kg: f64,
    fresh_kg: f64,
}

/// One load of several on the clock.
#[derive(Debug, Serialize)]
struct LoadLine {
    number: u32,
    parts: u32,
    packed_from: MomentLine,
    loaded: MomentLine,
    soak_ends: MomentLine,
    tempered: MomentLine,
    tested: MomentLine,
}

/// A way to pack that was weighed; the first is the plan's own.
#[derive(Debug, Serialize)]
struct PackWayLine {
    what: String,
    #[serde(rename = "box")]
    box_id: String,
    boxes: u32,
    loads: u32,
    parts_in_box: usize,
    spread_out: bool,
    hot_after_h: Option<f64>,
    furnace_h: Option<f64>,
    staffed_h: Option<f64>,
    lift_kg: f64,
    compound_l: f64,
    chosen: bool,
    why: String,
}

#[derive(Debug, Serialize)]
struct PlacedLine {
    mark: String,
    at_mm: [f64; 3],
    size_mm: [f64; 3],
    round: bool,
}

#[derive(Debug, Serialize)]
struct QuenchLine {
    tank: String,
    medium: &'static str,
    agitation: &'static str,
    mass_kg: f64,
    rise_k: f64,
    bath_after_c: f64,
    flash_margin_k: Option<f64>,
}

#[derive(Debug, Serialize)]
struct CouponLine {
    mark: String,
    control: bool,
    size: String,
    place: String,
    proves: String,
}

#[derive(Debug, Serialize)]
struct ScaleLine {
    scale: &'static str,
    force_kgf: f64,
    at_hand: bool,
    valid: bool,
    reading: Option<Interval>,
    core_reading: Option<Interval>,
    least_case_mm: Option<f64>,
    round_correction: Option<f64>,
    why: String,
}

#[derive(Debug, Serialize)]
struct Curve {
    time_h: Vec<f64>,
    temperature_c: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct AlternativeLine {
    what: String,
    case_depth_after_grind_mm: Option<f64>,
    surface_hardness_hv: Option<f64>,
    furnace_h: Option<f64>,
    /// Chance of meeting the whole note, from a few runs.
    chance_all: Option<f64>,
    sensitivity: Vec<ChangeLine>,
    way: Option<WayLine>,
    why_not: String,
}

#[derive(Debug, Serialize)]
struct NearestLine {
    what: String,
    to_customer: String,
}

#[derive(Debug, Serialize)]
struct DoubtLine {
    what: String,
    share: f64,
}

impl Report {
    /// From the spec and what was planned for it; places of findings are found in `texts`.
    pub(crate) fn of(
        spec: &Spec,
        report: &PlanReport,
        seed: u64,
        texts: &Texts,
        sheet: Option<String>,
    ) -> Self {
        let plan = report.plan.as_ref();
        let outlook = &report.outlook;
        Self {
            verdict: verdict(report.verdict),
            job: job(spec),
            findings: report
                .findings
                .iter()
                .map(|diag| Finding::of(diag, texts))
                .collect(),
            reading: phrases(&spec.note.phrases),
            assumptions: spec.note.assumptions.clone(),
            defaults: spec.defaults.clone(),
            route: plan.map(|plan| route(plan.route)),
            temperature_c: plan.map(|plan| number(plan.temperature.to_c())),
            soak_h: plan.map(|plan| number(plan.soak.to_h())),
            pack_hot_after_h: plan.map(|plan| Interval::of(plan.pack_hot_after, |s| s.to_h())),
            furnace_h: plan.map(|plan| number(plan.furnace_time.to_h())),
            cost: casewright_plan::cost::of(spec, report)
                .as_ref()
                .map(super::cost::of),
            steps: each(plan, |plan| plan.steps.iter().map(step).collect()),
            depth: plan.map(|plan| depth(&plan.depth)),
            prediction: report.prediction.as_ref().map(prediction),
            pack: plan.map(pack),
            quench: plan.map(|plan| quench(&plan.quench)),
            coupons: each(plan, |plan| plan.coupons.iter().map(coupon).collect()),
            test_scales: each(plan, |plan| plan.test_scales.iter().map(scale).collect()),
            cautions: each(plan, |plan| cautions(&plan.cautions)),
            story: super::inside::story(spec, report, &[]),
            after_box: super::inside::boxed(report),
            traverse: report.traverse.as_ref().map(super::inside::traverse),
            furnace_curve: plan.map(|plan| curve(&plan.furnace_curve)),
            part_curve: plan.map(|plan| curve(&plan.part_curve)),
            alternatives: report.alternatives.iter().map(alternative).collect(),
            nearest: report.nearest.as_ref().map(nearest),
            doubts: report
                .doubts
                .iter()
                .map(|(what, share)| DoubtLine {
                    what: what.clone(),
                    share: number(*share),
                })
                .collect(),
            chances: outlook.chances.iter().map(chance).collect(),
            chance_all: outlook.chance_all.map(number),
            chance_found: outlook.chance_found.map(number),
            doubt: outlook.spreads.iter().map(cause).collect(),
            sensitivity: outlook.sensitivity.iter().map(change).collect(),
            ensemble: outlook.basis.map(ensemble),
            seed,
            sheet,
            sources: report.sources.clone(),
            reasons: ReasonLines::of(spec, report),
        }
    }
}

fn each<T>(plan: Option<&Plan>, list: impl FnOnce(&Plan) -> Vec<T>) -> Vec<T> {
    plan.map_or_else(Vec::new, list)
}

fn job(spec: &Spec) -> JobLine {
    JobLine {
        name: spec.name.clone(),
        number: spec.number.clone(),
        quantity: spec.quantity,
        part: spec.part.what.clone(),
        units: super::note::units(spec.units),
    }
}

fn step(step: &Step) -> StepLine {
    StepLine {
        kind: step_kind(step.kind),
        temperature_c: step.temperature.map(|t| number(t.to_c())),
        temperature_tolerance_k: step.tolerance.map(|t| number(t.to_k())),
        soak_h: step.soak.map(|soak| number(soak.to_h())),
        text: step.text.clone(),
        begins: moment(step.begins),
        ends: moment(step.ends),
        equipment: step.equipment.clone(),
        acceptance: step.acceptance.clone(),
        stop_if: step.stop_if.clone(),
        hold_point: step.hold_point,
        cautions: cautions(&step.cautions),
        record: step
            .record
            .iter()
            .map(|(label, unit)| RecordLine {
                label: label.clone(),
                unit: unit.clone(),
            })
            .collect(),
    }
}

pub(super) fn moment(moment: Moment) -> MomentLine {
    MomentLine {
        after_h: number(moment.after.to_h()),
        clock: moment.clock.map(|clock| clock.to_string()),
    }
}

fn cautions(list: &[Caution]) -> Vec<CautionLine> {
    list.iter()
        .map(|caution| CautionLine {
            code: caution.code,
            hazard: caution.hazard.clone(),
            text: caution.text.clone(),
        })
        .collect()
}

fn depth(chain: &DepthChain) -> DepthLine {
    let mm = |length: Length| number(length.to_mm());
    let (limit, limit_hardness) = match chain.limit {
        DepthLimit::Hardness(hardness) => ("hardness", Some(Reading::from(hardness))),
        DepthLimit::CoreCarbon => ("core-carbon", None),
    };
    DepthLine {
        finish_min_mm: mm(chain.finish_min),
        finish_max_mm: chain.finish_max.map(mm),
        stock_min_mm: mm(chain.stock.0),
        stock_max_mm: mm(chain.stock.1),
        scatter_mm: mm(chain.scatter),
        make_min_mm: mm(chain.make_min),
        make_max_mm: chain.make_max.map(mm),
        aim_mm: mm(chain.aim),
        limit,
        limit_hardness,
    }
}

fn prediction(prediction: &Prediction) -> PredictionLine {
    let mm = |band: Band<Length>| Interval::of(band, |length| length.to_mm());
    let plain = |band: Band<f64>| Interval::of(band, |value| value);
    PredictionLine {
        case_depth_mm: prediction.case_depth.map(mm),
        case_depth_after_grind_mm: prediction.case_depth_after_grind.map(mm),
        depth_550hv_mm: prediction.depth_550hv.map(mm),
        depth_50hrc_mm: prediction.depth_50hrc.map(mm),
        total_depth_mm: prediction.total_depth.map(mm),
        surface_hardness_hv: Interval::of(prediction.surface, |hv| hv.to_hv()),
        surface_hardness_hrc: prediction.surface_hrc.map(plain),
        core_hardness_hv: Interval::of(prediction.core, |hv| hv.to_hv()),
        core_hardness_hrc: prediction.core_hrc.map(plain),
        surface_carbon_wt_pct: plain(prediction.surface_carbon_wt_pct),
        retained_austenite_pct: plain(prediction.retained_austenite_pct),
        growth_per_side_mm: Ends {
            low: number(prediction.growth_per_side.0.to_mm()),
            high: number(prediction.growth_per_side.1.to_mm()),
        },
        surface_stress: StressLine::of(&prediction.skin_stress),
        vickers_loads: prediction.loads.iter().map(ForceLine::of).collect(),
        limit_hardness_hv: number(prediction.limit_hardness.to_hv()),
        profile: profile(&prediction.profile),
        edges: prediction.edges.iter().map(edge).collect(),
    }
}

/// A coordinate of a picture, to the micrometre.
fn micron(point: &[f64; 2]) -> [f64; 2] {
    point.map(|mm| (mm * 1000.0).round() / 1000.0 + 0.0)
}

fn edge(edge: &Edge) -> EdgeLine {
    let mm = |length: Length| number(length.to_mm());
    let points = |line: &Vec<[f64; 2]>| line.iter().map(micron).collect::<Vec<_>>();
    let picture = &edge.picture;
    EdgeLine {
        feature: edge.feature.clone(),
        kind: match edge.kind {
            EdgeKind::Corner => "corner",
            EdgeKind::Web => "web",
            EdgeKind::Wall => "wall",
            EdgeKind::Keyway => "keyway",
        },
        radius_mm: mm(edge.radius),
        section_mm: mm(edge.section),
        surface_carbon_wt_pct: number(edge.surface_carbon_wt_pct),
        face_carbon_wt_pct: number(edge.face_carbon_wt_pct),
        saturation_wt_pct: edge.saturation_wt_pct.map(number),
        quenched_from_c: edge.quenched_from.map(|t| number(t.to_c())),
        carbide_pct: number(edge.carbide_pct),
        face_carbide_pct: number(edge.face_carbide_pct),
        retained_austenite_pct: number(edge.retained_austenite_pct),
        least_carbon_wt_pct: edge.least_carbon_wt_pct.map(number),
        middle_hardness_hv: edge.middle_hardness.map(|hv| number(hv.to_hv())),
        limit_carbon_wt_pct: edge.limit_carbon_wt_pct.map(number),
        depth_mid_face_mm: edge.depth_mid_face.map(mm),
        depth_corner_mm: edge.depth_corner.map(mm),
        broken: edge.broken.map(|(radius, carbon)| BrokenLine {
            radius_mm: mm(radius),
            surface_carbon_wt_pct: number(carbon),
        }),
        window_mm: picture.window_mm.map(|p| micron(&p)),
        outline: picture
            .outline
            .iter()
            .map(|line| OutlineLine {
                treated: line.treated,
                points_mm: points(&line.points_mm),
            })
            .collect(),
        contours: picture
            .lines
            .iter()
            .map(|line| ContourLine {
                carbon_wt_pct: number(line.carbon_wt_pct),
                what: match line.level {
                    CarbonLevel::CaseLimit => "case-limit",
                    CarbonLevel::Saturation => "saturation",
                    CarbonLevel::Total => "total",
                    CarbonLevel::Carbon => "carbon",
                },
                lines_mm: line.lines_mm.iter().map(points).collect(),
            })
            .collect(),
    }
}

fn profile(profile: &Profile) -> ProfileLine {
    ProfileLine {
        depth_mm: numbers(&profile.depth_mm),
        carbon_wt_pct: numbers(&profile.carbon_wt_pct),
        carbon_low_wt_pct: numbers(&profile.carbon_low_wt_pct),
        carbon_high_wt_pct: numbers(&profile.carbon_high_wt_pct),
        hardness_hv: numbers(&profile.hardness_hv),
        hardness_low_hv: numbers(&profile.hardness_low_hv),
        hardness_high_hv: numbers(&profile.hardness_high_hv),
        martensite: numbers(&profile.martensite),
        retained_austenite: numbers(&profile.retained_austenite),
        bainite: numbers(&profile.bainite),
        pearlite: numbers(&profile.pearlite),
        ferrite: numbers(&profile.ferrite),
        carbide: numbers(&profile.carbide),
    }
}

fn pack(plan: &Plan) -> PackLine {
    let pack = &plan.pack;
    let mm = |length: Length| number(length.to_mm());
    PackLine {
        box_id: pack.box_id.clone(),
        boxes: pack.boxes,
        inside_mm: pack.inside.map(mm),
        wall_mm: mm(pack.wall),
        parts: pack.parts.iter().map(placed).collect(),
        coupons: pack.coupons.iter().map(placed).collect(),
        couple_mm: pack.couple.map(|at| at.map(mm)),
        cover_below_mm: mm(pack.cover.below),
        cover_above_mm: mm(pack.cover.above),
        cover_wall_mm: mm(pack.cover.wall),
        cover_between_mm: mm(pack.cover.between),
        compound: pack.compound_id.clone(),
        compound_l: number(pack.compound.to_l()),
        compound_kg: number(pack.compound_mass.to_kg()),
        fresh_kg: number(pack.fresh_mass.to_kg()),
        lots: pack.scoops.iter().map(scoop).collect(),
        top_up_l: number(pack.top_up.to_l()),
        box_kg: number(pack.shell_mass.to_kg()),
        steel_kg: number(pack.steel_mass.to_kg()),
        lift_kg: number(pack.lift.to_kg()),
        loads: plan.loads.iter().map(load).collect(),
        alternatives: plan.pack_ways.iter().map(pack_way).collect(),
        heat: plan.pack_heat.as_ref().map(pack_heat::of),
    }
}

fn scoop(scoop: &Scoop) -> ScoopLine {
    ScoopLine {
        lot: scoop.lot.clone(),
        l: number(scoop.volume.to_l()),
        kg: number(scoop.mass.to_kg()),
        fresh_kg: number(scoop.fresh.to_kg()),
    }
}

fn load(load: &LoadTimes) -> LoadLine {
    LoadLine {
        number: load.number,
        parts: load.parts,
        packed_from: moment(load.packed_from),
        loaded: moment(load.loaded),
        soak_ends: moment(load.soak_ends),
        tempered: moment(load.tempered),
        tested: moment(load.tested),
    }
}

fn pack_way(way: &PackWay) -> PackWayLine {
    PackWayLine {
        what: way.what.clone(),
        box_id: way.box_id.clone(),
        boxes: way.boxes,
        loads: way.loads,
        parts_in_box: way.parts_in_box,
        spread_out: way.spread_out,
        hot_after_h: way.hot_after.map(|hot| number(hot.to_h())),
        furnace_h: way.furnace_time.map(|time| number(time.to_h())),
        staffed_h: way.staffed.map(|time| number(time.to_h())),
        lift_kg: number(way.lift.to_kg()),
        compound_l: number(way.compound.to_l()),
        chosen: way.chosen,
        why: way.why.clone(),
    }
}

fn placed(placed: &Placed) -> PlacedLine {
    PlacedLine {
        mark: placed.mark.clone(),
        at_mm: placed.at.map(|length| number(length.to_mm())),
        size_mm: placed.size.map(|length| number(length.to_mm())),
        round: placed.round,
    }
}

fn quench(quench: &QuenchCheck) -> QuenchLine {
    QuenchLine {
        tank: quench.tank.clone(),
        medium: medium(quench.medium),
        agitation: agitation(quench.agitation),
        mass_kg: number(quench.mass.to_kg()),
        rise_k: number(quench.rise.to_k()),
        bath_after_c: number(quench.bath_after.to_c()),
        flash_margin_k: quench.flash_margin.map(|margin| number(margin.to_k())),
    }
}

fn coupon(coupon: &Coupon) -> CouponLine {
    CouponLine {
        mark: coupon.mark.clone(),
        control: coupon.control,
        size: coupon.size.clone(),
        place: coupon.place.clone(),
        proves: coupon.proves.clone(),
    }
}

fn scale(advice: &ScaleAdvice) -> ScaleLine {
    let plain = |band: Band<f64>| Interval::of(band, |value| value);
    ScaleLine {
        scale: advice.scale.symbol(),
        force_kgf: number(testers::usual_force(advice.scale).to_kgf()),
        at_hand: advice.at_hand,
        valid: advice.valid,
        reading: advice.reading.map(plain),
        core_reading: advice.core_reading.map(plain),
        least_case_mm: advice.least_case.map(|least| number(least.to_mm())),
        round_correction: advice.round_correction.map(number),
        why: advice.why.clone(),
    }
}

fn curve(points: &[(f64, f64)]) -> Curve {
    Curve {
        time_h: points.iter().map(|(hours, _)| number(*hours)).collect(),
        temperature_c: points.iter().map(|(_, celsius)| number(*celsius)).collect(),
    }
}

fn alternative(other: &Alternative) -> AlternativeLine {
    AlternativeLine {
        what: other.what.clone(),
        case_depth_after_grind_mm: other
            .case_depth_after_grind
            .map(|depth| number(depth.to_mm())),
        surface_hardness_hv: other.surface.map(|hv| number(hv.to_hv())),
        furnace_h: other.furnace_time.map(|time| number(time.to_h())),
        chance_all: other.chance.map(number),
        sensitivity: other.sensitivity.iter().map(change).collect(),
        way: other.way.as_ref().map(reasons::way),
        why_not: other.why_not.clone(),
    }
}

fn nearest(nearest: &Nearest) -> NearestLine {
    NearestLine {
        what: nearest.what.clone(),
        to_customer: nearest.to_customer.clone(),
    }
}

/// The word for a verdict.
pub(crate) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::CanBeMet => "can-be-met",
        Verdict::Marginal => "marginal",
        Verdict::CannotBeMet => "cannot-be-met",
    }
}

pub(super) const fn step_kind(kind: StepKind) -> &'static str {
    match kind {
        StepKind::Pack => "pack",
        StepKind::Carburize => "carburize",
        StepKind::Cool => "cool",
        StepKind::Reheat => "reheat",
        StepKind::Quench => "quench",
        StepKind::Temper => "temper",
        StepKind::Test => "test",
        StepKind::Grind => "grind",
    }
}

const fn agitation(agitation: Agitation) -> &'static str {
    match agitation {
        Agitation::Still => "still",
        Agitation::Mild => "mild",
        Agitation::Good => "good",
        Agitation::Strong => "strong",
    }
}
