//! `explain`: what goes on inside the part of a planned job, depth by depth, with a picture.

use std::path::PathBuf;

use casewright_job::units;
use casewright_plan::PlanReport;
use casewright_report::story;
use casewright_terms::{Diag, Length, UnitSystem};
use clap::Args;
use serde::Serialize;

use super::plan::not_over;
use super::planned::Planned;
use super::{JobArgs, job};
use crate::answer::{Answer, Texts, Trouble};
use crate::wire;
use crate::wire::inside::{BoxedLine, StoryLine, TraverseLine};
use crate::wire::skin::ForceLine;
use crate::world;

/// Options of `explain`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(flatten)]
    job: JobArgs,
    /// Depth from the surface as hardened, with its unit, as in 0.3mm; may be given several times.
    /// Surface, middle of the case, end of the case and core if not given.
    #[arg(long, value_name = "DEPTH", allow_hyphen_values = true)]
    at: Vec<String>,
    /// Write the drawn cross-section as SVG too.
    #[arg(long, value_name = "OUT.svg")]
    picture: Option<PathBuf>,
}

#[derive(Serialize)]
struct Explained {
    verdict: &'static str,
    story: Vec<StoryLine>,
    after_box: Option<BoxedLine>,
    traverse: Option<TraverseLine>,
    /// What Vickers and Knoop testers would read, by test force.
    vickers_loads: Vec<ForceLine>,
    /// Where the picture was written.
    picture: Option<String>,
}

/// Plans the job and tells the story of the depths.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    if let Some(out) = &options.picture {
        not_over(out, &options.job.job)?;
    }
    let depths = depths(&options.at)?;
    let (spec, _) = job::load(&options.job.job)?;
    let planned = Planned::of(spec, options.job.seed);
    let report = &planned.report;
    let units = planned.spec.units;
    within(report, &depths, units)?;
    let mut text = format!(
        "{} {}\n{}\n",
        planned.sheet.verdict.mark.shape(),
        planned.sheet.verdict.word,
        planned.spec.name
    );
    let points = wire::inside::points(report, &depths);
    for point in &points {
        text.push('\n');
        text.push_str(&story::text(point, units));
    }
    if points.is_empty() {
        text.push_str(
            "\nThere is no plan, so there is nothing to tell; see the findings of `plan`.\n",
        );
    }
    if let Some(prediction) = &report.prediction {
        text.push('\n');
        text.push_str(&casewright_report::skin::table(&prediction.loads, units));
    }
    if let Some(traverse) = &report.traverse {
        text.push('\n');
        text.push_str(&casewright_report::traverse::text(traverse, units));
    }
    let picture = match (&options.picture, &planned.sheet.figures.section) {
        (Some(out), Some(svg)) => {
            world::write_file(out, svg.as_bytes())?;
            text.push_str(&format!("\nPicture written to {}\n", out.display()));
            Some(out.display().to_string())
        }
        (Some(_), None) => {
            text.push_str("\nThere is nothing to draw.\n");
            None
        }
        (None, _) => None,
    };
    let json = wire::json(&Explained {
        verdict: wire::plan::verdict(report.verdict),
        story: wire::inside::story(&planned.spec, report, &depths),
        after_box: wire::inside::boxed(report),
        traverse: report.traverse.as_ref().map(wire::inside::traverse),
        vickers_loads: report
            .prediction
            .iter()
            .flat_map(|prediction| prediction.loads.iter().map(ForceLine::of))
            .collect(),
        picture,
    });
    Ok(Answer::done(text, json).ending(planned.ending()))
}

/// Depths as typed.
///
/// # Errors
/// All that are none.
fn depths(typed: &[String]) -> Result<Vec<Length>, Trouble> {
    let mut diags = Vec::new();
    let mut depths = Vec::new();
    for text in typed {
        match units::read::<Length>(text) {
            Ok(written) if written.value >= Length::ZERO => depths.push(written.value),
            Ok(_) => diags.push(
                Diag::stop(
                    "depth-negative",
                    format!("\"{text}\" is above the surface."),
                )
                .accepted("Count depth from the surface inward, as in 0.3mm."),
            ),
            Err(slip) => diags.push(*slip.diag),
        }
    }
    if diags.is_empty() {
        Ok(depths)
    } else {
        Err(Trouble::Input {
            diags,
            texts: Texts::default(),
        })
    }
}

/// No depth may lie outside the part.
fn within(report: &PlanReport, depths: &[Length], units: UnitSystem) -> Result<(), Trouble> {
    let Some(inside) = &report.inside else {
        return Ok(());
    };
    let deepest = inside.deepest();
    let diags: Vec<Diag> = depths
        .iter()
        .filter(|depth| **depth > deepest)
        .map(|depth| {
            Diag::stop(
                "depth-outside-part",
                format!(
                    "{} is deeper than the middle of the section.",
                    depth.depth_text_both(units)
                ),
            )
            .why("From there on it is nearer to the other side, and the story repeats.")
            .accepted(format!("At most {}.", deepest.depth_text_both(units)))
        })
        .collect();
    if diags.is_empty() {
        Ok(())
    } else {
        Err(Trouble::Input {
            diags,
            texts: Texts::default(),
        })
    }
}
