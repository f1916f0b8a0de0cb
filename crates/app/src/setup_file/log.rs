//! A logged cycle: a table of time and temperature with the units in its head, as a logger writes it.
//!
//! What is wrong is told with its line. Times must rise; a hole wider than the setup allows is
//! flagged, because between two readings the line is straight and nobody saw the furnace.

use std::collections::BTreeMap;

use casewright_physics::setup::Ramp;
use casewright_terms::{Diag, Place, Span, Temperature};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::walk::{Table, Walk};

/// The logs of a setup by the name it gives them, as far as they could be read.
pub(crate) type Logs = BTreeMap<String, Result<String, Diag>>;

/// A log of ten seconds' step over a day; a longer one is thinned by whoever wrote it.
const MOST_LINES: usize = 10_000;
/// Complaints of one kind in one log before it is given up: a wrong column is wrong everywhere.
const MOST_COMPLAINTS: usize = 5;
/// From the absolute zero to just below the melting of a plain steel.
const TEMPERATURE_C: std::ops::RangeInclusive<f64> = -273.15..=1480.0;

/// The logs that a setup names, in the order of the text.
pub(crate) fn named(text: &str) -> Vec<String> {
    let (root, _) = DeTable::parse_recoverable(text);
    let Some(DeValue::Array(pieces)) = root.get_ref().get("cycle").map(|c| c.get_ref()) else {
        return Vec::new();
    };
    pieces
        .iter()
        .filter_map(|piece| match piece.get_ref() {
            DeValue::Table(body) => match body.get("log")?.get_ref() {
                DeValue::String(name) => Some(name.to_string()),
                _ => None,
            },
            _ => None,
        })
        .collect()
}

/// What a log says.
#[derive(Debug)]
pub(crate) struct Read {
    /// Time of the first reading.
    pub(crate) begins: Span,
    /// Straight lines from reading to reading.
    pub(crate) ramps: Vec<Ramp>,
    /// Holes and the like.
    pub(crate) notes: Vec<Diag>,
}

impl Read {
    /// Every reading by itself: time, temperature.
    pub(crate) fn readings(&self) -> Vec<(Span, Temperature)> {
        let mut now = self.begins;
        let first = self.ramps.first().map(|ramp| (now, ramp.from));
        let rest = self.ramps.iter().map(|ramp| {
            now = now + ramp.duration;
            (now, ramp.to)
        });
        first.into_iter().chain(rest).collect()
    }
}

/// One line with its place in the text.
struct Line<'t> {
    number: usize,
    start: usize,
    text: &'t str,
}

fn lines(text: &str) -> impl Iterator<Item = Line<'_>> {
    let mut start = 0;
    text.split_inclusive('\n')
        .enumerate()
        .filter_map(move |(index, whole)| {
            let here = start;
            start += whole.len();
            let line = whole.trim_end_matches(['\n', '\r']);
            let shown = line.trim();
            let kept = !shown.is_empty() && !shown.starts_with('#');
            kept.then_some(Line {
                number: index + 1,
                start: here,
                text: line,
            })
        })
}

/// Which columns hold what, and what one unit of time is in seconds.
struct Columns {
    mark: char,
    time: usize,
    second_s: f64,
    temperature: usize,
    fahrenheit: bool,
}

/// Names of a column of time with their unit in seconds, and of one of temperature.
const TIMES: [(&str, f64); 3] = [("time_s", 1.0), ("time_min", 60.0), ("time_h", 3600.0)];
const TEMPERATURES: [(&str, bool); 4] = [
    ("temp_c", false),
    ("temperature_c", false),
    ("temp_f", true),
    ("temperature_f", true),
];

/// A hole in a log, in minutes: from one reading to the next up to a day.
const GAP_MIN: std::ops::RangeInclusive<f64> = 0.0..=1440.0;

const ACCEPTED: &str = "Begin with a head such as `time_s,temp_c`; the time may be `time_s`, \
     `time_min` or `time_h`, the temperature `temp_c` or `temp_f`.";

fn complaint(name: &str, line: &Line<'_>, code: &'static str, seen: String) -> Diag {
    Diag::stop(code, format!("{name}, line {}: {seen}", line.number)).at(Place {
        file: name.to_owned(),
        span: line.start..line.start + line.text.len(),
    })
}

fn columns(name: &str, head: &Line<'_>) -> Result<Columns, Diag> {
    let mark = [',', ';', '\t']
        .into_iter()
        .find(|mark| head.text.contains(*mark))
        .unwrap_or(',');
    let heads: Vec<String> = head
        .text
        .trim_start_matches('\u{feff}')
        .split(mark)
        .map(|cell| cell.trim().trim_matches('"').to_ascii_lowercase())
        .collect();
    let at = |wanted: &str| heads.iter().position(|head| head == wanted);
    let time = TIMES.iter().find_map(|(n, s)| Some((at(n)?, *s)));
    let temperature = TEMPERATURES.iter().find_map(|(n, f)| Some((at(n)?, *f)));
    match (time, temperature) {
        (Some((time, second_s)), Some((temperature, fahrenheit))) => Ok(Columns {
            mark,
            time,
            second_s,
            temperature,
            fahrenheit,
        }),
        (time, _) => {
            let lacking = if time.is_none() {
                "time"
            } else {
                "temperature"
            };
            Err(complaint(
                name,
                head,
                "log-head",
                format!("no column of {lacking} with its unit."),
            )
            .why("A number without its unit moves the case by millimetres.")
            .accepted(ACCEPTED))
        }
    }
}

fn cell(line: &Line<'_>, columns: &Columns, index: usize) -> Option<f64> {
    let cell = line.text.split(columns.mark).nth(index)?.trim();
    // A decimal comma can only stand where the columns are parted otherwise.
    let plain = if columns.mark == ',' {
        cell.to_owned()
    } else {
        cell.replace(',', ".")
    };
    plain
        .trim_matches('"')
        .parse()
        .ok()
        .filter(|x: &f64| x.is_finite())
}

/// Reads a log; a hole wider than `most_gap` is flagged.
///
/// # Errors
/// All complaints, with their lines.
pub(crate) fn read(name: &str, text: &str, most_gap: Option<Span>) -> Result<Read, Vec<Diag>> {
    let mut lines = lines(text);
    let Some(head) = lines.next() else {
        let nothing = Line {
            number: 1,
            start: 0,
            text: "",
        };
        return Err(vec![
            complaint(
                name,
                &nothing,
                "log-empty",
                "the log holds nothing.".to_owned(),
            )
            .accepted(ACCEPTED),
        ]);
    };
    let columns = columns(name, &head).map_err(|diag| vec![diag])?;
    let mut diags = Vec::new();
    let mut notes = Vec::new();
    let mut ramps: Vec<Ramp> = Vec::new();
    let mut last: Option<(f64, f64)> = None;
    let mut begins = Span::ZERO;
    for line in lines {
        if diags.len() >= MOST_COMPLAINTS {
            break;
        }
        let time = cell(&line, &columns, columns.time);
        let temperature = cell(&line, &columns, columns.temperature);
        let (Some(time), Some(shown)) = (time, temperature) else {
            diags.push(
                complaint(name, &line, "log-cell", "the time or the temperature is no number.".to_owned())
                    .why("A reading that is passed over leaves a hole in the cycle.")
                    .accepted("Plain numbers with a decimal point; take the line out where the logger failed."),
            );
            continue;
        };
        // What no furnace can be is not converted.
        let sane = (-459.0..=2700.0).contains(&shown);
        let celsius = match (sane, columns.fahrenheit) {
            (true, true) => Some(Temperature::from_f(shown).to_c()),
            (true, false) => Some(shown),
            (false, _) => None,
        };
        let Some(celsius) = celsius.filter(|t| TEMPERATURE_C.contains(t)) else {
            diags.push(
                complaint(
                    name,
                    &line,
                    "log-temperature",
                    format!("{shown} cannot be the temperature of a furnace."),
                )
                .accepted("-273 to 1480 °C; a broken couple often reads its end of scale."),
            );
            continue;
        };
        let now_s = time * columns.second_s;
        if let Some((then_s, then_c)) = last {
            if now_s <= then_s {
                diags.push(
                    complaint(name, &line, "log-time", format!("the time {time} does not come after the one before."))
                        .why("A cycle that runs backward has no meaning; a clock that was set does this.")
                        .accepted("Times that rise from line to line."),
                );
                continue;
            }
            let gap = Span::from_s(now_s - then_s);
            if most_gap.is_some_and(|most| gap > most) {
                notes.push(
                    Diag::warn(
                        "log-gap",
                        format!(
                            "{name}, line {}: nothing was logged for {}.",
                            line.number,
                            gap.text()
                        ),
                    )
                    .why("The cycle runs straight over the hole.")
                    .accepted("Say what the furnace did then, or close the hole by hand.")
                    .at(Place {
                        file: name.to_owned(),
                        span: line.start..line.start + line.text.len(),
                    }),
                );
            }
            ramps.push(Ramp {
                from: Temperature::from_c(then_c),
                to: Temperature::from_c(celsius),
                duration: gap,
            });
        }
        if last.is_none() {
            begins = Span::from_s(now_s);
        }
        last = Some((now_s, celsius));
    }
    if diags.is_empty() && (ramps.is_empty() || ramps.len() > MOST_LINES) {
        diags.push(
            complaint(
                name,
                &head,
                "log-length",
                format!("the log makes {} pieces.", ramps.len()),
            )
            .accepted(format!(
                "Two readings at least, {MOST_LINES} pieces at most."
            )),
        );
    }
    if diags.is_empty() {
        Ok(Read {
            begins,
            ramps,
            notes,
        })
    } else {
        Err(diags)
    }
}

/// The straight pieces of a log that stands for a piece of the cycle.
pub(super) fn logged<'t>(walk: &mut Walk<'t>, table: Table<'t>) -> Option<Vec<Ramp>> {
    walk.only(table, &["log", "most_gap_min"]);
    let name = walk.words_if_given(table, "log")?;
    let most_gap = walk
        .number_if_given(table, "most_gap_min", &GAP_MIN)
        .map(Span::from_min);
    let read = match walk.logs.get(&name) {
        Some(Ok(text)) => read(&name, text, most_gap),
        Some(Err(trouble)) => Err(vec![trouble.clone()]),
        None => Err(vec![
            Diag::stop("log-unread", format!("The log {name} was not read."))
                .accepted("Name a file beside the setup."),
        ]),
    };
    match read {
        Ok(read) => {
            walk.notes.extend(read.notes);
            Some(read.ramps)
        }
        Err(diags) => {
            let span = table.body.get("log").map_or(0..0, Spanned::span);
            let place = walk.place(span);
            walk.diags.extend(diags.into_iter().map(|diag| {
                if diag.place.is_some() {
                    diag.also(place.clone(), "named here")
                } else {
                    diag.at(place.clone())
                }
            }));
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(text: &str) -> Vec<&'static str> {
        match read("l.csv", text, Some(Span::from_min(10.0))) {
            Ok(read) => read.notes.iter().map(|n| n.code).collect(),
            Err(diags) => diags.iter().map(|d| d.code).collect(),
        }
    }

    #[test]
    fn a_log_becomes_straight_pieces() {
        let text = "# box 3\ntime_min;door;Temp_F\r\n0;x;77\r\n\r\n10;x;1000,4\r\n15;;1500\r\n";
        let read = read("l.csv", text, None).unwrap();
        assert_eq!(read.ramps.len(), 2);
        assert!((read.ramps[0].from.to_c() - 25.0).abs() < 1e-9);
        assert!((read.ramps[0].to.to_f() - 1000.4).abs() < 1e-9);
        assert_eq!(read.ramps[1].duration, Span::from_min(5.0));
    }

    #[test]
    fn faults_have_their_line() {
        assert_eq!(codes(""), ["log-empty"]);
        assert_eq!(codes("time,temp\n1,2\n"), ["log-head"]);
        assert_eq!(codes("time_s,temp\n1,2\n"), ["log-head"]);
        assert_eq!(codes("time_s,temp_c\n0,20\n"), ["log-length"]);
        assert_eq!(codes("time_s,temp_c\n0,20\n9,x\n"), ["log-cell"]);
        assert_eq!(codes("time_s,temp_c\n0,20\n9,nan\n"), ["log-cell"]);
        assert_eq!(codes("time_s,temp_c\n0,20\n0,30\n"), ["log-time"]);
        assert_eq!(codes("time_s,temp_c\n0,20\n5,9999\n"), ["log-temperature"]);
        assert_eq!(codes("time_s,temp_c\n0,20\n601,30\n"), ["log-gap"]);
        assert_eq!(codes("time_s,temp_c\n0,20\n600,30\n"), Vec::<&str>::new());
        let text = "time_s,temp_c\n0,20\n9,x\n";
        let diag = read("l.csv", text, None).unwrap_err().remove(0);
        assert!(diag.seen.contains("line 3"), "{}", diag.seen);
        assert_eq!(&text[diag.place.unwrap().span], "9,x");
    }

    #[test]
    fn the_named_logs_are_found() {
        let text = "[[cycle]]\nlog = \"a.csv\"\n[[cycle]]\nto_c = 5\n[[cycle]]\nlog = 3\n";
        assert_eq!(named(text), ["a.csv"]);
        assert!(named("cycle = 3").is_empty());
    }
}
