//! `simulate`: carbon in the steel over a temperature cycle.

use std::path::PathBuf;

use casewright_physics::numerics::interpolate;
use casewright_physics::run::{CarbonRun, Failure};
use casewright_physics::simulate;
use clap::Args;

use super::job;
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
}

/// Runs the setup.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let text = world::read_text(&options.setup).map_err(Trouble::input)?;
    let name = options.setup.display().to_string();
    let texts = Texts::one(name.as_str(), text.as_str());
    let input = |diags| Trouble::Input {
        diags,
        texts: texts.clone(),
    };
    let setup = setup_file::read(&name, &text, &job::grade).map_err(input)?;
    let (outcome, wall) = world::timed(|| {
        world::with_progress("following the carbon", || simulate::carbon(&setup.carbon))
    });
    let run = outcome.map_err(|failure| match failure {
        Failure::Setup { what } => input(vec![setup_file::refused(&name, &what)]),
        other => Trouble::Numbers(other),
    })?;
    let (depth_mm, carbon_wt_pct) = at_depths(&run, setup.output_depth_mm.as_deref());
    let answer = wire::json(&wire::simulate::Run::of(
        &run,
        &setup.carbon.composition,
        &depth_mm,
        &carbon_wt_pct,
        wall,
    ));
    let told = told(
        &run,
        &depth_mm,
        &carbon_wt_pct,
        setup.output_depth_mm.is_some(),
    );
    Ok(Answer::done(told, answer).with_diags(setup.notes, texts))
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
