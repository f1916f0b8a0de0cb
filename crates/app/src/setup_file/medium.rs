//! Reads media: compound, gas, salt, low pressure. What a medium itself refuses is told here, at
//! its place in the text.

use std::ops::RangeInclusive;

use casewright_physics::law::surface_transfer::PackEnergiser;
use casewright_physics::medium::{
    Gas, GasControl, LowPressure, MediumSetup, Pack, Pulse, Salt, SaltKind, pulses,
};
use casewright_physics::setup::Surface;
use casewright_terms::{
    CarbonFlux, Diag, Fraction, Span, Temperature, TransferCoefficient, WeightPercent,
};
use toml::Spanned;
use toml::de::DeValue;

use super::walk::{Table, Walk, listed};
use super::{CARBON_WT_PCT, COEFFICIENT_M_S, HOURS, TEMPERATURE_C};

/// From nothing to all of it.
const PERCENT: RangeInclusive<f64> = 0.0..=100.0;
/// Wider than the formula of the vapour pressure, which has its own say.
const DEW_POINT_C: RangeInclusive<f64> = -90.0..=95.0;
/// From no voltage to more than any furnace gas gives.
const PROBE_MV: RangeInclusive<f64> = 0.0..=2000.0;
/// A boost gives some hundreds at its start.
const FLUX_G_M2_H: RangeInclusive<f64> = 0.0..=2000.0;
/// A boost or a diffuse of more than two days is a slip.
const MINUTES: RangeInclusive<f64> = 0.0..=3000.0;
/// More than any recipe has.
const MOST_PULSES: usize = 500;
/// 1400 °F: gas that burns is let into a furnace above it only (common practice).
const GAS_ABOVE_C: f64 = 760.0;

/// The media of a setup file.
pub(super) const KINDS: [&str; 4] = ["compound", "gas", "salt", "low-pressure"];

/// Reads the medium of that kind.
pub(super) fn read<'t>(
    walk: &mut Walk<'t>,
    table: Table<'t>,
    kind: &str,
    notes: &mut Vec<Diag>,
) -> Option<Surface> {
    let (medium, list) = match kind {
        "compound" => (compound(walk, table)?, None),
        "gas" => (gas(walk, table, notes)?, None),
        "salt" => (salt(walk, table)?, None),
        _ => {
            let (medium, after, list) = low_pressure(walk, table, notes)?;
            (medium, Some((after, list)))
        }
    };
    if let Err(refusal) = medium.medium().check() {
        let text = refusal.to_string();
        let (seen, accepted) = text.rsplit_once("; ").unwrap_or((&text, ""));
        walk.complain(
            Diag::stop(refusal.code(), format!("The medium is not taken: {seen}."))
                .accepted(sentence(accepted)),
            table.span.0..table.span.1,
        );
        return None;
    }
    match (medium, list) {
        (MediumSetup::LowPressure(boost), Some((after, list))) => Some(pulses(boost, after, &list)),
        (medium, _) => Some(Surface::Medium(medium)),
    }
}

/// Words of the engine as a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}.", first.to_uppercase(), letters.as_str())
    })
}

fn percent<'t>(walk: &mut Walk<'t>, table: Table<'t>, key: &str) -> Option<Fraction> {
    walk.number(table, key, &PERCENT).map(Fraction::from_pct)
}

fn compound<'t>(walk: &mut Walk<'t>, table: Table<'t>) -> Option<MediumSetup> {
    walk.only(table, &["kind", "energiser", "energiser_pct", "fresh_pct"]);
    let words = [
        "none",
        "calcium-carbonate",
        "sodium-carbonate",
        "barium-carbonate",
    ];
    let energiser = walk
        .word(table, "energiser", &words)
        .map(|word| match word {
            "none" => PackEnergiser::None,
            "calcium-carbonate" => PackEnergiser::Calcium,
            "sodium-carbonate" => PackEnergiser::Sodium,
            _ => PackEnergiser::Barium,
        });
    let energiser_by_mass = match energiser {
        Some(PackEnergiser::None) => Some(Fraction::from_ratio(0.0)),
        _ => percent(walk, table, "energiser_pct"),
    };
    let fresh = percent(walk, table, "fresh_pct");
    Some(MediumSetup::Pack(Pack {
        energiser: energiser?,
        energiser_by_mass: energiser_by_mass?,
        fresh: fresh?,
    }))
}

/// The temperature the medium is let in above, or the usual one with a note.
fn above<'t>(walk: &mut Walk<'t>, table: Table<'t>, notes: &mut Vec<Diag>) -> Option<Temperature> {
    if table.body.get("above_c").is_some() {
        return walk
            .number(table, "above_c", &TEMPERATURE_C)
            .map(Temperature::from_c);
    }
    notes.push(
        Diag::note(
            "default-taken",
            format!("No `above_c` is given; the gas is let in above {GAS_ABOVE_C} °C."),
        )
        .at(walk.place(table.span.0..table.span.1)),
    );
    Some(Temperature::from_c(GAS_ABOVE_C))
}

/// What a gas can be controlled by.
const CONTROLS: [&str; 4] = ["potential_wt_pct", "dew_point_c", "co2_pct", "probe_mv"];

fn gas<'t>(walk: &mut Walk<'t>, table: Table<'t>, notes: &mut Vec<Diag>) -> Option<MediumSetup> {
    let given: Vec<&str> = CONTROLS
        .into_iter()
        .filter(|key| table.body.get(*key).is_some())
        .collect();
    let complaints = walk.diags.len();
    let own: &[&str] = match given.first() {
        Some(&"dew_point_c") => &["dew_point_c", "co_pct", "h2_pct"],
        Some(&"co2_pct") => &["co2_pct", "co_pct"],
        Some(&"probe_mv") => &["probe_mv", "probe_c", "co_pct"],
        Some(_) => &["potential_wt_pct"],
        None => &[
            "potential_wt_pct",
            "dew_point_c",
            "co2_pct",
            "probe_mv",
            "co_pct",
            "h2_pct",
        ],
    };
    if given.len() > 1 {
        let at = |key: &str| table.body.get(key).map_or(0..0, Spanned::span);
        let place = walk.place(at(given[0]));
        walk.complain(
            Diag::stop(
                "gas-control-twice",
                format!(
                    "The gas is described by `{}` and by `{}`.",
                    given[0], given[1]
                ),
            )
            .why("Each alone gives a carbon; two would not agree to the last digit.")
            .accepted("Keep the one the furnace is controlled by.")
            .also(place, "the first"),
            at(given[1]),
        );
        return None;
    }
    let known: Vec<&str> = ["kind", "coefficient_m_s", "above_c"]
        .into_iter()
        .chain(own.iter().copied())
        .collect();
    walk.only(table, &known);
    let Some(by) = given.first() else {
        if walk.diags.len() == complaints {
            walk.complain(
                Diag::stop("gas-control-missing", "Nothing says how rich the gas is.").accepted(
                    format!(
                        "One of {}, with `co_pct` beside all but the first.",
                        listed(&CONTROLS)
                    ),
                ),
                table.span.0..table.span.1,
            );
        }
        return None;
    };
    let control = control(walk, table, by);
    let coefficient = match table.body.get("coefficient_m_s") {
        Some(_) => Some(
            walk.number(table, "coefficient_m_s", &COEFFICIENT_M_S)
                .map(TransferCoefficient::from_m_s)?,
        ),
        None => None,
    };
    let above = above(walk, table, notes);
    Some(MediumSetup::Gas(Gas {
        control: control?,
        coefficient,
        above: above?,
    }))
}

fn control<'t>(walk: &mut Walk<'t>, table: Table<'t>, by: &str) -> Option<GasControl> {
    match by {
        "potential_wt_pct" => walk
            .number(table, by, &CARBON_WT_PCT)
            .map(|wt_pct| GasControl::Potential(WeightPercent::from_wt_pct(wt_pct))),
        "dew_point_c" => {
            let dew_point = walk
                .number(table, by, &DEW_POINT_C)
                .map(Temperature::from_c);
            let carbon_monoxide = percent(walk, table, "co_pct");
            let hydrogen = percent(walk, table, "h2_pct");
            Some(GasControl::DewPoint {
                dew_point: dew_point?,
                carbon_monoxide: carbon_monoxide?,
                hydrogen: hydrogen?,
            })
        }
        "co2_pct" => {
            let carbon_dioxide = percent(walk, table, by);
            let carbon_monoxide = percent(walk, table, "co_pct");
            Some(GasControl::CarbonDioxide {
                carbon_dioxide: carbon_dioxide?,
                carbon_monoxide: carbon_monoxide?,
            })
        }
        _ => {
            let probe_mv = walk.number(table, by, &PROBE_MV);
            let probe = match table.body.get("probe_c") {
                Some(_) => Some(
                    walk.number(table, "probe_c", &TEMPERATURE_C)
                        .map(Temperature::from_c)?,
                ),
                None => None,
            };
            let carbon_monoxide = percent(walk, table, "co_pct");
            Some(GasControl::Probe {
                probe_mv: probe_mv?,
                probe,
                carbon_monoxide: carbon_monoxide?,
            })
        }
    }
}

fn salt<'t>(walk: &mut Walk<'t>, table: Table<'t>) -> Option<MediumSetup> {
    walk.only(
        table,
        &[
            "kind",
            "bath",
            "potential_wt_pct",
            "coefficient_m_s",
            "above_c",
        ],
    );
    let kind = walk
        .word(table, "bath", &["without-cyanide", "cyanide"])
        .map(|word| match word {
            "cyanide" => SaltKind::Cyanide,
            _ => SaltKind::WithoutCyanide,
        });
    let potential = walk
        .number(table, "potential_wt_pct", &CARBON_WT_PCT)
        .map(WeightPercent::from_wt_pct);
    let coefficient = walk
        .number(table, "coefficient_m_s", &COEFFICIENT_M_S)
        .map(TransferCoefficient::from_m_s);
    let above = walk
        .number(table, "above_c", &TEMPERATURE_C)
        .map(Temperature::from_c);
    Some(MediumSetup::Salt(Salt {
        kind: kind?,
        potential: potential?,
        coefficient: coefficient?,
        above: above?,
    }))
}

fn low_pressure<'t>(
    walk: &mut Walk<'t>,
    table: Table<'t>,
    notes: &mut Vec<Diag>,
) -> Option<(MediumSetup, Span, Vec<Pulse>)> {
    walk.only(
        table,
        &["kind", "flux_g_m2_h", "above_c", "after_hours", "boosts"],
    );
    let flux = walk
        .number(table, "flux_g_m2_h", &FLUX_G_M2_H)
        .map(CarbonFlux::from_g_m2_h);
    let above = above(walk, table, notes);
    let after = walk.number(table, "after_hours", &HOURS).map(Span::from_h);
    let list = boosts(walk, table);
    let boost = LowPressure {
        flux: flux?,
        above: above?,
    };
    Some((MediumSetup::LowPressure(boost), after?, list?))
}

fn boosts<'t>(walk: &mut Walk<'t>, table: Table<'t>) -> Option<Vec<Pulse>> {
    let value = walk.value(
        table,
        "boosts",
        "A list of pulses, as in `boosts = [{ boost_min = 5, diffuse_min = 10 }]`.",
    )?;
    let DeValue::Array(list) = value.get_ref() else {
        walk.wrong_kind("boosts", "a list of pulses", value.get_ref(), value.span());
        return None;
    };
    if list.is_empty() || list.len() > MOST_PULSES {
        walk.complain(
            Diag::stop("boost-list", format!("There are {} boosts.", list.len()))
                .accepted(format!("From 1 to {MOST_PULSES} are taken.")),
            value.span(),
        );
        return None;
    }
    let mut pulses = Vec::with_capacity(list.len());
    for pulse in list {
        let DeValue::Table(body) = pulse.get_ref() else {
            walk.wrong_kind("boosts", "a list of tables", pulse.get_ref(), pulse.span());
            continue;
        };
        let table = Table {
            name: "boosts",
            span: (pulse.span().start, pulse.span().end),
            body,
        };
        walk.only(table, &["boost_min", "diffuse_min"]);
        let boost = walk
            .number(table, "boost_min", &MINUTES)
            .map(Span::from_min);
        let diffuse = walk
            .number(table, "diffuse_min", &MINUTES)
            .map(Span::from_min);
        if let (Some(boost), Some(diffuse)) = (boost, diffuse) {
            pulses.push(Pulse { boost, diffuse });
        }
    }
    (pulses.len() == list.len()).then_some(pulses)
}
