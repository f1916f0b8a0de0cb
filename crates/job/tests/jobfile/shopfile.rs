//! The shop file: each machine's mistakes, and a shop that lacks what the job needs.

use casewright_job::parse_shop;
use casewright_job::shop::{ColdGear, HotOpening, Lute, Medium};
use casewright_terms::Severity;

use crate::SHOP;

/// Code and underlined words of everything said about the demo shop with one text replaced.
fn said(from: &str, to: &str) -> Vec<(&'static str, String)> {
    assert!(SHOP.contains(from), "{from}");
    let text = SHOP.replacen(from, to, 1);
    let (shop, diags) = parse_shop("shop.toml", &text);
    let stopped = diags.iter().any(|d| d.severity == Severity::Stop);
    assert_eq!(
        shop.is_none(),
        stopped,
        "a shop comes exactly where nothing stops"
    );
    diags
        .into_iter()
        .map(|diag| (diag.code, text[diag.place.unwrap().span].to_owned()))
        .collect()
}

fn check(from: &str, to: &str, code: &'static str, words: &str) {
    assert_eq!(said(from, to), [(code, words.to_owned())], "{to}");
}

#[test]
fn the_demo_shop_is_as_described() {
    let (shop, diags) = parse_shop("shop.toml", SHOP);
    assert!(diags.is_empty(), "{diags:#?}");
    let shop = shop.unwrap();
    assert_eq!(shop.furnaces[0].power.to_kw(), 9.0);
    assert_eq!(
        shop.furnaces[0].inside.map(|s| s.to_mm().round()),
        [300.0, 250.0, 450.0]
    );
    assert_eq!(shop.furnaces[0].survey.to_k(), 14.0);
    assert!((shop.tanks[1].volume.to_l() - 60.0).abs() < 1e-9);
    assert_eq!(shop.tanks[1].medium, Medium::FastOil);
    assert_eq!(shop.boxes.len(), 2);
    assert_eq!(shop.staffed.by_weekday[0], Some((420, 1290)));
    assert_eq!(shop.staffed.by_weekday[5], Some((480, 840)));
    assert_eq!(shop.staffed.by_weekday[6], None);
}

#[test]
fn machines_are_checked_one_by_one() {
    check("power = \"9 kW\"", "power = \"9 kV\"", "unit-unknown", "kV");
    check(
        "power = \"9 kW\"",
        "power = \"9000 kW\"",
        "value-out-of-range",
        "\"9000 kW\"",
    );
    check(
        "survey = \"±14 °C\"",
        "survey = \"14\"",
        "unit-missing",
        "14",
    );
    check(
        "survey = \"±14 °C\"",
        "survey = \"±140 °C\"",
        "value-out-of-range",
        "\"±140 °C\"",
    );
    check(
        "max = \"1100 °C\"",
        "max = \"1100 °F\"",
        "value-out-of-range",
        "\"1100 °F\"",
    );
    check(
        "\"300 x 250 x 450 mm\"",
        "\"300 x 250 mm\"",
        "triple-wanted",
        "300 x 250 mm",
    );
    check(
        "\"300 x 250 x 450 mm\"",
        "\"300 x 250 x 450 m\"",
        "value-out-of-range",
        "\"300 x 250 x 450 m\"",
    );
    check(
        "wall = \"6 mm\"",
        "wall = \"6 m\"",
        "value-out-of-range",
        "\"6 m\"",
    );
    check(
        "medium = \"water\"",
        "medium = \"watr\"",
        "choice-unknown",
        "\"watr\"",
    );
    check(
        "bath = \"20 °C\"",
        "bath = \"120 °C\"",
        "value-out-of-range",
        "\"120 °C\"",
    );
    check(
        "flash_point = \"180 °C\"",
        "flash_point = \"70 °F\"",
        "value-out-of-range",
        "\"70 °F\"",
    );
    check(
        "bath = \"50 °C\"",
        "bath = \"190 °C\"",
        "bath-above-flash",
        "bath",
    );
    check("fresh = \"100 %\"", "fresh = 1.0", "unit-missing", "1.0");
    check(
        "energiser_fraction = \"13 %\"",
        "energiser_fraction = \"130 %\"",
        "value-out-of-range",
        "\"130 %\"",
    );
    check(
        "energiser_fraction = \"13 %\"",
        "energiser_fraction = \"0 %\"",
        "compound-contradiction",
        "energiser_fraction",
    );
    check("id = \"B2\"", "id = \"b1\"", "mark-twice", "[[box]]");
    check("\"HRC\", ", "\"Brinell\", ", "scale-unknown", "\"Brinell\"");
    check(
        "weekdays = \"07:00-21:30\"",
        "weekdays = \"21:30-07:00\"",
        "hours-unreadable",
        "\"21:30-07:00\"",
    );
    check(
        "independent_high_limit",
        "independant_high_limit",
        "key-unknown",
        "independant_high_limit",
    );
}

#[test]
fn a_cyanide_is_warned_about_and_kept_for_the_planner_to_refuse() {
    check(
        "energiser = \"mixed without barium\"",
        "energiser = \"cyanide\"",
        "compound-cyanide",
        "\"cyanide\"",
    );
}

#[test]
fn lute_hot_opening_and_cold_are_read_or_asked_about() {
    let read = |from: &str, to: &str| {
        let (shop, diags) = parse_shop("shop.toml", &SHOP.replacen(from, to, 1));
        assert_eq!(diags, Vec::new(), "{to}");
        shop.expect("a shop")
    };
    let plain = read("count = 1", "count = 1");
    assert_eq!((plain.boxes[0].lute, plain.hot_opening), (None, None));
    let luted = read("count = 1", "count = 1\nlute = \"asbestos\"");
    assert_eq!(luted.boxes[0].lute, Some(Lute::Asbestos));
    let hooded = read("file_set = true", "file_set = true\nhot_opening = \"hood\"");
    assert_eq!(hooded.hot_opening, Some(HotOpening::Hood));
    assert_eq!(plain.cold, None);
    let iced = read("file_set = true", "file_set = true\ncold = \"dry ice\"");
    assert_eq!(iced.cold, Some(ColdGear::DryIce));
    // All are printed with the job, and read back.
    let shop = casewright_job::shop::Shop {
        hot_opening: hooded.hot_opening,
        cold: iced.cold,
        ..luted
    };
    let spec = |text: &str, shop| {
        let (draft, _) = casewright_job::parse("job.toml", text);
        casewright_job::resolve(draft, shop, &crate::Grades).expect("a job")
    };
    let first = spec(crate::JOBS[0].1, Some(shop.clone()));
    let again = spec(&casewright_job::print::print(&first), None);
    assert_eq!(again.shop, shop);
    check(
        "count = 1",
        "count = 1\nlute = \"putty\"",
        "choice-unknown",
        "\"putty\"",
    );
}

#[test]
fn a_shop_lacking_equipment_is_told_why_it_needs_it() {
    let (shop, diags) = parse_shop(
        "shop.toml",
        "name = \"Bare\"\n[staffed]\nweekdays = \"7-15\"\n",
    );
    assert!(shop.is_none());
    let stops: Vec<_> = diags
        .iter()
        .filter(|d| d.severity == Severity::Stop)
        .collect();
    assert_eq!(stops.len(), 4, "{stops:#?}");
    for (stop, what) in stops.iter().zip(["box", "compound", "furnace", "tank"]) {
        assert_eq!(stop.code, "key-missing");
        assert!(!stop.why.is_empty(), "{what}");
    }
}

#[test]
fn oil_without_a_flash_point_stops() {
    let found = said(
        "flash_point = \"180 °C\"           # from the oil's data sheet\n",
        "",
    );
    assert_eq!(found, [("key-missing", "[[tank]]".to_owned())]);
}

#[test]
fn every_default_of_a_shop_is_said() {
    for line in [
        "grain = \"4 mm\"\n",
        "bulk_density = \"0.52 kg/L\"       # weigh one litre, loose\n",
        "dry = true\n",
        "agitation = \"good\"\n",
        "transfer = \"4 s\"                 # furnace door to fully under\n",
        "gas_tight = false\n",
        "count = 1\n",
        "file_set = true                  # test files, 50 to 65\n",
    ] {
        let found = said(line, "");
        assert_eq!(found.len(), 1, "{line} {found:?}");
        assert_eq!(
            found[0].0,
            casewright_job::read_shop::DEFAULT_TAKEN,
            "{line}"
        );
    }
}

#[test]
fn a_shop_may_stand_in_the_job_itself() {
    let inline = SHOP
        .replace("[[", "[[shop.")
        .replace("[staffed]", "[shop.staffed]");
    let at = inline.find("name = ").unwrap();
    let job = crate::JOBS[0]
        .1
        .replace("shop = \"../gannet-slip/shop.toml\"\n", "");
    let text = format!("{job}\n[shop]\n{}", &inline[at..]);
    let (draft, said) = casewright_job::parse("job.toml", &text);
    assert!(said.is_empty(), "{said:#?}");
    assert!(draft.shop_reference().is_none());
    let spec = casewright_job::resolve(draft, None, &crate::Grades).unwrap();
    assert_eq!(Some(spec.shop), parse_shop("shop.toml", SHOP).0);
}

#[test]
fn prices_are_optional_one_by_one_and_never_guessed() {
    let with = |prices: &str| parse_shop("shop.toml", &format!("{SHOP}\n[prices]\n{prices}"));
    let (shop, said) = with("currency = \"EUR\"\nenergy_per_kwh = 0.31\nhour = 0\n");
    assert!(said.is_empty(), "{said:#?}");
    let prices = shop.unwrap().prices.unwrap();
    assert_eq!(
        (
            prices.currency.as_str(),
            prices.energy_per_kwh,
            prices.compound_per_kg,
            prices.hour
        ),
        ("EUR", Some(0.31), None, Some(0.0))
    );
    assert_eq!(parse_shop("shop.toml", SHOP).0.unwrap().prices, None);
    for (prices, code, at) in [
        ("hour = 40\n", "key-missing", "[prices]"),
        (
            "currency = \"EUR\"\nhour = -1\n",
            "price-out-of-range",
            "-1",
        ),
        (
            "currency = \"EUR\"\nhour = nan\n",
            "price-out-of-range",
            "nan",
        ),
        (
            "currency = \"EUR\"\nhour = \"40\"\n",
            "value-wrong-type",
            "\"40\"",
        ),
        (
            "currency = \"more than a word\"\n",
            "currency-too-long",
            "\"more than a word\"",
        ),
        ("currency = \"EUR\"\nhours = 40\n", "key-unknown", "hours"),
    ] {
        let (_, said) = with(prices);
        let text = format!("{SHOP}\n[prices]\n{prices}");
        let found: Vec<(&str, &str)> = said
            .iter()
            .map(|d| (d.code, &text[d.place.clone().unwrap().span]))
            .collect();
        assert_eq!(found, [(code, at)], "{prices}");
    }
}

/// Learnt values come back as printed; one that is left out, twice or impossible stops the file.
#[test]
fn learnt_values_hold_only_together() {
    use casewright_job::shop::{Learnt, Subject, Trait};
    let plain = include_str!("../../../../examples/gannet-slip/shop.toml");
    let one = |what, mid, together: Vec<f64>| Learnt {
        about: Subject::Compound,
        mark: "K-26-03".to_owned(),
        what,
        mid,
        doubt: 0.58,
        together,
        date: Some("2026-11-25".to_owned()),
        from: vec!["P-1".to_owned(), "P-2".to_owned()],
    };
    let all = vec![
        one(Trait::Transfer, 0.21, vec![]),
        one(Trait::Diffusion, -0.1, vec![-0.634_217]),
    ];
    let read = |text: &str| parse_shop("shop.toml", &format!("{plain}\n{text}"));
    let lines = casewright_job::print::learnt_lines(&all);
    let (shop, diags) = read(&lines);
    assert_eq!(shop.unwrap_or_else(|| panic!("{diags:?}")).learnt, all);
    let second = casewright_job::print::learnt_lines(&all[1..]);
    for (text, code) in [
        (second.clone(), "learnt-not-together"),
        (format!("{}{}", lines, second), "learnt-not-together"),
        (
            lines.replace("[-0.634217]", "[-1.0]"),
            "learnt-not-together",
        ),
        (
            lines.replace("[-0.634217]", "[-1.5]"),
            "learnt-out-of-range",
        ),
        (
            lines.replace("mid = 0.21", "mid = 4.0"),
            "learnt-out-of-range",
        ),
        (
            lines.replace("doubt = 0.58", "doubt = 0.0"),
            "learnt-out-of-range",
        ),
        (
            lines.replace("\"diffusion\"", "\"transfer\""),
            "learnt-twice",
        ),
        (lines.replace("doubt = 0.58\n", ""), "key-missing"),
    ] {
        let (shop, diags) = read(&text);
        assert_eq!(shop, None, "{code}");
        assert!(diags.iter().any(|d| d.code == code), "{code} {diags:?}");
    }
}
