//! `run`: the winch pawls from plan to finished run, command by command, and what is refused on the
//! way.

use super::*;

pub(super) const OPERATOR: [&str; 4] = ["--by", "M. Tern", "--role", "operator"];
pub(super) const SECOND: [&str; 4] = ["--by", "A. Plover", "--role", "instructor"];
/// A Monday morning that is past, seconds since 1970 in UTC: 2025-03-03 07:30.
const START_S: i64 = 1_740_987_000;

/// A time on the command line, so many minutes after the start.
fn at(minutes: f64) -> String {
    let seconds = START_S + (minutes * 60.0).round() as i64;
    let of_day = seconds.rem_euclid(86_400);
    let day = 3 + (seconds - START_S + 7 * 3600 + 1800).div_euclid(86_400);
    format!(
        "2025-03-{day:02}T{:02}:{:02}:{:02}+00:00",
        of_day / 3600,
        of_day / 60 % 60,
        of_day % 60
    )
}

/// A command of `run` by somebody, as JSON.
pub(super) fn by(who: &[&str], words: &[&str], minutes: Option<f64>) -> Ran {
    let told = minutes.map(at);
    let mut line = vec!["run"];
    line.extend(words);
    line.extend(who);
    if let Some(told) = &told {
        line.extend(["--at", told]);
    }
    line.push("--json");
    run(&line)
}

#[track_caller]
fn refused(ran: Ran, code: &str) {
    let json = ran.ended(2).json();
    let codes: Vec<&str> = json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|finding| finding["code"].as_str())
        .collect();
    assert!(codes.contains(&code), "{code} not in {codes:?}");
}

fn shown(book: &str) -> Value {
    run(&["run", "show", book, "P-1", "--json"]).ended(0).json()
}

/// The plan as it was kept.
pub(super) fn plan(book: &str) -> Value {
    let all = run(&["shop", "show", book, "--json"]).ended(0).json();
    let fixed = all["entries"]
        .as_array()
        .unwrap()
        .iter()
        .find(|entry| entry["event"]["kind"] == "plan-fixed")
        .expect("the plan is kept");
    let hashes: Vec<&Value> = fixed["files"].as_array().unwrap().iter().collect();
    assert_eq!(hashes.len(), 2, "job and shop are kept with the plan");
    assert_eq!(fixed["event"]["made"]["job"], hashes[0]["sha256"]);
    serde_json::from_str(fixed["event"]["plan_json"].as_str().unwrap()).unwrap()
}

/// A log of the run as planned, a row a minute, with a sag so deep for 45 minutes in the soak and an
/// unreadable line behind it.
pub(super) fn logged(plan: &Value, loaded: f64, end_h: f64, deep: f64) -> String {
    let curve = |name: &str, hours: f64| {
        let list = |key: &str| -> Vec<f64> {
            plan[name][key]
                .as_array()
                .unwrap()
                .iter()
                .map(number)
                .collect()
        };
        let (t, c) = (list("time_h"), list("temperature_c"));
        let i = t.partition_point(|at| *at < hours).clamp(1, t.len() - 1);
        let share = if t[i] > t[i - 1] {
            ((hours - t[i - 1]) / (t[i] - t[i - 1])).clamp(0.0, 1.0)
        } else {
            1.0
        };
        c[i - 1] + (c[i] - c[i - 1]) * share
    };
    let hot = number(&plan["pack_hot_after_h"]["mid"]);
    let mut text = "date,time,furnace °C,pack °C\n".to_owned();
    for minute in 0..(end_h * 60.0) as u32 {
        let hours = f64::from(minute) / 60.0;
        let sag = if hours > hot + 1.0 && hours < hot + 1.75 {
            deep
        } else {
            0.0
        };
        let stamp = at(loaded + f64::from(minute));
        let (date, rest) = stamp.split_once('T').unwrap();
        text.push_str(&format!(
            "{date},{},{:.1},{:.1}\n",
            &rest[..8],
            curve("furnace_curve", hours) - sag,
            curve("part_curve", hours) - sag
        ));
    }
    text.push_str("2025-03-03,xx:yy:zz,900,900\n");
    text
}

#[test]
fn the_winch_pawls_go_from_plan_to_finished_run() {
    let folder = folder("run-winch-pawl");
    let book = folder.join("gannet.book").to_str().unwrap().to_owned();
    let new = ["shop", "new", &book, "--shop", "Gannet Slip"];
    run(&[&new[..], &OPERATOR].concat()).ended(0);
    // Started from the job file: planned, kept, first step told.
    let start = [
        "start",
        &book,
        "examples/winch-pawl/job.toml",
        "--run",
        "P-1",
    ];
    let started = by(&OPERATOR, &start, Some(0.0)).ended(0).json();
    has(
        &started,
        &[
            "entry",
            "code",
            "run",
            "text",
            "next.command",
            "clock",
            "findings",
        ],
    );
    assert_eq!(started["next"]["step"], 1);
    refused(by(&OPERATOR, &start, Some(0.0)), "book-name-taken");
    let plan = plan(&book);
    let steps = plan["steps"].as_array().unwrap();
    assert_eq!(started["clock"].as_array().unwrap().len(), steps.len());

    // Nothing out of turn, and nothing past a hold point that nobody else has looked at.
    refused(
        by(&OPERATOR, &["done", &book, "P-1", "2"], None),
        "run-out-of-turn",
    );
    refused(
        by(&OPERATOR, &["done", &book, "P-1", "99"], None),
        "run-no-step",
    );
    refused(
        by(&OPERATOR, &["finish", &book, "P-1"], None),
        "run-steps-open",
    );
    let packed = by(&OPERATOR, &["done", &book, "P-1", "1"], Some(60.0))
        .ended(0)
        .json();
    assert!(
        packed["next"]["command"]
            .as_str()
            .unwrap()
            .contains("witness")
    );
    refused(
        by(&OPERATOR, &["begin", &book, "P-1", "2"], Some(70.0)),
        "book-hold-point",
    );
    refused(
        by(&OPERATOR, &["witness", &book, "P-1", "1"], None),
        "book-own-witness",
    );
    by(&SECOND, &["witness", &book, "P-1", "1"], None).ended(0);

    // Loaded; the hot pack is expected by the plan's hour; then the soak has an end.
    let loaded = 70.0;
    let hot_h = number(&plan["pack_hot_after_h"]["mid"]);
    let soak_h = number(&plan["soak_h"]);
    let begun = by(&OPERATOR, &["begin", &book, "P-1", "2"], Some(loaded))
        .ended(0)
        .json();
    let expected = at(loaded + hot_h * 60.0);
    let due = begun["next"]["due"]["utc"].as_str().unwrap();
    assert_eq!(
        due[..16],
        expected[..16],
        "hot is expected when the plan says"
    );
    refused(
        by(&OPERATOR, &["done", &book, "P-1", "2"], Some(500.0)),
        "run-not-hot",
    );
    refused(
        by(&OPERATOR, &["hot", &book, "P-1"], Some(10.0)),
        "run-order",
    );
    let hot = loaded + hot_h * 60.0;
    let call = ["hot", &book, "P-1", "--reads", "918C"];
    let said = by(&OPERATOR, &call, Some(hot)).ended(0).json();
    let due = said["next"]["due"]["utc"].as_str().unwrap();
    assert_eq!(
        due[..16],
        at(hot + soak_h * 60.0)[..16],
        "the soak ends as planned"
    );

    // An absurd coupon is kept and told, and moves nothing; what it was expected to show is told too.
    let mark = plan["coupons"][0]["mark"].as_str().unwrap();
    let half = hot + soak_h * 30.0;
    let absurd = [
        "pull", &book, "P-1", mark, "--depth", "0.1in", "--doubt", "0.002in",
    ];
    let told = by(&OPERATOR, &absurd, Some(half)).ended(0).json();
    assert_eq!(told["soak_set"], false, "{told}");
    assert_eq!(
        told["next"]["due"]["utc"].as_str().unwrap()[..16],
        due[..16]
    );
    let withdrawn = told["entry"].to_string();
    by(
        &OPERATOR,
        &[
            "correct",
            &book,
            "P-1",
            &withdrawn,
            "--reason",
            "another job's coupon",
            "--withdraw",
        ],
        None,
    )
    .ended(0);
    // One that is a little shallow asks for more than was left; the clock follows.
    let depth = format!("{:.3}mm", number(&told["expected_mm"]["mid"]) - 0.08);
    let pull = [
        "pull", &book, "P-1", mark, "--depth", &depth, "--doubt", "0.05mm",
    ];
    let pulled = by(&OPERATOR, &pull, Some(half)).ended(0).json();
    has(
        &pulled,
        &[
            "advice",
            "expected_mm.mid",
            "more_h.low",
            "depth_after_mm.high",
            "surprise",
        ],
    );
    assert_eq!(
        (&pulled["soak_set"], &pulled["advice"]),
        (&true.into(), &"go-on".into())
    );
    let new_soak = number(&pulled["soak_h"]);
    assert!(new_soak > soak_h, "{new_soak} h instead of {soak_h} h");
    let due = pulled["next"]["due"]["utc"].as_str().unwrap();
    // The soak stands in the book in whole minutes.
    assert_eq!(due[..16], at(hot + (new_soak * 60.0).round())[..16]);

    // Readings, a wrong one put right, a deviation, a photograph.
    let read = ["read", &book, "P-1", "pack couple", "972C", "--step", "2"];
    let wrong = by(&OPERATOR, &read, None).ended(0).json()["entry"].to_string();
    by(
        &OPERATOR,
        &[
            "correct",
            &book,
            "P-1",
            &wrong,
            "--reason",
            "digits swapped",
            "--value",
            "927C",
        ],
        None,
    )
    .ended(0);
    by(
        &OPERATOR,
        &[
            "deviation",
            &book,
            "P-1",
            "--what",
            "door opened",
            "--done",
            "closed at once",
            "--seen",
            "870C on the couple",
            "--step",
            "2",
        ],
        Some(half + 10.0),
    )
    .ended(0);
    let photo: Vec<u8> = (0..=255).collect();
    let photo = file(&folder, "ring.jpg", photo);
    by(
        &OPERATOR,
        &["keep", &book, "P-1", &photo, "--what", "coupon, broken"],
        None,
    )
    .ended(0);

    // The log: kept to the byte, judged, the sag with its price.
    let end_h = hot_h + new_soak + 1.0;
    let text = logged(&plan, loaded, end_h, 40.0);
    let log = file(&folder, "f1.csv", &text);
    let call = [
        "log",
        &book,
        "P-1",
        &log,
        "--source",
        "bench logger, two couples",
        "--dates",
        "year-first",
    ];
    let judged = by(&OPERATOR, &call, None).ended(0).json();
    list(
        &judged,
        "judged",
        &[
            "channel",
            "couple",
            "proven",
            "why_not",
            "within_s",
            "excursions",
            "cost_mm",
        ],
    );
    let (pack, furnace) = (&judged["judged"][0], &judged["judged"][1]);
    assert_eq!(
        (&pack["couple"], &furnace["couple"]),
        (&"pack".into(), &"furnace".into())
    );
    assert_eq!(furnace["proven"], false);
    let sag = pack["excursions"]
        .as_array()
        .unwrap()
        .iter()
        .find(|excursion| excursion["kind"] == "under")
        .expect("the sag is found");
    let minutes = (number(&sag["to_s"]) - number(&sag["from_s"])) / 60.0;
    // 45 min between rows a minute apart, and the flanks outside the band.
    assert!((43.0..48.0).contains(&minutes), "{minutes}");
    assert!(number(&sag["cost_mm"]) > 0.005, "{sag}");

    // The other steps, each hold point with its second person.
    let mut minutes = hot + new_soak * 60.0;
    for (index, step) in steps.iter().enumerate().skip(1) {
        let number = (index + 1).to_string();
        let done = by(&OPERATOR, &["done", &book, "P-1", &number], Some(minutes))
            .ended(0)
            .json();
        if index == 1 {
            assert_eq!(
                done["findings"].as_array().unwrap().len(),
                0,
                "the soak was kept"
            );
        }
        if step["hold_point"] == true {
            by(&SECOND, &["witness", &book, "P-1", &number], None).ended(0);
        }
        minutes += 45.0;
    }
    by(
        &SECOND,
        &["sign", &book, "P-1", &wrong, "--as", "approved"],
        None,
    )
    .ended(0);
    let finished = by(&OPERATOR, &["finish", &book, "P-1"], Some(minutes))
        .ended(0)
        .json();
    assert!(
        finished["next"]["text"]
            .as_str()
            .unwrap()
            .contains("finished")
    );
    refused(
        by(&OPERATOR, &["hot", &book, "P-1"], Some(minutes)),
        "book-run-ended",
    );

    // The record: everything is there, what was withdrawn no longer holds and stays in the book.
    let shown = shown(&book);
    has(
        &shown,
        &[
            "plan.seed",
            "plan.program",
            "plan.job_sha256",
            "plan.shop_sha256",
            "ended.how",
        ],
    );
    assert_eq!(shown["done"].as_array().unwrap().len(), steps.len());
    let kinds: Vec<&str> = shown["facts"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|fact| fact["event"]["kind"].as_str())
        .collect();
    for (kind, count) in [
        ("coupon-reading", 1),
        ("log-attached", 1),
        ("deviation", 1),
        ("file-attached", 1),
    ] {
        assert_eq!(
            kinds.iter().filter(|k| **k == kind).count(),
            count,
            "{kind} in {kinds:?}"
        );
    }
    let fact = |entry: &str| {
        let facts = shown["facts"].as_array().unwrap();
        facts
            .iter()
            .find(|fact| fact["entry"].as_u64() == entry.parse().ok())
            .cloned()
    };
    assert_eq!(fact(&wrong).unwrap()["event"]["measured"]["written"], "927");
    assert_eq!(fact(&withdrawn), None);
    let list = run(&["run", "list", &book, "--json"]).ended(0).json();
    assert_eq!(list["runs"][0]["state"], "finished");
    let text_shown = run(&["run", "show", &book, "P-1"]).ended(0).out;
    assert!(text_shown.contains("seen by A. Plover"), "{text_shown}");

    // Planned again from what is kept, the plan is the same.
    let again = run(&["run", "replay", &book, "P-1", "--json"])
        .ended(0)
        .json();
    assert_eq!(again["same"], true, "{again}");

    // Whole, and all of it as open files.
    assert_eq!(
        run(&["shop", "check", &book, "--json"]).ended(0).json()["whole"],
        true
    );
    let out = folder.join("open");
    run(&["shop", "hand-over", &book, out.to_str().unwrap()]).ended(0);
    let page = |name: &str| std::fs::read_to_string(out.join(name)).unwrap();
    assert_eq!(page("runs.csv").lines().count(), 2);
    assert_eq!(page("steps.csv").lines().count(), 1 + steps.len());
    assert!(page("times.csv").contains("pack hot"));
    assert!(page("signatures.csv").contains("witnessed"));
    let kept: Vec<Vec<u8>> = std::fs::read_dir(out.join("files"))
        .unwrap()
        .map(|file| std::fs::read(file.unwrap().path()).unwrap())
        .collect();
    assert!(
        kept.contains(&text.into_bytes()),
        "the log is kept byte for byte"
    );
    let job = std::fs::read(root().join("examples/winch-pawl/job.toml")).unwrap();
    assert!(kept.contains(&job), "the job is kept byte for byte");
    teaches(&book, &folder);
}

/// The finished run, judged with its evidence kept, narrows the next plan; left out, it does not.
fn teaches(book: &str, folder: &Path) {
    let learnt = |more: &[&str]| {
        let mut line = vec!["shop", "learnt", book, "--json"];
        line.extend(more);
        run(&line).ended(0).json()
    };
    assert_eq!(learnt(&[])["left_out"][0]["because"], "not judged yet");
    let event = folder.join("judgement.json");
    let judged =
        r#"{"kind":"judgement","run":"P-1","verdict":"not-shown","because":"two traverses"}"#;
    std::fs::write(&event, judged).unwrap();
    let evidence = root().join("examples/winch-pawl/evidence.toml");
    let add = [
        "shop",
        "add",
        book,
        event.to_str().unwrap(),
        "--attach",
        evidence.to_str().unwrap(),
        "--by",
        "E. Sandpiper",
        "--role",
        "inspector",
    ];
    run(&add).ended(0);
    let taught = learnt(&[]);
    assert_eq!(taught["runs"][0]["run"], "P-1", "{taught}");
    assert_eq!(taught["runs"][0]["cycle"], "by its log");
    let set = &taught["together"][0];
    let number = |key: &str| set[key].as_f64().unwrap();
    assert!(number("half_band_mm") < number("half_band_without_mm"));
    let lines = taught["shop_lines"].as_str().unwrap();
    assert!(lines.contains("from = [\"P-1\"]"), "{lines}");
    let without = learnt(&["--without", "P-1"]);
    assert_eq!(without["factors"].as_array().unwrap().len(), 0);
    let text = run(&["shop", "learnt", book]).ended(0).out;
    assert!(text.contains("K1 of P-1"), "{text}");

    let job = root().join("examples/winch-pawl/job.toml");
    let job = job.to_str().unwrap();
    let width = |line: &[&str]| {
        let plan = run(line).ended(0).json();
        let band = &plan["prediction"]["case_depth_mm"];
        band["high"].as_f64().unwrap() - band["low"].as_f64().unwrap()
    };
    let stranger = width(&["plan", job, "--json"]);
    let known = width(&["plan", job, "--book", book, "--json"]);
    assert!(known < stranger, "{known} {stranger}");
}

#[test]
fn what_is_no_run_is_wrong_input() {
    let folder = folder("run-wrong");
    let book = folder.join("gannet.book").to_str().unwrap().to_owned();
    assert!(
        run(&["run", "list", &book])
            .ended(2)
            .err
            .contains("no book")
    );
    let new = ["shop", "new", &book, "--shop", "Gannet Slip"];
    run(&[&new[..], &OPERATOR].concat()).ended(0);
    assert!(run(&["run", "list", &book]).ended(0).out.contains("No run"));
    refused(
        by(&OPERATOR, &["done", &book, "P-1", "1"], None),
        "run-unknown",
    );
    // A job that cannot be planned starts no run and leaves nothing behind.
    let job = file(&folder, "job.toml", "name = \"x\"\n");
    by(&OPERATOR, &["start", &book, &job, "--run", "P-1"], None).ended(2);
    let all = run(&["shop", "show", &book, "--json"]).ended(0).json();
    assert_eq!(all["last"]["number"], 1);
}
