//! `simulate` for packed boxes: when each part is hot, and how cold the door side stays; and what
//! the log of a buried couple says about the bed.

use std::path::Path;

use casewright_physics::model::box_heat::Prior;
use casewright_physics::run::{BoxRun, Failure, HotBand, LoggedBed, Watched};
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

/// Learns the bed of a setup of packed boxes from the log of a buried couple.
pub(super) fn learn(
    name: &str,
    text: &str,
    log: &Path,
    at: Option<&str>,
) -> Result<Answer, Trouble> {
    let mut texts = Texts::one(name, text);
    let input = |diags, texts: &Texts| Trouble::Input {
        diags,
        texts: texts.clone(),
    };
    if !setup_file::is_packed(text) {
        let diag = Diag::stop("couple-without-box", "A couple's log was given, and the setup has no packed box.")
            .accepted("A setup with `[box]`, as in examples/setups/box.toml, with the couple among its `couples`.");
        return Err(input(vec![diag], &texts));
    }
    let setup = setup_file::read_packed(name, text).map_err(|diags| input(diags, &texts))?;
    let log_name = log.display().to_string();
    let log_text = world::read_text(log).map_err(|diag| input(vec![diag], &texts))?;
    texts.add(log_name.as_str(), log_text.as_str());
    let read =
        setup_file::log::read(&log_name, &log_text, None).map_err(|diags| input(diags, &texts))?;
    let (box_mark, couple) = place(&setup, at).map_err(|diag| input(vec![diag], &texts))?;
    let coarse = BoxSetup {
        detail: BoxDetail::Coarse,
        ..setup.clone()
    };
    let (outcome, wall) = world::timed(|| {
        world::with_progress("heating the boxes with eleven beds", || {
            simulate::bed_from_log(
                &coarse,
                &Prior::unmeasured(),
                (&box_mark, &couple),
                &read.readings(),
            )
        })
    });
    let learnt = outcome.map_err(|failure| match failure {
        Failure::Setup { what } => input(vec![setup_file::refused(name, &what)], &texts),
        other => Trouble::Numbers(other),
    })?;
    let lines = shop_lines(&learnt);
    let json = wire::json(&wire::packed::Learnt::of(&learnt, &couple, &lines, wall));
    Ok(Answer::done(learnt_told(&learnt, &couple, &lines), json).with_diags(read.notes, texts))
}

/// The couple that the log is of: the one named, or the only one there is.
fn place(setup: &BoxSetup, at: Option<&str>) -> Result<(String, String), Diag> {
    let all: Vec<(&str, &str)> = setup
        .boxes
        .iter()
        .flat_map(|packed| {
            packed
                .probes
                .iter()
                .map(|p| (packed.mark.as_str(), p.mark.as_str()))
        })
        .collect();
    let names: Vec<String> = all
        .iter()
        .map(|(_, couple)| format!("`{couple}`"))
        .collect();
    let mut found = all
        .iter()
        .filter(|(_, couple)| at.is_none_or(|wanted| wanted == *couple));
    match (found.next(), found.next()) {
        (Some((mark, couple)), None) => Ok(((*mark).to_owned(), (*couple).to_owned())),
        (None, _) if all.is_empty() => Err(Diag::stop(
            "no-couple",
            "The setup has no couple that the log could be of.",
        )
        .accepted("`couples = [{ mark = \"buried couple\", at_mm = [x, y, z] }]` in the box.")),
        _ => Err(Diag::stop(
            "which-couple",
            "Which couple of the setup the log is of is not clear.",
        )
        .why("Every place in the box heats in its own way; a wrong one makes the bed wrong.")
        .accepted(format!(
            "`--at` with one of {}; marks that are all different.",
            names.join(", ")
        ))),
    }
}

/// The two lines for the `[[box]]` of the shop file. The doubt is the wider of both sides.
fn shop_lines(learnt: &LoggedBed) -> [String; 2] {
    let Band { low, mid, high } = learnt.factor;
    let doubt = f64::max(high / mid, mid / low) - 1.0;
    [
        format!("bed_factor = \"{:.0} %\"", mid * 100.0),
        format!("bed_doubt = \"{:.0} %\"", (doubt * 100.0).max(1.0).ceil()),
    ]
}

fn learnt_told(learnt: &LoggedBed, couple: &str, lines: &[String; 2]) -> String {
    let Band { low, mid, high } = learnt.factor;
    let hot = learnt.hot_after;
    let moved = learnt.moved;
    let (by, side) = if moved < Span::ZERO {
        (-moved, "earlier")
    } else {
        (moved, "later")
    };
    let mut out = format!(
        "By the log of {couple} the bed conducts {mid:.2} ({low:.2} to {high:.2}) of what is estimated for it.\nThe pack was hot after {} ({} to {}), {} {side} than the setup believed.\nThe log is met to {:.1} K.\n\nFor the [[box]] of the shop file, for this compound packed in this way:\n\n  {}\n  {}\n\n",
        hot.mid.text(),
        hot.low.text(),
        hot.high.text(),
        by.text(),
        learnt.left_over.to_k(),
        lines[0],
        lines[1]
    );
    for remark in &learnt.remarks {
        out += &hanging("▲ ", &remark.text);
    }
    out
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
