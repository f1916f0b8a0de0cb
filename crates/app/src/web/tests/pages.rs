//! Tests of single pages: what they say, and that what people type into them stays words.

use std::time::Duration;

use super::{Got, Served, served};
use crate::cli::demo::{EXAMPLES, SHOP};
use crate::web::api;
use crate::web::route::{Kind, Method};
use crate::web::routes;

const HOSTILE: &str = "\"><script>alert(1)</script><img src=x onerror=alert(2)>&'";

/// A form that can be taken in as it is: the plunger of the examples.
fn plunger() -> Vec<(&'static str, &'static str)> {
    vec![
        ("mode", "fields"),
        ("name", "Tiller lock plungers"),
        ("number", "GS-0150"),
        ("quantity", "8"),
        ("note", "CHD 550 HV 0.6 +0.4/0, 58-62 HRC after grind"),
        ("what", "plunger"),
        ("shape", "bar"),
        ("diameter", "12 mm"),
        ("length", "45 mm"),
        ("grade", "C15E"),
        ("face", "outside diameter"),
        ("per-side", "0.06 mm"),
        ("shop", SHOP.1),
        ("who", "M. Tern"),
        ("role", "operator"),
    ]
}

fn with(name: &'static str, value: &'static str) -> Vec<(&'static str, &'static str)> {
    let mut form = plunger();
    form.retain(|(known, _)| *known != name);
    form.push((name, value));
    form
}

/// What stands in the element of that id, up to the next field.
fn said<'a>(got: &'a Got, id: &str) -> &'a str {
    let at = got
        .body
        .find(&format!("id=\"{id}\""))
        .unwrap_or_else(|| panic!("no {id}"));
    let rest = &got.body[at..];
    &rest[..rest.find("<label").unwrap_or(rest.len())]
}

/// Nothing in a page runs or is fetched but our own files.
fn inert(path: &str, body: &str) {
    assert!(!body.contains("<script>"), "{path}");
    assert!(!body.contains("<img"), "{path}");
    assert!(!body.contains(" style="), "{path}: the policy forbids it");
    assert!(!body.contains("onerror=alert(2)>"), "{path}");
    for (at, _) in body.match_indices("<script") {
        assert!(
            body[at..].starts_with("<script type=\"module\" src=\"/assets/live.js"),
            "{path}"
        );
    }
    for mark in ["src=\"http", "href=\"http", "url(http"] {
        assert!(!body.contains(mark), "{path}: {mark}");
    }
}

#[test]
fn a_job_is_taken_in_and_its_note_is_shown_as_read() {
    let served = served();
    let got = served.post("/take-in", &plunger());
    assert_eq!(got.status, 303, "{}", got.body);
    assert!(got.heads.contains("location: /jobs/gs-0150"));
    let note = served.get("/jobs/GS-0150");
    assert_eq!(note.status, 200);
    assert!(
        note.body
            .contains("CHD 550 HV 0.6 +0.4/0, 58-62 HRC after grind")
    );
    assert!(note.body.contains("The note can be planned as it stands."));
    let list = served.get("/");
    assert!(list.body.contains("GS-0150") && list.body.contains("taken in"));
    let again = served.post("/take-in", &plunger());
    assert_eq!(again.status, 422);
    assert!(said(&again, "said-number").contains("GS-0150"));
}

#[test]
fn what_is_wrong_stands_beside_its_field_and_nothing_is_lost() {
    let served = served();
    for (name, value, words) in [
        ("diameter", "12", "unit"),
        ("quantity", "many", "quantity"),
        ("grade", "C15X", "C15X"),
        ("shop", "name = 3", "shop.toml"),
        ("note", "", "note"),
        ("what", "", "what"),
        ("length", "", "length"),
        ("grade", "", "grade"),
        ("per-side", "", "per_side"),
    ] {
        let got = served.post("/take-in", &with(name, value));
        assert_eq!(got.status, 422, "{name}");
        let about = said(&got, &format!("said-{name}"));
        assert!(about.contains(words), "{name}: {about}");
        assert!(
            got.body.contains("Tiller lock plungers"),
            "{name}: the rest is kept"
        );
    }
    assert!(!served.get("/").body.contains("GS-0150"));
}

#[test]
fn an_open_question_is_shown_with_the_words_to_send() {
    let served = served();
    let got = served.post(
        "/take-in",
        &with("note", "CARBURIZE .030-.040 ECD, RC 58-62"),
    );
    // The question is for the customer: the job is in the book all the same.
    assert_eq!(got.status, 303, "{}", got.body);
    let note = served.get("/jobs/GS-0150");
    assert!(note.body.contains("Open questions"), "{}", note.body);
    assert!(note.body.contains("The words to send"));
}

#[test]
fn hostile_text_stays_words_in_every_field() {
    let served = served();
    for (name, _) in plunger() {
        let got = served.post("/take-in", &with(name, HOSTILE));
        inert(name, &got.body);
    }
    let all: Vec<(&str, &str)> = plunger()
        .into_iter()
        .map(|(name, _)| (name, HOSTILE))
        .collect();
    inert("all", &served.post("/take-in", &all).body);
    // A job whose free words are hostile and that is taken in all the same.
    let mut form = plunger();
    for (name, value) in &mut form {
        if matches!(*name, "name" | "number" | "what" | "who") {
            *value = "<script>alert(1)</script>";
        }
    }
    let got = served.post("/take-in", &form);
    assert_eq!(got.status, 303, "{}", got.body);
    let job = "/jobs/%3Cscript%3Ealert%281%29%3C%2Fscript%3E";
    for path in ["/", job, &format!("{job}/entries"), "/take-in"] {
        let got = served.get(path);
        assert_eq!(got.status, 200, "{path}");
        inert(path, &got.body);
    }
    for path in [
        "/handbook/steel?grade=",
        "/handbook/convert?hardness=",
        "/handbook/depth?hours=1+h&at=900+C&grade=",
        "/nowhere/",
    ] {
        let path = format!("{path}{}", crate::web::ask::escaped(HOSTILE));
        inert(&path, &served.get(&path).body);
    }
}

/// Asks until the plan is made.
fn ready(served: &Served, path: &str) -> Got {
    // Four minutes: a plan takes some ten seconds on an idle machine, and tests share theirs.
    for _ in 0..480 {
        let got = served.get(path);
        if got.status != 202 {
            return got;
        }
        std::thread::sleep(Duration::from_millis(500));
    }
    panic!("{path}: the plan takes too long");
}

#[test]
fn a_planned_job_is_shown_asked_and_answered_alike_on_page_and_api() {
    let served = served();
    let pawl = [
        ("mode", "text"),
        ("text", EXAMPLES[0].job),
        ("shop", SHOP.1),
        ("who", "M. Tern"),
        ("role", "operator"),
    ];
    assert_eq!(served.post("/take-in", &pawl).status, 303);
    let first = served.get("/jobs/GS-0141/work-up");
    assert_eq!(first.status, 202);
    assert!(first.heads.contains("refresh: 2"));
    let page = ready(&served, "/jobs/GS-0141/work-up");
    assert_eq!(page.status, 200, "{}", page.body);
    inert("work-up", &page.body);
    for words in [
        "Hardness against depth",
        "Why each number",
        "data-depth=\"0\"",
        "<svg",
    ] {
        assert!(page.body.contains(words), "{words}");
    }
    let answer = served.get("/jobs/GS-0141/work-up/answer?what=hours&value=8+h");
    assert!(answer.body.contains("soak 8 h"), "{}", answer.body);
    let api = served.get("/api/jobs/GS-0141/try?what=hours&value=8+h");
    let json: serde_json::Value = serde_json::from_str(&api.body).expect("JSON");
    let depth = json["tries"][0]["case_depth_after_grind_mm"]["mid"]
        .as_f64()
        .expect("a depth");
    // The same number on the page, to the two decimals that it is shown with.
    assert!(answer.body.contains(&format!("{depth:.2} mm")));
    let german = served.ask(
        "GET /jobs/GS-0141/work-up/answer?what=hours&value=8+h HTTP/1.1\r\nAccept-Language: de",
        "",
    );
    assert!(
        german
            .body
            .contains(&format!("{depth:.2} mm").replace('.', ","))
    );
    let refused = served.get("/jobs/GS-0141/work-up/answer?what=hours&value=900+h");
    assert!(refused.body.contains("class=\"findings\""));
    let plan: serde_json::Value =
        serde_json::from_str(&served.get("/api/jobs/GS-0141/plan").body).expect("JSON");
    assert!(plan["verdict"].is_string() && plan["prediction"]["profile"].is_object());
    for path in [
        "/jobs/GS-0141/ways",
        "/jobs/GS-0141/sheet",
        "/jobs/GS-0141/entries",
    ] {
        let got = served.get(path);
        assert_eq!(got.status, 200, "{path}");
        inert(path, &got.body);
    }
    let by = [("who", "M. Tern"), ("role", "operator")];
    assert_eq!(served.post("/jobs/GS-0141/plan", &[]).status, 422);
    assert_eq!(served.post("/jobs/GS-0141/plan", &by).status, 303);
    assert!(served.get("/").body.contains("plan fixed"));
    let picture = served.get("/api/jobs/GS-0141/pictures/hardness");
    assert!(picture.heads.contains("image/svg+xml") && picture.body.starts_with("<svg"));
    assert_eq!(served.get("/api/jobs/GS-0141/pictures/none").status, 404);
}

#[test]
fn the_handbook_answers_without_a_job() {
    let served = served();
    let steel = served.get("/handbook/steel?grade=8620");
    assert!(steel.body.contains("(Jominy)") && steel.body.contains("<svg"));
    let hardness = served.get("/handbook/convert?hardness=58+HRC");
    assert!(hardness.body.contains("HR15N"), "{}", hardness.body);
    let depth = served.get("/handbook/depth?grade=8620&at=1700+F&hours=8+h");
    assert!(depth.body.contains("Total depth"), "{}", depth.body);
    let page: serde_json::Value =
        serde_json::from_str(&served.get("/api/depth?grade=8620&at=1700+F&hours=8+h").body)
            .expect("JSON");
    let total = page["total_depth_mm"].as_f64().expect("a depth");
    assert!(depth.body.contains(&format!("{total:.2} mm")));
    assert_eq!(served.get("/api/convert?hardness=red").status, 422);
}

#[test]
fn every_answer_for_scripts_is_described_and_nothing_else() {
    let document = api::document();
    let paths = document["paths"].as_object().expect("paths");
    let answers: Vec<_> = routes().filter(|route| route.kind == Kind::Api).collect();
    for route in &answers {
        assert!(route.path.starts_with("/api/"), "{}", route.path);
        let looks = route.method == Method::Get;
        let operation = &paths[route.path][if looks { "get" } else { "post" }];
        assert_eq!(operation["summary"], route.what);
        let named = operation["parameters"]
            .as_array()
            .expect("parameters")
            .len();
        let parts = route.path.matches('{').count();
        let form = &operation["requestBody"]["content"]["application/x-www-form-urlencoded"];
        let in_form = form["schema"]["properties"]
            .as_object()
            .map_or(0, serde_json::Map::len);
        assert_eq!(named + in_form, parts + route.takes.len(), "{}", route.path);
        assert_eq!(in_form > 0, !looks, "{}", route.path);
    }
    assert_eq!(paths.len(), answers.len());
    for route in routes().filter(|route| route.kind == Kind::Page) {
        assert!(!route.path.starts_with("/api/"), "{}", route.path);
    }
    let served = served();
    let sent: serde_json::Value =
        serde_json::from_str(&served.get("/api/openapi.json").body).expect("JSON");
    assert_eq!(sent, document);
}

#[test]
fn every_field_has_its_words() {
    let served = served();
    for path in ["/take-in", "/take-in?mode=text", "/handbook"] {
        let body = served.get(path).body;
        for (at, _) in body.match_indices(" id=\"") {
            let tag = body[..at].rfind('<').map_or("", |from| &body[from..at]);
            let is_field = ["<input", "<select", "<textarea"]
                .iter()
                .any(|name| tag.starts_with(name));
            let id = body[at + 5..].split('"').next().unwrap_or("");
            if is_field {
                assert!(body.contains(&format!("for=\"{id}\"")), "{path}: {id}");
            }
        }
    }
}
