//! Writes a made-up log in one of many ways. Knows nothing of the reader.

use casewright_job::log::{DateOrder, Decimal, LogUnit};

/// A small generator of its own, so that a seed names a file for good (splitmix64).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (mixed ^ (mixed >> 31)) % limit
    }

    pub(crate) fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len() as u64) as usize]
    }

    fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
}

/// What the log says, whatever way it is written.
pub(crate) struct Truth {
    pub(crate) unit: LogUnit,
    /// Milliseconds since 1970, where the way of writing tells the date.
    pub(crate) start_ms: Option<i64>,
    /// Milliseconds since the first row, and readings.
    pub(crate) rows: Vec<(i64, Vec<Option<f64>>)>,
    pub(crate) channels: usize,
    /// Lines that cannot be read, for the cut end.
    pub(crate) unreadable: u64,
    pub(crate) lines: u64,
    /// True answers.
    pub(crate) order: DateOrder,
    pub(crate) decimal: Decimal,
}

#[derive(Clone, Copy, PartialEq)]
enum When {
    Stamp,
    TwoColumns,
    ClockThenDate,
    ClockOnly,
    Epoch,
    EpochMs,
    ElapsedS,
    ElapsedMin,
    Serial,
}

#[derive(Clone, Copy, PartialEq)]
enum Unit {
    Bracket,
    Degree,
    Row,
    Cell,
    Whole,
    Nowhere,
}

struct Way {
    delimiter: &'static str,
    comma: bool,
    quoted: bool,
    glued: bool,
    when: When,
    date: &'static str,
    clock: &'static str,
    unit: Unit,
    names: bool,
    index: bool,
    status: bool,
    trailing: bool,
    decimals: usize,
}

const DATES: [&str; 8] = [
    "%Y-%m-%d", "%d.%m.%Y", "%m/%d/%Y", "%d/%m/%y", "%d-%b-%Y", "%Y%m%d", "%y/%m/%d", "%d/%m/%Y",
];

fn way(dice: &mut Dice, interval_s: i64) -> Way {
    let delimiter = dice.one(&["\t", ";", "|", ",", " "]);
    let comma = dice.chance(40);
    let mut way = Way {
        delimiter,
        comma,
        quoted: false,
        glued: false,
        when: dice.one(&[
            When::Stamp,
            When::Stamp,
            When::TwoColumns,
            When::TwoColumns,
            When::ClockThenDate,
            When::ClockOnly,
            When::Epoch,
            When::EpochMs,
            When::ElapsedS,
            When::ElapsedMin,
            When::Serial,
        ]),
        date: dice.one(&DATES),
        clock: dice.one(&["H:M:S", "H:M:S", "H:M:S.f", "I:M:S p", "H:M"]),
        unit: dice.one(&[
            Unit::Bracket,
            Unit::Degree,
            Unit::Row,
            Unit::Cell,
            Unit::Whole,
            Unit::Nowhere,
        ]),
        names: dice.chance(80),
        index: dice.chance(15),
        status: dice.chance(15),
        trailing: dice.chance(10),
        decimals: dice.below(4) as usize,
    };
    let minutes = interval_s % 60 == 0;
    if way.clock == "H:M" && !minutes {
        way.clock = "H:M:S";
    }
    if way.when == When::ElapsedMin && !minutes {
        way.when = When::ElapsedS;
    }
    let counted = matches!(
        way.when,
        When::Epoch | When::EpochMs | When::ElapsedS | When::ElapsedMin | When::Serial
    );
    if counted {
        // A bare count needs its head; a record number beside it would be another count.
        way.names = true;
        way.index = false;
    }
    if delimiter == "," && comma {
        way.quoted = dice.chance(50);
        way.glued = !way.quoted;
        if way.glued {
            way.decimals = way.decimals.max(1);
            way.index = false;
            way.status = false;
            way.trailing = false;
            way.unit = dice.one(&[Unit::Bracket, Unit::Whole, Unit::Nowhere]);
            if counted && way.when == When::Serial {
                way.when = When::Epoch;
            }
        }
    }
    if delimiter == " " {
        way.trailing = false;
        if way.when == When::Stamp && way.clock == "I:M:S p" {
            way.clock = "H:M:S";
        }
    }
    if way.when == When::ClockThenDate && way.clock == "I:M:S p" {
        way.clock = "H:M:S";
    }
    if !way.names && matches!(way.unit, Unit::Bracket | Unit::Degree | Unit::Row) {
        way.unit = Unit::Whole;
    }
    way
}

/// Days since 1970 to a day of the calendar.
fn calendar(days: i64) -> (i64, u32, u32) {
    let date = jiff::civil::date(1970, 1, 1)
        .checked_add(jiff::Span::new().days(days))
        .expect("a day of this century");
    (
        i64::from(date.year()),
        date.month() as u32,
        date.day() as u32,
    )
}

fn write_date(form: &str, ms: i64) -> String {
    let (year, month, day) = calendar(ms.div_euclid(86_400_000));
    const NAMES: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    form.replace("%Y", &format!("{year:04}"))
        .replace("%y", &format!("{:02}", year % 100))
        .replace("%m", &format!("{month:02}"))
        .replace("%d", &format!("{day:02}"))
        .replace("%b", NAMES[month as usize - 1])
}

fn write_clock(form: &str, ms: i64) -> String {
    let ms = ms.rem_euclid(86_400_000);
    let (h, m, s, f) = (ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60, ms % 1000);
    match form {
        "H:M" => format!("{h:02}:{m:02}"),
        "H:M:S.f" => format!("{h:02}:{m:02}:{s:02}.{f:03}"),
        "I:M:S p" => {
            let half = if h < 12 { "AM" } else { "PM" };
            format!("{}:{m:02}:{s:02} {half}", (h + 11) % 12 + 1)
        }
        _ => format!("{h:02}:{m:02}:{s:02}"),
    }
}

fn write_number(scaled: i64, decimals: usize, comma: bool) -> String {
    let power = 10_i64.pow(decimals as u32);
    if decimals == 0 {
        return scaled.to_string();
    }
    let mark = if comma { ',' } else { '.' };
    format!("{}{mark}{:0decimals$}", scaled / power, scaled % power)
}

/// A file and what it says.
pub(crate) fn written(seed: u64) -> (Vec<u8>, Truth) {
    let dice = &mut Dice(seed);
    let interval_s = dice.one(&[1_i64, 5, 10, 30, 60, 300, 900]);
    let way = way(dice, interval_s);
    let unit = dice.one(&[
        LogUnit::Celsius,
        LogUnit::Celsius,
        LogUnit::Fahrenheit,
        LogUnit::Kelvin,
    ]);
    let channels = 1 + dice.below(3) as usize;
    let count = 5 + dice.below(60) as i64;
    // Within 2020 to 2035; whole minutes, so that every way can tell it.
    let start_ms =
        (18_262 + dice.below(5800) as i64) * 86_400_000 + dice.below(24 * 60) as i64 * 60_000;
    let power = 10_i64.pow(way.decimals as u32);
    let mut level: Vec<i64> = (0..channels)
        .map(|_| (300 + dice.below(600) as i64) * power)
        .collect();
    let mut rows = Vec::new();
    let mut lines: Vec<String> = Vec::new();
    let file = Head::of(&way, unit, channels, dice, &mut lines);
    let mut last_row = String::new();
    for row in 0..count {
        let ms = row * interval_s * 1000;
        let mut cells = time_cells(&way, start_ms + ms, ms);
        if way.index {
            cells.insert(0, (row + 1).to_string());
        }
        let mut values = Vec::new();
        for level in &mut level {
            *level += dice.below(8 * power as u64 + 1) as i64 - 4 * power;
            *level = (*level).clamp(280 * power, 1250 * power);
            let fault = row > 0 && !way.glued && dice.chance(4);
            if fault {
                let words = ["OPEN", "----", "NaN", "-999", "Err", "*OC*", "32767", ""];
                let word = dice.one(&words);
                let word = if word.is_empty() && way.delimiter == " " {
                    "--"
                } else {
                    word
                };
                cells.push(word.to_owned());
                values.push(None);
                continue;
            }
            let text = write_number(*level, way.decimals, way.comma);
            values.push(Some(text.replace(',', ".").parse().expect("a number")));
            let text = match way.unit {
                Unit::Cell if way.delimiter == " " => format!("{text}{}", unit.symbol()),
                Unit::Cell => format!("{text} {}", unit.symbol()),
                _ => text,
            };
            cells.push(if way.quoted {
                format!("\"{text}\"")
            } else {
                text
            });
        }
        if way.status {
            cells.push("RUN".to_owned());
        }
        rows.push((ms, values));
        let line = file.line(&way, &cells);
        last_row.clone_from(&line);
        lines.push(line);
        file.between(&way, dice, &mut lines);
    }
    if dice.chance(20) {
        lines.push("End".to_owned());
    }
    let mut unreadable = 0;
    let mut text = file.ended(&lines);
    // The power went while the last row was written.
    if dice.chance(15) && lines.last() == Some(&last_row) {
        let last = lines.last().expect("there is a line").chars().count();
        let keep =
            text.chars().count() - file.end.len() - (1 + dice.below(last as u64 / 3) as usize);
        text = text.chars().take(keep).collect();
        unreadable = 1;
        rows.pop();
    }
    let truth = Truth {
        unit,
        start_ms: (!matches!(
            way.when,
            When::ClockOnly | When::ElapsedS | When::ElapsedMin
        ))
        .then_some(start_ms),
        rows,
        channels,
        unreadable,
        lines: text
            .split_inclusive(file.end.chars().last().expect("an end"))
            .count() as u64,
        order: match way.date {
            "%d.%m.%Y" | "%d/%m/%y" | "%d-%b-%Y" | "%d/%m/%Y" => DateOrder::DayFirst,
            "%m/%d/%Y" => DateOrder::MonthFirst,
            _ => DateOrder::YearFirst,
        },
        decimal: if way.comma {
            Decimal::Comma
        } else {
            Decimal::Point
        },
    };
    (encoded(&text, dice), truth)
}

struct Head {
    names: Option<String>,
    end: &'static str,
}

impl Head {
    fn of(
        way: &Way,
        unit: LogUnit,
        channels: usize,
        dice: &mut Dice,
        lines: &mut Vec<String>,
    ) -> Self {
        let letter = unit.symbol().trim_start_matches('°');
        if way.delimiter != " " && dice.chance(10) {
            lines.push(format!("sep={}", way.delimiter));
        }
        if dice.chance(40) {
            lines.push("Logger of furnace F1".to_owned());
            lines.push("Serial 0042".to_owned());
        }
        if way.unit == Unit::Whole {
            lines.push(format!("Units: {letter}"));
        }
        let names = way.names.then(|| {
            let mut names: Vec<String> = Vec::new();
            if way.index {
                names.push("No".into());
            }
            match way.when {
                When::Stamp => names.push("Timestamp".into()),
                When::TwoColumns => names.extend(["Date".into(), "Time".into()]),
                When::ClockThenDate => names.extend(["Time".into(), "Date".into()]),
                When::ClockOnly => names.push("Time".into()),
                When::Epoch | When::EpochMs => names.push("Time".into()),
                When::ElapsedS => names.push("Elapsed_s".into()),
                When::ElapsedMin => names.push("Time(min)".into()),
                When::Serial => names.push("Date".into()),
            }
            if way.delimiter == " " && way.clock == "I:M:S p" && way.has_clock() {
                names.push("Half".into());
            }
            for channel in 1..=channels {
                names.push(match way.unit {
                    Unit::Bracket => format!("TC{channel}[{letter}]"),
                    Unit::Degree => format!("TC{channel}({})", unit.symbol()),
                    _ => format!("TC{channel}"),
                });
            }
            if way.status {
                names.push("Status".into());
            }
            names
        });
        let mut head = Self {
            names: None,
            end: dice.one(&["\n", "\r\n", "\r\n", "\r"]),
        };
        if let Some(names) = names {
            let line = head.line(way, &names);
            lines.push(line.clone());
            head.names = Some(line);
            if way.unit == Unit::Row {
                let before = names.len() - channels - usize::from(way.status);
                let filler = if way.delimiter == " " { "hh:mm" } else { "" };
                let mut units = vec![filler.to_owned(); before];
                units.extend(vec![unit.symbol().to_owned(); channels]);
                if way.status {
                    units.push(filler.to_owned());
                }
                lines.push(head.line(way, &units));
            }
        }
        head
    }

    fn line(&self, way: &Way, cells: &[String]) -> String {
        let mut line = cells.join(way.delimiter);
        if way.trailing {
            line.push_str(way.delimiter);
        }
        line
    }

    /// What stands between rows now and then.
    fn between(&self, way: &Way, dice: &mut Dice, lines: &mut Vec<String>) {
        if dice.chance(2) {
            lines.push(String::new());
        }
        if let Some(names) = &self.names
            && dice.chance(2)
        {
            lines.push(names.clone());
        }
        if dice.chance(1) && way.delimiter != " " {
            lines.push("Begin".to_owned());
        }
    }

    fn ended(&self, lines: &[String]) -> String {
        lines
            .iter()
            .fold(String::new(), |text, line| text + line + self.end)
    }
}

impl Way {
    fn has_clock(&self) -> bool {
        matches!(
            self.when,
            When::Stamp | When::TwoColumns | When::ClockThenDate | When::ClockOnly
        )
    }
}

fn time_cells(way: &Way, at_ms: i64, since_ms: i64) -> Vec<String> {
    let date = || write_date(way.date, at_ms);
    let clock = || write_clock(way.clock, at_ms);
    match way.when {
        When::Stamp if way.delimiter == " " => vec![format!("{}T{}", date(), clock())],
        When::Stamp => vec![format!("{} {}", date(), clock())],
        When::TwoColumns => vec![date(), clock()],
        When::ClockThenDate => vec![clock(), date()],
        When::ClockOnly => vec![clock()],
        When::Epoch => vec![(at_ms / 1000).to_string()],
        When::EpochMs => vec![at_ms.to_string()],
        When::ElapsedS => vec![(since_ms / 1000).to_string()],
        When::ElapsedMin => vec![(since_ms / 60_000).to_string()],
        When::Serial => {
            let days = at_ms as f64 / 86_400_000.0 + 25_569.0;
            let text = format!("{days:.9}");
            let text = if way.comma {
                text.replace('.', ",")
            } else {
                text
            };
            vec![if way.quoted {
                format!("\"{text}\"")
            } else {
                text
            }]
        }
    }
}

fn encoded(text: &str, dice: &mut Dice) -> Vec<u8> {
    let wide =
        |bytes: fn(u16) -> [u8; 2]| -> Vec<u8> { text.encode_utf16().flat_map(bytes).collect() };
    match dice.below(7) {
        0 => [&[0xEF, 0xBB, 0xBF], text.as_bytes()].concat(),
        1 => [vec![0xFF, 0xFE], wide(u16::to_le_bytes)].concat(),
        2 => [vec![0xFE, 0xFF], wide(u16::to_be_bytes)].concat(),
        3 => wide(u16::to_le_bytes),
        4 => text
            .chars()
            .map(|c| u8::try_from(u32::from(c)).expect("Latin-1"))
            .collect(),
        _ => text.as_bytes().to_vec(),
    }
}
