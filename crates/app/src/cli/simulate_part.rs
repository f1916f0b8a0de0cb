//! `simulate` of one part's quench or reheat, and the logs that a setup names.

use std::path::Path;

use casewright_physics::law::hardness_conversion::hrc_of;
use casewright_physics::run::{Failure, QuenchPartRun, ReheatRun};
use casewright_physics::setup::{Cover, QuenchBody};
use casewright_physics::simulate;
use casewright_terms::{Diag, Remark};

use super::job;
use crate::answer::{Answer, Texts, Trouble};
use crate::setup_file::log::{Logs, named};
use crate::setup_file::part::{self, Asked};
use crate::setup_file::{self};
use crate::show::number::significant;
use crate::show::table::{self, numbers};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Lines of the table for a person where the setup names no depths.
const LINES_SHOWN: usize = 25;

/// Reads the logs that a setup names, from beside it; their texts join the others.
pub(crate) fn logs(setup: &Path, text: &str, texts: &mut Texts) -> Logs {
    let beside = setup.parent().unwrap_or(Path::new(""));
    let mut logs = Logs::new();
    for name in named(text) {
        let read = world::read_text(&beside.join(&name));
        if let Ok(log) = &read {
            texts.add(name.as_str(), log.as_str());
        }
        logs.insert(name, read);
    }
    logs
}

/// Runs the setup when it is about one part.
pub(crate) fn run(
    asked: Asked,
    path: &Path,
    text: &str,
    logs: Logs,
    texts: Texts,
) -> Result<Answer, Trouble> {
    let name = path.display().to_string();
    let input = |diags: Vec<Diag>| Trouble::Input {
        diags,
        texts: texts.clone(),
    };
    let failed = |failure: Failure| match failure {
        Failure::Setup { what } => input(vec![setup_file::refused(&name, &what)]),
        other => Trouble::Numbers(other),
    };
    match asked {
        Asked::Quench => {
            let read = part::quench(&name, text, &job::grade).map_err(input)?;
            let (outcome, wall) = world::timed(|| {
                world::with_progress("quenching", || simulate::quench_part(&read.setup))
            });
            let run = outcome.map_err(failed)?;
            let steel = &read.setup.composition;
            let json = wire::json(&wire::part::Quench::of(&run, steel, wall));
            let bar = matches!(read.setup.body, QuenchBody::Bar { .. });
            Ok(Answer::done(quench_told(&run, bar), json).with_diags(read.notes, texts))
        }
        Asked::Reheat => {
            let read = part::reheat(&name, text, &job::grade, logs).map_err(input)?;
            let (outcome, wall) = world::timed(|| {
                world::with_progress("heating the part", || simulate::reheat(&read.setup))
            });
            let run = outcome.map_err(failed)?;
            let profile = wire::part::Profile::of(&run, read.depths_mm.as_deref());
            let steel = &read.setup.composition;
            let json = wire::json(&wire::part::Reheat::of(&run, &profile, steel, wall));
            let all = read.depths_mm.is_some();
            let text = reheat_told(&run, &profile, read.setup.cover, all);
            Ok(Answer::done(text, json).with_diags(read.notes, texts))
        }
    }
}

fn quench_told(run: &QuenchPartRun, bar: bool) -> String {
    let known = |value: Option<f64>, digits| {
        value.map_or_else(|| "–".to_owned(), |value| significant(value, digits))
    };
    let rows: Vec<Vec<String>> = run
        .places
        .iter()
        .map(|place| {
            let mut row = vec![format!("{:.3}", place.at.x.to_mm())];
            if bar {
                row.push(format!("{:.3}", place.at.y.to_mm()));
            }
            row.extend([
                format!("{:.2}", place.carbon_wt_pct),
                format!("{:.0}", place.entering.to_c()),
                known(place.rate_at_700_k_s, 3),
                known(place.cooling_800_500.map(|span| span.to_s()), 3),
                format!("{:.0}", 100.0 * place.phases.martensite),
                format!("{:.0}", 100.0 * place.phases.retained_austenite),
                format!("{:.0}", 100.0 * place.phases.bainite),
                format!("{:.0}", place.hardness.to_hv()),
                hrc_of(place.hardness).map_or_else(|| "–".to_owned(), |hrc| format!("{hrc:.0}")),
            ]);
            row
        })
        .collect();
    let mut columns = vec![numbers(if bar { "x, mm" } else { "depth, mm" })];
    if bar {
        columns.push(numbers("y, mm"));
    }
    columns.extend(
        [
            "carbon, wt%",
            "enters at, °C",
            "rate at 700 °C, K/s",
            "800 to 500 °C, s",
            "martensite, %",
            "austenite, %",
            "bainite, %",
            "HV",
            "HRC",
        ]
        .map(numbers),
    );
    let mut out = table::text(&columns, &rows);
    if let Some(bath) = &run.bath {
        out.push_str(&format!(
            "\nBath: rises by {} K to {} °C when nothing is lost; {} L for each kg that goes in hot",
            significant(bath.rise.to_k(), 3),
            significant(bath.after.to_c(), 3),
            significant(bath.litres_per_kg, 3)
        ));
        if let Some(under) = bath.under_flash {
            out.push_str(&format!(
                "; {} K under the flash point",
                significant(under.to_k(), 3)
            ));
        }
        out.push('\n');
    }
    out.push_str(&format!(
        "\nHeat to the bath: {} kJ per kg of part; balance error {}; {} steps\n",
        significant(run.heat_to_bath_j_kg / 1e3, 4),
        significant(run.balance_error, 2),
        run.steps
    ));
    with_remarks(out, &run.remarks, &run.sources)
}

fn reheat_told(run: &ReheatRun, profile: &wire::part::Profile, cover: Cover, all: bool) -> String {
    let step = if all {
        1
    } else {
        profile.depth_mm.len().div_ceil(LINES_SHOWN).max(1)
    };
    let rows: Vec<Vec<String>> = (0..profile.depth_mm.len())
        .step_by(step)
        .map(|i| {
            vec![
                format!("{:.3}", profile.depth_mm[i]),
                format!("{:.4}", profile.before_wt_pct[i]),
                format!("{:.4}", profile.carbon_wt_pct[i]),
            ]
        })
        .collect();
    let mut out = String::new();
    if let Some(heating) = &run.heating {
        out.push_str(&match run.soaked_after {
            Some(span) => format!(
                "Hot through (within 5 K) after {} min; ",
                significant(span.to_min(), 3)
            ),
            None => "Not hot through (within 5 K) in this cycle; ".to_owned(),
        });
        out.push_str(&format!(
            "heat balance error {}\n",
            significant(heating.balance_error, 2)
        ));
    }
    out.push_str(&format!(
        "Above Ac1 for {} min\n\n",
        significant(run.above_ac1.to_min(), 3)
    ));
    out.push_str(&table::text(
        &[
            numbers("depth, mm"),
            numbers("before, wt%"),
            numbers("after, wt%"),
        ],
        &rows,
    ));
    if cover == Cover::Bare {
        out.push_str(&format!(
            "\nScaled off: {} µm per side; carbon falls to the air from {} mm outward; {} g/m² of carbon lost\n",
            significant(run.scaled.to_mm() * 1e3, 2),
            significant(run.poor_to.to_mm(), 2),
            significant(run.carbon_lost_g_m2, 3)
        ));
    }
    out.push_str(&format!(
        "Carbon balance error {}\n",
        significant(run.carbon_balance_error, 2)
    ));
    with_remarks(out, &run.remarks, &run.sources)
}

fn with_remarks(mut out: String, remarks: &[Remark], sources: &[&'static str]) -> String {
    for remark in remarks {
        out.push_str(&hanging("▲ ", &remark.text));
    }
    if !sources.is_empty() {
        out.push_str(&hanging("Sources: ", &sources.join(", ")));
    }
    out
}
