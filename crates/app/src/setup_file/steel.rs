//! The steel of a setup: a grade of the table, or a chemistry by element.

use casewright_terms::{Composition, CompositionProblem, Diag, Element, WeightPercent};
use toml::Spanned;
use toml::de::DeValue;

use super::Grades;
use super::walk::{Table, Walk, listed, near};

pub(super) fn steel<'t>(
    walk: &mut Walk<'t>,
    root: Table<'t>,
    grades: Grades<'_>,
) -> Option<Composition> {
    let table = walk.table(
        root,
        "steel",
        "A table `[steel]` with `composition_wt_pct` or `grade`.",
    )?;
    walk.only(table, &["composition_wt_pct", "grade"]);
    match (
        table.body.get("composition_wt_pct"),
        table.body.get("grade"),
    ) {
        (Some(_), None) => composition(walk, table),
        (None, Some(grade)) => self::grade(walk, grade, grades),
        (Some(first), Some(second)) => {
            let place = walk.place(first.span());
            walk.complain(
                Diag::stop(
                    "steel-twice",
                    "The steel is given twice: by chemistry and by grade.",
                )
                .why("The two may differ, and nobody could say which one was run.")
                .accepted("Keep one of them.")
                .also(place, "the chemistry"),
                second.span(),
            );
            None
        }
        (None, None) => {
            walk.value(
                table,
                "composition_wt_pct",
                "Write `composition_wt_pct = { C = 0.18 }` or `grade = \"8620\"`.",
            );
            None
        }
    }
}

fn composition<'t>(walk: &mut Walk<'t>, steel: Table<'t>) -> Option<Composition> {
    let table = walk.table(steel, "composition_wt_pct", "")?;
    let symbols: Vec<&str> = Element::ALL
        .iter()
        .map(|element| element.symbol())
        .collect();
    let mut contents = Vec::new();
    let mut whole = true;
    for (key, value) in table.body {
        let written: &str = key.get_ref();
        let content = walk.bounded(value, written, &(0.0..=100.0));
        match (Element::from_symbol(written), content) {
            (Some(element), Some(content)) => {
                contents.push((element, WeightPercent::from_wt_pct(content)));
            }
            (None, _) => {
                whole = false;
                let known = format!("Symbols that are taken: {}.", listed(&symbols));
                walk.complain(
                    Diag::stop(
                        "unknown-element",
                        format!("`{written}` is no element known here."),
                    )
                    .accepted(match near(written, &symbols) {
                        Some(meant) => format!("Did you mean `{meant}`? {known}"),
                        None => known,
                    }),
                    key.span(),
                );
            }
            (Some(_), None) => whole = false,
        }
    }
    if !whole {
        return None;
    }
    if table.body.get("C").is_none() {
        walk.complain(
            Diag::stop("missing-key", "`C`, the carbon of the core, is missing.")
                .accepted("Write it, as in `{ C = 0.18 }`; a carbon-free iron is `C = 0`."),
            table.span.0..table.span.1,
        );
        return None;
    }
    Composition::new(&contents)
        .map_err(|problems| {
            for problem in problems {
                walk.complain(
                    Diag::stop(
                        composition_code(&problem),
                        format!("The chemistry is none: {problem}."),
                    )
                    .accepted("Contents are in weight percent; the balance is iron."),
                    table.span.0..table.span.1,
                );
            }
        })
        .ok()
}

fn composition_code(problem: &CompositionProblem) -> &'static str {
    match problem {
        CompositionProblem::OutOfBounds(..) => "out-of-bounds",
        CompositionProblem::Twice(_) => "element-twice",
        CompositionProblem::TooMuch(_) => "too-little-iron",
    }
}

fn grade(
    walk: &mut Walk<'_>,
    value: &Spanned<DeValue<'_>>,
    grades: Grades<'_>,
) -> Option<Composition> {
    let DeValue::String(written) = value.get_ref() else {
        walk.wrong_kind(
            "grade",
            "a name in quotes, as in \"8620\"",
            value.get_ref(),
            value.span(),
        );
        return None;
    };
    grades(written)
        .map_err(|near| walk.complain(unknown_grade(written, &near), value.span()))
        .ok()
}

/// The complaint about a grade that is not in the table.
pub(crate) fn unknown_grade(written: &str, near: &[String]) -> Diag {
    let diag = Diag::stop(
        "unknown-grade",
        format!("\"{written}\" is no grade in the steel table."),
    );
    if near.is_empty() {
        diag.accepted("Give the chemistry instead.")
    } else {
        diag.accepted(format!(
            "Near it: {}. Or give the chemistry instead.",
            near.join(", ")
        ))
    }
}
