//! `simulate` for packed boxes: when each part is hot, and how cold the door side stays.

use casewright_physics::model::box_heat::Prior;
use casewright_physics::run::{BoxRun, Failure, HotBand, Watched};
use casewright_physics::setup::{BoxDetail, BoxSetup};
use casewright_physics::simulate;
use casewright_terms::{Band, Diag, Span};

use crate::answer::{Answer, Texts, Trouble};
use crate::setup_file;
use crate::show::number::significant;
use crate::show::table::{self, numbers, words};
use crate::show::wrap::hanging;
use crate::{wire, world};

/// Reads and runs a setup of packed boxes.
pub(super) fn run(name: &str, text: &str, carbon_only: bool) -> Result<Answer, Trouble> {
    let texts = Texts::one(name, text);
    let input = |diags| Trouble::Input {
        diags,
        texts: texts.clone(),
    };
    if carbon_only {
        return Err(input(vec![
            Diag::stop(
                "map-of-boxes",
                "A setup of packed boxes has no section to draw.",
            )
            .accepted("Leave out `--map`."),
        ]));
    }
    let setup = setup_file::read_packed(name, text).map_err(input)?;
    let (outcome, wall) = world::timed(|| {
        world::with_progress("heating the boxes", || {
            let run = simulate::packed_boxes(&setup)?;
            let band = band(&setup, &run)?;
            Ok((run, band))
        })
    });
    let (run, band) = outcome.map_err(|failure| match failure {
        Failure::Setup { what } => input(vec![setup_file::refused(name, &what)]),
        other => Trouble::Numbers(other),
    })?;
    let answer = wire::json(&wire::packed::Boxes::of(&run, &band, wall));
    Ok(Answer::done(told(&run, &band), answer))
}

/// The band by coarse runs, about the time of the run itself.
fn band(setup: &BoxSetup, run: &BoxRun) -> Result<HotBand, Failure> {
    let coarse = BoxSetup {
        detail: BoxDetail::Coarse,
        ..setup.clone()
    };
    let mut band = simulate::hot_band(&coarse, &Prior::unmeasured())?;
    let mid = run.hot_after;
    let scale = mid.to_s() / band.hot_after.mid.to_s();
    band.hot_after = Band {
        mid,
        ..band.hot_after.map(|t| Span::from_s(t.to_s() * scale))
    };
    Ok(band)
}

fn told(run: &BoxRun, band: &HotBand) -> String {
    let hot = band.hot_after;
    let mut out = format!(
        "The pack is hot after {} ({} to {}); the soak ends after {}, the cycle after {}.\n\n",
        hot.mid.text(),
        hot.low.text(),
        hot.high.text(),
        run.soak_ends.text(),
        run.ends.text()
    );
    let line = |watched: &Watched| {
        let hours = |t: Option<Span>| t.map_or_else(|| "never".to_owned(), Span::text);
        vec![
            watched.box_mark.clone(),
            watched.mark.clone(),
            hours(watched.settled),
            hours(watched.at_set),
            format!("{:.1}", watched.soaked.to_c()),
        ]
    };
    let parts = run.parts.iter().map(|part| &part.mean);
    let rows: Vec<Vec<String>> = parts.chain(&run.probes).map(line).collect();
    out += &table::text(
        &[
            words("box"),
            words("place"),
            numbers("settled after"),
            numbers("at set after"),
            numbers("end of soak, °C"),
        ],
        &rows,
    );
    if let (Some(cold), Some(hot)) = (run.coldest, run.hottest) {
        let (cold, hot) = (&run.parts[cold].mean, &run.parts[hot].mean);
        out += &format!(
            "\nColdest part {} and hottest part {} differ by {:.1} K at the end of the soak.\n",
            cold.mark,
            hot.mark,
            (hot.soaked - cold.soaked).to_k()
        );
    }
    out += &format!(
        "\n{} kWh of current; {} kWh in the boxes at the end of the soak; full power for {}\n",
        significant(run.work_kwh, 3),
        significant(run.heat_in_boxes_kwh, 3),
        run.full_power.text()
    );
    for (name, shift) in &band.doubts {
        out += &format!("Doubt about the {name}: {}\n", shift.text());
    }
    out += &format!(
        "{} cells, {} steps; time to heat good to {} % for what was assumed; balance error {}\n",
        run.cells,
        run.steps,
        significant(run.numerical_error.to_ratio() * 100.0, 2),
        significant(run.balance_error, 2)
    );
    for remark in &run.remarks {
        out += &hanging("▲ ", &remark.text);
    }
    out += &hanging("Sources: ", &run.sources.join(", "));
    out
}
