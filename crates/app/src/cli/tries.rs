//! `plan --try`: what comes of one change of the plan, side by side with the plan.

use casewright_job::note::reading::{HardnessRange, LengthRange};
use casewright_job::units;
use casewright_plan::study::{Trial, Try};
use casewright_plan::{Options, Study, Verdict};
use casewright_terms::{Diag, Length, Span, UnitSystem};

use super::{JobArgs, job, words};
use crate::answer::{Answer, Texts, Trouble};
use crate::show::number::depth_band;
use crate::show::table::{self, Column};
use crate::wire;
use crate::world;

/// What may be tried, with an example each.
const EXAMPLES: &str = "hours=7 h, temperature=900 °C, reheat=800 °C, temper=200 °C, tank=oil, \
                        stock=0.2 mm, depth=0.6-1.0 mm, surface=58-62 HRC or core=30-40 HRC";

/// Plans the job and tries each change of the plan by itself.
pub(crate) fn run(options: &JobArgs, typed: &[String]) -> Result<Answer, Trouble> {
    let tries = read_all(typed)?;
    let (spec, texts) = job::load(&options.job)?;
    let units = spec.units;
    let asked = Options {
        seed: options.seed,
        ..Options::USUAL
    };
    let study = world::with_bar("planning", |watch| Study::watched(&spec, asked, watch));
    let planned = study.as_planned().map_err(Trouble::input)?;
    let mut trials = Vec::new();
    let mut refused = Vec::new();
    for change in &tries {
        match study.change(change) {
            Ok(trial) => trials.push(trial),
            Err(diag) => refused.push(diag),
        }
    }
    if !refused.is_empty() {
        return Err(Trouble::Input {
            diags: refused,
            texts: Texts::default(),
        });
    }
    let json = wire::json(&wire::tries::Report::of(
        options.seed,
        &planned,
        &trials,
        &texts,
    ));
    Ok(Answer::done(text(&planned, &trials, units), json))
}

fn read_all(typed: &[String]) -> Result<Vec<Try>, Trouble> {
    let (mut tries, mut diags) = (Vec::new(), Vec::new());
    for one in typed {
        match read(one) {
            Ok(change) => tries.push(change),
            Err(diag) => diags.push(diag),
        }
    }
    if diags.is_empty() {
        Ok(tries)
    } else {
        Err(Trouble::Input {
            diags,
            texts: Texts::default(),
        })
    }
}

/// Reads `hours=7 h` and its like.
pub(crate) fn read(typed: &str) -> Result<Try, Diag> {
    let not_read = || {
        Diag::stop(
            "try-not-read",
            format!("\"{typed}\" is no change of a plan."),
        )
        .accepted(format!("Write what and its new value: {EXAMPLES}."))
    };
    let (what, value) = typed.split_once('=').ok_or_else(not_read)?;
    let value = value.trim();
    let heat = || words::temperature(value);
    Ok(match what.trim().to_lowercase().as_str() {
        "hours" | "soak" => Try::Soak(quantity::<Span>(value)?),
        "temperature" | "heat" => Try::Temperature(heat()?),
        "reheat" => Try::Reheat(heat()?),
        "temper" => Try::Temper(heat()?),
        "tank" | "quench" => Try::Tank(value.to_owned()),
        "stock" => Try::Stock(quantity::<Length>(value)?),
        "depth" => Try::Depth(depths(value)?),
        "surface" => Try::Surface(hardness(value)?),
        "core" => Try::Core(hardness(value)?),
        _ => return Err(not_read()),
    })
}

fn quantity<Q: units::Quantity>(typed: &str) -> Result<Q, Diag> {
    units::read::<Q>(typed)
        .map(|written| written.value)
        .map_err(|slip| *slip.diag)
}

/// Both ends of a range and the unit that stands behind the second; one value is the least.
fn ends(typed: &str) -> (String, Option<String>) {
    let Some((low, high)) = typed.split_once(['-', '–']) else {
        return (typed.trim().to_owned(), None);
    };
    let high = high.trim();
    let unit = high
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .map_or("", |at| &high[at..]);
    let low = low.trim();
    let bare = low
        .chars()
        .all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    let low = if bare {
        format!("{low}{unit}")
    } else {
        low.to_owned()
    };
    (low, Some(high.to_owned()))
}

fn depths(typed: &str) -> Result<LengthRange, Diag> {
    let (low, high) = ends(typed);
    let (min, max) = (
        quantity::<Length>(&low)?,
        high.as_deref().map(quantity::<Length>).transpose()?,
    );
    if max.is_some_and(|max| max < min) {
        return Err(upside_down(typed));
    }
    Ok(LengthRange {
        min: Some(min),
        max,
    })
}

fn hardness(typed: &str) -> Result<HardnessRange, Diag> {
    let (low, high) = ends(typed);
    let min = words::hardness(&low)?;
    let max = high.as_deref().map(words::hardness).transpose()?;
    let most = max.as_ref().map(|max| max.hardness.value);
    if most.is_some_and(|most| most < min.hardness.value) {
        return Err(upside_down(typed));
    }
    Ok(HardnessRange {
        scale: min.hardness.scale,
        force_kgf: min.force_kgf,
        min: Some(min.hardness.value),
        max: most,
    })
}

fn upside_down(typed: &str) -> Diag {
    Diag::stop(
        "try-upside-down",
        format!("\"{typed}\" ends below where it begins."),
    )
    .accepted("The least first, then the greatest.")
}

fn text(planned: &Trial, trials: &[Trial], units: UnitSystem) -> String {
    let columns: Vec<Column> = vec![
        table::words("what"),
        table::words("case, finished"),
        table::words("surface HV"),
        table::words("core HV"),
        table::numbers("austenite %"),
        table::numbers("furnace h"),
        table::numbers("chance %"),
        table::words("note"),
    ];
    let all = std::iter::once(planned).chain(trials);
    let rows: Vec<Vec<String>> = all.clone().map(|trial| row(trial, units)).collect();
    let mut out = table::text(&columns, &rows);
    out.push_str(
        "\nEach value with its 90 % band; all else as planned. Edges are not followed again.\n",
    );
    for trial in trials {
        out.push_str(&format!(
            "\n{}: {}\n",
            trial.what,
            moves(planned, trial, units)
        ));
        let known = |diag: &&Diag| planned.findings.iter().all(|was| was.code != diag.code);
        for diag in trial.findings.iter().filter(known) {
            out.push_str(&format!("  {}\n", diag.text()));
        }
        let gone = |diag: &&Diag| trial.findings.iter().all(|is| is.code != diag.code);
        for diag in planned.findings.iter().filter(gone) {
            out.push_str(&format!("  no longer: {}\n", diag.seen));
        }
    }
    out
}

fn row(trial: &Trial, units: UnitSystem) -> Vec<String> {
    let p = &trial.prediction;
    let case = p
        .case_depth_after_grind
        .map_or_else(|| "none".to_owned(), |band| depth_band(band, units));
    let hv = |band: casewright_terms::Band<casewright_terms::Vickers>| {
        let [mid, low, high] = [band.mid, band.low, band.high].map(|hv| hv.to_hv());
        format!("{mid:.0} ({low:.0} to {high:.0})")
    };
    vec![
        trial.what.clone(),
        case,
        hv(p.surface),
        hv(p.core),
        format!("{:.0}", p.retained_austenite_pct.mid),
        format!("{:.1}", trial.furnace_time.to_h()),
        percent(trial.chance_all),
        match trial.verdict {
            Verdict::CanBeMet => "can be met".to_owned(),
            Verdict::Marginal => "marginal".to_owned(),
            Verdict::CannotBeMet => "cannot be met".to_owned(),
        },
    ]
}

fn percent(chance: Option<f64>) -> String {
    chance.map_or_else(String::new, |chance| format!("{:.0}", 100.0 * chance))
}

/// What moves, in words.
fn moves(planned: &Trial, trial: &Trial, units: UnitSystem) -> String {
    let mut list = Vec::new();
    let depth = |t: &Trial| t.prediction.case_depth_after_grind.map(|band| band.mid);
    if let (Some(was), Some(is)) = (depth(planned), depth(trial)) {
        let by = is - was;
        let size = if by < Length::ZERO {
            Length::ZERO - by
        } else {
            by
        };
        if size.to_mm() >= 0.005 {
            let way = if by > Length::ZERO {
                "deeper"
            } else {
                "shallower"
            };
            list.push(format!("the case {} {way}", size.depth_text(units)));
        }
    }
    type Read = fn(&Trial) -> f64;
    let values: [(&str, &str, f64, Read); 4] = [
        ("the surface", " HV", 1.0, |t| {
            t.prediction.surface.mid.to_hv()
        }),
        ("the core", " HV", 1.0, |t| t.prediction.core.mid.to_hv()),
        ("austenite", " %", 1.0, |t| {
            t.prediction.retained_austenite_pct.mid
        }),
        ("the furnace", " h", 0.1, |t| t.furnace_time.to_h()),
    ];
    for (name, unit, least, read) in values {
        let by = read(trial) - read(planned);
        if by.abs() >= least {
            let digits = usize::from(least < 1.0);
            list.push(format!("{name} {by:+.digits$}{unit}"));
        }
    }
    if let (Some(was), Some(is)) = (planned.chance_all, trial.chance_all)
        && (is - was).abs() >= 0.01
    {
        list.push(format!(
            "the chance from {:.0} to {:.0} %",
            100.0 * was,
            100.0 * is
        ));
    }
    if list.is_empty() {
        "nothing moves that could be told".to_owned()
    } else {
        list.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use casewright_terms::Temperature;

    #[test]
    fn changes_are_read_as_people_type_them() {
        assert_eq!(read("hours=7 h"), Ok(Try::Soak(Span::from_h(7.0))));
        assert_eq!(
            read("reheat = 800 °C"),
            Ok(Try::Reheat(Temperature::from_c(800.0)))
        );
        assert_eq!(read("tank=oil"), Ok(Try::Tank("oil".to_owned())));
        let Ok(Try::Depth(depth)) = read("depth=0.6-1.0 mm") else {
            panic!("a depth");
        };
        let mm = |length: Option<Length>| length.map_or(f64::NAN, Length::to_mm);
        assert!((mm(depth.min) - 0.6).abs() < 1e-12 && (mm(depth.max) - 1.0).abs() < 1e-12);
        let Ok(Try::Surface(surface)) = read("surface=58-62 HRC") else {
            panic!("a hardness");
        };
        assert_eq!((surface.min, surface.max), (Some(58.0), Some(62.0)));
    }

    #[test]
    fn what_is_no_change_is_refused() {
        for (typed, code) in [
            ("hours", "try-not-read"),
            ("colour=red", "try-not-read"),
            ("depth=1.0-0.6 mm", "try-upside-down"),
            ("surface=62-58 HRC", "try-upside-down"),
            ("reheat=800", "temperature-without-unit"),
        ] {
            assert_eq!(read(typed).expect_err(typed).code, code, "{typed}");
        }
    }
}
