//! Texts that are no job files, or wish us ill: they are refused, quickly and without panic.

use casewright_job::{parse, parse_shop, resolve};
use casewright_terms::Severity;

use crate::{Grades, JOBS, SHOP};

/// Reads a text as both files; some stop must come, every span must be in the text.
fn refused(text: &str) -> Vec<&'static str> {
    let (shop, said) = parse_shop("s", text);
    assert!(shop.is_none());
    let (draft, _) = parse("j", text);
    let (demo, _) = parse_shop("shop.toml", SHOP);
    let diags = resolve(draft, demo, &Grades).unwrap_err();
    assert!(diags.iter().any(|d| d.severity == Severity::Stop));
    for diag in diags.iter().chain(&said) {
        if let Some(place) = &diag.place {
            assert!(text.get(place.span.clone()).is_some(), "{diag:?}");
        }
        assert!(diag.text().len() < 2000, "{diag:?}");
    }
    diags.into_iter().map(|diag| diag.code).collect()
}

#[test]
fn nothing_at_all() {
    assert_eq!(refused(""), ["job-empty"]);
    assert_eq!(refused("\n\n# only words\n"), ["job-empty"]);
}

#[test]
fn huge_texts() {
    assert_eq!(refused(&"#".repeat((1 << 20) + 1)), ["text-too-large"]);
    refused(&"=\n".repeat(60_000));
    refused(&"a.".repeat(60_000));
    refused(&format!("name = \"{}\"", "x".repeat(900_000)));
    refused(&"[[feature]]\n".repeat(20_000));
}

#[test]
fn thousands_of_wrong_keys_are_counted_not_listed() {
    let text: String = (0..5000).map(|n| format!("key{n} = 1\n")).collect();
    let codes = refused(&text);
    assert!(codes.len() < 60, "{}", codes.len());
}

#[test]
fn deep_nesting() {
    for open in ["[", "{a=", "[[", "{", "[{a=["] {
        refused(&format!("a = {}", open.repeat(100_000)));
    }
    refused(&format!("[{}a]", "a.".repeat(100_000)));
}

#[test]
fn binary_like_and_odd_texts() {
    for text in [
        "\u{1}\u{2}\u{3}\u{7f}",
        "\u{0}",
        "PK\u{3}\u{4}",
        "{\"name\": \"pawl\"}",
        "<html></html>",
        "name: pawl\nquantity: 4\n",
        "\r\r\r",
        "= = =",
        "\"",
        "'''",
        "[",
        "]",
        "[part",
        "name = \"\\uD800\"",
        "name = \"\\x41\"",
        "ⓝame = 1",
        "\u{202e}name = \"x\"",
        "quantity = 0xFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFF",
        "quantity = inf\nstart = 99999-99-99\n",
    ] {
        assert!(!refused(text).is_empty(), "{text:?}");
    }
}

#[test]
fn every_value_of_every_wrong_type() {
    let wrong = [
        "1",
        "1.5",
        "true",
        "\"x\"",
        "[]",
        "[1, \"a\"]",
        "{}",
        "2026-12-01",
        "inf",
        "-nan",
        "[[[]]]",
        "\"\"",
    ];
    let (demo, _) = parse_shop("s", SHOP);
    for whole in [JOBS[0].1, JOBS[1].1, JOBS[3].1] {
        for (n, line) in whole.lines().enumerate() {
            let Some((key, _)) = line.split_once(" = ") else {
                continue;
            };
            if key.starts_with('#') {
                continue;
            }
            for value in wrong {
                let mut lines: Vec<String> = whole.lines().map(str::to_owned).collect();
                lines[n] = format!("{key} = {value}");
                let (draft, _) = parse("j", &lines.join("\n"));
                let _ = resolve(draft, demo.clone(), &Grades);
            }
        }
    }
    for (n, line) in SHOP.lines().enumerate() {
        if let Some((key, _)) = line.split_once(" = ") {
            for value in wrong {
                let mut lines: Vec<String> = SHOP.lines().map(str::to_owned).collect();
                lines[n] = format!("{key} = {value}");
                let _ = parse_shop("s", &lines.join("\n"));
            }
        }
    }
}

#[test]
fn sections_of_every_wrong_type() {
    for key in [
        "part",
        "feature",
        "steel",
        "stock",
        "answer",
        "wish",
        "shop",
        "steel.composition",
        "shop.furnace",
        "shop.staffed",
    ] {
        for value in ["1", "\"x\"", "[]", "[1]", "{}", "[{}]", "true", "[[{}]]"] {
            refused(&format!("{key} = {value}\n"));
        }
    }
}
