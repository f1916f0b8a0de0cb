//! Jobs in `cases/`, each a job file that says in its head what must come out and how its shop
//! differs from Gannet Slip's. `cases/expected.txt` holds the main numbers of all of them.
//!
//! With `UPDATE_GOLDEN` set the numbers are written anew; the heads are never touched by that.

use std::fmt::Write as _;
use std::path::Path;

use casewright_plan::outcome::{PlanReport, Verdict};
use casewright_plan::{Options, SteelTable, propose};
use casewright_terms::{Diag, Severity};

const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");

/// Fewer runs than a plan takes: the codes and the middle hang on none of them, and the chance is
/// rounded to a tenth.
const OPTIONS: Options = Options {
    seed: 1,
    members: 512,
    runs: 96,
};

/// What the head of a case says.
struct Head<'a> {
    verdict: &'a str,
    says: Vec<&'a str>,
    shop: String,
}

fn head<'a>(name: &str, text: &'a str) -> Head<'a> {
    let lines = |key: &'static str| {
        text.lines()
            .filter_map(move |line| line.strip_prefix("# ")?.strip_prefix(key))
            .map(str::trim)
    };
    let verdict = lines("verdict:").next();
    let mut shop = SHOP.to_owned();
    for change in lines("shop:") {
        let (from, to) = change.split_once(" -> ").expect("an arrow");
        assert!(shop.contains(from), "{name}: the shop has no {from}");
        shop = shop.replace(from, to);
    }
    Head {
        verdict: verdict.unwrap_or_else(|| panic!("{name}: no verdict in the head")),
        says: lines("says:").collect(),
        shop,
    }
}

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::CanBeMet => "can-be-met",
        Verdict::Marginal => "marginal",
        Verdict::CannotBeMet => "cannot-be-met",
    }
}

fn run(text: &str, shop: &str) -> Result<PlanReport, Vec<Diag>> {
    let (shop, mut problems) = casewright_job::parse_shop("shop.toml", shop);
    let (draft, more) = casewright_job::parse("job.toml", text);
    problems.extend(more);
    match casewright_job::resolve(draft, shop, &SteelTable) {
        Ok(spec) => Ok(propose(&spec, OPTIONS)),
        Err(diags) => {
            problems.extend(diags);
            Err(problems)
        }
    }
}

fn codes(findings: &[Diag], severity: Severity) -> String {
    let mut codes: Vec<&str> = findings
        .iter()
        .filter(|diag| diag.severity == severity)
        .map(|diag| diag.code)
        .collect();
    codes.sort_unstable();
    codes.dedup();
    codes.join(" ")
}

/// A case in a few lines: verdict, codes and main numbers.
fn short(name: &str, result: &Result<PlanReport, Vec<Diag>>) -> String {
    let mut out = format!("{name}\n");
    let mut line = |label: &str, text: String| {
        if !text.is_empty() {
            writeln!(out, "  {label} {text}").expect("a string takes text");
        }
    };
    let report = match result {
        Ok(report) => report,
        Err(diags) => {
            line("not read", codes(diags, Severity::Stop));
            return out;
        }
    };
    line("verdict", word(report.verdict).to_owned());
    line("stop", codes(&report.findings, Severity::Stop));
    line("warn", codes(&report.findings, Severity::Warn));
    if let Some(plan) = &report.plan {
        line(
            "plan",
            format!(
                "{:?}, {:.0} °C, {:.2} h, {}",
                plan.route,
                plan.temperature.to_c(),
                plan.soak.to_h(),
                plan.quench.tank
            ),
        );
    }
    if let Some(depth) = report.prediction.as_ref().and_then(|p| p.case_depth) {
        line("depth", format!("{:.2} mm", depth.mid.to_mm()));
    }
    if let Some(chance) = report.outlook.chance_all {
        line("chance", format!("{chance:.1}"));
    }
    out
}

#[test]
#[expect(
    clippy::disallowed_methods,
    reason = "a test reads its cases, and writes the golden file when asked to"
)]
fn reg_cases_come_out_as_they_say() {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases");
    let mut names: Vec<String> = std::fs::read_dir(&dir)
        .expect("the folder of cases")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter_map(|name| Some(name.strip_suffix(".toml")?.to_owned()))
        .collect();
    names.sort_unstable();
    assert!(names.len() >= 20, "only {} cases", names.len());
    let mut all = String::new();
    let mut wrong = Vec::new();
    for name in &names {
        let text = std::fs::read_to_string(dir.join(format!("{name}.toml"))).expect("a case");
        let head = head(name, &text);
        let result = run(&text, &head.shop);
        let (verdict, findings) = match &result {
            Ok(report) => (word(report.verdict), &report.findings),
            Err(diags) => ("not-read", diags),
        };
        if verdict != head.verdict {
            wrong.push(format!("{name}: {verdict}, not {}", head.verdict));
        }
        for code in head.says {
            if !findings.iter().any(|diag| diag.code == code) {
                wrong.push(format!("{name}: {code} is not said"));
            }
        }
        all.push_str(&short(name, &result));
    }
    let golden = dir.join("expected.txt");
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&golden, &all).expect("golden file can be written");
    }
    assert!(wrong.is_empty(), "{wrong:#?}\n{all}");
    let expected = std::fs::read_to_string(&golden).expect("golden file is there");
    for (a, b) in expected.lines().zip(all.lines()) {
        assert_eq!(a, b);
    }
    assert_eq!(expected.lines().count(), all.lines().count());
}

/// The clauses' chances and the verdict are of one mind.
#[test]
fn a_note_that_can_be_met_has_nine_chances_in_ten_for_each_clause() {
    let text = include_str!("../../../cases/wide-band.toml");
    let report = run(text, &head("wide-band", text).shop).expect("a job that can be read");
    assert_eq!(report.verdict, Verdict::CanBeMet);
    for chance in &report.outlook.chances {
        // 5 % beyond either end; the band's ends lie between two members of 512.
        assert!(chance.probability >= 0.9 - 2.0 / 512.0, "{chance:?}");
    }
    let all = report.outlook.chance_all.expect("a chance");
    let least = report.outlook.chances.iter().map(|c| c.probability);
    assert!(least.fold(1.0, f64::min) >= all);
}
