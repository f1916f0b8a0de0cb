//! `simulate`: carbon in the steel over a temperature cycle, against depth; sections are `section`'s.

use std::path::PathBuf;

use casewright_physics::medium::Caution;
use casewright_physics::numerics::interpolate;
use casewright_physics::run::{BoostDiffuseRun, CarbonRun, Failure, InverseRun};
use casewright_physics::setup::CarbonSetup;
use casewright_physics::simulate;
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Diag, Remark, SourceKey, Span, UnitSystem};
use clap::Args;

use super::search::{self, Wanted};
use super::{job, section, simulate_part};
use crate::answer::{Answer, Texts, Trouble};
use crate::setup_file::{self, Asked, SetupFile};
use crate::show::number::significant;
use crate::show::table::{self, numbers};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Lines of the table for a person where the setup names no depths.
const LINES_SHOWN: usize = 25;

/// A setup to begin with; the help shows it, and a test reads it.
const EXAMPLE: &str = r#"A setup with [quench] or [reheat] instead of [carbon] follows one part through it, as in
examples/setups/quench.toml and examples/setups/reheat.toml.
A setup for carbon, with every kind of surface:

  output_depth_mm = [0.0, 0.5, 1.0]     # optional
  tolerance_wt_pct = 1e-4               # optional
  [steel]
  composition_wt_pct = { C = 0.18 }     # or grade = "8620"
  [shape]
  kind = "plate"                        # cylinder, sphere: radius_mm
  half_thickness_mm = 10.0              # tube: inner_radius_mm, outer_radius_mm
                                        # sections, drawn with --map: docs/guides/simulate-setup.md
  [carbon]
  diffusivity = "agren-1986"            # tibbetts-1980, alloy
  surface = { kind = "fixed", carbon_wt_pct = 1.20 }
  # surface = { kind = "transfer", potential_wt_pct = 1.10, coefficient_m_s = 1.5e-7, above_c = 800.0 }
  # surface = { kind = "pack", coefficient_m_s = 1.0e-7, begins_c = 700.0, full_c = 760.0 }
  # surface = { kind = "sealed" }
  # surface = { kind = "compound", energiser = "barium-carbonate", energiser_pct = 12, fresh_pct = 25 }
  # surface = { kind = "gas", potential_wt_pct = 0.90 }
  # surface = { kind = "gas", dew_point_c = -2.0, co_pct = 20, h2_pct = 40 }
  # surface = { kind = "gas", co2_pct = 0.15, co_pct = 20 }
  # surface = { kind = "gas", probe_mv = 1135, co_pct = 20, probe_c = 927, coefficient_m_s = 1.2e-7 }
  # surface = { kind = "salt", bath = "without-cyanide", potential_wt_pct = 1.0, coefficient_m_s = 2e-7, above_c = 850 }
  # surface = { kind = "low-pressure", flux_g_m2_h = 120, after_hours = 1, boosts = [{ boost_min = 5, diffuse_min = 20 }] }
  [[cycle]]                             # linear pieces, in order; the first starts at 25 °C
  from_c = 927.0                        # if from_c is not given, later ones where the last ended
  to_c = 927.0
  hours = 8.0
  # [[cycle]]
  # log = "furnace.csv"                 # head time_s (time_min, time_h), temp_c (temp_f)
  # most_gap_min = 10                   # longer holes are flagged
"#;

/// Options of `simulate`.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Options {
    /// The setup: steel, shape, surface and cycle.
    #[arg(value_name = "SETUP.toml")]
    setup: PathBuf,
    /// Draw the carbon of a section (two-dimensional shapes only) into this file.
    #[arg(long, value_name = "FILE.svg")]
    map: Option<PathBuf>,
    /// Learn the bed of a packed box from the log of its buried couple (`time_h,temp_c` and the
    /// like, from loading on), and print the lines for the shop file.
    #[arg(long, value_name = "LOG.csv")]
    couple: Option<PathBuf>,
    /// Which couple of the setup the log is of, by its mark, where there are several.
    #[arg(long, value_name = "MARK", requires = "couple")]
    at: Option<String>,
    #[command(flatten)]
    search: search::Options,
}

/// A run and what was found on the way to it.
enum Found {
    Nothing,
    Hours(InverseRun),
    Boost(BoostDiffuseRun),
}

/// Runs the setup.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let text = world::read_text(&options.setup).map_err(Trouble::input)?;
    let name = options.setup.display().to_string();
    if let Some(log) = &options.couple {
        if options.map.is_some() || options.search.asked() {
            let diag = Diag::stop(
                "couple-and-search",
                "A couple's log is read by itself: there is nothing to draw and no hours to look for.",
            )
            .accepted("`--couple` alone.");
            return Err(Trouble::input(diag));
        }
        return super::packed::learn(&name, &text, log, options.at.as_deref());
    }
    if setup_file::is_packed(&text) {
        return super::packed::run(
            &name,
            &text,
            options.map.is_some() || options.search.asked(),
        );
    }
    let mut texts = Texts::one(name.as_str(), text.as_str());
    let logs = simulate_part::logs(&options.setup, &text, &mut texts);
    if let Some(asked) = setup_file::part::asked(&text) {
        if options.search.asked() || options.map.is_some() {
            return Err(Trouble::input(
                Diag::stop(
                    "hours-of-what",
                    "This setup is about one part's quench or reheat: it has no hours to look for and no map.",
                )
                .accepted("A setup with `[carbon]`, or neither a search nor `--map`."),
            ));
        }
        return simulate_part::run(asked, &options.setup, &text, logs, texts);
    }
    let setup =
        setup_file::read_with(&name, &text, &job::grade, logs).map_err(|diags| Trouble::Input {
            diags,
            texts: texts.clone(),
        })?;
    let source = Source { name, texts };
    unasked(options, &setup).map_err(|diag| source.input(vec![diag]))?;
    match &setup.asked {
        Asked::Depth {
            carbon,
            output_depth_mm,
        } => line(options, &source, &setup, carbon, output_depth_mm.as_deref()),
        Asked::Section { plane, map } => {
            section::run(&source, &setup, plane, map, options.map.as_deref())
        }
    }
}

/// The file a setup came from, for complaints about it.
pub(super) struct Source {
    name: String,
    pub(super) texts: Texts,
}

impl Source {
    fn input(&self, diags: Vec<Diag>) -> Trouble {
        Trouble::Input {
            diags,
            texts: self.texts.clone(),
        }
    }

    /// What kept the engine from an answer.
    pub(super) fn failed(&self, failure: Failure) -> Trouble {
        match failure {
            Failure::Setup { what } => self.input(vec![setup_file::refused(&self.name, &what)]),
            other => Trouble::Numbers(other),
        }
    }
}

/// Options and setups that do not go together: passing over one would answer another question.
fn unasked(options: &Options, setup: &SetupFile) -> Result<(), Diag> {
    let plane = matches!(setup.asked, Asked::Section { .. });
    if plane && options.search.asked() {
        return Err(Diag::stop(
            "search-in-a-section",
            "Hours are looked for against depth only; this setup is a section.",
        )
        .why("A section has many depths, and no one of them stands for the part.")
        .accepted(
            "Look with a plate or a cylinder first, then run the section with those hours.",
        ));
    }
    if !plane && options.map.is_some() {
        return Err(Diag::stop(
            "map-without-section",
            "Carbon that changes with the depth alone has no map.",
        )
        .accepted(
            "Leave `--map` out, or give `[shape]` a section, as in `kind = \"rectangle\"`.",
        ));
    }
    if setup.diffuse.is_some() && !options.search.boost_asked() {
        return Err(Diag::stop(
            "diffuse-without-search",
            "The setup has a `diffuse`, and no boost is looked for.",
        )
        .why("How long each of the two lasts is not said, so neither can be run.")
        .accepted("Add `--find-boost`, or take `diffuse` out of `[carbon]`."));
    }
    Ok(())
}

/// A run against depth.
fn line(
    options: &Options,
    source: &Source,
    setup: &SetupFile,
    carbon: &CarbonSetup,
    output_depth_mm: Option<&[f64]>,
) -> Result<Answer, Trouble> {
    let wanted = options
        .search
        .wanted(&carbon.cycle)
        .map_err(|diags| source.input(diags))?;
    let boost = match wanted.and_then(|wanted| Some((wanted, wanted.surface?))) {
        Some((wanted, surface)) => Some(
            search::boost_question(carbon, setup.diffuse.as_ref(), &wanted, surface)
                .map_err(|diag| source.input(vec![diag]))?,
        ),
        None => None,
    };
    let (outcome, wall) = world::timed(|| {
        world::with_progress("following the carbon", || match (&boost, &wanted) {
            (Some(boost), _) => simulate::boost_and_diffuse(boost)
                .map(|found| (found.carbon.clone(), Found::Boost(found))),
            (None, Some(wanted)) => {
                simulate::hours_for_depth(carbon, wanted.piece, wanted.target())
                    .map(|found| (found.carbon.clone(), Found::Hours(found)))
            }
            (None, None) => simulate::carbon(carbon).map(|run| (run, Found::Nothing)),
        })
    });
    let (run, found) = outcome.map_err(|failure| source.failed(failure))?;
    let (depth_mm, carbon_wt_pct) = at_depths(&run, output_depth_mm);
    let answer = wire::json(&wire::simulate::Run::of(
        &run,
        match (&found, &wanted) {
            (Found::Hours(found), Some(wanted)) => wire::simulate::Found::hours(found, wanted),
            (Found::Boost(found), Some(wanted)) => wire::simulate::Found::boost(found, wanted),
            _ => wire::simulate::Found::default(),
        },
        &carbon.composition,
        &depth_mm,
        &carbon_wt_pct,
        &setup.cautions,
        wall,
    ));
    let mut text = wanted.map_or_else(String::new, |wanted| found.told(&wanted));
    text += &told(&run, &depth_mm, &carbon_wt_pct, output_depth_mm.is_some());
    text += &beware(&setup.cautions);
    Ok(Answer::done(text, answer).with_diags(setup.notes.clone(), source.texts.clone()))
}

impl Found {
    fn told(&self, wanted: &Wanted) -> String {
        let target = format!(
            "{} wt% at {}",
            format_trimmed(wanted.carbon.to_wt_pct(), 3),
            wanted.depth.depth_text_both(UnitSystem::Metric)
        );
        let hours = |span: Span| significant(span.to_h(), 4);
        match self {
            Self::Nothing => String::new(),
            Self::Hours(found) => paragraph(&format!(
                "Piece {} takes {} h (± {} h) for {target}.",
                wanted.piece + 1,
                hours(found.duration),
                significant(found.doubt.to_h(), 1),
            )),
            Self::Boost(found) => paragraph(&format!(
                "Piece {} takes a boost of {} h ({:.1} min) and a diffuse of {} h ({:.1} min) for \
                 {target} and {:.3} wt% at the surface.",
                wanted.piece + 1,
                hours(found.boost),
                found.boost.to_min(),
                hours(found.diffuse),
                found.diffuse.to_min(),
                found.carbon.carbon_wt_pct.first().copied().unwrap_or(0.0),
            )),
        }
    }
}

/// A paragraph with a blank line after it.
fn paragraph(words: &str) -> String {
    hanging("", words) + "\n"
}

/// What to beware of, for a person.
pub(super) fn beware(cautions: &[Caution]) -> String {
    cautions
        .iter()
        .map(|caution| hanging(&format!("■ {}: ", caution.hazard), caution.text))
        .collect()
}

/// Notes on validity and the sources, for a person.
pub(super) fn remarks_and_sources(remarks: &[Remark], sources: &[SourceKey]) -> String {
    let mut out: String = remarks
        .iter()
        .map(|remark| hanging("▲ ", &remark.text))
        .collect();
    if !sources.is_empty() {
        out.push_str(&hanging("Sources: ", &sources.join(", ")));
    }
    out
}

/// The profile at the depths asked for, or at the solver's own points.
pub(crate) fn at_depths(run: &CarbonRun, wanted_mm: Option<&[f64]>) -> (Vec<f64>, Vec<f64>) {
    let own_mm: Vec<f64> = run
        .depth_m
        .iter()
        .map(|depth_m| casewright_terms::Length::from_m(*depth_m).to_mm())
        .collect();
    match wanted_mm {
        None => (own_mm, run.carbon_wt_pct.clone()),
        Some(wanted) => {
            let carbon = wanted
                .iter()
                .map(|depth| interpolate::monotone_cubic(&own_mm, &run.carbon_wt_pct, *depth))
                .collect();
            (wanted.to_vec(), carbon)
        }
    }
}

fn told(run: &CarbonRun, depth_mm: &[f64], carbon_wt_pct: &[f64], all: bool) -> String {
    let step = if all {
        1
    } else {
        depth_mm.len().div_ceil(LINES_SHOWN).max(1)
    };
    let rows: Vec<Vec<String>> = depth_mm
        .iter()
        .zip(carbon_wt_pct)
        .step_by(step)
        .map(|(depth, carbon)| vec![format!("{depth:.3}"), format!("{carbon:.4}")])
        .collect();
    let mut out = table::text(&[numbers("depth, mm"), numbers("carbon, wt%")], &rows);
    out.push_str(&format!(
        "\nCarbon taken up: {} g/m²; balance error {}; {} steps\n",
        significant(run.uptake_g_m2, 5),
        significant(run.balance_error, 2),
        run.steps
    ));
    out.push_str(&remarks_and_sources(&run.remarks, &run.sources));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_setup_in_the_help_is_one() {
        let text = EXAMPLE.split_once("\n\n").expect("a blank line").1;
        let live = text
            .lines()
            .filter(|line| line.trim_start().starts_with("surface"));
        let first = live.clone().next().expect("a surface");
        assert_eq!(live.count(), 1, "one surface is in force");
        setup_file::read("help", text, &job::grade).expect("the example is read");
        for other in text
            .lines()
            .filter_map(|line| line.trim_start().strip_prefix("# surface"))
        {
            let text = text.replacen(first, &format!("surface{other}"), 1);
            setup_file::read("help", &text, &job::grade).expect("the other surface is read");
        }
    }
}
