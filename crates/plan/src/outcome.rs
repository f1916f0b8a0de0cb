//! A plan and the report of the planning. Values only: everything a sheet or an answer shows.

use casewright_job::shop::{Agitation, Medium};
use casewright_job::spec::RouteWish as Route;
use casewright_terms::{
    Band, Diag, Fraction, Hardness, Length, Mass, Scale, SourceKey, Span, Temperature,
    TemperatureStep, Vickers, Volume,
};

use crate::loads::LoadReading;
use crate::outlook::{Change, Outlook};
use crate::skin::SkinStress;

/// Whether the note can be met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The whole band of the prediction lies inside the note.
    CanBeMet,
    /// The middle lies inside, a part of the band does not.
    Marginal,
    /// No plan for this shop meets it.
    CannotBeMet,
}

/// What a step is, in the order of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepKind {
    /// Pack the parts and lute the lid.
    Pack,
    /// Heat and soak in the box.
    Carburize,
    /// Cool in the box, or drop before a direct quench.
    Cool,
    /// Reheat before a quench.
    Reheat,
    /// Quench.
    Quench,
    /// Temper.
    Temper,
    /// Test hardness and depth.
    Test,
    /// Grind.
    Grind,
}

/// A place on the clock: a span after the start, and the wall-clock time where a start is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// After the start of the job.
    pub after: Span,
    /// On the wall.
    pub clock: Option<jiff::civil::DateTime>,
}

/// One step of the job, complete: nothing is left to choose at the bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What it is.
    pub kind: StepKind,
    /// What to do, in one or two sentences.
    pub text: String,
    /// Set temperature.
    pub temperature: Option<Temperature>,
    /// Allowed deviation of the set temperature, either way.
    pub tolerance: Option<TemperatureStep>,
    /// Time at temperature.
    pub soak: Option<Span>,
    /// When it begins.
    pub begins: Moment,
    /// When it ends.
    pub ends: Moment,
    /// Which furnace, oven, tank or box.
    pub equipment: Option<String>,
    /// What must be seen before going on; a second person signs where `hold_point`.
    pub acceptance: Vec<String>,
    /// Stop if any of these is seen.
    pub stop_if: Vec<String>,
    /// Whether this is a hold point.
    pub hold_point: bool,
    /// Cautions of this step.
    pub cautions: Vec<Caution>,
    /// Actual values to be written down: label and unit.
    pub record: Vec<(String, String)>,
}

/// A caution for people.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// Stable code.
    pub code: &'static str,
    /// Short name of the hazard.
    pub hazard: String,
    /// What to do about it.
    pub text: String,
}

/// How the depth to make was found, link by link, per side.
#[derive(Clone, Debug, PartialEq)]
pub struct DepthChain {
    /// Least finished depth.
    pub finish_min: Length,
    /// Greatest finished depth; `None` where the note leaves it open.
    pub finish_max: Option<Length>,
    /// Least and greatest stock that will be removed at one place of the faces that are ground; both
    /// zero where nothing is.
    pub stock: (Length, Length),
    /// Allowance for scatter in the load, one way.
    pub scatter: Length,
    /// Least depth to make (before grinding).
    pub make_min: Length,
    /// Greatest depth to make; `None` where open.
    pub make_max: Option<Length>,
    /// Depth aimed at.
    pub aim: Length,
    /// What the depth is measured to.
    pub limit: DepthLimit,
}

/// What ends the case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DepthLimit {
    /// A hardness, as the note writes it.
    Hardness(Hardness),
    /// Core carbon + 0.04 wt% (total depth).
    CoreCarbon,
}

/// What physics expects, each with its band (90 %).
#[derive(Clone, Debug, PartialEq)]
pub struct Prediction {
    /// Depth to the note's limit before grinding; `None` where the surface never holds the limit.
    pub case_depth: Option<Band<Length>>,
    /// The same after grinding.
    pub case_depth_after_grind: Option<Band<Length>>,
    /// Depth to 550 HV.
    pub depth_550hv: Option<Band<Length>>,
    /// Depth to 50 HRC (513 HV).
    pub depth_50hrc: Option<Band<Length>>,
    /// Depth to core carbon + 0.04 wt%.
    pub total_depth: Option<Band<Length>>,
    /// Hardness on the finished surface.
    pub surface: Band<Vickers>,
    /// The same in HRC; `None` outside the scale.
    pub surface_hrc: Option<Band<f64>>,
    /// Core, in HV.
    pub core: Band<Vickers>,
    /// Core in HRC; `None` where any end is below the scale.
    pub core_hrc: Option<Band<f64>>,
    /// Carbon at the surface before grinding, wt%.
    pub surface_carbon_wt_pct: Band<f64>,
    /// Greatest retained austenite in the finished case, percent.
    pub retained_austenite_pct: Band<f64>,
    /// Growth per side.
    pub growth_per_side: (Length, Length),
    /// Stress in the skin.
    pub skin_stress: SkinStress,
    /// What Vickers and Knoop testers would read on the finished surface, by test force.
    pub loads: Vec<LoadReading>,
    /// Limit hardness of `case_depth`, in HV (550 where the depth is total).
    pub limit_hardness: Vickers,
    /// The profile.
    pub profile: Profile,
    /// Edges, webs and walls, the body's own edge first; empty for a ball and where no section was
    /// run.
    pub edges: Vec<Edge>,
}

/// What kind of place of a part a section is cut through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EdgeKind {
    /// An edge between two faces.
    Corner,
    /// A web or a thin wall with a case from both sides.
    Web,
    /// The wall between a bore and the surface beside it.
    Wall,
    /// The mouth of a keyway.
    Keyway,
}

/// Carbon where it enters from two sides or where two cases meet, as hardened and before grinding,
/// for the plan itself (no band).
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// The place, in the shop's words.
    pub feature: String,
    /// What kind of place.
    pub kind: EdgeKind,
    /// Radius of the edge; 0 is sharp.
    pub radius: Length,
    /// Least steel between two surfaces there.
    pub section: Length,
    /// Greatest carbon of the section: that of the edge.
    pub surface_carbon_wt_pct: f64,
    /// Carbon on the face, far from the edge.
    pub face_carbon_wt_pct: f64,
    /// What austenite holds at `quenched_from`; the rest stays carbide.
    pub saturation_wt_pct: Option<f64>,
    /// Temperature that the part is quenched from.
    pub quenched_from: Option<Temperature>,
    /// Carbide in the skin of the edge after the quench, percent of the volume.
    pub carbide_pct: f64,
    /// The same on the face.
    pub face_carbide_pct: f64,
    /// Retained austenite in the skin of the edge, percent.
    pub retained_austenite_pct: f64,
    /// Least carbon between the two surfaces.
    pub least_carbon_wt_pct: Option<f64>,
    /// Hardness there, tempered.
    pub middle_hardness: Option<Vickers>,
    /// Carbon at which the case ends: that of the profile at its depth to the note's limit.
    pub limit_carbon_wt_pct: Option<f64>,
    /// Depth to that carbon on the face, far from the edge.
    pub depth_mid_face: Option<Length>,
    /// Way to that carbon from the edge, halving its angle.
    pub depth_corner: Option<Length>,
    /// Carbon of the edge if it were broken to a radius; where it holds too much.
    pub broken: Option<(Length, f64)>,
    /// What to draw.
    pub picture: EdgePicture,
}

/// Lines of a section, in mm and in its frame.
#[derive(Clone, Debug, PartialEq)]
pub struct EdgePicture {
    /// Lower left and upper right of what is shown.
    pub window_mm: [[f64; 2]; 2],
    /// The surface.
    pub outline: Vec<OutlineLine>,
    /// Lines of equal carbon, most carbon first.
    pub lines: Vec<CarbonLine>,
    /// Stock ground off the flats, greatest.
    pub ground: Length,
}

/// A stretch of the surface.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it, unit included")]
pub struct OutlineLine {
    pub treated: bool,
    pub points_mm: Vec<[f64; 2]>,
}

/// Where the carbon has one value.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it, unit included")]
pub struct CarbonLine {
    pub carbon_wt_pct: f64,
    pub level: CarbonLevel,
    pub lines_mm: Vec<Vec<[f64; 2]>>,
}

/// What a line of equal carbon stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CarbonLevel {
    /// The case ends here.
    CaseLimit,
    /// What austenite holds at the heat before the quench: inside this line carbide stays.
    Saturation,
    /// Core carbon + 0.04 wt%.
    Total,
    /// A round figure.
    Carbon,
}

/// Everything against depth. All vectors have one length.
#[derive(Clone, Debug, PartialEq, Default)]
#[expect(missing_docs, reason = "the names say it, unit included")]
pub struct Profile {
    pub depth_mm: Vec<f64>,
    pub carbon_wt_pct: Vec<f64>,
    pub carbon_low_wt_pct: Vec<f64>,
    pub carbon_high_wt_pct: Vec<f64>,
    pub hardness_hv: Vec<f64>,
    pub hardness_low_hv: Vec<f64>,
    pub hardness_high_hv: Vec<f64>,
    pub martensite: Vec<f64>,
    pub retained_austenite: Vec<f64>,
    pub bainite: Vec<f64>,
    pub pearlite: Vec<f64>,
    pub ferrite: Vec<f64>,
    pub carbide: Vec<f64>,
}

/// Where things go in the box.
#[derive(Clone, Debug, PartialEq)]
pub struct PackLayout {
    /// Mark of the box.
    pub box_id: String,
    /// How many boxes of this kind are used (at once or one after another).
    pub boxes: u32,
    /// Inside: width (x), height (z, up), length (y).
    pub inside: [Length; 3],
    /// Wall.
    pub wall: Length,
    /// Parts in one box.
    pub parts: Vec<Placed>,
    /// Coupons in one box.
    pub coupons: Vec<Placed>,
    /// Where the couple is buried: x, y, z as the parts; `None` without one.
    pub couple: Option<[Length; 3]>,
    /// Compound under, beside, between and over.
    pub cover: Cover,
    /// Compound for one box, loose volume.
    pub compound: Volume,
    /// Its mass.
    pub compound_mass: Mass,
    /// Of which fresh.
    pub fresh_mass: Mass,
    /// Mark of the compound lot; of a mixture, the marks of its lots.
    pub compound_id: String,
    /// How much of each lot goes into one box; what they sum to stands above.
    pub scoops: Vec<Scoop>,
    /// Compound to have ready beside the box, for tamping and topping up.
    pub top_up: Volume,
    /// Box and lid, empty.
    pub shell_mass: Mass,
    /// Parts and coupons in one box.
    pub steel_mass: Mass,
    /// Box, parts and compound together.
    pub lift: Mass,
}

/// How the packed boxes heat, by their run in three dimensions.
#[derive(Clone, Debug, PartialEq)]
pub struct PackHeat {
    /// From loading until the last part is hot, with its band.
    pub hot: Band<Span>,
    /// The same on the clock of the first load.
    pub hot_at: Band<Moment>,
    /// What the buried couple reads at that moment; `None` without one.
    pub couple_reads: Option<Temperature>,
    /// Whether the bed's factor was learnt from a couple's log.
    pub learnt: bool,
    /// Each doubt about the hour with what it alone does, greatest first.
    pub doubts: Vec<(&'static str, Span)>,
    /// Likely error of the run's own numbers, as a share of the hours.
    pub stated_error: Fraction,
    /// What the run took from the mains and what of it the boxes held at the end of the soak, in kWh.
    pub work_kwh: (f64, f64),
    /// The soak that this was run with; the plan's own may be a quarter hour longer or shorter.
    pub work_soak: Span,
    /// Parts, box by box.
    pub parts: Vec<PartHeat>,
    /// Coupons, box by box.
    pub coupons: Vec<PartHeat>,
    /// The part with the least case, by its place in `parts`.
    pub least: Option<usize>,
    /// The part with the greatest.
    pub greatest: Option<usize>,
    /// The part that is coldest at the end of the soak.
    pub coldest: Option<usize>,
    /// The part that is hottest then.
    pub hottest: Option<usize>,
}

/// What one part or coupon gets by its own place.
#[derive(Clone, Debug, PartialEq)]
pub struct PartHeat {
    /// Its number or mark on the sketch.
    pub mark: String,
    /// Its box, counted from 1, where several stand in the furnace.
    pub box_number: Option<u32>,
    /// Whether it is a coupon.
    pub coupon: bool,
    /// Where it stands, in words.
    pub place: &'static str,
    /// From loading until it is within 10 K of what its place comes to.
    pub hot_after: Option<Span>,
    /// Its temperature at the end of the soak.
    pub soaked: Temperature,
    /// Depth to the note's limit before grinding, with the part's own body.
    pub depth: Option<Length>,
}

/// What one lot gives to the charge of one box.
#[derive(Clone, Debug, PartialEq)]
pub struct Scoop {
    /// Mark of the lot.
    pub lot: String,
    /// Loose volume.
    pub volume: Volume,
    /// Mass.
    pub mass: Mass,
    /// Of which fresh.
    pub fresh: Mass,
}

/// One way to pack the job, weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct PackWay {
    /// In a few words.
    pub what: String,
    /// Mark of the box.
    pub box_id: String,
    /// Boxes in all.
    pub boxes: u32,
    /// Loads one after another.
    pub loads: u32,
    /// Parts in one box.
    pub parts_in_box: usize,
    /// Whether the parts are spread out to the walls.
    pub spread_out: bool,
    /// From loading to hot; `None` where the furnace cannot do it.
    pub hot_after: Option<Span>,
    /// Furnace hours of all loads.
    pub furnace_time: Option<Span>,
    /// Hours of packing and watching, all loads.
    pub staffed: Option<Span>,
    /// One box, full.
    pub lift: Mass,
    /// Compound for the boxes of one load.
    pub compound: Volume,
    /// Whether the plan takes it.
    pub chosen: bool,
    /// What sets it apart from the plan's way.
    pub why: String,
}

/// When one load of several goes through the shop.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it")]
pub struct LoadTimes {
    pub number: u32,
    pub parts: u32,
    pub packed_from: Moment,
    pub loaded: Moment,
    pub soak_ends: Moment,
    pub tempered: Moment,
    pub tested: Moment,
}

/// One thing in the box: a brick around it, in the box's axes, lengths from the inside corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Its number or mark.
    pub mark: String,
    /// Nearest corner: x (width), y (length), z (height).
    pub at: [Length; 3],
    /// Size along x, y, z.
    pub size: [Length; 3],
    /// Whether it is round about its longest axis.
    pub round: bool,
}

/// The compound around the parts.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(missing_docs, reason = "the names say it")]
pub struct Cover {
    pub below: Length,
    pub above: Length,
    pub wall: Length,
    pub between: Length,
}

/// A test piece that rides with the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Coupon {
    /// Its mark.
    pub mark: String,
    /// `true` for the control that is not carburized.
    pub control: bool,
    /// Size and steel.
    pub size: String,
    /// Where it goes.
    pub place: String,
    /// What it will prove.
    pub proves: String,
}

/// What one hardness scale can say about this case.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleAdvice {
    /// The scale.
    pub scale: Scale,
    /// Whether the shop has it.
    pub at_hand: bool,
    /// Whether it can honestly read this case.
    pub valid: bool,
    /// What it would read on the finished surface, with its band.
    pub reading: Option<Band<f64>>,
    /// What it would read on the core (a coupon cut through, or the untreated control).
    pub core_reading: Option<Band<f64>>,
    /// Least case this scale can read at that hardness.
    pub least_case: Option<Length>,
    /// Correction to add on a round surface.
    pub round_correction: Option<f64>,
    /// Why, in words.
    pub why: String,
}

/// The quench, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct QuenchCheck {
    /// Mark of the tank.
    pub tank: String,
    /// Liquid.
    pub medium: Medium,
    /// Movement.
    pub agitation: Agitation,
    /// Hot mass quenched at once.
    pub mass: Mass,
    /// Rise of the bath.
    pub rise: TemperatureStep,
    /// Bath after the quench.
    pub bath_after: Temperature,
    /// Distance to the flash point less the rule's margin, for oils.
    pub flash_margin: Option<TemperatureStep>,
}

/// The plan: complete, and nothing else.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Route from box to quench.
    pub route: Route,
    /// Carburizing temperature.
    pub temperature: Temperature,
    /// Soak, counted from when the pack is hot.
    pub soak: Span,
    /// From loading to the pack being hot, with its band.
    pub pack_hot_after: Band<Span>,
    /// The steps.
    pub steps: Vec<Step>,
    /// The depth chain.
    pub depth: DepthChain,
    /// The pack.
    pub pack: PackLayout,
    /// How it heats, part by part; `None` where the boxes could not be run.
    pub pack_heat: Option<PackHeat>,
    /// Ways to pack that were weighed, the chosen one first.
    pub pack_ways: Vec<PackWay>,
    /// Each load on the clock; the steps are those of the first.
    pub loads: Vec<LoadTimes>,
    /// Test pieces.
    pub coupons: Vec<Coupon>,
    /// Scales.
    pub test_scales: Vec<ScaleAdvice>,
    /// The quench.
    pub quench: QuenchCheck,
    /// Furnace, box and part against time from loading, for the picture: (hours, °C).
    pub furnace_curve: Vec<(f64, f64)>,
    /// See `furnace_curve`.
    pub part_curve: Vec<(f64, f64)>,
    /// Cautions of the whole job.
    pub cautions: Vec<Caution>,
    /// Furnace hours, box in to box out.
    pub furnace_time: Span,
}

/// Another way that was looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// What, in a few words.
    pub what: String,
    /// Predicted depth to the note's limit after grinding, where there is one.
    pub case_depth_after_grind: Option<Length>,
    /// Predicted surface hardness.
    pub surface: Option<Vickers>,
    /// Furnace hours.
    pub furnace_time: Option<Span>,
    /// Chance of meeting the whole note, from a few runs; `None` where it was not looked for.
    pub chance: Option<f64>,
    /// What small changes do to it, where its chance was looked for.
    pub sensitivity: Vec<Change>,
    /// The way itself; `None` where it gave nothing.
    pub way: Option<crate::ways::Way>,
    /// Why it was not chosen.
    pub why_not: String,
}

/// What could be met instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearest {
    /// What, in one sentence.
    pub what: String,
    /// The same as words to send to the customer.
    pub to_customer: String,
}

/// The answer to a job.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanReport {
    /// Whether the note can be met.
    pub verdict: Verdict,
    /// Findings, heaviest first.
    pub findings: Vec<Diag>,
    /// The plan; where the note cannot be met, the plan of the nearest that can, or `None`.
    pub plan: Option<Plan>,
    /// What it will give; `None` with the plan.
    pub prediction: Option<Prediction>,
    /// Ways not taken.
    pub alternatives: Vec<Alternative>,
    /// What could be met instead.
    pub nearest: Option<Nearest>,
    /// Doubts by their share of the spread in depth: name and share, greatest first.
    pub doubts: Vec<(String, f64)>,
    /// Chances, causes of the spread and small changes.
    pub outlook: Outlook,
    /// What went on inside the part, by depth; `None` with the plan.
    pub inside: Option<crate::inside::Inside>,
    /// The hardness traverse that proves the case; `None` where there is no case to prove.
    pub traverse: Option<crate::traverse::Traverse>,
    /// Keys of the sources used.
    pub sources: Vec<SourceKey>,
}
