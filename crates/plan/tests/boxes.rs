//! The packed boxes in a plan: its clock, its band, and the depth of every part.

use casewright_job::spec::Spec;
use casewright_plan::{Options, Plan, SteelTable, propose};
use casewright_terms::Length;

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");

fn spec(quantity: u32, shop: &str) -> Spec {
    let text = format!(
        "name = \"boxes\"\nquantity = {quantity}\nnote = \"CHD 550 HV1 = 0,8 +0,4/0, 58-62 HRC\"\nstart = \"2026-12-01 07:30\"\nshop = \"shop.toml\"\n[part]\nwhat = \"pin\"\nshape = \"bar\"\ndiameter = \"16 mm\"\nlength = \"70 mm\"\n[steel]\ngrade = \"8620\"\n"
    );
    let (shop, _) = casewright_job::parse_shop("shop.toml", shop);
    let (draft, _) = casewright_job::parse("job.toml", &text);
    casewright_job::resolve(draft, shop, &SteelTable).unwrap_or_else(|diags| panic!("{diags:?}"))
}

fn plan(quantity: u32, shop: &str) -> Plan {
    let report = propose(&spec(quantity, shop), Options::USUAL);
    report
        .plan
        .unwrap_or_else(|| panic!("no plan: {:?}", report.findings))
}

/// The forecast is that of the parts' mean temperature, so it lies between the least and the
/// greatest part; and what is said of the hour is one and the same everywhere.
#[test]
fn the_forecast_lies_among_the_parts() {
    let spec = spec(8, SHOP);
    let report = propose(&spec, Options::USUAL);
    let plan = report.plan.expect("a plan");
    let heat = plan.pack_heat.as_ref().expect("the boxes were run");
    let (least, greatest) = heat.depths().expect("every part has a case");
    let made = report.prediction.expect("a forecast").case_depth;
    let made = made.expect("a case").mid;
    assert!(
        least <= made && made <= greatest,
        "{} not in {} to {}",
        made.to_mm(),
        least.to_mm(),
        greatest.to_mm()
    );
    assert!(greatest - least > Length::from_um(1.0), "no spread at all");
    assert_eq!(heat.parts.len(), 8);
    assert_eq!(heat.hot, plan.pack_hot_after);
    // Hot is when the last piece is; a coupon may be the last.
    let pieces = heat.parts.iter().chain(&heat.coupons);
    let last = pieces
        .filter_map(|part| part.hot_after)
        .fold(heat.hot.low, |a, b| a.max(b));
    let late = (last / heat.hot.mid - 1.0).abs();
    // A record is read between two steps of at most a quarter of an hour.
    assert!(late < 0.03, "{} and {}", last.to_h(), heat.hot.mid.to_h());
    // The couple reads a hot pack.
    let reads = heat.couple_reads.expect("a couple in the pack");
    let under = plan.temperature - reads;
    assert!(
        under.to_k() < 40.0,
        "the couple reads {:.0} °C",
        reads.to_c()
    );
}

/// The shop with neither box logged.
fn unlogged() -> String {
    let mut text = SHOP.to_owned();
    for line in ["bed_factor = \"100 %\"\n", "bed_doubt = \"15 %\"\n"] {
        assert!(text.contains(line), "{line}");
        text = text.replace(line, "");
    }
    text
}

/// A couple's log narrows the band and moves its middle; nothing else does.
#[test]
fn a_learnt_bed_narrows_the_band() {
    let unlogged = unlogged();
    let learnt = unlogged.replace(
        "gas_tight = false",
        "gas_tight = false\nbed_factor = \"80 %\"\nbed_doubt = \"9 %\"",
    );
    let heat = |shop: &str| plan(8, shop).pack_heat.expect("the boxes were run");
    let (before, after) = (heat(&unlogged), heat(&learnt));
    assert!(!before.learnt && after.learnt);
    let width = |hot: casewright_terms::Band<casewright_terms::Span>| hot.high / hot.low;
    assert!(width(before.hot) > 2.0, "{}", width(before.hot));
    assert!(width(after.hot) < 1.4, "{}", width(after.hot));
    assert_ne!(before.band_from(), after.band_from());
    let doubt = |names: &[(&str, casewright_terms::Span)]| names.len();
    assert!(doubt(&after.doubts) < doubt(&before.doubts));
}

/// A factor without its doubt is no knowledge.
#[test]
fn half_a_learnt_bed_is_refused() {
    let half = unlogged().replacen(
        "gas_tight = false",
        "gas_tight = false\nbed_factor = \"80 %\"",
        1,
    );
    let (_, diags) = casewright_job::parse_shop("shop.toml", &half);
    assert!(
        diags.iter().any(|diag| diag.code == "bed-half"),
        "{diags:?}"
    );
}
