//! What physics remarks reaches the person: a plan outside a fit's range says so in its findings.

use casewright_plan::outcome::PlanReport;
use casewright_plan::{Options, SteelTable, propose};

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");

fn plan(steel: &str) -> PlanReport {
    let text = format!(
        "name = \"pin\"\nquantity = 4\nnote = \"CHD 550 HV1 = 0,8 +0,4/0, 58-62 HRC\"\nstart = \"2026-12-01 07:30\"\nshop = \"shop.toml\"\n[part]\nwhat = \"pin\"\nshape = \"bar\"\ndiameter = \"25 mm\"\nlength = \"80 mm\"\n[steel]\n{steel}\n"
    );
    let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
    let (draft, _) = casewright_job::parse("job.toml", &text);
    let spec = casewright_job::resolve(draft, shop, &SteelTable)
        .unwrap_or_else(|diags| panic!("{diags:?}"));
    propose(&spec, Options::USUAL)
}

fn said(report: &PlanReport, code: &str) -> Vec<String> {
    report
        .findings
        .iter()
        .filter(|diag| diag.code == code)
        .map(|diag| diag.text())
        .collect()
}

#[test]
fn carbon_beyond_the_kinetics_is_a_finding() {
    let report = plan("grade = \"8620\"");
    let texts = said(&report, "kinetics-above-fit");
    assert_eq!(texts.len(), 1, "{:?}", report.findings);
    assert!(texts[0].contains("0.8"), "{}", texts[0]);
    // With its words: which way the skin is pulled, and why.
    let stress = said(&report, "surface-compression");
    assert!(
        stress.len() == 1 && stress[0].contains("after"),
        "{stress:?}"
    );
}

#[test]
fn alloy_beyond_the_kinetics_is_a_finding() {
    let report = plan("[steel.composition]\nC = 0.18\nMn = 2.3\nSi = 0.25\nCr = 0.5");
    let texts = said(&report, "kinetics-above-fit");
    assert!(
        texts.iter().any(|text| text.contains("Mn")),
        "{:?}",
        report.findings
    );
}

#[test]
fn slow_cooling_puts_carbide_on_the_boundaries_and_the_plan_says_what_is_left() {
    let report = plan("grade = \"8620\"");
    let texts = said(&report, "grain-boundary-carbide");
    assert_eq!(texts.len(), 1, "{:?}", report.findings);
    for words in ["Acm", "grain boundaries", "reheat"] {
        assert!(texts[0].contains(words), "{words}: {}", texts[0]);
    }
}
