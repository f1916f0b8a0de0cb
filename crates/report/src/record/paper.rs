//! Facts → a paper of plain blocks, which text, JSON and PDF print alike. Everything people wrote is
//! made harmless here: it can be neither markup nor a line of its own.

use super::gaps::{Gap, gaps};
use super::{Facts, State, Test};
use crate::text::harmless;

/// A paper, ready to be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// What it is.
    pub title: String,
    /// Shape of the state, for those who see no colour.
    pub mark: &'static str,
    /// What it says, in a sentence or two.
    pub sentence: String,
    /// Shop, number and revision, for the head of every page.
    pub head: String,
    /// What stands at the foot of every page: the book's entry and its hash.
    pub foot: String,
    /// The rest.
    pub blocks: Vec<Block>,
    /// Whether the words of conformity are on it.
    pub granted: bool,
    /// What is missing for them.
    pub missing: Vec<Gap>,
}

/// A piece of a paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading.
    Title(String),
    /// Words with a label each; `false` marks one that is missing.
    Pairs(Vec<(String, String, bool)>),
    /// The customer's words, in a frame.
    Quote(String),
    /// Rows under a head; widths are shares of the line.
    Table {
        /// Words of the head.
        head: Vec<&'static str>,
        /// Shares of the line.
        widths: Vec<u8>,
        /// Rows.
        rows: Vec<Vec<String>>,
    },
    /// Lines with a mark in front.
    Lines(Vec<String>),
}

/// What stands where something is missing.
const MISSING: &str = "▲ not known";

impl Paper {
    /// The certificate.
    ///
    /// # Errors
    /// What is missing: a certificate with a gap is not printed.
    pub fn certificate(facts: &Facts) -> Result<Self, Vec<Gap>> {
        let missing = gaps(facts);
        if missing.is_empty() {
            Ok(Self::of(facts, true, missing))
        } else {
            Err(missing)
        }
    }

    /// The record of processing, with what is missing marked. It never says that the note is met.
    #[must_use]
    pub fn record(facts: &Facts) -> Self {
        Self::of(facts, false, gaps(facts))
    }

    fn of(f: &Facts, granted: bool, missing: Vec<Gap>) -> Self {
        let mut out = Writer { blocks: Vec::new() };
        out.statement(f, granted, &missing);
        out.head(f);
        out.work(f);
        out.tests(f);
        out.close(f, granted);
        let (mark, title) = if granted {
            ("●", "CERTIFICATE OF CONFORMITY")
        } else {
            ("▲", "RECORD OF PROCESSING")
        };
        Self {
            title: title.to_owned(),
            mark,
            sentence: sentence(f, granted),
            head: clean(&format!(
                "{}  ·  {} {} revision {}",
                f.issuer,
                if granted { "certificate" } else { "record" },
                f.number(),
                f.revision()
            )),
            foot: foot(f),
            blocks: out.blocks,
            granted,
            missing,
        }
    }
}

fn sentence(f: &Facts, granted: bool) -> String {
    if f.practice {
        return "A practice run. What was practised on is never certified.".to_owned();
    }
    if granted {
        return "Each clause of the drawing note below was shown to hold, by the test and on the piece named beside it. The work conforms to these clauses so far as tested, and nothing else is stated.".to_owned();
    }
    let verdict = match f.judged.as_ref().map(|judged| judged.verdict.as_str()) {
        Some("does-not-meet") => {
            "The readings show that the drawing note is NOT met. This paper says what was done and read, and releases nothing."
        }
        _ => {
            "This paper says what was done and read. It does not say that the drawing note is met, and releases nothing."
        }
    };
    verdict.to_owned()
}

fn foot(f: &Facts) -> String {
    let entry = f.judged.as_ref().map_or_else(
        || {
            format!(
                "book of {}, entry {}, SHA-256 {}",
                f.issuer, f.head.0, f.head.1
            )
        },
        |judged| {
            format!(
                "book of {}, judgement in entry {}, SHA-256 {}",
                f.issuer, judged.entry, judged.hash
            )
        },
    );
    clean(&entry)
}

fn clean(text: &str) -> String {
    let text = harmless(text);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

struct Writer {
    blocks: Vec<Block>,
}

/// A label with its words, or the mark of what is missing.
fn pair(label: &str, value: Option<&str>) -> (String, String, bool) {
    let value = value.map(clean).filter(|text| !text.is_empty());
    let there = value.is_some();
    (
        clean(label),
        value.unwrap_or_else(|| MISSING.to_owned()),
        there,
    )
}

impl Writer {
    fn title(&mut self, text: &str) {
        self.blocks.push(Block::Title(text.to_owned()));
    }

    fn lines(&mut self, lines: Vec<String>) {
        if !lines.is_empty() {
            self.blocks
                .push(Block::Lines(lines.iter().map(|line| clean(line)).collect()));
        }
    }

    fn table(&mut self, head: &[&'static str], widths: &[u8], rows: Vec<Vec<String>>) {
        if rows.is_empty() {
            return;
        }
        let rows = rows
            .into_iter()
            .map(|row| row.iter().map(|cell| clean(cell)).collect())
            .collect();
        self.blocks.push(Block::Table {
            head: head.to_vec(),
            widths: widths.to_vec(),
            rows,
        });
    }

    fn statement(&mut self, f: &Facts, granted: bool, missing: &[Gap]) {
        self.blocks.push(Block::Quote(clean(&f.note)));
        if let Some(judged) = &f.judged {
            let rows = judged
                .clauses
                .iter()
                .map(|clause| {
                    let state = match clause.state {
                        State::Holds => "● ",
                        State::Missed => "■ ",
                        State::Open => "▲ ",
                    };
                    let by: Vec<String> = clause
                        .by
                        .iter()
                        .map(|name| on_piece(name, &f.tests))
                        .collect();
                    let close = if clause.close {
                        "; a limit of the clause lies inside the doubt"
                    } else {
                        ""
                    };
                    vec![
                        clause.what.clone(),
                        clause.asked.clone(),
                        format!("{state}{}", clause.fared),
                        format!("{}{close}", clause.found),
                        if by.is_empty() {
                            "no test".to_owned()
                        } else {
                            by.join("; ")
                        },
                    ]
                })
                .collect();
            self.table(
                &[
                    "clause",
                    "asked",
                    "judged",
                    "found, with 90 % doubt",
                    "shown by",
                ],
                &[14, 20, 12, 28, 26],
                rows,
            );
            self.lines(vec![format!("Decided {}.", judged.rule), sampling(f)]);
        } else {
            self.lines(vec![
                "▲ The run was not judged against its note.".to_owned(),
            ]);
        }
        if granted {
            return;
        }
        if missing.is_empty() {
            self.lines(vec![
                "Nothing is missing for a certificate; none is printed here.".to_owned(),
            ]);
            return;
        }
        self.title("Missing for a certificate");
        let rows = missing
            .iter()
            .map(|gap| vec![gap.what.clone(), gap.supply.clone()])
            .collect();
        self.table(&["what is missing", "what supplies it"], &[55, 45], rows);
    }

    fn head(&mut self, f: &Facts) {
        self.title("Order and material");
        let opt = |text: &Option<String>| text.clone();
        let quantity = (f.quantity > 0).then(|| f.quantity.to_string());
        let specification = opt(&f.specification).unwrap_or_else(|| {
            "not covered by a specification; the drawing note alone was worked to".to_owned()
        });
        let address = opt(&f.address);
        let mut pairs = vec![
            pair("shop", Some(&f.issuer)),
            pair("address", address.as_deref()),
            pair("customer", f.customer.as_deref()),
            pair("order, line", f.order.as_deref()),
            pair("part", Some(&f.part)),
            pair("drawing, revision", f.drawing.as_deref()),
            pair("quantity", quantity.as_deref()),
            pair("job, run (lot)", Some(&format!("{}, {}", f.job, f.run))),
            pair("steel", Some(&f.steel)),
            pair("heat number", f.heat.as_deref()),
            pair("mill certificate", f.mill_certificate.as_deref()),
            pair("process specification", Some(&specification)),
            pair("plan", Some(&f.plan)),
        ];
        for (label, value) in &f.pack {
            pairs.push(pair(label, Some(value)));
        }
        for answer in &f.answers {
            pairs.push(pair("note completed", Some(answer)));
        }
        self.blocks.push(Block::Pairs(pairs));
    }

    fn work(&mut self, f: &Facts) {
        self.title("What was done");
        let rows = f.steps.iter().map(|step| {
            let times = match (&step.begun, &step.ended) {
                (Some(from), Some(to)) => format!("{from} to {to}"),
                (None, Some(to)) => to.clone(),
                _ => "▲ not done".to_owned(),
            };
            let witness = step
                .witness
                .as_ref()
                .map_or_else(String::new, |who| format!("; seen by {who}"));
            let hold = if step.hold_point && step.witness.is_none() {
                "; ▲ hold point not seen by another"
            } else {
                ""
            };
            let mut done: Vec<String> = step.done.clone().into_iter().collect();
            done.extend(step.read.iter().cloned());
            vec![
                format!("{} {}", step.number, step.kind),
                step.set.clone(),
                done.join("; "),
                times,
                step.equipment.clone().unwrap_or_default(),
                format!("{}{witness}{hold}", step.by),
            ]
        });
        self.table(
            &[
                "step",
                "planned",
                "as done and read",
                "from, to",
                "on",
                "by",
            ],
            &[13, 24, 25, 18, 6, 14],
            rows.collect(),
        );
        let machines: Vec<(String, String, bool)> = f
            .equipment
            .iter()
            .map(|machine| {
                let label = format!("{} ({})", machine.id, machine.what);
                if machine.heated {
                    pair(&label, machine.calibrated.as_deref())
                } else {
                    pair(
                        &label,
                        machine
                            .calibrated
                            .as_deref()
                            .or(Some("not heated; no survey")),
                    )
                }
            })
            .collect();
        if !machines.is_empty() {
            self.title("Equipment, with its last survey or calibration");
            self.blocks.push(Block::Pairs(machines));
        }
        self.title("Furnace record");
        if f.logs.is_empty() {
            self.lines(vec!["▲ No furnace or logger file of the run.".to_owned()]);
        }
        for log in &f.logs {
            let proof = if log.proven {
                "the soak is proven by a couple in the pack"
            } else {
                "the soak is NOT PROVEN by this file"
            };
            let mut lines = vec![format!(
                "Entry {}, {}, {}: {proof}.",
                log.entry, log.source, log.file
            )];
            lines.extend(log.says.iter().cloned());
            self.lines(lines);
        }
        self.title("Deviations");
        if f.deviations.is_empty() {
            self.lines(vec!["None was entered.".to_owned()]);
        }
        let rows = f
            .deviations
            .iter()
            .map(|one| {
                vec![
                    one.entry.to_string(),
                    one.what.clone(),
                    one.by.clone(),
                    one.approved
                        .clone()
                        .unwrap_or_else(|| "▲ not approved".to_owned()),
                ]
            })
            .collect();
        self.table(
            &[
                "entry",
                "what, what was done about it",
                "entered by",
                "approved by",
            ],
            &[8, 60, 16, 16],
            rows,
        );
    }

    fn tests(&mut self, f: &Facts) {
        self.title("Coupons, pieces and readings");
        let mut lines: Vec<String> = f
            .coupons
            .iter()
            .map(|coupon| {
                let became = coupon
                    .became
                    .as_deref()
                    .unwrap_or("▲ nobody says what became of it");
                format!("coupon {} ({}): {became}", coupon.mark, coupon.at)
            })
            .collect();
        lines.extend(
            f.pieces
                .iter()
                .map(|piece| format!("piece {}: {}, {}", piece.mark, piece.kind, piece.what)),
        );
        self.lines(lines);
        let mut before: Option<&Test> = None;
        let rows = f
            .tests
            .iter()
            .map(|test| {
                let again = before.is_some_and(|old| {
                    (&old.name, &old.piece, &old.readings)
                        == (&test.name, &test.piece, &test.readings)
                });
                before = Some(test);
                let counts = test
                    .left_out
                    .as_ref()
                    .map_or_else(String::new, |why| format!("; does not count: {why}"));
                vec![
                    format!("{} on {}", test.name, test.piece),
                    format!(
                        "{}{}",
                        test.method,
                        test.tester
                            .as_ref()
                            .map_or_else(String::new, |id| format!(", tester {id}"))
                    ),
                    if again {
                        "the same readings".to_owned()
                    } else {
                        test.readings.clone()
                    },
                    format!("{}{counts}", test.says),
                    format!(
                        "{}, {}",
                        test.by.as_deref().unwrap_or("▲ by whom"),
                        test.date.as_deref().unwrap_or("▲ when")
                    ),
                ]
            })
            .collect();
        self.table(
            &[
                "reading",
                "method used",
                "each reading",
                "says, with 90 % doubt",
                "by, date",
            ],
            &[15, 17, 28, 24, 16],
            rows,
        );
        let rows = f.testers.iter().map(|tester| {
            let checks: Vec<String> = tester
                .checks
                .iter()
                .map(|(scale, check)| format!("{scale} {check}"))
                .collect();
            let checks = if checks.is_empty() {
                "▲ not checked on a block".to_owned()
            } else {
                checks.join("; ")
            };
            vec![format!("{} {}", tester.id, tester.what), checks]
        });
        self.table(&["tester", "checks on blocks"], &[30, 70], rows.collect());
        self.blocks.push(Block::Pairs(vec![pair(
            "cracks, damage",
            f.visual.as_deref(),
        )]));
        if let Some(judged) = &f.judged {
            self.blocks.push(Block::Pairs(vec![
                pair("evidence", judged.evidence.as_deref()),
                pair(
                    "judged",
                    Some(&format!(
                        "{} by {}, {} (entry {}): {}",
                        judged.verdict, judged.by, judged.at, judged.entry, judged.because
                    )),
                ),
            ]));
        }
    }

    fn close(&mut self, f: &Facts, granted: bool) {
        let mut changed: Vec<String> = f
            .superseded
            .iter()
            .map(|old| {
                format!(
                    "Entry {}, superseded by a later judgement: {}",
                    old.entry, old.told
                )
            })
            .collect();
        changed.extend(f.corrections.iter().cloned());
        self.title("Corrected, withdrawn, superseded");
        if changed.is_empty() {
            changed.push("Nothing.".to_owned());
        }
        self.lines(changed);
        self.title("Signatures");
        let rows = f.signatures.iter().map(|signed| {
            let old = if signed.before_correction {
                ", before it was corrected"
            } else {
                ""
            };
            vec![
                signed.name.clone(),
                signed.role.clone(),
                signed.meaning.clone(),
                format!("entry {}: {}{old}", signed.of, signed.what),
                signed.at.clone(),
                signed.entry.to_string(),
            ]
        });
        self.table(
            &["name", "as", "meaning", "of", "when", "entry"],
            &[17, 11, 11, 35, 19, 7],
            rows.collect(),
        );
        let release = f
            .release()
            .map(|signed| format!("{}, {}, {}", signed.name, signed.role, signed.at));
        self.blocks.push(Block::Pairs(vec![
            // A record releases nothing, whoever approved the judgement under it.
            pair(
                if granted {
                    "released by"
                } else {
                    "judgement approved by"
                },
                release.as_deref(),
            ),
            pair(
                "book",
                Some(&format!(
                    "{} at entry {}, SHA-256 {}",
                    if f.whole { "whole" } else { "▲ NOT WHOLE" },
                    f.head.0,
                    f.head.1
                )),
            ),
        ]));
    }
}

/// A reading with its piece and method: `traverse 1 on K1 (traverse, HV1)`.
fn on_piece(name: &str, tests: &[Test]) -> String {
    tests.iter().find(|test| test.name == name).map_or_else(
        || name.to_owned(),
        |test| format!("{name} on {} ({})", test.piece, test.method),
    )
}

/// How much of the lot was looked at, and what the rest rests on.
fn sampling(f: &Facts) -> String {
    let read = |mark: &str| {
        f.tests
            .iter()
            .any(|test| test.piece == mark && test.left_out.is_none())
    };
    let of = |kind: &str| -> Vec<&str> {
        f.pieces
            .iter()
            .filter(|piece| piece.kind == kind && read(&piece.mark))
            .map(|piece| piece.mark.as_str())
            .collect()
    };
    let (parts, coupons, controls) = (of("part"), of("coupon"), of("control"));
    let named = |marks: &[&str]| {
        if marks.is_empty() {
            String::new()
        } else {
            format!(" ({})", marks.join(", "))
        }
    };
    format!(
        "Sampling: readings that count were taken on {} of {} parts{}; coupons: {}{}; uncased controls: {}{}. What was not read rests on having been in the same run as the pieces that were.",
        parts.len(),
        f.quantity,
        named(&parts),
        coupons.len(),
        named(&coupons),
        controls.len(),
        named(&controls)
    )
}

/// Width of the text form.
const WIDTH: usize = 100;

/// The paper as plain text.
#[must_use]
pub fn text(paper: &Paper) -> String {
    let mut out = format!("{} {}\n{}\n", paper.mark, paper.title, paper.head);
    wrap(&mut out, "", &paper.sentence);
    for block in &paper.blocks {
        match block {
            Block::Title(title) => {
                out.push('\n');
                out.push_str(title);
                out.push('\n');
            }
            Block::Quote(words) => wrap(&mut out, "  note, word for word: ", words),
            Block::Pairs(pairs) => {
                for (label, value, _) in pairs {
                    wrap(&mut out, &format!("  {label}: "), value);
                }
            }
            Block::Lines(lines) => {
                for line in lines {
                    wrap(&mut out, "  ", line);
                }
            }
            Block::Table { head, rows, .. } => {
                for row in rows {
                    let cells: Vec<String> = head
                        .iter()
                        .zip(row)
                        .filter(|(_, cell)| !cell.is_empty())
                        .map(|(name, cell)| format!("{name}: {cell}"))
                        .collect();
                    wrap(&mut out, "  - ", &cells.join(" | "));
                }
            }
        }
    }
    out.push('\n');
    wrap(&mut out, "", &paper.foot);
    out
}

fn wrap(out: &mut String, lead: &str, words: &str) {
    let mut line = lead.to_owned();
    let mut fresh = true;
    for word in words.split_whitespace() {
        let long = line.chars().count() + 1 + word.chars().count() > WIDTH;
        if long && !fresh {
            out.push_str(line.trim_end());
            out.push('\n');
            line = " ".repeat(lead.chars().count().min(6));
            fresh = true;
        }
        if !fresh {
            line.push(' ');
        }
        line.push_str(word);
        fresh = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}
