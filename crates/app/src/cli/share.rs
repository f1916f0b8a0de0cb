//! `share`: which jobs can go through the shop together, and whether a job's coupons stand for all
//! of its parts.

use std::path::PathBuf;

use casewright_plan::share::{self, ClassLoad, Group, MOST_JOBS, SharedCycle, Stands, Together};
use casewright_terms::Diag;
use clap::Args;

use super::job;
use super::planned::Planned;
use crate::answer::{Answer, Ending, Trouble};
use crate::show::table;
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Options of `share`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The job files; one asks about the job's own load.
    #[arg(value_name = "JOB.toml", required = true)]
    jobs: Vec<PathBuf>,
    /// Seed of the planner's samples; the same seed gives the same bytes.
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

/// Plans the jobs and looks which go together.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    if options.jobs.len() > MOST_JOBS {
        return Err(Trouble::input(
            Diag::stop(
                "share-too-many",
                format!("{} jobs are named.", options.jobs.len()),
            )
            .why("Nobody keeps the parts of so many jobs apart in one box.")
            .accepted(format!("{MOST_JOBS} jobs at most.")),
        ));
    }
    let mut specs = Vec::new();
    for path in &options.jobs {
        specs.push(job::load(path)?.0);
    }
    let planned: Vec<Planned> = specs
        .into_iter()
        .map(|spec| Planned::of(spec, options.seed))
        .collect();
    let jobs: Vec<_> = planned.iter().map(|p| (&p.spec, &p.report)).collect();
    let sharing = world::with_progress("putting the jobs together", || share::share(&jobs))
        .map_err(Trouble::input)?;
    let names: Vec<&str> = planned.iter().map(|p| p.spec.name.as_str()).collect();
    let units = planned[0].spec.units;
    let mut text = String::new();
    for (name, load) in names.iter().zip(&sharing.loads) {
        text.push_str(&match load {
            Some(load) => class(name, load, units),
            None => format!("{name}: no plan, see `casewright plan`\n"),
        });
    }
    for group in &sharing.groups {
        text.push('\n');
        text.push_str(&told(group, &names, units));
    }
    let apart = sharing
        .groups
        .first()
        .is_some_and(|group| group.together == Together::Apart)
        || sharing.loads.iter().any(Option::is_none);
    let ending = if apart { Ending::NotMet } else { Ending::Done };
    let json = wire::json(&wire::share::of(&sharing, &names));
    Ok(Answer::done(text, json).ending(ending))
}

fn class(name: &str, load: &ClassLoad, units: casewright_terms::UnitSystem) -> String {
    let stands = match load.stands {
        Stands::ForAll => "its coupons stand for all parts of a load".to_owned(),
        Stands::NotForAll { .. } => {
            "its coupons do not stand for all parts as they are read".to_owned()
        }
        Stands::Unknown => "whether its coupons stand for all parts is not known".to_owned(),
    };
    let depths = load.depths.map_or_else(String::new, |(least, greatest)| {
        format!(
            ", case {} to {} over the load",
            least.depth_text(units),
            greatest.depth_text(units)
        )
    });
    let mut out = hanging(
        &format!("{name}: "),
        &format!(
            "{} parts, {} in a box, boxes {}, loads {}, coupons in a box {}{depths}; {stands}",
            load.parts, load.in_a_box, load.boxes, load.loads, load.coupons_in_a_box
        ),
    );
    for mind in &load.mind {
        out.push_str(&hanging("  mind: ", mind));
    }
    out
}

/// One set of jobs.
fn told(group: &Group, names: &[&str], units: casewright_terms::UnitSystem) -> String {
    let who: Vec<&str> = group.jobs.iter().map(|i| names[*i]).collect();
    let (mark, word) = match group.together {
        Together::AllTheWay => (
            "●",
            "one box and one cycle, the quench and the temper included",
        ),
        Together::InTheBox => ("▲", "one box; reheat, quench and temper each by itself"),
        Together::Apart => ("■", "not together"),
    };
    let mut out = hanging(&format!("{mark} "), &format!("{}: {word}", who.join(" + ")));
    if let Some(cycle) = &group.cycle {
        out.push_str(&cycle_text(cycle, names, units));
    }
    for why in &group.why {
        out.push_str(&hanging("  - ", why));
    }
    out
}

fn cycle_text(cycle: &SharedCycle, names: &[&str], units: casewright_terms::UnitSystem) -> String {
    let percent =
        |c: Option<f64>| c.map_or_else(|| "–".to_owned(), |c| format!("{:.0} %", 100.0 * c));
    let hardened = cycle
        .hardened_as
        .map_or_else(String::new, |k| format!(", hardened as {}", names[k]));
    let mut out = hanging(
        "  ",
        &format!(
            "box {}, {}, hot after {}, soak {}{hardened}; least chance {}",
            cycle.layout.box_id,
            cycle.temperature.text_both(units),
            cycle.hot_after.text(),
            cycle.soak.text(),
            percent(cycle.least_chance)
        ),
    );
    let rows: Vec<Vec<String>> = cycle
        .portions
        .iter()
        .map(|own| {
            vec![
                names[own.job].to_owned(),
                own.case_depth.depth_text(units),
                own.after_grind.depth_text(units),
                format!("{:.0}", own.surface.to_hv()),
                format!("{:.0}", own.core.to_hv()),
                percent(own.chance),
                percent(own.alone),
                if own.meets { "●" } else { "■" }.to_owned(),
            ]
        })
        .collect();
    let drawn = table::text(
        &[
            table::words("job"),
            table::words("case depth"),
            table::words("after grind"),
            table::words("surface HV"),
            table::words("core HV"),
            table::words("chance"),
            table::words("alone"),
            table::words("note"),
        ],
        &rows,
    );
    for line in drawn.lines() {
        out.push_str(&format!("  {line}\n"));
    }
    out
}
