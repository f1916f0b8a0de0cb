//! The demo's four jobs carried to their end, command by command, as docs/guides/whole-job.md tells:
//! one certified, one certified only after the missing test, one refused at its note, one that came
//! out soft.

use super::run::{OPERATOR, SECOND, by, logged, plan};
use super::*;

const JUDGE: [&str; 4] = ["--by", "E. Sandpiper", "--role", "inspector"];
const LEAD: [&str; 4] = ["--by", "K. Heron", "--role", "lead"];

/// A book of its own with a run of the job, every step done as planned, its log kept.
fn carried(name: &str, extra: &[&str]) -> String {
    let folder = folder(&format!("whole-{name}"));
    let book = folder.join("gannet.book").to_str().unwrap().to_owned();
    run(&[&["shop", "new", &book, "--shop", "Gannet Slip"][..], &LEAD].concat()).ended(0);
    let job = format!("examples/{name}/job.toml");
    let start = [&["start", &book, &job, "--run", "P-1"][..], extra].concat();
    by(&OPERATOR, &start, Some(0.0)).ended(0);
    let plan = plan(&book);
    let steps = plan["steps"].as_array().unwrap();
    let minutes = |moment: &Value| number(&moment["after_h"]) * 60.0;
    let mut log = String::new();
    for (index, step) in steps.iter().enumerate() {
        let number_of = (index + 1).to_string();
        let (begins, ends) = (minutes(&step["begins"]), minutes(&step["ends"]));
        let kind = step["kind"].as_str().unwrap();
        let heat = matches!(kind, "carburize" | "reheat" | "temper");
        if heat {
            by(
                &OPERATOR,
                &["begin", &book, "P-1", &number_of],
                Some(begins),
            )
            .ended(0);
        }
        if kind == "carburize" {
            let hot_h = number(&plan["pack_hot_after_h"]["mid"]);
            let hot = begins + hot_h * 60.0;
            by(&OPERATOR, &["hot", &book, "P-1"], Some(hot)).ended(0);
            log = logged(&plan, begins, hot_h + number(&plan["soak_h"]) + 1.0, 0.0);
        }
        if matches!(kind, "reheat" | "temper" | "quench") {
            let reads = step["temperature_c"].as_f64().unwrap_or(20.0);
            let reads = format!("{reads:.0}C");
            let call = ["read", &book, "P-1", "couple", &reads, "--step", &number_of];
            by(&OPERATOR, &call, Some(begins)).ended(0);
        }
        by(&OPERATOR, &["done", &book, "P-1", &number_of], Some(ends)).ended(0);
        if step["hold_point"] == true {
            by(&SECOND, &["witness", &book, "P-1", &number_of], Some(ends)).ended(0);
        }
    }
    let log = file(&folder, "f1.csv", &log);
    let call = [
        "log",
        &book,
        "P-1",
        &log,
        "--source",
        "bench logger",
        "--dates",
        "year-first",
    ];
    let logged = by(&OPERATOR, &call, None).ended(0).json();
    assert_eq!(logged["judged"][0]["proven"], true, "{logged}");
    by(&OPERATOR, &["finish", &book, "P-1"], None).ended(0);
    book
}

/// What only people know.
fn told(book: &str, coupons: &[String]) {
    let mut all = vec![
        ("address".to_owned(), "Slipway 3, telephone 0000 000"),
        ("customer".to_owned(), "harbour rigging loft"),
        ("order".to_owned(), "RL-77, line 2"),
        ("drawing".to_owned(), "GS-D-12 revision C"),
        ("mill-certificate".to_owned(), "kept under the heat number"),
        ("visual".to_owned(), "no cracks at 10x, E. Sandpiper"),
        ("calibrated F1".to_owned(), "survey of 2025-02-10, ±14 °C"),
        ("calibrated T1".to_owned(), "survey of 2025-02-10, ±8 °C"),
    ];
    for mark in coupons {
        all.push((
            format!("coupon {mark}"),
            "kept unread in the lot's envelope",
        ));
    }
    for (item, words) in &all {
        by(&JUDGE, &["tell", book, "P-1", item, words], None).ended(0);
    }
}

/// The example's evidence, dated after the run of this test, beside the book.
fn dated(book: &str, name: &str) -> String {
    let path = root().join(format!("examples/{name}/evidence.toml"));
    let text = std::fs::read_to_string(path).unwrap();
    let folder = Path::new(book).parent().unwrap();
    file(
        folder,
        "evidence.toml",
        text.replace("2026-12-0", "2025-03-1"),
    )
}

fn judged(book: &str, evidence: &str) -> Value {
    by(
        &JUDGE,
        &["judge", book, "P-1", "--evidence", evidence],
        None,
    )
    .ended(0)
    .json()
}

fn signed(book: &str, who: &[&str], entry: &Value) {
    by(
        who,
        &["sign", book, "P-1", &entry.to_string(), "--as", "approved"],
        None,
    )
    .ended(0);
}

/// The certificate's answer and whether it was granted.
fn certificate(book: &str) -> (bool, Value) {
    let ran = run(&["certificate", book, "P-1", "--json"]);
    let granted = ran.status == 0;
    let json = ran.ended(i32::from(!granted)).json();
    assert_eq!(json["granted"], granted);
    assert_eq!(json["paper"].is_null(), !granted, "refused is not printed");
    (granted, json)
}

fn missing(json: &Value) -> Vec<&str> {
    let mut all: Vec<&str> = json["missing"]
        .as_array()
        .unwrap()
        .iter()
        .map(|gap| gap["item"].as_str().unwrap())
        .collect();
    all.dedup();
    all
}

/// Coupons of the plan that the evidence does not speak of.
fn unread(book: &str, read: &[&str]) -> Vec<String> {
    plan(book)["coupons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|coupon| coupon["mark"].as_str().unwrap().to_owned())
        .filter(|mark| !read.contains(&mark.as_str()))
        .collect()
}

#[test]
fn the_winch_pawls_are_certified() {
    let book = carried("winch-pawl", &[]);
    let evidence = &dated(&book, "winch-pawl");
    // Nothing told, nothing judged: refused, and each item named.
    let (granted, json) = certificate(&book);
    assert!(!granted);
    for item in ["address", "customer", "calibration", "visual", "judgement"] {
        assert!(missing(&json).contains(&item), "{item} in {json}");
    }
    let others = unread(&book, &["K1", "K2", "U"]);
    told(&book, &others);
    let verdict = judged(&book, evidence);
    assert_eq!(verdict["judgement"]["verdict"], "meets");
    let entry = verdict["entry"].clone();
    assert_eq!(missing(&certificate(&book).1), ["release"]);
    // Neither who did the work nor who judged can release it.
    signed(&book, &OPERATOR, &entry);
    let own = &["sign", &book, "P-1", &entry.to_string(), "--as", "approved"];
    by(&JUDGE, own, None).ended(2);
    assert_eq!(missing(&certificate(&book).1), ["release"]);
    signed(&book, &LEAD, &entry);
    let (granted, json) = certificate(&book);
    assert!(granted, "{json}");
    let text = run(&["certificate", &book, "P-1"]).ended(0).out;
    for needed in [
        "case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind",
        "4471-B",
        "GS-D-12 revision C",
        "the soak is proven",
        "1 of 4 parts (P3)",
        "K. Heron",
        "SHA-256",
    ] {
        assert!(text.contains(needed), "{needed}:\n{text}");
    }
    // A later entry about the run, and the release no longer stands for all of it.
    by(&OPERATOR, &["tell", &book, "P-1", "order", "RL-78"], None).ended(0);
    assert_eq!(missing(&certificate(&book).1), ["release"]);
    let again = judged(&book, evidence);
    assert_eq!(again["supersedes"], entry);
    signed(&book, &LEAD, &again["entry"]);
    let (granted, json) = certificate(&book);
    assert!(granted, "{json}");
    assert_eq!(json["revision"], 1);
    let text = run(&["certificate", &book, "P-1"]).ended(0).out;
    assert!(
        text.contains("superseded") && text.contains("RL-77"),
        "{text}"
    );
    handed_over(&book);
}

/// The hand-over holds the evidence to the byte, and the certificate where it was kept.
fn handed_over(book: &str) {
    if cfg!(feature = "pdf") {
        let out = format!("{book}.pdf");
        let call = [
            "certificate",
            book,
            "P-1",
            "--out",
            &out,
            "--keep",
            "--json",
        ];
        let kept = run(&[&call[..], &LEAD].concat()).ended(0).json();
        assert!(kept["kept_in"].is_u64(), "{kept}");
        // Keeping it takes nothing from the release.
        assert!(certificate(book).0);
    }
    let to = format!("{book}-handed");
    run(&["shop", "hand-over", book, &to]).ended(0);
    let wanted = std::fs::read(Path::new(book).with_file_name("evidence.toml")).unwrap();
    let kept: Vec<Vec<u8>> = std::fs::read_dir(Path::new(&to).join("files"))
        .unwrap()
        .map(|entry| std::fs::read(entry.unwrap().path()).unwrap())
        .collect();
    assert!(kept.contains(&wanted), "the evidence is not handed over");
    let pdfs = kept
        .iter()
        .filter(|bytes| bytes.starts_with(b"%PDF-"))
        .count();
    assert_eq!(pdfs, usize::from(cfg!(feature = "pdf")));
}

#[test]
fn the_vang_pins_are_refused_until_the_thread_was_looked_at() {
    let book = carried("vang-pin", &[]);
    let others = unread(&book, &["K1"]);
    told(&book, &others);
    let evidence = &dated(&book, "vang-pin");
    let first = judged(&book, evidence);
    assert_eq!(first["judgement"]["verdict"], "not-shown");
    signed(&book, &LEAD, &first["entry"]);
    let (granted, json) = certificate(&book);
    assert!(!granted);
    assert_eq!(missing(&json), ["clauses"], "{json}");
    // The file on the thread, and no word of what was read before is changed.
    let mut text = std::fs::read_to_string(evidence).unwrap();
    text.push_str(
        "\n[[file]]\nspecimen = \"P2\"\nfile_hrc = 50\nresult = \"cuts\"\nat = \"soft area\"\nspot = \"thread\"\n",
    );
    let folder = Path::new(&book).parent().unwrap().to_owned();
    let more = file(&folder, "with-thread.toml", &text);
    let second = judged(&book, &more);
    assert_eq!(second["supersedes"], first["entry"]);
    assert_eq!(second["judgement"]["verdict"], "meets", "{second}");
    assert_eq!(
        missing(&certificate(&book).1),
        ["release"],
        "the old signature is of the old judgement"
    );
    signed(&book, &LEAD, &second["entry"]);
    let (granted, json) = certificate(&book);
    assert!(granted, "{json}");
    assert_eq!(json["revision"], 1);
}

#[test]
fn the_latch_plates_end_at_their_note() {
    let folder = folder("whole-latch-plate");
    let book = folder.join("gannet.book").to_str().unwrap().to_owned();
    run(&[&["shop", "new", &book, "--shop", "Gannet Slip"][..], &LEAD].concat()).ended(0);
    let start = [
        "start",
        &book,
        "examples/latch-plate/job.toml",
        "--run",
        "P-1",
    ];
    let json = by(&OPERATOR, &start, None).ended(2).json();
    assert_eq!(json["findings"][0]["code"], "run-no-plan", "{json}");
    run(&["certificate", &book, "P-1", "--json"]).ended(2);
    run(&["record", &book, "P-1", "--json"]).ended(2);
}

#[test]
fn the_failed_lot_gets_a_record_and_no_certificate_also_after_a_kinder_judgement() {
    let book = carried("failed-lot", &[]);
    let others = unread(&book, &["K1"]);
    told(&book, &others);
    let evidence = &dated(&book, "failed-lot");
    let verdict = judged(&book, evidence);
    assert_eq!(verdict["judgement"]["verdict"], "does-not-meet");
    signed(&book, &LEAD, &verdict["entry"]);
    let (granted, json) = certificate(&book);
    assert!(!granted);
    assert!(missing(&json).contains(&"clauses"), "{json}");
    let record = run(&["record", &book, "P-1"]).ended(0).out;
    assert!(record.contains("NOT met"), "{record}");
    assert!(!record.contains("released by"), "{record}");
    assert!(!record.to_lowercase().contains("conform"), "{record}");
    // Withdrawing the judgement does not make the miss go away.
    let entry = verdict["entry"].to_string();
    let call = [
        "correct",
        &book,
        "P-1",
        &entry,
        "--reason",
        "we hope not",
        "--withdraw",
    ];
    by(&JUDGE, &call, None).ended(0);
    let again = judged(&book, evidence);
    signed(&book, &LEAD, &again["entry"]);
    let (granted, json) = certificate(&book);
    assert!(!granted);
    assert!(missing(&json).contains(&"earlier-miss"), "{json}");
    let record = run(&["record", &book, "P-1"]).ended(0).out;
    assert!(record.contains("we hope not"), "{record}");
}

/// A practice run is followed like any other, and nothing makes a certificate of it.
#[test]
fn a_practice_run_is_never_certified() {
    let folder = folder("whole-practice");
    let book = folder.join("gannet.book").to_str().unwrap().to_owned();
    run(&[&["shop", "new", &book, "--shop", "Gannet Slip"][..], &LEAD].concat()).ended(0);
    let job = "examples/winch-pawl/job.toml";
    let start = ["start", &book, job, "--run", "P-1", "--practice"];
    let started = by(&OPERATOR, &start, Some(0.0)).ended(0).json();
    let (_, json) = certificate(&book);
    assert!(missing(&json).contains(&"practice-run"), "{json}");
    // The mark cannot be taken off.
    let entry = started["entry"].to_string();
    let call = [
        "correct",
        &book,
        "P-1",
        &entry,
        "--reason",
        "x",
        "--withdraw",
    ];
    by(&LEAD, &call, None).ended(2);
    assert!(missing(&certificate(&book).1).contains(&"practice-run"));
    // What has no place on a paper is refused, and evidence of another run too.
    by(&OPERATOR, &["tell", &book, "P-1", "weather", "fair"], None).ended(2);
    let evidence =
        std::fs::read_to_string(root().join("examples/winch-pawl/evidence.toml")).unwrap();
    let other = file(&folder, "other.toml", format!("run = \"P-2\"\n{evidence}"));
    let json = by(&JUDGE, &["judge", &book, "P-1", "--evidence", &other], None)
        .ended(2)
        .json();
    assert_eq!(json["findings"][0]["code"], "evidence-other-run", "{json}");
}
