//! `simulate`: carbon in the steel over a temperature cycle.

use std::path::PathBuf;

use casewright_physics::numerics::interpolate;
use casewright_physics::run::{CarbonRun, Failure};
use casewright_physics::setup::{CarbonTarget, Cycle};
use casewright_physics::simulate;
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Diag, Length, WeightPercent};
use clap::Args;

use super::{job, words};
use crate::answer::{Answer, Texts, Trouble};
use crate::setup_file;
use crate::show::number::significant;
use crate::show::table::{self, numbers};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Lines of the table for a person where the setup names no depths.
const LINES_SHOWN: usize = 25;

/// A setup to begin with; the help shows it, and a test reads it.
const EXAMPLE: &str = r#"A setup, with every kind of surface:

  output_depth_mm = [0.0, 0.5, 1.0]     # optional
  tolerance_wt_pct = 1e-4               # optional
  [steel]
  composition_wt_pct = { C = 0.18 }     # or grade = "8620"
  [shape]
  kind = "plate"                        # cylinder, sphere: radius_mm
  half_thickness_mm = 10.0              # tube: inner_radius_mm, outer_radius_mm
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
"#;

/// Options of `simulate`.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLE)]
pub(crate) struct Options {
    /// The setup: steel, shape, surface and cycle.
    #[arg(value_name = "SETUP.toml")]
    setup: PathBuf,
    /// Look for the hours of one piece of the cycle that give this carbon at this depth in the
    /// end, such as "0.40 wt% at 1.0 mm" or "0.40 wt% at 0.040 in"; the run shown is that one.
    #[arg(long, value_name = "CARBON at DEPTH")]
    find_hours: Option<String>,
    /// The piece whose hours are looked for, counted from 1; without it the longest of the holds
    /// at the highest temperature.
    #[arg(long, value_name = "N", requires = "find_hours")]
    piece: Option<usize>,
}

/// Hours that were asked for.
struct Wanted {
    piece: usize,
    carbon: WeightPercent,
    depth: Length,
}

/// Reads what is looked for.
fn wanted(options: &Options, cycle: &Cycle) -> Result<Option<Wanted>, Vec<Diag>> {
    let Some(typed) = &options.find_hours else {
        return Ok(None);
    };
    let (carbon, depth) = words::carbon_at_depth(typed).map_err(|diag| vec![diag])?;
    let piece = match options.piece {
        Some(piece) if (1..=cycle.pieces.len()).contains(&piece) => piece - 1,
        Some(piece) => {
            return Err(vec![
                Diag::stop(
                    "piece-not-there",
                    format!("The cycle has no piece {piece}."),
                )
                .accepted(format!("1 to {} are there.", cycle.pieces.len())),
            ]);
        }
        None => cycle.longest_hot_hold().ok_or_else(|| {
            vec![
                Diag::stop(
                    "piece-unclear",
                    "The cycle has no hold at a constant temperature.",
                )
                .accepted("Say with `--piece N` which piece's hours are looked for."),
            ]
        })?,
    };
    Ok(Some(Wanted {
        piece,
        carbon,
        depth,
    }))
}

/// Runs the setup.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let text = world::read_text(&options.setup).map_err(Trouble::input)?;
    let name = options.setup.display().to_string();
    if setup_file::is_packed(&text) && options.find_hours.is_none() {
        return super::packed::run(&name, &text);
    }
    let texts = Texts::one(name.as_str(), text.as_str());
    let input = |diags| Trouble::Input {
        diags,
        texts: texts.clone(),
    };
    let setup = setup_file::read(&name, &text, &job::grade).map_err(input)?;
    let wanted = wanted(options, &setup.carbon.cycle).map_err(input)?;
    let (outcome, wall) = world::timed(|| {
        world::with_progress("following the carbon", || match &wanted {
            None => simulate::carbon(&setup.carbon).map(|run| (run, None)),
            Some(wanted) => {
                let target = CarbonTarget::CarbonAtDepth {
                    carbon: wanted.carbon,
                    depth: wanted.depth,
                };
                simulate::hours_for_depth(&setup.carbon, wanted.piece, target)
                    .map(|found| (found.carbon.clone(), Some(found)))
            }
        })
    });
    let (run, found) = outcome.map_err(|failure| match failure {
        Failure::Setup { what } => input(vec![setup_file::refused(&name, &what)]),
        other => Trouble::Numbers(other),
    })?;
    let (depth_mm, carbon_wt_pct) = at_depths(&run, setup.output_depth_mm.as_deref());
    let answer = wire::json(&wire::simulate::Run::of(
        &run,
        found.as_ref().zip(wanted.as_ref()).map(|(found, wanted)| {
            wire::simulate::Found::of(found, wanted.piece + 1, (wanted.carbon, wanted.depth))
        }),
        &setup.carbon.composition,
        &depth_mm,
        &carbon_wt_pct,
        wall,
    ));
    let mut text = String::new();
    if let (Some(found), Some(wanted)) = (&found, &wanted) {
        text = format!(
            "Piece {} takes {} h (± {} h) for {} wt% at {} mm.\n\n",
            wanted.piece + 1,
            significant(found.duration.to_h(), 4),
            significant(found.doubt.to_h(), 1),
            format_trimmed(wanted.carbon.to_wt_pct(), 3),
            format_trimmed(wanted.depth.to_mm(), 3)
        );
    }
    text += &told(
        &run,
        &depth_mm,
        &carbon_wt_pct,
        setup.output_depth_mm.is_some(),
    );
    Ok(Answer::done(text, answer).with_diags(setup.notes, texts))
}

/// The profile at the depths asked for, or at the solver's own points.
fn at_depths(run: &CarbonRun, wanted_mm: Option<&[f64]>) -> (Vec<f64>, Vec<f64>) {
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
    for remark in &run.remarks {
        out.push_str(&hanging("▲ ", &remark.text));
    }
    if !run.sources.is_empty() {
        out.push_str(&hanging("Sources: ", &run.sources.join(", ")));
    }
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
