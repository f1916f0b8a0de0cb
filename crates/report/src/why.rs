//! The reasons of a plan as plain text: a line of value and reason each, more for who learns, and the
//! references once at the end.

use std::collections::BTreeSet;

use casewright_plan::why::Why;

use crate::model::References;
use crate::text::Page;

/// All reasons; `references` turns a key into the work it stands for.
#[must_use]
pub fn text(all: &[Why], references: &References) -> String {
    let mut page = Page::default();
    if all.is_empty() {
        return String::new();
    }
    page.title("Why each number");
    for why in all {
        page.gap();
        let steps: Vec<String> = why.steps.iter().map(usize::to_string).collect();
        let place = match steps.len() {
            0 => String::new(),
            1 => format!(" (step {})", steps[0]),
            _ => format!(" (steps {})", steps.join(", ")),
        };
        page.hang(
            0,
            &format!("{}: ", why.what),
            &format!("{}{place}", why.value),
        );
        page.hang(
            2,
            "",
            &format!("{} [{}]", why.because, why.sources.join(", ")),
        );
        page.hang(4, "", why.teaching);
    }
    let keys: BTreeSet<&str> = all.iter().flat_map(|why| why.sources.clone()).collect();
    page.gap();
    for key in keys {
        let reference = references.get(key).map_or("", String::as_str);
        page.hang(0, &format!("[{key}] "), reference);
    }
    page.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use casewright_plan::why;

    #[test]
    fn every_reason_is_told_with_its_value_its_source_and_more() {
        let (spec, report) = fixture::pawls(4);
        let all = why::reasons(&spec, &report);
        assert!(!all.is_empty());
        let told = text(&all, &fixture::references());
        let flat = |words: &str| words.split_whitespace().collect::<Vec<_>>().join(" ");
        let flat_told = flat(&told);
        for why in &all {
            for words in [&why.value, &why.because, &why.teaching.to_owned()] {
                assert!(flat_told.contains(&flat(words)), "{words}");
            }
            for key in &why.sources {
                assert!(told.contains(&format!("[{key}]")), "{key}");
            }
        }
        for line in told.lines() {
            assert!(line.chars().count() <= crate::text::WIDTH, "{line}");
        }
    }

    #[test]
    fn no_plan_has_no_reasons() {
        let (spec, mut report) = fixture::pawls(4);
        report.plan = None;
        assert!(text(&why::reasons(&spec, &report), &fixture::references()).is_empty());
    }
}
