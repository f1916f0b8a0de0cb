//! Random files and random damage: nothing panics, every place is in the text, printing loses nothing.

use casewright_job::evidence::{parse, print};
use proptest::prelude::*;

use crate::{FILES, placeless};

const DEBRIS: [&str; 20] = [
    "\"", "'", "=", "[", "]", "[[", "]]", "\n", "#", ",", ".", "-", "0", "9", "mm", " in", "nan",
    "\\", "{", "e999",
];

fn damaged(text: &str, cuts: &[(usize, usize, usize)]) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for &(at, drop, piece) in cuts {
        let at = at % (chars.len() + 1);
        let end = (at + drop).min(chars.len());
        chars.splice(at..end, DEBRIS[piece % DEBRIS.len()].chars());
    }
    chars.into_iter().collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn damaged_files_never_panic(
        which in 0usize..4,
        cuts in prop::collection::vec((0usize..6000, 0usize..6, 0usize..DEBRIS.len()), 1..5),
    ) {
        let text = damaged(FILES[which].1, &cuts);
        let (read, said) = parse("e.toml", &text);
        for diag in &said {
            let place = diag.place.clone().expect("reading always knows the place");
            prop_assert!(text.get(place.span.clone()).is_some(), "{:?}", diag);
        }
        if let Some(read) = read {
            let printed = print(&read);
            let (again, diags) = parse("e.toml", &printed);
            prop_assert!(again.is_some(), "{:#?}\n{}", diags, printed);
            prop_assert_eq!(placeless(again.unwrap()), placeless(read));
        }
    }

    #[test]
    fn any_text_is_survived(text in "\\PC{0,200}") {
        let _ = parse("e.toml", &text);
    }

    #[test]
    fn random_traverses_print_and_read_back(
        steps in prop::collection::vec((0.01f64..0.3, 150.0f64..900.0), 2..20),
        inch in any::<bool>(),
    ) {
        let mut at = 0.0;
        let (mut depths, mut values) = (Vec::new(), Vec::new());
        for (step, hv) in steps {
            at += step;
            let (number, unit) = if inch { (at / 25.4, "in") } else { (at, "mm") };
            depths.push(format!("\"{number} {unit}\""));
            values.push(format!("{hv:?}"));
        }
        let text = format!(
            "[[specimen]]\nmark = \"K\"\nkind = \"part\"\nstate = \"tempered\"\n[[traverse]]\nspecimen = \"K\"\nscale = \"HV0.3\"\ndepths = [{}]\nvalues = [{}]\n",
            depths.join(", "),
            values.join(", "),
        );
        let (read, diags) = parse("e.toml", &text);
        prop_assert!(diags.is_empty(), "{:#?}", diags);
        let read = read.unwrap();
        let (again, _) = parse("e.toml", &print(&read));
        prop_assert_eq!(placeless(again.unwrap()), placeless(read));
    }
}
