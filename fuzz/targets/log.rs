//! Any bytes as a furnace log: read or refused, and then every line has a fate.
#![no_main]

use casewright_job::log::{Answers, DateOrder, Decimal, Fate, LogUnit, read};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Some((&choice, file)) = bytes.split_first() else {
        return;
    };
    // The first byte is what the person answered: every question is met both open and settled.
    let answers = Answers {
        dates: [
            None,
            Some(DateOrder::DayFirst),
            Some(DateOrder::MonthFirst),
            Some(DateOrder::YearFirst),
        ][usize::from(choice & 3)],
        decimal: [None, Some(Decimal::Comma), Some(Decimal::Point), None]
            [usize::from(choice >> 2 & 3)],
        unit: [None, Some(LogUnit::Celsius), Some(LogUnit::Fahrenheit), None]
            [usize::from(choice >> 4 & 3)],
        clock_put_back: choice >> 6 & 1 == 1,
    };
    match read(file, &answers) {
        Ok(log) => {
            let rows = log.rows() as u64;
            assert_eq!(rows, log.count(Fate::Read) + log.count(Fate::Fault));
            for channel in &log.channels {
                for row in 0..log.rows() {
                    assert!(channel.value(row).is_none_or(f64::is_finite));
                }
            }
            for row in 1..log.rows() {
                assert!(log.time(row).to_s() > log.time(row - 1).to_s(), "time stands still");
            }
        }
        Err(said) => assert!(!said.is_empty(), "refused without a word"),
    }
});
