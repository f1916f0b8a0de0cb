//! What the layout leaves open and the whole file, or the person, must decide: the order of dates,
//! the decimal mark, the unit. Never guesses: what two readings fit is asked.

use std::collections::BTreeMap;

use casewright_terms::Diag;

use super::cell::{self, Decimal, LogUnit, Told};
use super::layout::{Layout, TimeAt};
use super::moment::{self, DateOrder, RawDate};
use super::text::{self, Delimiter};
use super::{Answers, show};

/// What was decided.
#[derive(Clone, Debug)]
pub(super) struct Settled {
    pub(super) order: Option<DateOrder>,
    pub(super) decimal: Decimal,
    /// Whether numbers are split in two fields by their decimal comma.
    pub(super) glued: bool,
    /// Unit by column of the layout; `None` for what is no temperature.
    pub(super) units: Vec<Option<LogUnit>>,
    pub(super) notes: Vec<Diag>,
}

/// Decides, or asks everything at once.
pub(super) fn settle(
    text: &str,
    layout: &mut Layout,
    answers: &Answers,
) -> Result<Settled, Vec<Diag>> {
    let seen = look(text, layout);
    let mut notes = Vec::new();
    let mut questions = Vec::new();
    let order = order(&seen, answers, &mut notes).unwrap_or_else(|diag| {
        questions.push(diag);
        None
    });
    let glued = glued(layout, answers).unwrap_or_else(|diag| {
        questions.push(diag);
        false
    });
    let decimal = decimal(&seen, answers).unwrap_or_else(|diag| {
        questions.push(diag);
        Decimal::Point
    });
    if glued {
        join(layout);
    }
    let units = units(layout, answers, &mut notes).unwrap_or_else(|diag| {
        questions.push(diag);
        Vec::new()
    });
    if !questions.is_empty() {
        return Err(questions);
    }
    Ok(Settled {
        order,
        decimal: if glued { Decimal::Point } else { decimal },
        glued,
        units,
        notes,
    })
}

/// What all rows show.
struct Seen {
    /// Every date as written, with the first line it stands in.
    dates: BTreeMap<RawDate, usize>,
    comma: Option<usize>,
    point: Option<usize>,
    perhaps_comma: Option<(usize, bool)>,
    perhaps_point: Option<(usize, bool)>,
}

fn look(text: &str, layout: &Layout) -> Seen {
    let mut seen = Seen {
        dates: BTreeMap::new(),
        comma: None,
        point: None,
        perhaps_comma: None,
        perhaps_point: None,
    };
    let mut fields = Vec::new();
    let mut last = None;
    for (index, (line, _)) in text::lines(text).enumerate().skip(layout.head_lines) {
        text::split(line, layout.delimiter, &mut fields);
        let raw = match layout.time {
            TimeAt::Stamp(at) => fields
                .get(at)
                .and_then(|field| moment::date_and_clock(field))
                .map(|(raw, _)| raw),
            TimeAt::DateClock { date, clock, .. } => fields
                .get(clock)
                .and_then(|field| moment::clock(field))
                .and_then(|_| moment::date(fields.get(date)?))
                .map(|(raw, _)| raw),
            _ => None,
        };
        if let Some(raw) = raw
            && last != Some(raw)
        {
            seen.dates.entry(raw).or_insert(index + 1);
            last = Some(raw);
        }
        if fields.len() != layout.fields {
            continue;
        }
        let counted = match layout.time {
            TimeAt::Serial(at) | TimeAt::Elapsed { at, .. } => Some((at, false)),
            _ => None,
        };
        let readings = layout
            .columns
            .iter()
            .map(|column| (column.at, column.other.is_none()));
        for (at, heat) in counted.into_iter().chain(readings) {
            let place = index + 1;
            match cell::marks(fields[at]) {
                Told::Nothing => {}
                Told::Surely(Decimal::Comma) => drop(seen.comma.get_or_insert(place)),
                Told::Surely(Decimal::Point) => drop(seen.point.get_or_insert(place)),
                Told::Perhaps(decimal, large) => {
                    let slot = match decimal {
                        Decimal::Comma => &mut seen.perhaps_comma,
                        Decimal::Point => &mut seen.perhaps_point,
                    };
                    let (_, any) = slot.get_or_insert((place, false));
                    *any |= large && heat;
                }
            }
        }
    }
    seen
}

fn order(seen: &Seen, answers: &Answers, notes: &mut Vec<Diag>) -> Result<Option<DateOrder>, Diag> {
    let Some((first, _)) = seen.dates.first_key_value() else {
        return Ok(None);
    };
    let days = |order: DateOrder| -> Option<Vec<i64>> {
        seen.dates.keys().map(|raw| raw.days(order)).collect()
    };
    let fits: Vec<(DateOrder, Vec<i64>)> = DateOrder::ALL
        .into_iter()
        .filter_map(|order| days(order).map(|days| (order, days)))
        .collect();
    if first.short_year() {
        notes.push(Diag::note(
            "log-short-year",
            "The years have two digits and were taken as 20xx.",
        ));
    }
    match (&fits[..], answers.dates) {
        ([], _) => Err(mixed(seen)),
        (_, Some(told)) => {
            if fits.iter().any(|(order, _)| *order == told) {
                Ok(Some(told))
            } else {
                let (raw, line) = seen
                    .dates
                    .iter()
                    .find(|(raw, _)| raw.days(told).is_none())
                    .expect("an order that does not fit has a date that does not");
                Err(Diag::stop(
                    "log-dates-other",
                    format!("The date in line {line} cannot be read {}.", told.word()),
                )
                .why(format!("It is written {}.", show::raw(*raw)))
                .accepted(format!("Answer {}.", words(&fits))))
            }
        }
        ([(order, _)], None) => Ok(Some(*order)),
        (several, None) if several.iter().all(|(_, days)| *days == several[0].1) => {
            Ok(Some(several[0].0))
        }
        _ => {
            let (raw, line) = seen.dates.first_key_value().expect("there is a date");
            Err(Diag::stop(
                "log-dates-open",
                format!(
                    "The dates can be read in more than one way: line {line} has {}.",
                    show::raw(*raw)
                ),
            )
            .why("Nothing in the file tells the day from the month, and the record would carry the wrong date.")
            .accepted(format!("Say which comes first: {}.", words(&fits))))
        }
    }
}

fn words(fits: &[(DateOrder, Vec<i64>)]) -> String {
    let words: Vec<String> = fits
        .iter()
        .map(|(order, _)| format!("--dates {}", order.word()))
        .collect();
    words.join(" or ")
}

fn mixed(seen: &Seen) -> Diag {
    let line = |order: DateOrder| {
        seen.dates
            .iter()
            .filter(|(raw, _)| raw.days(order).is_none())
            .map(|(_, line)| *line)
            .min()
            .unwrap_or(0)
    };
    Diag::stop(
        "log-dates-mixed",
        format!(
            "The dates are in no one order: line {} cannot be day first, line {} cannot be month \
             first.",
            line(DateOrder::DayFirst),
            line(DateOrder::MonthFirst)
        ),
    )
    .why("A spreadsheet swaps day and month in the rows where it can, and leaves the others.")
    .accepted("Export the log again from the logger, and do not save it from a spreadsheet.")
}

fn decimal(seen: &Seen, answers: &Answers) -> Result<Decimal, Diag> {
    let open = |line: usize, decimal: Decimal| {
        let mark = if decimal == Decimal::Comma { ',' } else { '.' };
        Diag::stop(
            "log-decimal-open",
            format!(
                "The mark \"{mark}\" in line {line} has three digits behind it everywhere, and \
                 never more than one in front."
            ),
        )
        .why("1,200 may be a thousand two hundred, or one and a fifth.")
        .accepted("Say what marks the decimals: --decimal comma or --decimal point.")
    };
    match (seen.comma, seen.point, answers.decimal) {
        (Some(comma), Some(point), _) => Err(two_marks(comma, point)),
        (Some(line), None, Some(Decimal::Point)) | (None, Some(line), Some(Decimal::Comma)) => {
            Err(Diag::stop(
                "log-decimal-other",
                format!("The numbers in line {line} cannot be read with that decimal mark."),
            )
            .accepted("Leave --decimal away, or give the other."))
        }
        (_, _, Some(told)) => Ok(told),
        (Some(_), None, None) => Ok(Decimal::Comma),
        (None, Some(_), None) => Ok(Decimal::Point),
        (None, None, None) => match (seen.perhaps_comma, seen.perhaps_point) {
            (None, None) => Ok(Decimal::Point),
            // Grouped thousands would be 10 000 and up, which is no temperature of a furnace.
            (Some((_, true)), None) => Ok(Decimal::Comma),
            (None, Some((_, true))) => Ok(Decimal::Point),
            (Some((line, _)), None) => Err(open(line, Decimal::Comma)),
            (None, Some((line, _))) => Err(open(line, Decimal::Point)),
            (Some((comma, _)), Some((point, _))) => Err(two_marks(comma, point)),
        },
    }
}

fn two_marks(comma: usize, point: usize) -> Diag {
    Diag::stop(
        "log-decimal-mixed",
        format!("Line {comma} has a decimal comma and line {point} a decimal point."),
    )
    .why("One of them would be read ten or a thousand times too large.")
    .accepted("Export the log again with one decimal mark.")
}

/// Whether commas part the fields and mark the decimals too.
fn glued(layout: &Layout, answers: &Answers) -> Result<bool, Diag> {
    if layout.delimiter != Delimiter::Comma {
        return Ok(false);
    }
    let times = (0..layout.fields)
        .filter(|at| layout.time.holds(*at))
        .count();
    let behind = layout.fields - times;
    let whole = layout.left_out.is_empty()
        && behind >= 2
        && behind.is_multiple_of(2)
        && layout.columns.len() == behind
        && layout
            .columns
            .iter()
            .skip(1)
            .step_by(2)
            .all(|c| c.plain_digits);
    if !whole {
        return Ok(false);
    }
    match (layout.named_columns, answers.decimal) {
        (Some(named), _) if named == layout.fields => Ok(false),
        (Some(named), _) if named == times + behind / 2 => Ok(true),
        (_, Some(told)) => Ok(told == Decimal::Comma),
        _ => Err(Diag::stop(
            "log-comma-glued",
            "Commas part the columns, and may mark the decimals too.",
        )
        .why("10:00,927,5 is one reading of 927.5 or two of 927 and 5, and no head tells which.")
        .accepted("Say what marks the decimals: --decimal comma or --decimal point.")),
    }
}

/// Two fields become one column; the names move up.
fn join(layout: &mut Layout) {
    let names: Vec<String> = layout.columns.iter().map(|c| c.name.clone()).collect();
    let mut kept: Vec<_> = layout.columns.iter().step_by(2).cloned().collect();
    let sources: Vec<_> = layout.columns.clone();
    for (index, column) in kept.iter_mut().enumerate() {
        // The head has half as many names, which stand over the first half of the fields.
        column.name.clone_from(&names[index]);
        column.unit = sources[index].unit;
        column.other.clone_from(&sources[index].other);
    }
    layout.columns = kept;
}

fn units(
    layout: &Layout,
    answers: &Answers,
    notes: &mut Vec<Diag>,
) -> Result<Vec<Option<LogUnit>>, Diag> {
    let mut missing = Vec::new();
    let mut units = Vec::new();
    for column in &layout.columns {
        if column.other.is_some() && column.unit.is_none() {
            units.push(None);
            continue;
        }
        if let (Some(said), Some(told)) = (column.unit, answers.unit)
            && said != told
        {
            notes.push(
                Diag::warn(
                    "log-unit-answered",
                    format!(
                        "The file says {} for {}, and {} was answered; the answer was taken.",
                        said.symbol(),
                        column.name,
                        told.symbol()
                    ),
                )
                .why("1700 °F read as °C is 760 °C too hot."),
            );
        }
        let unit = answers.unit.or(column.unit);
        if unit.is_none() {
            missing.push(column.name.clone());
        }
        units.push(unit);
    }
    if missing.is_empty() {
        return Ok(units);
    }
    Err(Diag::stop(
        "log-unit-open",
        format!("The file gives no unit for {}.", missing.join(", ")),
    )
    .why("900 °F is 482 °C, below any case; 900 °C is a carburizing heat.")
    .accepted("Say the unit: --unit C, --unit F or --unit K."))
}
