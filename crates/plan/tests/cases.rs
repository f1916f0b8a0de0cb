//! Jobs in `cases/`, each a job file that says in its head what must come out and how its shop
//! differs from Gannet Slip's. `cases/expected.txt` holds the main numbers of all of them, and
//! `cases/README.md` says which rule of the trade each one is for.
//!
//! With `UPDATE_GOLDEN` set the numbers are written anew; the heads are never touched by that.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use std::time::{Duration, Instant};

use casewright_plan::outcome::{Nearest, PlanReport, Verdict};
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
    /// Findings that must be among those said.
    says: Vec<&'a str>,
    /// Words that must stand in the nearest that can be met, or in the letter to the customer.
    nearest: Vec<&'a str>,
    /// All that stops the job, in the order of the alphabet.
    stops: Vec<&'a str>,
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
        // A change may take in or put in whole lines.
        let change = change.replace("\\n", "\n");
        let (from, to) = change.split_once(" -> ").expect("an arrow");
        assert!(shop.contains(from), "{name}: the shop has no {from}");
        shop = shop.replace(from, to);
    }
    Head {
        verdict: verdict.unwrap_or_else(|| panic!("{name}: no verdict in the head")),
        says: lines("says:").flat_map(str::split_whitespace).collect(),
        nearest: lines("nearest:").collect(),
        stops: lines("stops:").flat_map(str::split_whitespace).collect(),
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

const NARROW_TEXT: &str = include_str!("../../../cases/narrow-band.toml");
const WIDE_TEXT: &str = include_str!("../../../cases/wide-band.toml");
/// Planned once for all the tests that look at it.
static NARROW: LazyLock<PlanReport> =
    LazyLock::new(|| run(NARROW_TEXT, SHOP).expect("a job that can be read"));
/// See [`NARROW`].
static WIDE: LazyLock<PlanReport> =
    LazyLock::new(|| run(WIDE_TEXT, SHOP).expect("a job that can be read"));

/// One case with all that came of it.
struct Case {
    name: String,
    text: String,
    result: Result<PlanReport, Vec<Diag>>,
    took: Duration,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases")
}

/// `CASE=word` runs only the cases with that word in their name.
#[expect(
    clippy::disallowed_methods,
    reason = "whoever runs the tests says which cases to run"
)]
fn wanted() -> Option<String> {
    std::env::var("CASE").ok()
}

/// Runs every case of the folder, in the order of the alphabet.
#[expect(
    clippy::disallowed_methods,
    reason = "a test reads its cases and tells how long each took"
)]
fn all_cases() -> Vec<Case> {
    let dir = folder();
    let mut names: Vec<String> = std::fs::read_dir(&dir)
        .expect("the folder of cases")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter_map(|name| Some(name.strip_suffix(".toml")?.to_owned()))
        .filter(|name| wanted().is_none_or(|word| name.contains(&word)))
        .collect();
    names.sort_unstable();
    names
        .into_iter()
        .map(|name| {
            let text = std::fs::read_to_string(dir.join(format!("{name}.toml"))).expect("a case");
            let shop = head(&name, &text).shop;
            let begun = Instant::now();
            let result = match text.as_str() {
                NARROW_TEXT => Ok(NARROW.clone()),
                WIDE_TEXT => Ok(WIDE.clone()),
                _ => run(&text, &shop),
            };
            Case {
                name,
                text,
                result,
                took: begun.elapsed(),
            }
        })
        .collect()
}

impl Case {
    fn findings(&self) -> &[Diag] {
        match &self.result {
            Ok(report) => &report.findings,
            Err(diags) => diags,
        }
    }

    fn says(&self, code: &str) -> bool {
        self.findings().iter().any(|diag| diag.code == code)
    }

    /// What is not as the head says, and what a person would miss.
    fn wrong(&self) -> Vec<String> {
        let name = &self.name;
        let head = head(name, &self.text);
        let mut wrong = Vec::new();
        let verdict = self
            .result
            .as_ref()
            .map_or("not-read", |report| word(report.verdict));
        if verdict != head.verdict {
            wrong.push(format!("{name}: {verdict}, not {}", head.verdict));
        }
        for code in &head.says {
            if !self.says(code) {
                wrong.push(format!("{name}: {code} is not said"));
            }
        }
        let stops = codes(self.findings(), Severity::Stop);
        if stops != head.stops.join(" ") {
            wrong.push(format!("{name}: stopped by [{stops}]"));
        }
        for diag in self.findings() {
            if diag.severity == Severity::Stop && diag.accepted.is_empty() {
                wrong.push(format!("{name}: {} leaves no way on", diag.code));
            }
        }
        // Whoever is refused learns what would work, and what to write to the customer.
        if let Ok(report) = &self.result
            && report.verdict == Verdict::CannotBeMet
            && report
                .nearest
                .as_ref()
                .is_none_or(|nearest| nearest.what.is_empty() || nearest.to_customer.is_empty())
        {
            wrong.push(format!("{name}: nothing nearest is said"));
        }
        for words in head.nearest {
            let nearest = self.result.as_ref().ok().and_then(|r| r.nearest.as_ref());
            let said = |n: &Nearest| n.what.contains(words) || n.to_customer.contains(words);
            if !nearest.is_some_and(said) {
                wrong.push(format!("{name}: “{words}” is not in {nearest:?}"));
            }
        }
        wrong
    }
}

#[test]
#[expect(
    clippy::disallowed_methods,
    reason = "a test reads its table, and writes the golden file when asked to"
)]
fn reg_cases_come_out_as_they_say() {
    let cases = all_cases();
    let all: String = cases
        .iter()
        .map(|case| short(&case.name, &case.result))
        .collect();
    for case in &cases {
        println!("{:6.2} s {}", case.took.as_secs_f64(), case.name);
        let nearest = case.result.as_ref().ok().and_then(|r| r.nearest.as_ref());
        if let Some(nearest) = nearest {
            println!(
                "         {}\n         {}",
                nearest.what, nearest.to_customer
            );
        }
    }
    let mut wrong: Vec<String> = cases.iter().flat_map(Case::wrong).collect();
    if wanted().is_some() {
        assert!(wrong.is_empty(), "{wrong:#?}\n{all}");
        return;
    }
    let golden = folder().join("expected.txt");
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&golden, &all).expect("golden file can be written");
    }
    let readme = std::fs::read_to_string(folder().join("README.md")).expect("the table of rules");
    wrong.extend(against_the_table(&cases, &readme));
    assert!(wrong.is_empty(), "{wrong:#?}\n{all}");
    let expected = std::fs::read_to_string(&golden).expect("golden file is there");
    for (a, b) in expected.lines().zip(all.lines()) {
        assert_eq!(a, b);
    }
    assert_eq!(expected.lines().count(), all.lines().count());
}

/// The rows of the README's tables are `| rule | code | case |`: each code must come of its case,
/// and each case must stand in a row.
fn against_the_table(cases: &[Case], readme: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut named = BTreeSet::new();
    let ticked = |cell: &str| -> Vec<String> {
        cell.split('`')
            .skip(1)
            .step_by(2)
            .map(str::to_owned)
            .collect()
    };
    let mut rows = 0;
    for row in readme.lines().filter(|line| line.starts_with('|')) {
        let cells: Vec<&str> = row.split('|').collect();
        let &[_, _, codes, names, _] = cells.as_slice() else {
            wrong.push(format!("three columns: {row}"));
            continue;
        };
        let (codes, names) = (ticked(codes), ticked(names));
        for name in &names {
            let Some(case) = cases.iter().find(|case| case.name == *name) else {
                wrong.push(format!("there is no case {name}"));
                continue;
            };
            named.insert(name.clone());
            rows += 1;
            for code in &codes {
                if !case.says(code) {
                    wrong.push(format!("{name} does not say {code}"));
                }
            }
        }
    }
    for case in cases.iter().filter(|case| !named.contains(&case.name)) {
        wrong.push(format!("{} stands in no row of the README", case.name));
    }
    if rows < cases.len() {
        wrong.push(format!("only {rows} rows were read"));
    }
    wrong
}

/// Two jobs that differ in the note's depth band and in nothing else: the narrow one is doubtful, the
/// wide one can be met, and the plan of the narrow one names a band that would hold.
#[test]
fn a_wider_band_and_nothing_else_makes_a_marginal_job_one_that_can_be_met() {
    let body = |text: &str| -> Vec<String> {
        text.lines()
            .filter(|line| !line.starts_with('#') && !line.starts_with("name"))
            .map(|line| line.replace("+0,2/0", "BAND").replace("+0,8/0", "BAND"))
            .collect()
    };
    assert_eq!(body(NARROW_TEXT), body(WIDE_TEXT));
    assert!(NARROW_TEXT.contains("+0,2/0") && WIDE_TEXT.contains("+0,8/0"));
    for (name, text) in [("narrow", NARROW_TEXT), ("wide", WIDE_TEXT)] {
        assert_eq!(head(name, text).shop, SHOP, "{name}");
    }
    assert_eq!(NARROW.verdict, Verdict::Marginal);
    assert_eq!(WIDE.verdict, Verdict::CanBeMet);
    let warns = |report: &PlanReport| report.findings.iter().any(|d| d.code == "band-narrow");
    assert!(warns(&NARROW) && !warns(&WIDE));
    let nearest = NARROW.nearest.as_ref().expect("the band that would hold");
    assert!(
        nearest.to_customer.contains("May the case be"),
        "{nearest:?}"
    );
    assert_eq!(WIDE.nearest, None);
}

/// The clauses' chances and the verdict are of one mind.
#[test]
fn a_note_that_can_be_met_has_nine_chances_in_ten_for_each_clause() {
    let report = &*WIDE;
    assert_eq!(report.verdict, Verdict::CanBeMet);
    for chance in &report.outlook.chances {
        // 5 % beyond either end; the band's ends lie between two members of 512.
        assert!(chance.probability >= 0.9 - 2.0 / 512.0, "{chance:?}");
    }
    let all = report.outlook.chance_all.expect("a chance");
    let least = report.outlook.chances.iter().map(|c| c.probability);
    assert!(least.fold(1.0, f64::min) >= all);
}
