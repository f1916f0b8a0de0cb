//! Reading the table of steels from its text, and refusing one that is wrong.

use std::collections::{BTreeMap, BTreeSet};

use casewright_terms::{Composition, Element, Severity, WeightPercent};
use serde::Deserialize;

use super::{ContentRange, SteelClass, SteelRecord, SteelWarning, UsualQuench, find};

/// Why a text is not a table of steels. All problems are given at once.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TableProblem {
    /// It is not TOML of the table's shape.
    #[error("the table of steels cannot be read: {0}")]
    Text(String),
    /// One record breaks a rule.
    #[error("steel {name}: {what}")]
    Record {
        /// Canonical name of the record.
        name: String,
        /// Which rule, with the value.
        what: String,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TableText {
    /// Contents that are usual where a standard sets only a greatest, for all grades.
    typical: BTreeMap<String, f64>,
    warning: BTreeMap<String, WarningText>,
    steel: Vec<SteelText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WarningText {
    severity: SeverityText,
    text: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum SeverityText {
    Note,
    Warn,
    Stop,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum ClassText {
    Plain,
    FreeCutting,
    AlloyCarburizing,
    ThroughHardening,
    Tool,
    Stainless,
    Structural,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum QuenchText {
    WaterOrBrine,
    Oil,
    NotCarburized,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SteelText {
    name: String,
    system: String,
    aliases: Vec<String>,
    class: ClassText,
    /// Least and greatest; a least of −1 never occurs: `[0.0, max]` is "max only".
    range: BTreeMap<String, [f64; 2]>,
    /// Usual contents inside this grade's range.
    #[serde(default)]
    typical: BTreeMap<String, f64>,
    quench: QuenchText,
    #[serde(default)]
    quench_note: String,
    #[serde(default)]
    warnings: Vec<String>,
    /// Added to the text of the heaviest warning: what this grade does.
    #[serde(default)]
    because: String,
    source: String,
}

/// Reads and checks a table.
///
/// # Errors
/// The text is not of the table's shape; a range is upside down or out of 0 to 100 %; a typical
/// content lies outside its range; contents leave less than half for iron; two records share a
/// name; a key or name is empty; a warning is not defined.
pub fn read(text: &str) -> Result<Vec<SteelRecord>, Vec<TableProblem>> {
    let table: TableText =
        toml::from_str(text).map_err(|error| vec![TableProblem::Text(error.to_string())])?;
    let mut problems = Vec::new();
    let mut records = Vec::with_capacity(table.steel.len());
    let mut taken: BTreeSet<String> = BTreeSet::new();
    for steel in &table.steel {
        let mut faults = Vec::new();
        let record = record(steel, &table, &mut faults);
        for name in find::names(&record) {
            if !taken.insert(find::key(name)) {
                faults.push(format!("the name {name} is taken already"));
            }
        }
        problems.extend(faults.into_iter().map(|what| TableProblem::Record {
            name: record.name.clone(),
            what,
        }));
        records.push(record);
    }
    if problems.is_empty() {
        Ok(records)
    } else {
        Err(problems)
    }
}

fn record(steel: &SteelText, table: &TableText, faults: &mut Vec<String>) -> SteelRecord {
    for (what, text) in [
        ("name", &steel.name),
        ("system", &steel.system),
        ("source", &steel.source),
    ] {
        if text.trim().is_empty() {
            faults.push(format!("{what} is empty"));
        }
    }
    for alias in &steel.aliases {
        if find::key(alias).is_empty() {
            faults.push("an alias is empty".to_owned());
        }
    }
    let ranges = ranges(steel, &table.typical, faults);
    if !ranges.iter().any(|range| range.element == Element::C) {
        faults.push("no range for carbon".to_owned());
    }
    let middles: Vec<_> = ranges.iter().map(|r| (r.element, r.middle())).collect();
    if let Err(wrong) = Composition::new(&middles) {
        faults.extend(wrong.iter().map(ToString::to_string));
    }
    SteelRecord {
        name: steel.name.clone(),
        system: steel.system.clone(),
        aliases: steel.aliases.clone(),
        class: class(&steel.class),
        ranges,
        quench: quench(&steel.quench),
        quench_note: steel.quench_note.clone(),
        warnings: warnings(steel, &table.warning, faults),
        source: steel.source.clone(),
    }
}

fn ranges(
    steel: &SteelText,
    usual: &BTreeMap<String, f64>,
    faults: &mut Vec<String>,
) -> Vec<ContentRange> {
    for symbol in steel
        .range
        .keys()
        .chain(steel.typical.keys())
        .chain(usual.keys())
    {
        if Element::from_symbol(symbol).is_none() {
            faults.push(format!("{symbol} is not an element of the table"));
        }
    }
    let mut ranges = Vec::new();
    for element in Element::ALL {
        let bounds = steel.range.get(element.symbol()).copied();
        let own = steel.typical.get(element.symbol()).copied();
        if bounds.is_none() && own.is_none() {
            continue;
        }
        let symbol = element.symbol();
        // The usual content of the table serves where the standard sets a greatest only.
        let general = usual
            .get(symbol)
            .copied()
            .filter(|value| bounds.is_some_and(|[min, max]| min == 0.0 && *value <= max));
        let typical = own.or(general);
        if let Some([min, max]) = bounds {
            if !(0.0..=100.0).contains(&min) || !(0.0..=100.0).contains(&max) || min > max {
                faults.push(format!("{symbol} from {min} to {max} % is not a range"));
                continue;
            }
            if typical.is_some_and(|value| !(min..=max).contains(&value)) {
                faults.push(format!("usual {symbol} lies outside {min} to {max} %"));
            }
        }
        if typical.is_some_and(|value| !(0.0..=100.0).contains(&value)) {
            faults.push(format!("usual {symbol} is not between 0 and 100 %"));
            continue;
        }
        ranges.push(ContentRange {
            element,
            min: bounds
                .filter(|b| b[0] > 0.0)
                .map(|b| WeightPercent::from_wt_pct(b[0])),
            max: bounds.map(|b| WeightPercent::from_wt_pct(b[1])),
            typical: typical.map(WeightPercent::from_wt_pct),
        });
    }
    ranges
}

fn warnings(
    steel: &SteelText,
    defined: &BTreeMap<String, WarningText>,
    faults: &mut Vec<String>,
) -> Vec<SteelWarning> {
    let mut found: Vec<SteelWarning> = Vec::new();
    for code in &steel.warnings {
        let Some(text) = defined.get(code) else {
            faults.push(format!("warning {code} is not defined"));
            continue;
        };
        found.push(SteelWarning {
            code: code.clone(),
            severity: match text.severity {
                SeverityText::Note => Severity::Note,
                SeverityText::Warn => Severity::Warn,
                SeverityText::Stop => Severity::Stop,
            },
            text: text.text.clone(),
        });
    }
    found.sort_by_key(|warning| std::cmp::Reverse(warning.severity));
    if !steel.because.is_empty() {
        match found.first_mut() {
            Some(heaviest) => heaviest.text = format!("{} {}", heaviest.text, steel.because),
            None => faults.push("a reason is given for no warning".to_owned()),
        }
    }
    found
}

fn class(text: &ClassText) -> SteelClass {
    match text {
        ClassText::Plain => SteelClass::Plain,
        ClassText::FreeCutting => SteelClass::FreeCutting,
        ClassText::AlloyCarburizing => SteelClass::AlloyCarburizing,
        ClassText::ThroughHardening => SteelClass::ThroughHardening,
        ClassText::Tool => SteelClass::Tool,
        ClassText::Stainless => SteelClass::Stainless,
        ClassText::Structural => SteelClass::Structural,
    }
}

fn quench(text: &QuenchText) -> UsualQuench {
    match text {
        QuenchText::WaterOrBrine => UsualQuench::WaterOrBrine,
        QuenchText::Oil => UsualQuench::Oil,
        QuenchText::NotCarburized => UsualQuench::NotCarburized,
    }
}
