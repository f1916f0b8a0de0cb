//! The terminal summary: plain text, at most 100 columns, no colour codes. The verdict comes
//! first. Control characters of foreign text are shown as blanks, so that a job file cannot
//! drive the terminal.

use crate::model::{Finding, Mark, OutlookView, PredictionRow, ScaleRow, Sheet, StepRow};
use crate::show::BandShown;
use crate::{show, words};

/// Greatest width of a line, in characters.
pub const WIDTH: usize = 100;

/// How the sources are given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sources {
    /// How many there are, and how they can be seen.
    Counted,
    /// Each with its full reference.
    Listed,
}

/// Ways not taken that are told: those nearest to the plan.
const WAYS_TOLD: usize = 3;

/// The whole summary: the verdict, what speaks against it, what is expected and the steps come first.
#[must_use]
pub fn render(sheet: &Sheet, sources: Sources) -> String {
    let mut out = Page::default();
    let head = &sheet.head;
    out.line(&format!(
        "{} {}",
        sheet.verdict.mark.shape(),
        sheet.verdict.word
    ));
    out.text(0, sheet.verdict.sentence);
    out.gap();
    out.pair("Job", &joined(&[&head.job, &head.number]));
    let mut print = format!("{} ({})", head.code, head.code_words);
    if !head.printed.is_empty() {
        print.push_str(&format!(", printed {}", head.printed));
    }
    print.push_str(&format!(", casewright {}", head.version));
    out.pair("Plan code", &print);
    out.raw(&substance(sheet, sources));
    // Prices change and the plan does not: what it takes stands outside what the code is made from.
    if !sheet.cost.is_empty() {
        out.title("What it takes");
        for (what, words) in &sheet.cost {
            out.hang(2, &format!("{what}: "), words);
        }
    }
    out.finish()
}

/// What the sheet says, without when and by which version it was printed; the check code is made
/// from this text.
pub(crate) fn substance(sheet: &Sheet, sources: Sources) -> String {
    let mut out = Page::default();
    about(&mut out, sheet);
    let (heavy, light): (Vec<&Finding>, Vec<&Finding>) =
        sheet.findings.iter().partition(|f| f.mark != Mark::Go);
    findings(&mut out, "Findings", &heavy);
    if let Some(nearest) = &sheet.nearest {
        out.title("Nearest that can be met");
        out.text(2, &nearest.what);
        out.gap();
        out.text(2, "To the customer:");
        out.text(4, &nearest.to_customer);
    }
    if let Some(question) = &sheet.question {
        out.title("To ask the customer");
        out.text(4, question);
    }
    predictions(&mut out, &sheet.predictions);
    for line in &sheet.skin {
        out.text(2, line);
    }
    for line in &sheet.edges {
        out.hang(2, "in two dimensions, ", line);
    }
    outlook(&mut out, &sheet.outlook);
    steps(&mut out, sheet);
    note(&mut out, sheet);
    depths(&mut out, sheet);
    pack(&mut out, sheet);
    tests(&mut out, sheet);
    cautions(&mut out, sheet);
    findings(&mut out, "Also noted", &light);
    rest(&mut out, sheet, sources);
    out.gap();
    out.text(0, words::LOCAL_RULES);
    out.finish()
}

fn about(out: &mut Page, sheet: &Sheet) {
    let head = &sheet.head;
    out.pair("Part", &format!("{} of {}", head.quantity, head.part));
    for feature in &head.features {
        out.pair("", feature);
    }
    out.pair("Steel", &head.material);
    if !head.heat.is_empty() {
        out.pair("Heat", &head.heat);
    }
    for stock in &head.stock {
        out.pair("Stock", stock);
    }
    out.pair("Shop", &head.shop);
    if !head.route.is_empty() {
        out.pair("Route", &head.route);
    }
}

fn findings(out: &mut Page, title: &str, findings: &[&Finding]) {
    if findings.is_empty() {
        return;
    }
    out.title(title);
    for f in findings {
        out.hang(
            2,
            &format!("{} {} ", f.mark.shape(), f.word),
            &format!("{} [{}]", f.text, f.code),
        );
        if !f.accepted.is_empty() {
            out.text(9, &f.accepted);
        }
    }
}

fn note(out: &mut Page, sheet: &Sheet) {
    out.title("The note and how it was read");
    out.text(2, &sheet.note);
    for row in &sheet.note_rows {
        out.hang(2, &format!("\"{}\"  ", row.phrase), &row.understood);
        if !row.assumed.is_empty() {
            out.text(6, &format!("assumed: {}", row.assumed));
        }
    }
    for line in &sheet.assumptions {
        out.hang(2, "- ", line);
    }
}

fn steps(out: &mut Page, sheet: &Sheet) {
    if sheet.steps.is_empty() {
        return;
    }
    out.title(if sheet.verdict.workable {
        "Plan"
    } else {
        "Plan of the nearest that can be met (not of the note)"
    });
    for step in &sheet.steps {
        one_step(out, step);
    }
}

/// From the depth asked for to the depth aimed at.
fn depths(out: &mut Page, sheet: &Sheet) {
    if sheet.steps.is_empty() || sheet.chain.is_empty() {
        return;
    }
    out.title("From the note's depth to the depth aimed at");
    for row in &sheet.chain {
        out.hang(2, &format!("{:<36}", row.what), &row.value.line());
    }
}

fn pack(out: &mut Page, sheet: &Sheet) {
    if sheet.steps.is_empty() {
        return;
    }
    if let Some(pack) = &sheet.pack {
        out.title("Pack");
        out.text(2, &pack.title);
        for fact in &pack.facts {
            out.hang(2, &format!("{:<36}", fact.what), &fact.value.line());
        }
        if pack.ways.len() > 1 {
            out.text(2, "Ways to pack that were weighed, the plan's first:");
            for way in &pack.ways {
                out.hang(4, "- ", way);
            }
        }
        for c in &sheet.coupons {
            out.hang(
                2,
                &format!("{} {} ", c.kind, c.mark),
                &format!("{}; {}; {}", c.size, c.place, c.proves),
            );
        }
    }
    if !sheet.quench.is_empty() {
        out.title("Quench");
        for fact in &sheet.quench {
            out.hang(2, &format!("{:<36}", fact.what), &fact.value.line());
        }
    }
}

fn one_step(out: &mut Page, s: &StepRow) {
    let mut set: Vec<String> = Vec::new();
    if let Some(t) = &s.temperature {
        set.push(t.line());
    }
    if let Some(t) = &s.tolerance {
        set.push(t.line());
    }
    if !s.soak.is_empty() {
        set.push(s.soak.clone());
    }
    if !s.equipment.is_empty() {
        set.push(s.equipment.clone());
    }
    let hold = if s.hold_point { "  HOLD POINT" } else { "" };
    out.hang(
        2,
        &format!("{}. {:<10}", s.number, s.kind),
        &format!("{}{hold}", s.window.line()),
    );
    if !set.is_empty() {
        out.text(5, &set.join(", "));
    }
    out.text(5, &s.text);
    for a in &s.acceptance {
        out.hang(5, "see: ", a);
    }
    for a in &s.stop_if {
        out.hang(5, "stop if: ", a);
    }
}

fn predictions(out: &mut Page, rows: &[PredictionRow]) {
    if rows.is_empty() {
        return;
    }
    out.title("Expected (band: nine times out of ten)");
    for row in rows {
        let asked = if row.asked.is_empty() {
            String::new()
        } else {
            format!("; asked {}", row.asked)
        };
        out.hang(
            2,
            &format!("{:<50}", row.what),
            &format!("{}{asked}", band(&row.value)),
        );
    }
}

fn outlook(out: &mut Page, outlook: &OutlookView) {
    if !outlook.chances.is_empty() {
        out.hang(
            2,
            "chance that the note is met: ",
            &outlook.chances.join("; "),
        );
    }
    if !outlook.basis.is_empty() {
        out.hang(2, "bands and chances from ", &outlook.basis);
    }
    if !outlook.changes.is_empty() {
        out.title("What a small change does");
        for line in &outlook.changes {
            out.hang(2, "- ", line);
        }
    }
}

fn band(value: &BandShown) -> String {
    if value.mid.other.is_empty() {
        format!("{}, {}", value.mid.main, value.range.main)
    } else {
        format!(
            "{}, {} ({}, {})",
            value.mid.main, value.range.main, value.mid.other, value.range.other
        )
    }
}

fn tests(out: &mut Page, sheet: &Sheet) {
    if sheet.scales.is_empty() {
        return;
    }
    out.title("Which hardness scale can read this case");
    // What can be used in this shop first, what cannot be used last.
    let rank = |s: &ScaleRow| (!s.valid, !s.at_hand);
    let mut scales: Vec<&ScaleRow> = sheet.scales.iter().collect();
    scales.sort_by_key(|s| rank(s));
    for s in scales {
        out.hang(
            2,
            &format!("{:<6}", s.scale),
            &format!("{}: {}", s.word, one_scale(s)),
        );
    }
    if let Some(t) = &sheet.traverse {
        out.title("Hardness traverse of the coupon");
        for sentence in &t.sentences {
            out.text(2, sentence);
        }
        let depths: Vec<&str> = t.rows.iter().map(|row| row.depth.as_str()).collect();
        out.hang(
            2,
            "depths: ",
            &format!("{} {}", depths.join(", "), sheet.units.length_unit()),
        );
    }
}

fn one_scale(s: &ScaleRow) -> String {
    let mut parts: Vec<String> = Vec::new();
    // A reading that must not be taken is not foretold, nor the case from which it could be.
    if s.valid {
        if let Some(r) = &s.reading {
            parts.push(format!("surface {}", band(r)));
        }
        if let Some(r) = &s.core {
            parts.push(format!("core {}", band(r)));
        }
        if let Some(l) = &s.least_case {
            parts.push(format!("least case {}", l.line()));
        }
        if !s.round.is_empty() {
            parts.push(s.round.clone());
        }
    }
    parts.push(s.why.clone());
    parts.retain(|part| !part.is_empty());
    parts.join("; ")
}

fn cautions(out: &mut Page, sheet: &Sheet) {
    if sheet.cautions.is_empty() {
        return;
    }
    out.title("Safety of this job");
    for c in &sheet.cautions {
        out.hang(2, &format!("{}: ", c.hazard), &c.text);
    }
}

/// The plan and the ways beside it in columns, each with why not.
fn ways(out: &mut Page, sheet: &Sheet) {
    if sheet.ways.is_empty() {
        return;
    }
    out.title("The plan beside other ways");
    let row = |cells: [&str; 9]| {
        let [
            name,
            route,
            heat,
            soak,
            reheats,
            quench,
            hours,
            furnace,
            last,
        ] = cells;
        format!(
            "  {name:<5}{route:<13}{heat:<9}{soak:<12}{reheats:<13}{quench:<12}{hours:>7}{furnace:>9}{last:>18}"
        )
    };
    out.line(&row([
        "",
        "route",
        "box",
        "soak",
        "reheat",
        "quench",
        "in all",
        "furnace",
        "chance, depth",
    ]));
    for way in &sheet.ways {
        let last = joined(&[&way.chance, &way.depth.main]);
        out.line(&harmless(&row([
            &way.name,
            way.route,
            &way.heat.main,
            &way.soak,
            &way.reheats,
            &show::clipped(&way.quench, 11),
            &way.hours,
            &way.furnace,
            &last,
        ])));
        if !way.why_not.is_empty() {
            out.hang(7, "not taken: ", &way.why_not);
        }
    }
}

fn rest(out: &mut Page, sheet: &Sheet, sources: Sources) {
    ways(out, sheet);
    let shown = sheet.ways.len().saturating_sub(1);
    let others = sheet.alternatives.get(shown..).unwrap_or_default();
    if !others.is_empty() {
        out.title(if shown == 0 {
            "Ways not taken"
        } else {
            "Further ways not taken"
        });
        // A reason is said once.
        let mut said: Vec<&str> = Vec::new();
        for a in others.iter().take(WAYS_TOLD) {
            let facts = joined(&[&a.depth.line(), &a.surface, &a.hours, &a.chance]);
            let facts = if facts.is_empty() {
                facts
            } else {
                format!(" [{facts}]")
            };
            let new: Vec<&str> = a
                .why_not
                .split("; ")
                .filter(|reason| !said.contains(reason))
                .collect();
            let why = if new.is_empty() {
                "the same".to_owned()
            } else {
                new.join("; ")
            };
            said.extend(new);
            out.hang(2, "- ", &format!("{}{facts}: {why}", a.what));
        }
        let more = others.len().saturating_sub(WAYS_TOLD);
        if more > 0 {
            out.text(
                2,
                &format!("and {more} more, under `alternatives` of --json"),
            );
        }
    }
    if !sheet.outlook.causes.is_empty() {
        out.title("What the spread in depth comes from, and what would narrow it");
        for line in &sheet.outlook.causes {
            out.hang(2, "- ", line);
        }
    } else if !sheet.doubts.is_empty() {
        out.title("What the spread in depth comes from");
        for d in &sheet.doubts {
            out.hang(2, &format!("{:>5}  ", d.share), &d.what);
        }
    }
    match sources {
        _ if sheet.sources.is_empty() => {}
        Sources::Counted => {
            out.gap();
            out.text(
                0,
                &format!(
                    "The numbers rest on {} sources: --sources names them, --json has their keys.",
                    sheet.sources.len()
                ),
            );
        }
        Sources::Listed => {
            out.title("Sources used");
            for s in &sheet.sources {
                let text = if s.reference.is_empty() {
                    &s.key
                } else {
                    &s.reference
                };
                out.hang(2, "- ", text);
            }
        }
    }
}

fn joined(parts: &[&str]) -> String {
    let full: Vec<&str> = parts.iter().copied().filter(|p| !p.is_empty()).collect();
    full.join(", ")
}

/// Lines being written.
#[derive(Default)]
pub(crate) struct Page {
    out: String,
}

impl Page {
    pub(crate) fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    pub(crate) fn gap(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    fn raw(&mut self, text: &str) {
        self.out.push_str(text);
    }

    pub(crate) fn title(&mut self, text: &str) {
        self.gap();
        self.line(text);
        self.line(&"-".repeat(text.chars().count()));
    }

    fn pair(&mut self, label: &str, text: &str) {
        self.hang(0, &format!("{label:<11}"), text);
    }

    fn text(&mut self, indent: usize, text: &str) {
        self.hang(indent, "", text);
    }

    /// Writes `label` and beside it the text, wrapped in its own column.
    pub(crate) fn hang(&mut self, indent: usize, label: &str, text: &str) {
        let label = harmless(label);
        let mut column = indent + label.chars().count();
        let mut lead = format!("{}{label}", " ".repeat(indent));
        if column > WIDTH / 2 + 10 {
            // The label is a text itself; it gets its own lines.
            for line in wrapped(&label, WIDTH - indent) {
                self.line(&format!("{}{line}", " ".repeat(indent)));
            }
            column = indent + 4;
            lead = " ".repeat(column);
        }
        for line in wrapped(&harmless(text), WIDTH - column) {
            self.line(&format!("{lead}{line}"));
            lead = " ".repeat(column);
        }
    }

    pub(crate) fn finish(self) -> String {
        self.out
    }
}

/// Text without control characters, bidirectional overrides and line breaks.
pub(crate) fn harmless(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}' => ' ',
            c if c.is_control() => ' ',
            c => c,
        })
        .collect()
}

/// Breaks a text into lines of at most `width` characters; a longer word is cut.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0;
    for word in text.split_whitespace() {
        let mut word: Vec<char> = word.chars().collect();
        while used + usize::from(used > 0) + word.len() > width {
            if used > 0 {
                lines.push(std::mem::take(&mut line));
                used = 0;
            } else {
                let tail = word.split_off(width.min(word.len()));
                lines.push(word.iter().collect());
                word = tail;
            }
        }
        if word.is_empty() {
            continue;
        }
        if used > 0 {
            line.push(' ');
            used += 1;
        }
        used += word.len();
        line.extend(word);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_words_are_cut_and_nothing_is_lost() {
        let text = format!("a {} b", "x".repeat(25));
        let lines = wrapped(&text, 10);
        assert!(lines.iter().all(|l| l.chars().count() <= 10), "{lines:?}");
        assert_eq!(lines.concat().matches('x').count(), 25);
    }

    #[test]
    fn a_job_file_cannot_drive_the_terminal() {
        assert_eq!(harmless("a\u{1b}[31mb\u{202E}c\n"), "a [31mb c ");
    }
}
