//! The hours in which somebody is there.

use casewright_terms::Diag;

use super::STAFFED_KEYS;
use crate::shop::Staffed;
use crate::text::{Scribe, Section};

/// A whole day in minutes.
const DAY_MIN: u16 = 24 * 60;

pub(super) fn staffed(scribe: &mut Scribe<'_>, top: &Section<'_>) -> Option<Staffed> {
    let Some(section) = scribe.sub(top, "staffed", "[staffed]", STAFFED_KEYS) else {
        scribe.missing(
            top,
            "staffed",
            "A carburizing cycle takes a day's work and somebody must be there when it ends; the start is chosen from these hours.",
            "a [staffed] section with weekdays = \"07:00-21:30\"",
        );
        return None;
    };
    let mut by_weekday = [None; 7];
    let mut good = true;
    // The wide keys first, so that a single day's key has the last word.
    let groups: [(&str, std::ops::Range<usize>); 9] = [
        ("weekdays", 0..5),
        ("weekend", 5..7),
        ("monday", 0..1),
        ("tuesday", 1..2),
        ("wednesday", 2..3),
        ("thursday", 3..4),
        ("friday", 4..5),
        ("saturday", 5..6),
        ("sunday", 6..7),
    ];
    for (key, days) in groups {
        if !section.has(key) {
            continue;
        }
        let Some(at) = scribe.line(&section, key) else {
            good = false;
            continue;
        };
        match hours(&at.value) {
            Ok(hours) => by_weekday[days].fill(hours),
            Err(why) => {
                good = false;
                scribe.push(
                    Diag::stop(
                        "hours-unreadable",
                        format!("{key} = \"{}\".", crate::text::clipped(&at.value)),
                    )
                    .why(why)
                    .accepted("Write \"07:00-21:30\", or \"none\" for a day when nobody is there.")
                    .at(at.place),
                );
            }
        }
    }
    if good && by_weekday.iter().all(Option::is_none) {
        scribe.push_at(
            Diag::stop("hours-none", "Nobody is ever there.")
                .why("Somebody must load, watch the end of the soak, quench and temper.")
                .accepted("Give at least one day, for example weekdays = \"07:00-21:30\"."),
            section.header.clone(),
        );
        good = false;
    }
    good.then_some(Staffed { by_weekday })
}

/// `07:00-21:30`, `7 am - 3:30 pm` or `none`, in minutes after midnight.
fn hours(text: &str) -> Result<Option<(u16, u16)>, &'static str> {
    let text = text.trim().to_lowercase().replace(['–', '—'], "-");
    if matches!(text.as_str(), "none" | "closed" | "nobody" | "-") {
        return Ok(None);
    }
    let (from, to) = text
        .split_once('-')
        .or_else(|| text.split_once(" to "))
        .ok_or("It is not two times with a hyphen between them.")?;
    let from = clock(from).ok_or("The first time cannot be read.")?;
    let to = clock(to).ok_or("The second time cannot be read.")?;
    if to <= from {
        return Err(
            "The day ends before it begins; hours over midnight belong to two days, the first ending at 24:00.",
        );
    }
    Ok(Some((from, to)))
}

/// Minutes after midnight of `7`, `07:00`, `7.30`, `3 pm`.
fn clock(text: &str) -> Option<u16> {
    let text = text.trim();
    let (digits, half) = match (text.strip_suffix("am"), text.strip_suffix("pm")) {
        (Some(rest), _) => (rest.trim(), Some(0)),
        (_, Some(rest)) => (rest.trim(), Some(12)),
        _ => (text, None),
    };
    let (hour, minute) = digits.split_once([':', '.']).unwrap_or((digits, "0"));
    if minute.is_empty() || minute.len() > 2 || !all_digits(hour) || !all_digits(minute) {
        return None;
    }
    let (mut hour, minute): (u16, u16) = (hour.parse().ok()?, minute.parse().ok()?);
    if let Some(half) = half {
        if !(1..=12).contains(&hour) {
            return None;
        }
        hour = hour % 12 + half;
    }
    let total = hour.checked_mul(60)?.checked_add(minute)?;
    (minute < 60 && total <= DAY_MIN).then_some(total)
}

fn all_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::hours;

    #[test]
    fn hours_as_people_write_them() {
        for (text, want) in [
            ("07:00-21:30", Some((420, 1290))),
            ("7:00 – 24:00", Some((420, 1440))),
            ("7 am - 3:30 pm", Some((420, 930))),
            ("12 am to 12 pm", Some((0, 720))),
            ("7-15", Some((420, 900))),
            ("none", None),
        ] {
            assert_eq!(hours(text), Ok(want), "{text}");
        }
        for text in [
            "",
            "7",
            "21:30-07:00",
            "25:00-26:00",
            "7:60-8:00",
            "13 pm-14 pm",
            "7:-8:",
            "99999-7",
            "07:00-07:00",
        ] {
            assert!(hours(text).is_err(), "{text}");
        }
    }
}
