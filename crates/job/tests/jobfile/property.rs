//! Random jobs and random damage: nothing panics, and printing loses nothing.

use casewright_job::{parse, parse_shop, print, resolve};
use proptest::prelude::*;

use crate::{Grades, JOBS, SHOP, placeless, whole};

/// Pieces that turn up where they should not.
const DEBRIS: [&str; 24] = [
    "\"", "'", "=", "[", "]", "[[", "]]", "\n", "#", ",", ".", "-", "0", "9", "mm", " in", "°",
    "\\", "{", "}", "±", "½", "\u{0}", "e9",
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

fn cuts() -> impl Strategy<Value = Vec<(usize, usize, usize)>> {
    prop::collection::vec((0usize..4000, 0usize..6, 0usize..DEBRIS.len()), 1..6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn damaged_jobs_never_panic(which in 0usize..4, cuts in cuts()) {
        let text = damaged(JOBS[which].1, &cuts);
        let (draft, said) = parse("job.toml", &text);
        for diag in &said {
            let place = diag.place.clone().expect("reading always knows the place");
            prop_assert!(text.get(place.span.clone()).is_some(), "{:?}", diag);
        }
        let (shop, _) = parse_shop("shop.toml", SHOP);
        if let Ok(spec) = resolve(draft, shop, &Grades) {
            let printed = print(&spec);
            let again = whole(&printed);
            prop_assert!(again.is_ok(), "{:#?}\n{}", again, printed);
            prop_assert_eq!(placeless(again.unwrap()), placeless(spec));
        }
    }

    #[test]
    fn damaged_shops_never_panic(cuts in cuts()) {
        let text = damaged(SHOP, &cuts);
        let (_, said) = parse_shop("shop.toml", &text);
        for diag in &said {
            let place = diag.place.clone().expect("reading always knows the place");
            prop_assert!(text.get(place.span.clone()).is_some(), "{:?}", diag);
        }
    }

    #[test]
    fn any_text_is_survived(text in "\\PC{0,200}") {
        let (draft, _) = parse("job.toml", &text);
        let _ = resolve(draft, None, &Grades);
        let _ = parse_shop("shop.toml", &text);
    }

    #[test]
    fn random_sizes_print_and_read_back(
        thickness in 1.0f64..30.0,
        width in 30.0f64..300.0,
        stock in 0.0f64..0.4,
        inch in any::<bool>(),
        name in "[ -~äßµ°]{1,40}",
        quantity in 1u32..100_000,
    ) {
        prop_assume!(!name.trim().is_empty());
        let unit = if inch { "in" } else { "mm" };
        let k = if inch { 1.0 / 25.4 } else { 1.0 };
        let quoted = name.replace('\\', "\\\\").replace('"', "\\\"");
        let text = JOBS[0].1
            .replace("\"Winch pawls\"", &format!("\"{quoted}\""))
            .replace("quantity = 4", &format!("quantity = {quantity}"))
            .replace("\"14 mm\"\nwidth", &format!("\"{} {unit}\"\nwidth", thickness * k))
            .replace("\"40 mm\"", &format!("\"{} {unit}\"", width * k))
            .replace("\"60 mm\"", &format!("\"{} {unit}\"", width * k))
            .replace("\"0.12 mm\"", &format!("\"{} {unit}\"", stock * k));
        let spec = whole(&text);
        prop_assert!(spec.is_ok(), "{:#?}\n{}", spec, text);
        let spec = spec.unwrap();
        prop_assert_eq!(&spec.name, &name);
        let again = whole(&print(&spec)).expect("a printed job reads");
        prop_assert_eq!(placeless(again), placeless(spec));
    }
}
