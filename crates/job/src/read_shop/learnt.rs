//! What finished jobs have taught, as `casewright shop learnt` prints it: values in half-widths of the
//! doubt that stands without evidence, each with its correlation to those before it.
//!
//! A value that is not whole would make a plan look surer than it is, so that one wrong table stops
//! the file.

use casewright_terms::{Diag, Severity};
use toml::de::DeValue;

use crate::shop::{Learnt, Subject, Trait};
use crate::text::{Scribe, Section, clipped, wrong_type};

pub(crate) const LEARNT_KEYS: &[&str] = &[
    "about", "mark", "what", "mid", "doubt", "together", "date", "from",
];

pub(crate) const SUBJECTS: &[(&str, Subject)] = &[
    ("furnace", Subject::Furnace),
    ("box", Subject::PackBox),
    ("compound", Subject::Compound),
    ("steel", Subject::Steel),
    ("tank", Subject::Tank),
];

pub(crate) const TRAITS: &[(&str, Trait)] = &[
    ("couple", Trait::Couple),
    ("place", Trait::Place),
    ("diffusion", Trait::Diffusion),
    ("transfer", Trait::Transfer),
    ("heat up", Trait::HeatUp),
    ("severity", Trait::Severity),
    ("carry", Trait::Carry),
    ("kinetics", Trait::Kinetics),
    ("hardness", Trait::Hardness),
    ("grain", Trait::Grain),
    ("lines", Trait::Lines),
];

/// No job can move a value this far, in half-widths of 90 %: five standard deviations.
const MID_MOST: f64 = 3.0;
/// Evidence cannot make anything certain.
const DOUBT_LEAST: f64 = 0.01;
/// Nor less certain than it was.
const DOUBT_MOST: f64 = 1.0;
/// More values than a shop has machines and lots for.
const MOST: usize = 400;

/// Reads the tables; `None` where one of them stops.
pub(super) fn learnt(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Option<Vec<Learnt>> {
    let sections = scribe.list(top, "learnt", "[[learnt]]", LEARNT_KEYS);
    if sections.len() > MOST {
        scribe.push_at(
            Diag::stop(
                "learnt-too-many",
                format!("There are {} learnt values.", sections.len()),
            )
            .why("Each is weighed against each other.")
            .accepted(format!(
                "At most {MOST}; leave out those of lots that are used up."
            )),
            top.header.clone(),
        );
        return None;
    }
    let before = stops(scribe);
    let mut all: Vec<Learnt> = Vec::new();
    for (index, section) in sections.iter().enumerate() {
        if let Some(one) = one(scribe, section, index) {
            let twice = all.iter().any(|held| {
                (held.about, held.what, &held.mark) == (one.about, one.what, &one.mark)
            });
            if twice {
                scribe.push_at(
                    Diag::stop(
                        "learnt-twice",
                        format!("The same value of {} stands twice.", clipped(&one.mark)),
                    )
                    .why("Only one of them can hold.")
                    .accepted("Paste the tables of one `shop learnt` and take the older ones out."),
                    section.header.clone(),
                );
            }
            all.push(one);
        }
    }
    if stops(scribe) > before {
        return None;
    }
    if !positive(&all) {
        scribe.push_at(
            Diag::stop(
                "learnt-not-together",
                "The correlations of the learnt values contradict each other.",
            )
            .why("No set of values varies together like that; a table was changed, left out or put elsewhere.")
            .accepted("All tables of one `shop learnt`, in its order."),
            sections.first().map_or(top.header.clone(), |s| s.header.clone()),
        );
        return None;
    }
    Some(all)
}

fn stops(scribe: &Scribe<'_>) -> usize {
    let stops = |d: &&Diag| d.severity == Severity::Stop;
    scribe.diags.iter().filter(stops).count()
}

fn one(scribe: &mut Scribe<'_>, section: &Section<'_>, index: usize) -> Option<Learnt> {
    for (key, why, example) in [
        (
            "about",
            "A value belongs to a thing of the shop.",
            "about = \"compound\"",
        ),
        ("mark", "It belongs to one thing only.", "mark = \"H-12\""),
        ("what", "It is of one kind.", "what = \"transfer\""),
        ("mid", "It is where the value stands.", "mid = 0.21"),
        (
            "doubt",
            "A value whose doubt nobody knows would make a plan look surer than it is.",
            "doubt = 0.58",
        ),
    ] {
        scribe.missing(section, key, why, example);
    }
    let about = scribe.choice(section, "about", SUBJECTS);
    let mark = scribe.line(section, "mark");
    let what = scribe.choice(section, "what", TRAITS);
    let mid = number(scribe, section, "mid", (-MID_MOST, MID_MOST));
    let doubt = number(scribe, section, "doubt", (DOUBT_LEAST, DOUBT_MOST));
    let together = numbers(scribe, section, index);
    let date = scribe.line(section, "date");
    let from = words(scribe, section);
    Some(Learnt {
        about: about?.value,
        mark: mark?.value,
        what: what?.value,
        mid: mid?,
        doubt: doubt?,
        together: together?,
        date: date.map(|at| at.value),
        from: from?,
    })
}

fn number(
    scribe: &mut Scribe<'_>,
    section: &Section<'_>,
    key: &str,
    range: (f64, f64),
) -> Option<f64> {
    let value = section.table.get(key)?;
    read(scribe, key, value.get_ref(), value.span(), range)
}

fn read(
    scribe: &mut Scribe<'_>,
    key: &str,
    value: &DeValue<'_>,
    span: std::ops::Range<usize>,
    (low, high): (f64, f64),
) -> Option<f64> {
    let number = match value {
        DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
            .ok()
            .map(|n| n as f64),
        DeValue::Float(number) => number.as_str().replace('_', "").parse::<f64>().ok(),
        other => {
            let diag = wrong_type(key, other, "a number without quotes, such as 0.58");
            scribe.push_at(diag, span);
            return None;
        }
    };
    if let Some(number) = number.filter(|number| (low..=high).contains(number)) {
        return Some(number);
    }
    let written = clipped(scribe.text.get(span.clone()).unwrap_or(""));
    scribe.push_at(
        Diag::stop("learnt-out-of-range", format!("{key} = {written}."))
            .why("It counts in half-widths of the doubt that stands without evidence.")
            .accepted(format!("From {low} to {high}, as `shop learnt` prints it.")),
        span,
    );
    None
}

/// The correlations with the values before this one.
fn numbers(scribe: &mut Scribe<'_>, section: &Section<'_>, index: usize) -> Option<Vec<f64>> {
    let key = "together";
    let Some(value) = section.table.get(key) else {
        // Nothing is said: the value stands by itself.
        return Some(vec![0.0; index]);
    };
    let Some(items) = value.get_ref().as_array() else {
        let diag = wrong_type(key, value.get_ref(), "a list of numbers");
        scribe.push_at(diag, value.span());
        return None;
    };
    let all: Vec<f64> = items
        .iter()
        .filter_map(|item| read(scribe, key, item.get_ref(), item.span(), (-1.0, 1.0)))
        .collect();
    if all.len() == index && items.len() == index {
        return Some(all);
    }
    scribe.push_at(
        Diag::stop(
            "learnt-not-together",
            format!(
                "together has {} numbers; {index} learnt values stand before this one.",
                items.len()
            ),
        )
        .why("Values that one coupon taught vary together; without that the plan is too sure or too doubtful.")
        .accepted("All tables of one `shop learnt`, in its order."),
        value.span(),
    );
    None
}

fn words(scribe: &mut Scribe<'_>, section: &Section<'_>) -> Option<Vec<String>> {
    let key = "from";
    let Some(value) = section.table.get(key) else {
        return Some(Vec::new());
    };
    let Some(items) = value.get_ref().as_array() else {
        let diag = wrong_type(key, value.get_ref(), "a list of runs, such as [\"P-1\"]");
        scribe.push_at(diag, value.span());
        return None;
    };
    let mut all = Vec::new();
    for item in items.iter() {
        let Some(word) = item.get_ref().as_str() else {
            let diag = wrong_type(key, item.get_ref(), "a run in quotes, such as \"P-1\"");
            scribe.push_at(diag, item.span());
            return None;
        };
        all.push(word.to_owned());
    }
    Some(all)
}

/// Whether a set of values can vary together as said: the correlations have a Cholesky factor.
fn positive(all: &[Learnt]) -> bool {
    let mut rows: Vec<Vec<f64>> = Vec::with_capacity(all.len());
    for one in all {
        let mut row = Vec::with_capacity(one.together.len() + 1);
        for (j, correlation) in one.together.iter().enumerate() {
            let done: f64 = (0..j).map(|k| row[k] * rows[j][k]).sum();
            let entry: f64 = (correlation - done) / rows[j][j];
            row.push(entry);
        }
        let left = 1.0 - row.iter().map(|x: &f64| x * x).sum::<f64>();
        // Six decimals are printed, so that rounding may take this much off.
        if left.is_nan() || left < 1e-6 {
            return false;
        }
        row.push(left.sqrt());
        rows.push(row);
    }
    true
}
