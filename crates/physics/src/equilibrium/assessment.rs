//! The assessed Gibbs energies, read from `data/thermo/steel.toml`.
//!
//! Every parameter is a linear combination of nine powers of temperature, with all named functions
//! already put in. What the parameters mean for a phase is the business of `energy`.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use casewright_terms::SourceKey;
use serde::Deserialize;

use crate::numerics::fun::ln;

/// Units of the terms of an energy, in the order of the coefficients.
const UNITS: [&str; POWERS] = ["1", "T", "TlnT", "T2", "T3", "T4", "T-1", "T-2", "T-3"];
pub(super) const POWERS: usize = 9;

/// Coefficients of 1, T, T ln T, T², T³, T⁴, 1/T, 1/T², 1/T³.
pub(super) type Coefficients = [f64; POWERS];

/// The nine powers at a temperature.
pub(super) fn powers(t_k: f64) -> Coefficients {
    let inverse = 1.0 / t_k;
    let square = t_k * t_k;
    [
        1.0,
        t_k,
        t_k * ln(t_k),
        square,
        square * t_k,
        square * square,
        inverse,
        inverse * inverse,
        inverse * inverse * inverse,
    ]
}

/// The value of a parameter.
pub(super) fn value(coefficients: &Coefficients, powers: &Coefficients) -> f64 {
    coefficients.iter().zip(powers).map(|(c, p)| c * p).sum()
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// End member or interaction, J per formula unit.
    Energy,
    /// Magnetic transition temperature, K.
    Curie,
    /// Magnetic moment, Bohr magnetons.
    Moment,
}

#[derive(Clone, Debug)]
pub(super) struct Parameter {
    pub(super) kind: Kind,
    /// Constituents by sublattice.
    pub(super) constituents: Vec<Vec<String>>,
    pub(super) order: usize,
    pub(super) coefficients: Coefficients,
    pub(super) source: SourceKey,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Magnetism {
    /// Share of the magnetic enthalpy above the transition.
    pub(super) share: f64,
    /// Negative transition temperatures and moments are divided by this.
    pub(super) anti: f64,
}

#[derive(Clone, Debug)]
pub(super) struct PhaseData {
    /// Sites of the sublattices that mix.
    pub(super) sites: Vec<f64>,
    /// Carbon atoms that do not mix, per formula unit.
    pub(super) carbon: f64,
    pub(super) magnetism: Option<Magnetism>,
    pub(super) parameters: Vec<Parameter>,
}

#[derive(Debug)]
pub(super) struct Assessment {
    pub(super) low_k: f64,
    pub(super) high_k: f64,
    pub(super) graphite: Coefficients,
    pub(super) austenite: PhaseData,
    pub(super) ferrite: PhaseData,
    pub(super) cementite: PhaseData,
    pub(super) m7c3: PhaseData,
    pub(super) m23c6: PhaseData,
    /// Every key cited, sorted.
    pub(super) sources: Vec<SourceKey>,
}

static BUILT_IN: LazyLock<Assessment> = LazyLock::new(|| {
    read(include_str!("../../../../data/thermo/steel.toml"))
        .unwrap_or_else(|what| panic!("the built-in Gibbs energies are broken: {what}"))
});

pub(super) fn assessment() -> &'static Assessment {
    &BUILT_IN
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileText {
    range_k: RangeText,
    functions: BTreeMap<String, (String, String)>,
    graphite: PhaseText,
    austenite: PhaseText,
    ferrite: PhaseText,
    cementite: PhaseText,
    m7c3: PhaseText,
    m23c6: PhaseText,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RangeText {
    low: f64,
    high: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PhaseText {
    #[serde(default)]
    sites: Vec<f64>,
    #[serde(default)]
    carbon: f64,
    magnetic: Option<MagneticText>,
    rows: Vec<(String, String, usize, String, String)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MagneticText {
    share: f64,
    anti: f64,
}

/// Reads the file's text; the message names the row that is wrong.
fn read(text: &str) -> Result<Assessment, String> {
    let file: FileText = toml::from_str(text).map_err(|error| error.to_string())?;
    let functions = functions(&file.functions)?;
    let mut sources: Vec<SourceKey> = Vec::new();
    for (_, key) in file.functions.values() {
        sources.push(keep(key)?);
    }
    let mut phase = |phase: &PhaseText| -> Result<PhaseData, String> {
        let mut parameters = Vec::with_capacity(phase.rows.len());
        for row in &phase.rows {
            let parameter =
                parameter(row, &functions).map_err(|what| format!("row {row:?}: {what}"))?;
            sources.push(parameter.source);
            parameters.push(parameter);
        }
        Ok(PhaseData {
            sites: phase.sites.clone(),
            carbon: phase.carbon,
            magnetism: phase.magnetic.as_ref().map(|m| Magnetism {
                share: m.share,
                anti: m.anti,
            }),
            parameters,
        })
    };
    let graphite = phase(&file.graphite)?;
    let mut read = Assessment {
        low_k: file.range_k.low,
        high_k: file.range_k.high,
        graphite: graphite
            .parameters
            .first()
            .ok_or("graphite has no energy")?
            .coefficients,
        austenite: phase(&file.austenite)?,
        ferrite: phase(&file.ferrite)?,
        cementite: phase(&file.cementite)?,
        m7c3: phase(&file.m7c3)?,
        m23c6: phase(&file.m23c6)?,
        sources: Vec::new(),
    };
    sources.sort_unstable();
    sources.dedup();
    read.sources = sources;
    Ok(read)
}

/// Keys live as long as the program, like the table they stand in.
fn keep(key: &str) -> Result<SourceKey, String> {
    if key.trim().is_empty() {
        return Err("empty source key".to_owned());
    }
    Ok(Box::leak(key.to_owned().into_boxed_str()))
}

/// Puts functions of functions in, in as many rounds as they are deep.
fn functions(
    texts: &BTreeMap<String, (String, String)>,
) -> Result<BTreeMap<String, Coefficients>, String> {
    let mut known: BTreeMap<String, Coefficients> = BTreeMap::new();
    for _ in 0..texts.len() {
        for (name, (text, _)) in texts {
            if !known.contains_key(name)
                && let Ok(coefficients) = energy(text, &known)
            {
                known.insert(name.clone(), coefficients);
            }
        }
    }
    for (name, (text, _)) in texts {
        if !known.contains_key(name) {
            let why = energy(text, &known).err().unwrap_or_default();
            return Err(format!("function {name}: {why}"));
        }
    }
    Ok(known)
}

fn parameter(
    (kind, constituents, order, text, key): &(String, String, usize, String, String),
    functions: &BTreeMap<String, Coefficients>,
) -> Result<Parameter, String> {
    Ok(Parameter {
        kind: match kind.as_str() {
            "G" | "L" => Kind::Energy,
            "TC" => Kind::Curie,
            "BM" => Kind::Moment,
            other => return Err(format!("kind {other} is not known")),
        },
        constituents: constituents
            .split(':')
            .map(|sublattice| sublattice.split(',').map(|c| c.trim().to_owned()).collect())
            .collect(),
        order: *order,
        coefficients: energy(text, functions)?,
        source: keep(key)?,
    })
}

/// Reads a sum of terms `number*unit`.
fn energy(text: &str, functions: &BTreeMap<String, Coefficients>) -> Result<Coefficients, String> {
    let mut sum = [0.0; POWERS];
    for term in text.split_whitespace() {
        let (number, unit) = term.split_once('*').unwrap_or((term, "1"));
        let number: f64 = number
            .parse()
            .map_err(|_| format!("{number} is not a number"))?;
        if let Some(power) = UNITS.iter().position(|known| *known == unit) {
            sum[power] += number;
        } else if let Some(function) = functions.get(unit) {
            for (s, f) in sum.iter_mut().zip(function) {
                *s += number * f;
            }
        } else {
            return Err(format!("{unit} is neither a power nor a known function"));
        }
    }
    Ok(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn functions_of_functions_are_put_in() {
        let built = assessment();
        let iron = value(&built.ferrite.parameters[1].coefficients, &powers(1000.0));
        // G of bcc iron at 1000 K without magnetism, worked by hand from the row HFe:
        // 1225.7 + 124134 − 23514.3 × 6.907755 − 4397.52 − 58.9269 + 77.3585.
        assert!((iron - (-41450.4)).abs() < 0.2, "{iron}");
        // Austenite and ferrite of pure iron differ by −1462.4 + 8282 − 1.15 × 6907.755 + 640.
        let austenite = value(&built.austenite.parameters[1].coefficients, &powers(1000.0));
        assert!(
            (austenite - iron - (-484.3)).abs() < 0.1,
            "{}",
            austenite - iron
        );
    }

    #[test]
    fn wrong_rows_are_refused_by_name() {
        let good = include_str!("../../../../data/thermo/steel.toml");
        for (from, to) in [
            ("\"1*FeFcc\"", "\"1*FeFcx\""),
            ("\"77207 -15.877*T", "\"77207 -15.x*T"),
            ("[\"TC\", \"Ni:C\"", "[\"TX\", \"Ni:C\""),
            ("\"gustafson-1985-fe-c\"", "\"\""),
        ] {
            let bad = good.replacen(from, to, 1);
            assert_ne!(good, bad, "{from} is not in the file");
            assert!(read(&bad).is_err(), "{to}");
        }
    }

    #[test]
    fn every_source_key_has_an_entry() {
        for key in &assessment().sources {
            assert!(crate::matter::sources::source(key).is_some(), "{key}");
        }
    }
}
