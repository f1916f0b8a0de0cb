//! Furnace logs: made-up logs in random ways of writing read back equal, and a shelf of odd files
//! each comes out as its line says.

mod dialect;
mod odd;
mod random;

use casewright_job::log::{Answers, DateOrder, Decimal, LogUnit};

/// The answers by their words, as in `dates=day-first unit=F`.
fn answers(words: &str) -> Answers {
    let mut answers = Answers::NONE;
    for word in words.split_whitespace() {
        match word {
            "dates=day-first" => answers.dates = Some(DateOrder::DayFirst),
            "dates=month-first" => answers.dates = Some(DateOrder::MonthFirst),
            "dates=year-first" => answers.dates = Some(DateOrder::YearFirst),
            "decimal=comma" => answers.decimal = Some(Decimal::Comma),
            "decimal=point" => answers.decimal = Some(Decimal::Point),
            "unit=C" => answers.unit = Some(LogUnit::Celsius),
            "unit=F" => answers.unit = Some(LogUnit::Fahrenheit),
            "unit=K" => answers.unit = Some(LogUnit::Kelvin),
            "clock=put-back" => answers.clock_put_back = true,
            other => panic!("no such answer: {other}"),
        }
    }
    answers
}
