//! Complaints as a person reads them: what was seen, the line with a mark under the place, why it
//! matters, what would be accepted. All at once, in the order of the text.
//!
//! The drawing of source lines (wide characters, tabs, long lines) is a library's; see
//! docs/decisions/0003-cli-dependencies.md.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use casewright_terms::{Diag, Place, Severity};

use crate::answer::Texts;

/// More complaints than this about one text help nobody; the rest is counted.
const MOST_SHOWN: usize = 50;

/// All complaints as one text, heaviest places first in the order of the files, with a count at
/// the end where there are several.
pub(crate) fn render(diags: &[Diag], texts: &Texts, colour: bool) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let sorted = in_order(diags);
    let mut out = String::new();
    for diag in sorted.iter().take(MOST_SHOWN) {
        out.push_str(&renderer.render(&[group(diag, texts)]));
        out.push_str("\n\n");
    }
    if sorted.len() > 1 {
        out.push_str(&tally(&sorted));
    }
    out
}

/// Complaints with a place come in the order of the text, those without before them; of two at one
/// place the heavier comes first.
pub(crate) fn in_order(diags: &[Diag]) -> Vec<&Diag> {
    let mut sorted: Vec<&Diag> = diags.iter().collect();
    sorted.sort_by(|a, b| {
        let key = |diag: &Diag| {
            diag.place
                .as_ref()
                .map(|place| (place.file.clone(), place.span.start))
        };
        key(a).cmp(&key(b)).then(b.severity.cmp(&a.severity))
    });
    sorted
}

fn group<'a>(diag: &Diag, texts: &'a Texts) -> Group<'a> {
    let level = match diag.severity {
        Severity::Stop => Level::ERROR.with_name("stop"),
        Severity::Warn => Level::WARNING.with_name("warn"),
        Severity::Note => Level::NOTE.with_name("note"),
    };
    let mut group = level
        .primary_title(clean(&diag.seen))
        .id(diag.code)
        .elements(Vec::<Snippet<'_, annotate_snippets::Annotation<'_>>>::new());
    if let Some(place) = &diag.place {
        group = with_places(group, place, &diag.also, texts);
    }
    if !diag.why.is_empty() {
        group = group.element(Level::INFO.with_name("why").message(clean(&diag.why)));
    }
    if !diag.accepted.is_empty() {
        group = group.element(Level::HELP.with_name("do").message(clean(&diag.accepted)));
    }
    group
}

/// One snippet for the first place and all second places in the same text, one for each other text.
fn with_places<'a>(
    mut group: Group<'a>,
    first: &Place,
    also: &[(Place, String)],
    texts: &'a Texts,
) -> Group<'a> {
    let mut files: Vec<&str> = vec![&first.file];
    for (place, _) in also {
        if !files.contains(&place.file.as_str()) {
            files.push(&place.file);
        }
    }
    for file in files {
        let Some(text) = texts.get(file) else {
            // The text is not at hand (it came over a pipe, say): the name alone must do.
            group = group.element(annotate_snippets::Origin::path(clean(file)));
            continue;
        };
        let mut snippet = Snippet::source(text).path(clean(file));
        if first.file == file {
            snippet = snippet.annotation(AnnotationKind::Primary.span(whole(text, &first.span)));
        }
        for (place, label) in also.iter().filter(|(place, _)| place.file == file) {
            snippet = snippet.annotation(
                AnnotationKind::Context
                    .span(whole(text, &place.span))
                    .label(clean(label)),
            );
        }
        group = group.element(snippet);
    }
    group
}

/// The span moved to whole characters inside the text, at most to the end of its first line: a
/// mark under forty lines hides the fault.
fn whole(text: &str, span: &Range<usize>) -> Range<usize> {
    let mut start = span.start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let mut end = span.end.clamp(start, text.len());
    while !text.is_char_boundary(end) {
        end += 1;
    }
    let line_end = text[start..end]
        .find('\n')
        .filter(|length| *length > 0)
        .map_or(end, |length| start + length);
    start..line_end
}

/// Control characters out of a hostile file must not reach the terminal.
pub(crate) fn clean(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() && c != '\n' {
                '\u{fffd}'
            } else {
                c
            }
        })
        .collect()
}

/// Line and column, both from 1, of a byte in a text; the column counts characters.
pub(crate) fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let place = whole(text, &(byte..byte)).start;
    let before = &text[..place];
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    (
        before.matches('\n').count() + 1,
        before[line_start..].chars().count() + 1,
    )
}

fn tally(diags: &[&Diag]) -> String {
    let count = |severity| diags.iter().filter(|d| d.severity == severity).count();
    let words: Vec<String> = [
        (count(Severity::Stop), "to settle before going on"),
        (count(Severity::Warn), "to look at"),
        (count(Severity::Note), "to know"),
    ]
    .into_iter()
    .filter(|(n, _)| *n > 0)
    .map(|(n, what)| format!("{n} {what}"))
    .collect();
    let hidden = diags.len().saturating_sub(MOST_SHOWN);
    if hidden > 0 {
        format!("{} ({hidden} more not shown)\n", words.join(", "))
    } else {
        format!("{}\n", words.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(file: &str, text: &str, words: &str) -> Place {
        let start = text.find(words).expect("the words stand in the text");
        Place {
            file: file.into(),
            span: start..start + words.len(),
        }
    }

    /// Column (in characters) of the first mark and of the words above it, in the drawn text.
    fn mark_stands_under(drawn: &str, words: &str) -> bool {
        let lines: Vec<&str> = drawn.lines().collect();
        lines.windows(2).any(|pair| {
            let (Some(at), Some(mark)) = (pair[0].find(words), pair[1].find('^')) else {
                return false;
            };
            pair[0][..at].chars().count() == pair[1][..mark].chars().count()
        })
    }

    #[test]
    fn seen_place_why_and_way_out_are_all_there() {
        let text = "[part]\nthickness = 14\n";
        let diag = Diag::stop("number-without-unit", "The thickness is a bare number.")
            .at(place("job.toml", text, "14"))
            .why("14 in is 25 times 14 mm.")
            .accepted("Write \"14 mm\".");
        let drawn = render(&[diag], &Texts::one("job.toml", text), false);
        for piece in [
            "stop[number-without-unit]: The thickness is a bare number.",
            "job.toml:2:13",
            "thickness = 14",
            "why: 14 in is 25 times 14 mm.",
            "do: Write \"14 mm\".",
        ] {
            assert!(drawn.contains(piece), "{piece} is missing from\n{drawn}");
        }
        assert!(mark_stands_under(&drawn, "14"), "{drawn}");
        assert!(!drawn.contains('\u{1b}'), "plain text has no colour");
    }

    #[test]
    fn the_mark_stands_right_after_accents_and_tabs() {
        let accented = "what = \"Sperrklinke für Ø 14\" # x\n";
        let diag = Diag::warn("w", "Seen.").at(place("f", accented, "# x"));
        let drawn = render(&[diag], &Texts::one("f", accented), false);
        assert!(mark_stands_under(&drawn, "# x"), "{drawn}");

        let tabbed = "\t\tsize = 3\n";
        let diag = Diag::warn("w", "Seen.").at(place("f", tabbed, "3"));
        let drawn = render(&[diag], &Texts::one("f", tabbed), false);
        assert!(mark_stands_under(&drawn, "3"), "{drawn}");
        assert!(drawn.contains("f:1:10"), "{drawn}");
    }

    #[test]
    fn second_places_are_marked_with_their_words() {
        let text = "a = 1\nb = 2\na = 3\n";
        let first = Place {
            file: "f".into(),
            span: 0..1,
        };
        let diag = Diag::stop("twice", "a stands twice.")
            .at(Place {
                file: "f".into(),
                span: 12..13,
            })
            .also(first, "first here");
        let drawn = render(&[diag], &Texts::one("f", text), false);
        assert!(drawn.contains("first here"), "{drawn}");
        assert!(drawn.contains("f:3:1"), "{drawn}");
    }

    #[test]
    fn places_outside_the_text_or_inside_a_character_do_no_harm() {
        let text = "ü";
        for span in [0..1, 1..2, 1..1, 5..9, 2..2] {
            let diag = Diag::stop("x", "Seen.").at(Place {
                file: "f".into(),
                span,
            });
            let drawn = render(&[diag], &Texts::one("f", text), false);
            assert!(drawn.contains("Seen."), "{drawn}");
        }
    }

    #[test]
    fn control_characters_do_not_reach_the_terminal() {
        let text = "name = \"\u{1b}[2J\u{7}\"\n";
        let diag = Diag::stop("x", "The name \u{1b}[2J is odd.").at(Place {
            file: "\u{1b}]0;evil.toml".into(),
            span: 0..4,
        });
        let drawn = render(&[diag], &Texts::one("\u{1b}]0;evil.toml", text), false);
        assert!(!drawn.contains('\u{1b}'), "{drawn:?}");
        assert!(!drawn.contains('\u{7}'), "{drawn:?}");
    }

    #[test]
    fn complaints_come_in_the_order_of_the_text_and_are_counted() {
        let text = "a = 1\nb = 2\n";
        let texts = Texts::one("f", text);
        let late = Diag::stop("late", "Late.").at(place("f", text, "b"));
        let early = Diag::note("early", "Early.").at(place("f", text, "a"));
        let drawn = render(&[late, early], &texts, false);
        assert!(drawn.find("Early.") < drawn.find("Late."), "{drawn}");
        assert!(
            drawn.ends_with("1 to settle before going on, 1 to know\n"),
            "{drawn}"
        );
    }

    #[test]
    fn lines_and_columns_count_from_one_in_characters() {
        assert_eq!(line_and_column("üa\nb", 2), (1, 2));
        assert_eq!(line_and_column("üa\nb", 4), (2, 1));
        assert_eq!(line_and_column("", 9), (1, 1));
    }
}
