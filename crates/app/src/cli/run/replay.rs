//! `run replay`: plans a run again from what was kept with it, and says whether the plan is the same.

use std::path::Path;

use casewright_terms::Diag;

use super::super::planned::Planned;
use super::{find, look, stored};
use crate::answer::{Answer, Ending, Texts, Trouble};
use crate::show::wrap::hanging;
use crate::wire;

/// Plans again and compares the codes, which are those of what the sheet says.
pub(super) fn run(book: &Path, name: &str) -> Result<Answer, Trouble> {
    let book = look(book)?;
    let run = find(&book, name)?;
    let spec = stored::spec(&book, &run)?;
    let made = run.plan.made.as_ref();
    let planned = Planned::of(spec, made.map_or(1, |made| made.seed));
    let now = planned.sheet.head.code_words.clone();
    let same = now == run.plan.code;
    let (then_by, now_by) = (
        made.map_or("unknown", |made| made.program.as_str()),
        env!("CARGO_PKG_VERSION"),
    );
    let text = if same {
        hanging(
            "● ",
            &format!("The plan of run {name} comes out the same: {now}."),
        )
    } else {
        hanging(
            "▲ ",
            &format!(
                "The plan of run {name} was {} (program {then_by}) and is {now} now (program {now_by}).",
                run.plan.code
            ),
        )
    };
    let json = wire::json(&wire::run::Replayed {
        same,
        code: run.plan.code.clone(),
        code_now: now,
        program: then_by.to_owned(),
        program_now: now_by,
    });
    let diags = if same {
        Vec::new()
    } else {
        vec![
            Diag::warn("run-replay-differs", "This program plans the run another way than it was planned.")
                .why("Laws and data of the program grow; the run was carried out by the plan that is kept.")
                .accepted("Judge the run by the kept plan, or use the program of that version."),
        ]
    };
    let ending = if same { Ending::Done } else { Ending::NotMet };
    Ok(Answer::done(text, json)
        .with_diags(diags, Texts::default())
        .ending(ending))
}
