//! `steel`: what the engine says about one steel.

use std::path::{Path, PathBuf};

use casewright_physics::equilibrium;
use casewright_physics::law::hardness_conversion::scale_of;
use casewright_physics::matter::steel::{self, SteelRecord};
use casewright_physics::model::jominy::{EndQuenchPoint, GRAIN_NUMBER};
use casewright_physics::model::steel_card::{SteelCard, steel_card};
use casewright_physics::run::{Failure, TransformationCurves};
use casewright_physics::setup::CurvesSetup;
use casewright_physics::simulate;
use casewright_report::figure;
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{
    Composition, Diag, Element, Remark, Scale, Severity, Temperature, UnitSystem, WeightPercent,
};
use clap::Args;

use super::words;
use crate::answer::{Answer, Texts, Trouble};
use crate::setup_file::unknown_grade;
use crate::show::table;
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Reheat of a plain case, 1450 °F [trade-practice]: where the card looks if nothing is said.
pub(crate) const AT_DEFAULT: &str = "1450F";
/// Carbon of a usual case [trade-practice]: what the card speaks of if nothing is said.
pub(crate) const CARBON_DEFAULT_WT_PCT: &str = "0.80";

/// Where the austenite of the curves is dissolved, in °C: the usual heat of the box, 1700 °F
/// [trade-practice].
pub(crate) const CURVES_FROM_C: f64 = 927.0;

/// Options of `steel`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The grade, by any of its names; it stands for the middle of its range.
    #[arg(value_name = "GRADE", required_unless_present = "composition", num_args = 1..)]
    grade: Vec<String>,
    /// The chemistry in weight percent instead, as in "C=0.18 Mn=0.75".
    #[arg(long, value_name = "LIST", conflicts_with = "grade")]
    composition: Option<String>,
    /// Carbon of the case, in weight percent.
    #[arg(long, value_name = "WT_PCT", default_value = CARBON_DEFAULT_WT_PCT, allow_hyphen_values = true)]
    carbon: String,
    /// Temperature at which phases and carbon activity are given, with its unit.
    #[arg(long, value_name = "TEMPERATURE", default_value = AT_DEFAULT, allow_hyphen_values = true)]
    at: String,
    /// A sub-zero treatment of the case after its quench, as in -75C: what it leaves.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    cold: Option<String>,
    /// Wait between the quench and the cold, with its unit.
    #[arg(long, value_name = "TIME", default_value = super::steel_cold::WAIT_DEFAULT, requires = "cold", allow_hyphen_values = true)]
    wait: String,
    /// Draws the transformation curves of austenite with that carbon into this file.
    #[arg(long, value_name = "FILE.svg")]
    curves: Option<PathBuf>,
}

/// Makes the card.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let mut diags = Vec::new();
    let carbon = words::carbon(&options.carbon)
        .and_then(dissolved)
        .map_err(|diag| diags.push(diag))
        .ok();
    let at = words::temperature(&options.at)
        .and_then(tabulated)
        .map_err(|diag| diags.push(diag))
        .ok();
    let named = match &options.composition {
        Some(list) => words::composition(list)
            .map(|composition| (composition, None))
            .map_err(|found| diags.extend(found))
            .ok(),
        None => graded(&options.grade.join(" "))
            .map_err(|diag| diags.push(diag))
            .ok(),
    };
    let treatment = options
        .cold
        .as_deref()
        .map(|cold| super::steel_cold::read(cold, &options.wait))
        .transpose()
        .map_err(|found| diags.extend(found))
        .ok();
    let (Some(carbon), Some(at), Some((composition, grade)), Some(treatment)) =
        (carbon, at, named, treatment)
    else {
        return Err(Trouble::Input {
            diags,
            texts: Texts::default(),
        });
    };
    let mut card = world::with_progress("computing equilibria and the end-quench bar", || {
        steel_card(&composition, Some(carbon), at)
    });
    let curves = simulate::curves(&CurvesSetup {
        composition,
        carbon,
        grain_number: GRAIN_NUMBER,
        from: Temperature::from_c(CURVES_FROM_C),
    });
    if let Err(failure) = &curves {
        card.remarks
            .push(Remark::new("curves-not-known", failure.to_string()));
    }
    let drawn = match &options.curves {
        Some(path) => Some(draw(
            path,
            &name_of(&composition, grade),
            &curves,
            &card.remarks,
        )?),
        None => None,
    };
    let cold = treatment
        .map(|treatment| super::steel_cold::treat(&composition.with_carbon(carbon), treatment))
        .transpose()?;
    let json = wire::json(&wire::steel::Card::of(
        &card,
        grade,
        curves.as_ref().ok(),
        cold.as_ref(),
    ));
    let mut text = told(&card, grade);
    if let Some(cold) = &cold {
        text.push_str(&super::steel_cold::told(cold, carbon));
    }
    if let Some(drawn) = drawn {
        text.push_str(&drawn);
    }
    Ok(Answer::done(text, json))
}

/// Draws the curves; gives the line that says where.
fn draw(
    path: &Path,
    name: &str,
    curves: &Result<TransformationCurves, Failure>,
    said: &[Remark],
) -> Result<String, Trouble> {
    let curves = curves.as_ref().map_err(|failure| Trouble::Input {
        diags: vec![
            Diag::stop(
                "curves-not-known",
                format!("The curves cannot be drawn. {failure}."),
            )
            .why("A picture of something else would mislead the quench.")
            .accepted("A low-alloy steel with up to 2.1 wt% carbon."),
        ],
        texts: Texts::default(),
    })?;
    let svg = figure::transformation(name, curves, UnitSystem::Metric);
    world::write_file(path, svg.as_bytes())?;
    let mut text = String::new();
    for remark in curves
        .remarks
        .iter()
        .filter(|remark| !said.contains(remark))
    {
        text.push_str(&hanging("▲ ", &remark.text));
    }
    text.push_str(&format!("Curves drawn to {}\n", path.display()));
    Ok(text)
}

pub(crate) fn name_of(composition: &Composition, grade: Option<&SteelRecord>) -> String {
    grade.map_or_else(
        || {
            let parts: Vec<String> = composition
                .present()
                .filter(|(element, _)| *element != Element::C)
                .map(|(element, content)| {
                    format!(
                        "{} {}",
                        format_trimmed(content.to_wt_pct(), 2),
                        element.symbol()
                    )
                })
                .collect();
            format!("Steel of {}", parts.join(", "))
        },
        |record| record.name.clone(),
    )
}

/// Carbon that the phases can be computed with.
pub(crate) fn dissolved(carbon: WeightPercent) -> Result<WeightPercent, Diag> {
    let most = equilibrium::most_carbon();
    if carbon <= most {
        return Ok(carbon);
    }
    Err(Diag::stop(
        "carbon-outside-assessment",
        format!(
            "{} wt% is no carbon of a case.",
            format_trimmed(carbon.to_wt_pct(), 3)
        ),
    )
    .why("Austenite dissolves no more than 2.1 wt%, and the Gibbs energies are assessed to there.")
    .accepted(format!(
        "0 to {} wt% is taken; a usual case has 0.7 to 1.0.",
        format_trimmed(most.to_wt_pct(), 2)
    )))
}

/// A temperature that the phases can be computed at.
pub(crate) fn tabulated(at: Temperature) -> Result<Temperature, Diag> {
    let (low, high) = equilibrium::temperature_range();
    if (low..=high).contains(&at) {
        return Ok(at);
    }
    Err(Diag::stop(
        "temperature-outside-assessment",
        format!("{} lies outside the Gibbs energies.", both(at)),
    )
    .why("Phases and carbon activity there would be made up.")
    .accepted(format!("{} to {} is taken.", both(low), both(high))))
}

pub(crate) fn graded(written: &str) -> Result<(Composition, Option<&'static SteelRecord>), Diag> {
    match steel::find(written) {
        Some(record) => Ok((record.middle(), Some(record))),
        None => {
            let near: Vec<String> = steel::near(written)
                .iter()
                .map(ToString::to_string)
                .collect();
            Err(unknown_grade(written, &near))
        }
    }
}

/// The card for a person.
fn told(card: &SteelCard, grade: Option<&SteelRecord>) -> String {
    let mut out = String::new();
    if let Some(record) = grade {
        out.push_str(&head(record));
    }
    let contents: Vec<String> = card
        .composition
        .present()
        .map(|(element, content)| {
            format!(
                "{} {}",
                element.symbol(),
                format_trimmed(content.to_wt_pct(), 4)
            )
        })
        .collect();
    out.push_str(&hanging("Chemistry, wt%: ", &contents.join(", ")));
    out.push('\n');
    out.push_str(&temperatures(card));
    out.push('\n');
    out.push_str(&phases(card));
    out.push_str(&jominy(card));
    if !card.cross_checks.is_empty() {
        out.push_str("\nFormulas of the literature beside these\n");
        for check in &card.cross_checks {
            out.push_str(&format!(
                "  {}  {}  {}\n",
                label(check.quantity),
                check.value.map_or_else(|| "–".to_owned(), both),
                check.name
            ));
        }
    }
    for remark in &card.remarks {
        out.push_str(&hanging("▲ ", &remark.text));
    }
    out
}

fn head(record: &SteelRecord) -> String {
    let mut out = format!(
        "{} ({}), {}",
        record.name,
        record.system,
        record.class.word()
    );
    if !record.aliases.is_empty() {
        out.push_str(&format!("; also {}", record.aliases.join(", ")));
    }
    let mut out = hanging("", &out);
    out.push_str(&hanging(
        "Quench: ",
        if record.quench_note.is_empty() {
            record.quench.word()
        } else {
            &record.quench_note
        },
    ));
    for warning in &record.warnings {
        let mark = match warning.severity {
            Severity::Stop => "■ ",
            Severity::Warn => "▲ ",
            Severity::Note => "  ",
        };
        out.push_str(&hanging(mark, &warning.text));
    }
    out
}

fn temperatures(card: &SteelCard) -> String {
    let carbon = format_trimmed(card.at_carbon.to_wt_pct(), 3);
    let rows: Vec<Vec<String>> = [
        (label("ae1"), card.ae1),
        (label("ae1_10pct"), card.ae1_10pct),
        (label("carbide_gone"), card.carbide_gone),
        (label("ae3"), card.ae3),
        (
            format!("last carbide gone at {carbon} wt% C (Acm)"),
            card.acm,
        ),
        (
            format!("martensite starts, {carbon} wt% C dissolved (Ms)"),
            card.ms,
        ),
    ]
    .into_iter()
    .map(|(what, value)| vec![what, value.map_or_else(|| "not known".into(), both)])
    .collect();
    table::text(&[table::words("temperature"), table::words("")], &rows)
}

fn phases(card: &SteelCard) -> String {
    let carbon = format_trimmed(card.at_carbon.to_wt_pct(), 3);
    let mut out = format!("At {} with {carbon} wt% C\n", both(card.at));
    for phase in &card.phases {
        out.push_str(&format!(
            "  {:<10} {:>6.2} mol%, holding {} wt% C\n",
            phase.name,
            phase.mole_fraction.to_pct(),
            format_trimmed(phase.carbon.to_wt_pct(), 3)
        ));
    }
    if let Some(activity) = card.carbon_activity {
        out.push_str(&format!(
            "  carbon activity against graphite {activity:.3}\n"
        ));
    }
    if let Some(kept) = card.retained_austenite {
        out.push_str(&format!(
            "Austenite kept after a quench to 25 °C (77 °F) with all of it dissolved: {:.0} %\n",
            kept.to_pct()
        ));
    } else {
        out.push_str("Austenite kept after a quench to 25 °C (77 °F): –\n");
    }
    out
}

fn jominy(card: &SteelCard) -> String {
    if card.jominy.is_empty() {
        return "\nEnd-quench (Jominy) hardness of the core's steel: –\n".to_owned();
    }
    let a255 = |point: &EndQuenchPoint| {
        card.jominy_a255
            .iter()
            .find(|known| (known.distance().to_mm() - point.distance.to_mm()).abs() < 0.1)
            .map_or_else(String::new, |known| {
                known
                    .hrc
                    .map_or_else(|| "under 20 HRC".to_owned(), |hrc| format!("{hrc:.0} HRC"))
            })
    };
    let rows: Vec<Vec<String>> = card
        .jominy
        .iter()
        .enumerate()
        .map(|(i, point)| {
            vec![
                format!("{:.1}", point.distance.to_mm()),
                format!("{:.3}", point.distance.to_in()),
                format!("{:.1}", point.rate_k_s),
                hardness(point),
                card.jominy_case.get(i).map_or_else(String::new, hardness),
                a255(point),
            ]
        })
        .collect();
    let mut heads = vec![
        table::numbers("mm"),
        table::numbers("in"),
        table::numbers("K/s"),
        table::words("this steel"),
        table::words("case"),
        table::words("ASTM A255"),
    ];
    let mut rows = rows;
    for (column, there) in [
        (5, !card.jominy_a255.is_empty()),
        (4, !card.jominy_case.is_empty()),
    ] {
        if !there {
            heads.remove(column);
            rows.iter_mut().for_each(|row| {
                row.remove(column);
            });
        }
    }
    let drawn = table::text(&heads, &rows);
    let case = if card.jominy_case.is_empty() {
        String::new()
    } else {
        format!(
            "; case: {} wt% C all through",
            format_trimmed(card.at_carbon.to_wt_pct(), 3)
        )
    };
    format!("\nEnd-quench (Jominy) hardness, with the rate at 700 °C (1292 °F){case}\n{drawn}")
}

/// On the C scale, or on the B scale where the C scale does not reach.
pub(crate) fn hardness(point: &EndQuenchPoint) -> String {
    match (point.hrc, scale_of(point.hardness, Scale::Hrb)) {
        (Some(hrc), _) => format!("{hrc:.0} HRC"),
        (None, Some(hrb)) => format!("{hrb:.0} HRB"),
        (None, None) => format!("{:.0} HV", point.hardness.to_hv()),
    }
}

fn both(temperature: Temperature) -> String {
    temperature.text_both(UnitSystem::Metric)
}

/// A quantity of the card in words.
pub(crate) fn label(quantity: &str) -> String {
    match quantity {
        "ae1" => "first austenite on heating (Ae1)",
        "ae1_10pct" => "austenite passes 10 mol%",
        "carbide_gone" => "last carbide gone at the core's carbon",
        "ae3" => "last ferrite gone (Ae3)",
        "acm" => "last carbide gone in the case (Acm)",
        "ms" => "martensite starts (Ms)",
        other => other,
    }
    .to_owned()
}
