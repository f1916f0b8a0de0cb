//! `verify`: the accuracy table.

use casewright_physics::verify::{self, Row};

use crate::answer::{Answer, Ending, Trouble};
use crate::show::number::significant;
use crate::show::table::{self, numbers, words};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Computes and shows every row; any row out of tolerance ends in "not met".
#[expect(
    clippy::unnecessary_wraps,
    reason = "every command has one signature, and this one may fail by assertion only"
)]
pub(crate) fn run() -> Result<Answer, Trouble> {
    let rows = world::with_progress("computing the accuracy table", verify::rows);
    assert!(
        !rows.is_empty(),
        "an accuracy table without rows proves nothing"
    );
    let ending = if rows.iter().all(Row::ok) {
        Ending::Done
    } else {
        Ending::NotMet
    };
    let answer = wire::json(&wire::verify::lines(&rows));
    Ok(Answer::done(told(&rows), answer).ending(ending))
}

/// Rows of one kind, source and reason that follow each other stand in one table under one head.
fn told(rows: &[Row]) -> String {
    let mut out = String::new();
    for block in rows.chunk_by(|a, b| (a.kind, a.source, a.reason) == (b.kind, b.source, b.reason))
    {
        let first = &block[0];
        out.push_str(&hanging(
            &format!("{}, [{}]: ", wire::verify::kind(first.kind), first.source),
            &format!("tolerance: {}", first.reason),
        ));
        let lines: Vec<Vec<String>> = block.iter().map(line).collect();
        let drawn = table::text(
            &[
                words("  "),
                words("id"),
                words("what"),
                numbers("published"),
                numbers("ours"),
                words("unit"),
                numbers("residual"),
                numbers("tolerance"),
            ],
            &lines,
        );
        out.push_str(&drawn);
        out.push('\n');
    }
    out.push_str(&summary(rows));
    out
}

fn line(row: &Row) -> Vec<String> {
    vec![
        if row.ok() {
            "● ".into()
        } else {
            "■ ".into()
        },
        row.id.clone(),
        row.what.clone(),
        significant(row.published, 6),
        significant(row.computed, 6),
        row.unit.to_owned(),
        significant(row.residual(), 2),
        significant(row.tolerance, 2),
    ]
}

fn summary(rows: &[Row]) -> String {
    let mut out = String::new();
    for kind in [
        verify::Kind::Validation,
        verify::Kind::Identity,
        verify::Kind::CrossCheck,
    ] {
        let of_kind: Vec<&Row> = rows.iter().filter(|row| row.kind == kind).collect();
        let within = of_kind.iter().filter(|row| row.ok()).count();
        out.push_str(&format!(
            "{}: {within} of {} rows within tolerance\n",
            wire::verify::kind(kind),
            of_kind.len()
        ));
    }
    for row in rows.iter().filter(|row| !row.ok()) {
        out.push_str(&format!("■ out of tolerance: {} ({})\n", row.id, row.what));
    }
    out
}
