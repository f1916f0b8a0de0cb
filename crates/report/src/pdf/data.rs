//! Report model → typesetter values. Everything a person wrote goes over as data, so no mark in
//! it can become an instruction to the typesetter.

use typst::foundations::{Array, Dict, Str, Value};

use super::{Detail, Paper};
use crate::figure::Figures;
use crate::model::{
    CautionRow, CouponRow, Finding, NoteRow, PackView, PredictionRow, QuenchRow, ScaleRow, Sheet,
    StepRow, TraverseView,
};
use crate::show::{self, BandShown, Shown};
use crate::text::harmless;
use crate::words;

/// Longest instruction or caution: far above what a step needs, so that none is cut in practice.
const VITAL: usize = 700;

/// Least length at which a finding may be cut: a warning half said is no warning.
const FINDING: usize = 240;

/// Longest run of characters without a place to break, on the page.
const UNBROKEN: usize = 22;

/// Writes values with one limit for the length of foreign texts.
struct Writer {
    limit: usize,
}

/// The inputs of the template.
pub(super) fn inputs(sheet: &Sheet, paper: Paper, detail: Detail) -> Dict {
    let w = Writer {
        limit: detail.text_limit,
    };
    let mut all = Dict::new();
    all.insert(Str::from("sheet"), w.sheet(sheet, paper, detail));
    all
}

impl Writer {
    fn sheet(&self, sheet: &Sheet, paper: Paper, detail: Detail) -> Value {
        dict([
            ("paper", plain(paper.name())),
            ("clock-table", Value::Bool(detail.clock_table)),
            ("section-figure", Value::Bool(detail.section_figure)),
            (
                "traverse",
                sheet
                    .traverse
                    .as_ref()
                    .filter(|_| detail.traverse_table)
                    .map_or(Value::None, |t| self.traverse(t)),
            ),
            ("more-figures", Value::Bool(detail.more_figures)),
            ("cycle-figure", Value::Bool(detail.cycle_figure)),
            ("chain-figure", Value::Bool(detail.chain_figure)),
            ("chain-early", Value::Bool(detail.chain_early)),
            ("ways-figure", Value::Bool(detail.ways_figure)),
            ("section-page", Value::Bool(detail.section_page)),
            ("charts", Value::Bool(detail.charts)),
            ("background", Value::Bool(detail.background)),
            ("tight", Value::Bool(detail.tight)),
            ("workable", Value::Bool(sheet.has_plan())),
            ("head", self.head(sheet)),
            ("verdict", self.verdict(sheet)),
            ("note", self.long(&sheet.note)),
            ("note-rows", self.each(&sheet.note_rows, Self::note_row)),
            (
                "assumptions",
                list(sheet.assumptions.iter().map(|a| self.s(a))),
            ),
            (
                "findings",
                self.each(
                    &sheet.findings[..sheet.findings.len().min(detail.findings)],
                    Self::finding,
                ),
            ),
            (
                "findings-left",
                number(sheet.findings.len().saturating_sub(detail.findings)),
            ),
            (
                "predictions",
                list(
                    sheet
                        .predictions
                        .iter()
                        .filter(|p| p.key || !detail.tight || p.kept)
                        .map(|p| self.prediction(p)),
                ),
            ),
            ("steps", self.each(&sheet.steps, Self::step)),
            (
                "pack",
                sheet.pack.as_ref().map_or(Value::None, |p| self.pack(p)),
            ),
            ("coupons", self.each(&sheet.coupons, Self::coupon)),
            ("quench", self.each(&sheet.quench, Self::fact)),
            ("scales", self.each(&sheet.scales, Self::scale)),
            (
                "test-rows",
                list(
                    test_rows(sheet, if detail.tight { 3 } else { 4 })
                        .iter()
                        .map(|r| self.s(r)),
                ),
            ),
            (
                "depth-rows",
                list(depth_rows(sheet).iter().map(|r| self.s(r))),
            ),
            (
                "cautions-columns",
                list(
                    columns(&sheet.cautions, if detail.tight { 3 } else { 2 })
                        .iter()
                        .map(|column| self.each(column, Self::caution)),
                ),
            ),
            ("nearest", self.nearest(sheet)),
            (
                "question",
                sheet
                    .question
                    .as_ref()
                    .map_or(Value::None, |q| self.long(q)),
            ),
            (
                "alternatives",
                list(
                    sheet
                        .alternatives
                        .iter()
                        .map(|a| dict([("what", self.s(&a.what)), ("why", self.s(&a.why_not))])),
                ),
            ),
            (
                "doubts",
                list(
                    sheet
                        .doubts
                        .iter()
                        .map(|d| self.s(&format!("{} {}", d.what, d.share))),
                ),
            ),
            ("sources", number(sheet.sources.len())),
            ("figures", figures(&sheet.figures)),
            ("words", fixed_words()),
        ])
    }

    fn head(&self, sheet: &Sheet) -> Value {
        let h = &sheet.head;
        dict([
            ("job", self.s(&h.job)),
            ("number", self.s(&h.number)),
            (
                "short",
                self.s(&show::clipped(&joined(&[&h.job, &h.number]), 46)),
            ),
            ("part", self.s(&h.part)),
            ("features", list(h.features.iter().map(|f| self.s(f)))),
            ("quantity", self.s(&h.quantity)),
            ("material", self.s(&h.material)),
            ("heat", self.s(&h.heat)),
            ("shop", self.s(&h.shop)),
            ("stock", list(h.stock.iter().map(|f| self.s(f)))),
            ("route", self.s(&h.route)),
            ("printed", self.s(&h.printed)),
            ("version", self.s(&h.version)),
            ("code", self.s(&h.code)),
            ("code-words", self.s(&h.code_words)),
            ("temperature-unit", plain(sheet.units.temperature_unit())),
            ("depth-unit", plain(sheet.units.length_unit())),
        ])
    }

    fn verdict(&self, sheet: &Sheet) -> Value {
        let v = &sheet.verdict;
        dict([
            ("shape", plain(v.mark.shape())),
            ("word", plain(v.word)),
            ("sentence", plain(v.sentence)),
        ])
    }

    fn nearest(&self, sheet: &Sheet) -> Value {
        sheet.nearest.as_ref().map_or(Value::None, |n| {
            dict([
                ("what", self.long(&n.what)),
                ("customer", self.long(&n.to_customer)),
            ])
        })
    }

    fn note_row(&self, r: &NoteRow) -> Value {
        dict([
            ("phrase", self.s(&r.phrase)),
            ("understood", self.s(&r.understood)),
            ("assumed", self.s(&r.assumed)),
        ])
    }

    fn finding(&self, f: &Finding) -> Value {
        let limit = self.limit.max(FINDING);
        dict([
            ("shape", plain(f.mark.shape())),
            ("word", plain(f.word)),
            (
                "text",
                plain(&breakable(&show::clipped(&harmless(&f.text), limit))),
            ),
            (
                "accepted",
                plain(&breakable(&show::clipped(&harmless(&f.accepted), limit))),
            ),
        ])
    }

    fn prediction(&self, p: &PredictionRow) -> Value {
        dict([
            ("what", self.s(&p.what)),
            ("value", self.band(&p.value)),
            ("asked", self.s(&p.asked)),
            ("key", Value::Bool(p.key)),
        ])
    }

    fn step(&self, s: &StepRow) -> Value {
        dict([
            ("number", number(s.number)),
            ("kind", plain(s.kind)),
            ("text", vital(&s.text)),
            ("temperature", self.maybe(s.temperature.as_ref())),
            ("tolerance", self.maybe(s.tolerance.as_ref())),
            ("soak", self.s(&s.soak)),
            ("window", self.shown(&s.window)),
            ("equipment", self.s(&s.equipment)),
            ("acceptance", list(s.acceptance.iter().map(|a| clause(a)))),
            ("stop-if", list(s.stop_if.iter().map(|a| clause(a)))),
            ("hold", Value::Bool(s.hold_point)),
            (
                "record",
                list(s.record.iter().map(|b| {
                    dict([
                        ("label", self.s(&show::clipped(&b.label, 40))),
                        ("unit", self.s(&show::clipped(&b.unit, 8))),
                    ])
                })),
            ),
        ])
    }

    fn pack(&self, p: &PackView) -> Value {
        dict([
            ("title", self.s(&p.title)),
            ("facts", self.each(&p.facts, Self::fact)),
        ])
    }

    fn fact(&self, f: &QuenchRow) -> Value {
        dict([("what", plain(f.what)), ("value", self.shown(&f.value))])
    }

    fn coupon(&self, c: &CouponRow) -> Value {
        dict([
            ("mark", self.s(&show::clipped(&c.mark, 24))),
            ("kind", plain(c.kind)),
            ("size", self.s(&c.size)),
            ("place", self.s(&c.place)),
            ("proves", self.s(&c.proves)),
        ])
    }

    fn scale(&self, s: &ScaleRow) -> Value {
        dict([
            ("scale", plain(s.scale)),
            ("word", plain(s.word)),
            ("use", Value::Bool(s.valid && s.at_hand)),
            ("valid", Value::Bool(s.valid)),
            (
                "reading",
                s.reading.as_ref().map_or(Value::None, |b| self.band(b)),
            ),
            (
                "core",
                s.core.as_ref().map_or(Value::None, |b| self.band(b)),
            ),
            ("least", self.maybe(s.least_case.as_ref())),
            ("round", self.s(&s.round)),
            ("why", self.s(&s.why)),
        ])
    }

    fn traverse(&self, t: &TraverseView) -> Value {
        dict([
            ("scale", self.s(&t.scale)),
            ("words", self.long(&t.sentences.join(" "))),
            ("bands", number(t.bands)),
            (
                "rows",
                list(t.rows.iter().map(|r| {
                    dict([
                        ("depth", self.s(&r.depth)),
                        ("row", number(r.row)),
                        ("expected", self.s(&r.expected)),
                        ("ends", Value::Bool(r.ends_here)),
                    ])
                })),
            ),
        ])
    }

    fn caution(&self, c: &CautionRow) -> Value {
        dict([("hazard", vital(&c.hazard)), ("text", vital(&c.text))])
    }

    fn band(&self, b: &BandShown) -> Value {
        dict([("mid", self.shown(&b.mid)), ("range", self.shown(&b.range))])
    }

    fn shown(&self, s: &Shown) -> Value {
        dict([("main", self.s(&s.main)), ("other", self.s(&s.other))])
    }

    fn maybe(&self, s: Option<&Shown>) -> Value {
        s.map_or(Value::None, |s| self.shown(s))
    }

    fn each<T>(&self, rows: &[T], write: impl Fn(&Self, &T) -> Value) -> Value {
        list(rows.iter().map(|r| write(self, r)))
    }

    /// A foreign text: harmless, short enough, breakable.
    fn s(&self, text: &str) -> Value {
        plain(&breakable(&show::clipped(&harmless(text), self.limit)))
    }

    /// A text that may be longer, such as the note or a letter to the customer.
    fn long(&self, text: &str) -> Value {
        plain(&breakable(&show::clipped(&harmless(text), self.limit * 3)))
    }
}

/// An instruction or a caution: harmless and breakable, but not shortened to make room.
fn vital(text: &str) -> Value {
    plain(&breakable(&show::clipped(&harmless(text), VITAL)))
}

/// One of several clauses that stand in a row: without a full stop of its own.
fn clause(text: &str) -> Value {
    vital(text.trim_end().trim_end_matches('.'))
}

/// What is tested, one row each: parts by number while they fit, then coupons.
fn test_rows(sheet: &Sheet, parts_most: usize) -> Vec<String> {
    let parts: usize = sheet.head.quantity.parse().unwrap_or(1);
    let mut rows: Vec<String> = if parts <= parts_most {
        (1..=parts).map(|n| format!("part {n}")).collect()
    } else {
        vec!["part no.".to_owned(); parts_most]
    };
    rows.extend(
        sheet
            .coupons
            .iter()
            .take(3)
            .map(|c| show::clipped(&format!("{} {}", c.kind, c.mark), 14)),
    );
    rows
}

fn depth_rows(sheet: &Sheet) -> Vec<String> {
    sheet
        .coupons
        .iter()
        .filter(|c| c.kind == "coupon")
        .take(2)
        .map(|c| show::clipped(&format!("coupon {}", c.mark), 14))
        .collect()
}

/// The cautions in columns that are about as long as each other, in their order; the last one also
/// carries the fixed sentences.
fn columns(cautions: &[CautionRow], count: usize) -> Vec<&[CautionRow]> {
    let length = |c: &CautionRow| c.hazard.chars().count() + c.text.chars().count() + 25;
    let fixed = words::PHONE_ALARM.len() + words::BURNS.len() + 50;
    let mut left: usize = cautions.iter().map(length).sum::<usize>() + fixed;
    let mut rest = cautions;
    let mut all = Vec::new();
    for open in (2..=count).rev() {
        let share = left / open;
        let mut used = 0;
        let mut taken = 0;
        // A caution goes where the greater part of it still fits.
        while taken < rest.len() && used + length(&rest[taken]) / 2 < share {
            used += length(&rest[taken]);
            taken += 1;
        }
        let (column, after) = rest.split_at(taken);
        all.push(column);
        rest = after;
        left -= used;
    }
    all.push(rest);
    all
}

fn figures(f: &Figures) -> Value {
    let one = |svg: &Option<String>| svg.as_ref().map_or(Value::None, |s| plain(s));
    dict([
        ("carbon", one(&f.carbon)),
        ("hardness", one(&f.hardness)),
        ("phases", one(&f.phases)),
        ("cycle", one(&f.cycle)),
        ("pack", one(&f.pack)),
        ("chain", one(&f.chain)),
        ("section", one(&f.section)),
        ("ways", one(&f.ways)),
        ("edge", one(&f.edge)),
    ])
}

fn fixed_words() -> Value {
    dict([
        ("local", plain(words::LOCAL_RULES)),
        ("phone", plain(words::PHONE_ALARM)),
        ("burns", plain(words::BURNS)),
        ("writing", plain(words::WRITING)),
        ("bands", plain(words::BANDS)),
        ("scale", plain(words::TO_SCALE)),
        ("emergency", list(words::EMERGENCY.iter().map(|w| plain(w)))),
    ])
}

fn joined(parts: &[&str]) -> String {
    let full: Vec<&str> = parts.iter().copied().filter(|p| !p.is_empty()).collect();
    full.join(", ")
}

/// Puts a place to break into words that no line could hold.
pub(super) fn breakable(text: &str) -> String {
    let mut run = 0;
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_whitespace() {
            run = 0;
        } else {
            run += 1;
            if run > UNBROKEN {
                out.push('\u{200B}');
                run = 1;
            }
        }
        out.push(c);
    }
    out
}

pub(super) fn plain(text: &str) -> Value {
    Value::Str(Str::from(text))
}

fn number(n: usize) -> Value {
    Value::Int(i64::try_from(n).unwrap_or(i64::MAX))
}

pub(super) fn list(values: impl Iterator<Item = Value>) -> Value {
    Value::Array(values.collect::<Array>())
}

pub(super) fn dict<const N: usize>(entries: [(&str, Value); N]) -> Value {
    let mut all = Dict::new();
    for (key, value) in entries {
        all.insert(Str::from(key), value);
    }
    Value::Dict(all)
}
