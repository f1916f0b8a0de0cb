//! Tests of the table of steels: it loads, it is found by what people write, it warns.

use casewright_terms::{Element, Severity};

use super::super::sources::source;
use super::{SteelClass, UsualQuench, all, find, near, read};

fn check(written: &str, name: &str) {
    assert_eq!(
        find(written).map(|r| r.name.as_str()),
        Some(name),
        "{written}"
    );
}

#[test]
fn the_table_loads_with_at_least_fifty_grades() {
    assert!(all().len() >= 50, "{}", all().len());
}

#[test]
fn grades_are_found_as_people_write_them() {
    for (written, name) in [
        ("1018", "1018"),
        ("AISI 1018", "1018"),
        ("sae1018", "1018"),
        ("1018 CR", "1018"),
        ("1018CRS", "1018"),
        ("AISI/SAE 1018 cold rolled bar", "1018"),
        ("UNS G10180", "1018"),
        ("C15E", "C15E"),
        ("c 15 e", "C15E"),
        ("1.1141", "C15E"),
        ("Ck15", "C15E"),
        ("8620", "8620"),
        ("8620H", "8620H"),
        ("SAE 8620 H", "8620H"),
        ("8620 (annealed)", "8620"),
        ("EN 36A", "EN36A"),
        ("en36", "EN36A"),
        ("EN 10084 16MnCr5", "16MnCr5"),
        ("16 Mn Cr 5", "16MnCr5"),
        ("16MnCr5+N", "16MnCr5"),
        ("1.7131", "16MnCr5"),
        ("20NiCrMo2-2", "20NiCrMo2-2"),
        ("20 NiCrMo 2 2", "20NiCrMo2-2"),
        ("JIS G 4053 SCM420", "SCM420"),
        ("scm 420h", "SCM420"),
        ("ASTM A36", "A36"),
        ("12l14", "12L14"),
        ("mild steel", "unknown mild steel"),
        ("100Cr6", "52100"),
        ("304", "304"),
        ("type 304", "304"),
    ] {
        check(written, name);
    }
}

#[test]
fn nonsense_is_not_found_and_costs_nothing() {
    for written in [
        "",
        " ",
        "-",
        "steel",
        "EN",
        "9999",
        "1.",
        "unobtainium",
        "ß∞",
        "CR",
    ] {
        assert!(
            find(written).is_none(),
            "{written:?} gave {:?}",
            find(written)
        );
    }
    assert!(find(&"8620".repeat(100_000)).is_none());
}

#[test]
fn near_names_are_offered() {
    assert!(near("8260").contains(&"8620"));
    assert!(near("16MnCr6").contains(&"16MnCr5"));
    assert!(near("1018H").contains(&"1018"));
    assert!(near("qqqqqqqq").is_empty());
}

#[test]
fn every_name_finds_its_own_record() {
    for record in all() {
        check(&record.name, &record.name);
        for alias in &record.aliases {
            check(alias, &record.name);
        }
    }
}

#[test]
fn middle_is_inside_every_range_and_leaves_iron() {
    for record in all() {
        let middle = record.middle();
        assert!(record.outside(&middle).is_empty(), "{}", record.name);
        let carbon = middle.wt_pct(Element::C);
        assert!(carbon > 0.0, "{}", record.name);
        if matches!(
            record.class,
            SteelClass::Plain | SteelClass::AlloyCarburizing
        ) {
            // The edge of the case-hardening steels of EN 10084 is 0.31 % C (28Cr4).
            assert!(carbon < 0.30, "{} {carbon}", record.name);
        }
    }
}

#[test]
fn dangers_are_named() {
    let has = |name: &str, code: &str| find(name).unwrap().warnings.iter().any(|w| w.code == code);
    assert!(has("12L14", "leaded"));
    assert!(has("1117", "resulphurised"));
    assert!(has("A36", "unknown-chemistry"));
    assert!(has("galvanised", "plated-stock"));
    assert!(has("4140", "through-hardens"));
    assert!(has("16MnCrB5", "boron"));
    for record in all() {
        let stops = record.warnings.iter().any(|w| w.severity == Severity::Stop);
        if record.quench == UsualQuench::NotCarburized {
            assert!(
                stops,
                "{} is not carburized but nothing stops it",
                record.name
            );
        }
        let lead = record.range(Element::Pb).is_some();
        assert_eq!(lead, has(&record.name, "leaded"), "{}", record.name);
        let sorted = record
            .warnings
            .windows(2)
            .all(|w| w[0].severity >= w[1].severity);
        assert!(sorted, "{}", record.name);
    }
}

#[test]
fn every_source_key_has_an_entry() {
    for record in all() {
        assert!(source(&record.source).is_some(), "{}", record.source);
    }
}

/// A whole small table around one record.
fn one(body: &str) -> String {
    format!(
        "[typical]\n[warning.w]\nseverity = \"warn\"\ntext = \"t\"\n[[steel]]\nname = \"X\"\n\
         system = \"SAE\"\naliases = []\nclass = \"plain\"\nquench = \"oil\"\n{body}\n"
    )
}

#[test]
fn a_broken_table_is_refused_with_all_problems() {
    assert!(read(&one("range = { C = [0.1, 0.2] }\nsource = \"s\"")).is_ok());
    for (body, word) in [
        ("range = { C = [0.3, 0.2] }\nsource = \"s\"", "not a range"),
        ("range = { C = [0.1, nan] }\nsource = \"s\"", "not a range"),
        ("range = { Mn = [0.1, 0.2] }\nsource = \"s\"", "carbon"),
        (
            "range = { C = [0.1, 0.2], Ni = [50.0, 60.0] }\nsource = \"s\"",
            "iron",
        ),
        (
            "range = { C = [0.1, 0.2] }\nsource = \" \"",
            "source is empty",
        ),
        (
            "range = { C = [0.1, 0.2], Xx = [0.0, 1.0] }\nsource = \"s\"",
            "element",
        ),
        (
            "range = { C = [0.1, 0.2] }\ntypical = { C = 0.5 }\nsource = \"s\"",
            "outside",
        ),
        (
            "range = { C = [0.1, 0.2] }\nwarnings = [\"v\"]\nsource = \"s\"",
            "not defined",
        ),
        (
            "range = { C = [0.1, 0.2] }\nbecause = \"b\"\nsource = \"s\"",
            "no warning",
        ),
    ] {
        let problems = read(&one(body)).unwrap_err();
        let text: String = problems.iter().map(ToString::to_string).collect();
        assert!(text.contains(word), "{body}: {text}");
    }
    let twice = one("range = { C = [0.1, 0.2] }\nsource = \"s\"")
        + "[[steel]]\nname = \"x\"\nsystem = \"\"\naliases = []\nclass = \"plain\"\n\
           quench = \"oil\"\nrange = { C = [2.0, 1.0] }\nsource = \"s\"\n";
    assert!(read(&twice).unwrap_err().len() >= 3);
    assert!(read("not toml at all [[").is_err());
}
