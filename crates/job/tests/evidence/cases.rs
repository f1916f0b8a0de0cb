//! Single slips, each with the words that are underlined.

use casewright_job::evidence::{Surface, What, parse, print};
use casewright_terms::{Length, Severity};

use crate::{FILES, SMALL, check, placeless, said};

#[test]
fn the_examples_read_without_a_word_and_print_back() {
    for (name, text) in FILES {
        let (read, diags) = parse(name, text);
        assert!(diags.is_empty(), "{name}: {diags:#?}");
        let read = read.unwrap();
        let printed = print(&read);
        let (again, diags) = parse(name, &printed);
        assert!(diags.is_empty(), "{name}: {diags:#?}\n{printed}");
        assert_eq!(placeless(again.unwrap()), placeless(read), "{name}");
    }
}

#[test]
fn the_small_file_says_what_it_says() {
    let (read, diags) = parse("e.toml", SMALL);
    assert!(diags.is_empty(), "{diags:#?}");
    let read = read.unwrap();
    assert_eq!(read.items[1].name, "traverse 1");
    assert_eq!(read.items[0].by.as_deref(), Some("E. Sandpiper"));
    let What::Traverse(traverse) = &read.items[1].what else {
        panic!("{:?}", read.items[1]);
    };
    assert_eq!(traverse.depths[1], Length::from_mm(0.2));
    assert_eq!(traverse.scale.to_string(), "HV1");
    let What::Hardness(hardness) = &read.items[0].what else {
        panic!("{:?}", read.items[0]);
    };
    assert_eq!(hardness.values, [60.5, 61.0]);
    assert_eq!(hardness.surface, Surface::AsHardened);
}

#[test]
fn impossible_readings_are_refused_with_their_place() {
    check("60.5, 61", "80.0, 61", "reading-impossible", "80.0");
    check("60.5, 61", "-3, 61", "reading-impossible", "-3");
    check("60.5, 61", "nan, 61", "reading-no-number", "nan");
    check("60.5, 61", "\"60\", 61", "value-wrong-type", "\"60\"");
    check(
        "[700, 650, 400]",
        "[7000, 650, 400]",
        "reading-impossible",
        "7000",
    );
}

#[test]
fn impossible_depths_are_refused_with_their_place() {
    check(
        "0.1 0.2 0.3 mm",
        "-0.1 0.2 0.3 mm",
        "depth-impossible",
        "\"-0.1 0.2 0.3 mm\"",
    );
    check(
        "0.1 0.2 0.3 mm",
        "10 20 300 mm",
        "depth-impossible",
        "\"10 20 300 mm\"",
    );
    check(
        "0.1 0.2 0.3 mm",
        "0.1 0.3 0.2 mm",
        "depths-not-rising",
        "depths",
    );
    check(
        "0.1 0.2 0.3 mm",
        "0.1 0.2 mm 0.3",
        "depths-unreadable",
        "\"0.1 0.2 mm 0.3\"",
    );
    check("[700, 650, 400]", "[700, 650]", "lists-differ", "values");
}

#[test]
fn a_depth_past_the_middle_was_taken_on_the_diameter() {
    let text = SMALL.replace("0.1 0.2 0.3 mm", "0.1 0.2 7.0 mm");
    let all = said(&text);
    assert_eq!(all.len(), 1, "{all:#?}");
    assert_eq!(all[0].1, "depth-past-middle");
}

#[test]
fn a_step_given_on_the_diameter_is_halved() {
    let steps = |key: &str| {
        format!(
            "{SMALL}[[step_grind]]\nspecimen = \"K1\"\nscale = \"15N\"\n{key} = \"0.2 0.4 0.8 mm\"\nvalues = [[90, 90.5], 89, [80]]\n"
        )
    };
    let removed = |text: &str| {
        let (read, diags) = parse("e.toml", text);
        assert!(diags.is_empty(), "{diags:#?}");
        match &read.unwrap().items[2].what {
            What::StepGrind(steps) => steps.removed.clone(),
            other => panic!("{other:?}"),
        }
    };
    let side = removed(&steps("removed"));
    let diameter = removed(&steps("removed_on_diameter"));
    assert_eq!(diameter, side.iter().map(|d| *d * 0.5).collect::<Vec<_>>());
}

#[test]
fn marks_and_scales_must_be_known() {
    check("\"HRC\"", "\"HRQ\"", "scale-unknown", "\"HRQ\"");
    check("\"HV1\"", "\"HV\"", "scale-force", "\"HV\"");
    check("\"HV1\"", "\"HRA\"", "traverse-scale", "\"HRA\"");
    check(
        "kind = \"coupon\"",
        "kind = \"cupon\"",
        "choice-unknown",
        "\"cupon\"",
    );
    check("state = \"tempered\"\n", "", "key-missing", "[[specimen]]");
    let text = SMALL.replace(
        "[[traverse]]\nspecimen = \"K1\"",
        "[[traverse]]\nspecimen = \"K7\"",
    );
    let all = said(&text);
    assert_eq!((all.len(), all[0].1), (1, "mark-unknown"), "{all:#?}");
    let twice =
        format!("{SMALL}[[specimen]]\nmark = \"k1\"\nkind = \"part\"\nstate = \"tempered\"\n");
    assert_eq!(said(&twice)[0].1, "mark-twice");
}

#[test]
fn many_mistakes_are_said_at_once_in_the_order_of_the_text() {
    let text = SMALL
        .replace("by =", "buy =")
        .replace("60.5", "99")
        .replace("\"HV1\"", "\"HV\"");
    let codes: Vec<_> = said(&text).into_iter().map(|(_, code, _)| code).collect();
    assert_eq!(codes, ["key-unknown", "reading-impossible", "scale-force"]);
}

#[test]
fn a_file_without_readings_is_none() {
    let text = "[[specimen]]\nmark = \"K1\"\nkind = \"part\"\nstate = \"tempered\"\n";
    let all = said(text);
    assert_eq!(
        (all.len(), all[0].0, all[0].1),
        (1, Severity::Stop, "evidence-empty")
    );
    let (read, diags) = parse("e.toml", "");
    assert!(read.is_none() && !diags.is_empty());
}
