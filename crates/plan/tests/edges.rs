//! Edges, webs and walls through the planner, which is a black box here.

use casewright_job::spec::Spec;
use casewright_physics::equilibrium::SaturationTable;
use casewright_plan::outcome::{Edge, EdgeKind, PlanReport, StepKind, Verdict};
use casewright_plan::{Options, SteelTable, propose};
use casewright_terms::{Diag, Severity};

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");
const PAWL: &str = include_str!("../../../examples/winch-pawl/job.toml");
const LATCH: &str = include_str!("../../../examples/latch-plate/job.toml");

/// Enough for a verdict; nothing here hangs on the width of a band.
const FEW: Options = Options {
    seed: 1,
    members: 64,
    runs: 64,
};

fn spec(text: &str) -> Spec {
    let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
    let (draft, _) = casewright_job::parse("job.toml", text);
    casewright_job::resolve(draft, shop, &SteelTable).unwrap_or_else(|diags| panic!("{diags:?}"))
}

/// The pawls with something more cut into them.
fn pawl_with(feature: &str) -> PlanReport {
    let text = PAWL.replacen("[[feature]]", &format!("{feature}\n[[feature]]"), 1);
    propose(&spec(&text), FEW)
}

fn edges(report: &PlanReport) -> &[Edge] {
    &report.prediction.as_ref().expect("planned").edges
}

fn named<'a>(report: &'a PlanReport, name: &str) -> &'a Edge {
    let found = edges(report).iter().find(|e| e.feature == name);
    found.unwrap_or_else(|| panic!("{name} is not among {:?}", edges(report)))
}

fn said<'a>(report: &'a PlanReport, code: &str) -> Option<&'a Diag> {
    report.findings.iter().find(|diag| diag.code == code)
}

/// Far from the edge two dimensions say what one says.
#[test]
fn the_face_agrees_with_the_profile() {
    let report = propose(&spec(PAWL), FEW);
    let prediction = report.prediction.as_ref().expect("planned");
    let edge = &prediction.edges[0];
    let (plane, line) = (
        edge.depth_mid_face.expect("a case").to_mm(),
        prediction.case_depth.expect("a case").mid.to_mm(),
    );
    // Errors asked of the carbon: 0.004 and 0.001 wt%; at the limit it falls by 0.5 wt%/mm or more.
    assert!((plane - line).abs() < 0.01, "{plane} against {line}");
    let least = edge.least_carbon_wt_pct.expect("across the plate");
    // The core of this bar, with the error of the run.
    assert!((least - 0.16).abs() < 0.004, "{least}");
}

/// What is missing to saturation at a sharp edge is near the product of what is missing on its two
/// faces: u = 1 - (1 - u)² for one diffusivity and one temperature.
#[test]
fn a_sharp_edge_takes_nearly_what_two_faces_give() {
    let report = propose(&spec(PAWL), FEW);
    let edge = named(&report, "edges, nose");
    let (core, there, face) = (0.16, edge.surface_carbon_wt_pct, edge.face_carbon_wt_pct);
    // The face is still rising after these hours: four fifths of the pack's, a twentieth either way
    // for the hours that the plan has.
    let hot = report.plan.as_ref().expect("planned").steps.iter();
    let hot = hot
        .filter(|step| step.kind == StepKind::Carburize)
        .find_map(|step| step.temperature)
        .expect("a heat");
    let full = SaturationTable::plain().pack(hot).value.to_wt_pct();
    assert!(
        (0.75 * full..0.85 * full).contains(&face),
        "{face} of {full}"
    );
    let missing = (full - face) / (full - core);
    let product = full - (full - core) * missing * missing;
    // Of one diffusivity; here it rises with carbon, and the box cools with the work in it.
    assert!((there - product).abs() < 0.03, "{there} against {product}");
    let (corner, flat) = (
        edge.depth_corner.expect("a case").to_mm(),
        edge.depth_mid_face.expect("a case").to_mm(),
    );
    // Rounded off between √2 (no more than a face) and the line where both faces add up.
    assert!((1.41 * flat..2.2 * flat).contains(&corner), "{corner}");
    let warned = said(&report, "edge-over-carburized").expect("over 1.1 wt%");
    assert_eq!(warned.severity, Severity::Warn);
    let words = format!("{there:.2} wt%");
    assert!(warned.seen.contains(&words), "{}", warned.seen);
    assert!(said(&report, "sharp-corner").is_none(), "said twice");
}

#[test]
fn a_broken_edge_takes_less_and_the_advice_holds() {
    let sharp = propose(&spec(PAWL), FEW);
    let before = named(&sharp, "edges, nose").surface_carbon_wt_pct;
    let (radius, promised) = named(&sharp, "edges, nose")
        .broken
        .expect("a radius was tried");
    let text = PAWL.replacen(
        "width = \"40 mm\"",
        &format!("width = \"40 mm\"\nedges = \"{} mm\"", radius.to_mm()),
        1,
    );
    let report = propose(&spec(&text), FEW);
    let edge = named(&report, "edges");
    // Toward the face's own, which a hot plan may bring near the limit by itself.
    assert!(edge.surface_carbon_wt_pct < before - 0.05, "{edge:?}");
    // The plan is the same; only the section differs, and it is the one that was tried.
    assert!((edge.surface_carbon_wt_pct - promised).abs() < 1e-9);
    // The nose is sharp still, and spoken of by itself.
    let warned = report.findings.iter().any(|diag| {
        diag.code == "edge-over-carburized" && diag.seen.to_lowercase().contains("nose (sharp)")
    });
    assert!(warned, "{:?}", report.findings);
}

#[test]
fn a_web_of_4_mm_is_warned_of_with_its_own_numbers() {
    let report = pawl_with(
        "[[feature]]\nkind = \"thin web\"\nname = \"rib\"\nweb = \"4 mm\"\ndepth = \"8 mm\"\nstays_soft = false",
    );
    let rib = named(&report, "rib");
    assert_eq!(rib.kind, EdgeKind::Web);
    let least = rib.least_carbon_wt_pct.expect("across the web");
    // 2 mm from either side: beyond the total depth of 1.8 mm, so little more than the core.
    assert!((0.16..0.25).contains(&least), "{least}");
    let warned = said(&report, "web-cases-meet").expect("total over a quarter");
    assert_eq!(warned.severity, Severity::Warn);
    assert!(
        warned.seen.contains(&format!("{least:.2} wt%")),
        "{}",
        warned.seen
    );
    assert_ne!(
        report.verdict,
        Verdict::CannotBeMet,
        "{:?}",
        report.findings
    );
    assert!(said(&report, "check-section").is_none(), "said twice");
}

/// The latch plates' note on a web as thick as they are: case from side to side.
#[test]
fn a_web_as_thin_as_the_latch_plates_is_a_stop() {
    let report = propose(&spec(LATCH), FEW);
    let stop = said(&report, "cases-meet").expect("3 mm bear no 1.0 mm");
    assert_eq!(stop.severity, Severity::Stop);
    let thick = LATCH
        .replacen("thickness = \"3 mm\"", "thickness = \"14 mm\"", 1)
        .replacen("width = \"25 mm\"", "width = \"40 mm\"", 1)
        .replacen(
            "[[feature]]",
            "[[feature]]\nkind = \"thin web\"\nname = \"tongue\"\nweb = \"2 mm\"\ndepth = \"6 mm\"\nstays_soft = false\n[[feature]]",
            1,
        );
    let report = propose(&spec(&thick), FEW);
    let stop = said(&report, "web-through-carburized").expect("two cases of 1.1 mm in 2 mm");
    assert_eq!(stop.severity, Severity::Stop);
    assert_eq!(report.verdict, Verdict::CannotBeMet);
    assert!(report.nearest.is_some(), "a shallower case is offered");
}

#[test]
fn a_bore_near_the_edge_and_a_keyway_are_looked_at() {
    let report = pawl_with(
        "[[feature]]\nkind = \"bore\"\nname = \"pin hole\"\ndiameter = \"6 mm\"\nweb = \"3 mm\"\nstays_soft = false\n[[feature]]\nkind = \"keyway\"\nname = \"slot\"\nwidth = \"5 mm\"\ndepth = \"3 mm\"\nradius = \"0.5 mm\"\nstays_soft = false",
    );
    let (wall, slot) = (named(&report, "pin hole"), named(&report, "slot"));
    assert_eq!((wall.kind, slot.kind), (EdgeKind::Wall, EdgeKind::Keyway));
    let least = wall.least_carbon_wt_pct.expect("across the wall");
    let plain = named(&report, "edges, nose")
        .least_carbon_wt_pct
        .expect("plate");
    // 1.5 mm from either side lies inside the total depth.
    assert!(least > plain + 0.04, "{least}");
    // The mouth of a slot is a sharp edge like any other: 0.01 wt% for two errors of 0.004.
    let edge = named(&report, "edges, nose").surface_carbon_wt_pct;
    assert!((slot.surface_carbon_wt_pct - edge).abs() < 0.01, "{slot:?}");
}

#[test]
fn what_stays_soft_and_a_ball_have_no_edge() {
    let report = pawl_with(
        "[[feature]]\nkind = \"thin web\"\nname = \"soft rib\"\nweb = \"2 mm\"\nstays_soft = true",
    );
    assert!(edges(&report).iter().all(|e| e.feature != "soft rib"));
    let ball = "name = \"balls\"\nquantity = 4\nnote = \"CHD 550 HV1 = 0,8 +0,4/0, 58-62 HRC\"\nshop = \"shop.toml\"\n[part]\nwhat = \"ball\"\nshape = \"sphere\"\ndiameter = \"20 mm\"\n[steel]\ngrade = \"C15E\"\n";
    assert!(edges(&propose(&spec(ball), FEW)).is_empty());
}
