//! Tests of the pages at the furnace, of signing in, and of the book.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;

use casewright_records::{Attachment, Event, Look, Wanted};

use super::people::SHORTEST;
use super::site::{Site, person};
use super::tests::{Got, Served, new_book, served_from};

/// A plan with a step before the soak that wants a second person, a soak, and a quench.
const PLAN: &str = r#"{
  "job": {"units": "metric"}, "route": "single", "temperature_c": 925.0, "soak_h": 5.0,
  "pack_hot_after_h": {"low": 2.0, "mid": 2.5, "high": 3.0},
  "steps": [
    {"kind": "pack", "text": "Pack <b>the box</b>.", "hold_point": true,
     "begins": {"after_h": 0.0, "clock": null}, "ends": {"after_h": 0.5, "clock": null}},
    {"kind": "carburize", "text": "Load.", "hold_point": false, "temperature_c": 925.0,
     "begins": {"after_h": 0.5, "clock": null}, "ends": {"after_h": 8.0, "clock": null}},
    {"kind": "quench", "text": "Quench.", "hold_point": false,
     "begins": {"after_h": 8.0, "clock": null}, "ends": {"after_h": 8.2, "clock": null}}
  ]}"#;

/// Puts a job with a hostile title and a run of the plan above into a book.
fn with_run(book: &Path) {
    with_a_run(book, None);
}

fn with_a_run(book: &Path, practice: Option<bool>) {
    let site = Site::open(book, false).expect("a book");
    let tern = person("M. Tern", "operator");
    let job = "J-1".to_owned();
    site.add(
        tern.clone(),
        Event::JobRegistered {
            job: job.clone(),
            title: "<script>alert(1)</script>".to_owned(),
        },
        vec![Attachment {
            name: "job.toml".to_owned(),
            bytes: b"x".to_vec(),
        }],
    )
    .expect("a job");
    let plan = site
        .add(
            tern.clone(),
            Event::PlanFixed {
                job: job.clone(),
                code: "ABCD".to_owned(),
                plan_json: PLAN.to_owned(),
                made: None,
            },
            Vec::new(),
        )
        .expect("a plan");
    site.add(
        tern,
        Event::RunStarted {
            run: "P-1".to_owned(),
            job,
            plan_entry: plan.number,
            practice,
        },
        Vec::new(),
    )
    .expect("a run");
}

fn count(served: &Served) -> u64 {
    served
        .site
        .look()
        .expect("book")
        .head()
        .expect("head")
        .count
}

const TERN: [(&str, &str); 2] = [("by", "M. Tern"), ("role", "operator")];

fn sent(served: &Served, token: &str, more: &[(&str, &str)]) -> Got {
    let mut form = vec![("token", token)];
    form.extend_from_slice(&TERN);
    form.extend_from_slice(more);
    served.post("/api/runs/P-1/entries", &form)
}

#[test]
fn the_same_entry_sent_again_stands_once_even_after_a_restart() {
    let book = new_book();
    with_run(&book);
    let first = served_from(&book);
    let done = [("move", "done"), ("step", "1")];
    let got = sent(&first, "word-0001", &done);
    assert_eq!(got.status, 200, "{}", got.body);
    assert!(got.body.contains("\"repeated\": false") || got.body.contains("\"repeated\":false"));
    let entries = count(&first);
    drop(first);
    // The answer was lost and the server began anew: the device sends it again.
    let second = served_from(&book);
    let again = sent(&second, "word-0001", &done);
    assert_eq!(again.status, 200, "{}", again.body);
    assert!(again.body.contains("\"repeated\": true") || again.body.contains("\"repeated\":true"));
    assert_eq!(count(&second), entries);
    // Another word is another entry, and a step is done once.
    assert_eq!(sent(&second, "word-0002", &done).status, 422);
    // The same word by somebody else is not taken for theirs.
    let other = second.post(
        "/api/runs/P-1/entries",
        &[
            ("token", "word-0001"),
            ("by", "A. Plover"),
            ("role", "operator"),
            ("move", "done"),
            ("step", "1"),
        ],
    );
    assert_eq!(other.status, 422);
}

#[test]
fn what_waited_on_the_device_comes_in_with_its_own_time() {
    let book = new_book();
    with_run(&book);
    let served = served_from(&book);
    let reading = [
        ("move", "read"),
        ("what", "pack"),
        ("value", "918"),
        ("unit", "°C"),
        ("ago_s", "1800"),
    ];
    assert_eq!(sent(&served, "word-0003", &reading).status, 200);
    let look = served.site.look().expect("book");
    let entry = look
        .entries(Wanted::Token("word-0003"), 0, 1)
        .expect("entries")
        .remove(0);
    let casewright_records::Entered::Afterwards { happened } = &entry.content.entered else {
        panic!("half an hour late is entered afterwards");
    };
    let late_s = (entry.content.at.utc_us - happened.utc_us) as f64 / 1e6;
    // The two moments are taken one after the other on one machine: a second apart at most.
    assert!((late_s - 1800.0).abs() < 1.0, "{late_s}");
    for wrong in ["-5", "1e9", "NaN", "x"] {
        let mut form = reading;
        form[4].1 = wrong;
        assert_eq!(sent(&served, "word-0004", &form).status, 422, "{wrong}");
    }
}

#[test]
fn the_page_shows_one_state_and_one_act_at_every_point_of_a_run() {
    let book = new_book();
    with_run(&book);
    let served = served_from(&book);
    let page = || {
        served
            .ask(
                "GET /runs/P-1 HTTP/1.1\r\nCookie: casewright-who=name=M.%20Tern&role=operator",
                "",
            )
            .body
    };
    assert!(page().contains("READY"));
    assert!(page().contains("Pack &lt;b&gt;the box&lt;/b&gt;."));
    assert!(page().contains("no alarm and no safety device"));
    assert_eq!(
        sent(&served, "word-0010", &[("move", "done"), ("step", "1")]).status,
        200
    );
    let held = page();
    assert!(held.contains("HOLD"));
    assert!(held.contains("Somebody other than M. Tern looks at step 1."));
    // Nothing passes the hold point, and the doer is no second person.
    assert_eq!(
        sent(&served, "word-0011", &[("move", "begin"), ("step", "2")]).status,
        422
    );
    let looked = |name, token| {
        served
            .post(
                "/runs/P-1/enter",
                &[
                    ("token", token),
                    ("move", "witness"),
                    ("step", "1"),
                    ("second", name),
                    ("second_role", "instructor"),
                ],
            )
            .status
    };
    assert_eq!(looked("M. Tern", "word-0012"), 422);
    assert_eq!(looked("A. Plover", "word-0013"), 303);
    assert!(page().contains("The box is in"));
    assert_eq!(
        sent(
            &served,
            "word-0014",
            &[("move", "begin"), ("step", "2"), ("ago_s", "10800")]
        )
        .status,
        200
    );
    assert!(page().contains("The pack is hot"));
    assert_eq!(
        sent(&served, "word-0015", &[("move", "hot"), ("ago_s", "3600")]).status,
        200
    );
    let soak = page();
    assert!(soak.contains("RUNNING") && soak.contains("The soak has ended"));
    // Five hours from an hour ago: four are left, less the time that the test has taken.
    assert!(soak.contains(">3:59<") || soak.contains(">4:00<"), "{soak}");
    assert_eq!(
        sent(&served, "word-0016", &[("move", "done"), ("step", "2")]).status,
        200
    );
    assert!(page().contains("Start the count"));
    assert_eq!(
        sent(&served, "word-0017", &[("move", "begin"), ("step", "3")]).status,
        200
    );
    let quench = page();
    assert!(quench.contains("data-kind=\"since\"") && quench.contains("Tap nothing now."));
    assert_eq!(
        sent(&served, "word-0018", &[("move", "done"), ("step", "3")]).status,
        200
    );
    assert!(page().contains("ALL STEPS DONE"));
    assert_eq!(
        sent(&served, "word-0019", &[("move", "finish")]).status,
        200
    );
    assert!(page().contains("ENDED"));
}

#[test]
fn a_reading_that_cannot_be_is_asked_back() {
    let book = new_book();
    with_run(&book);
    let served = served_from(&book);
    for (what, value, unit) in [
        ("pack", "9180", "°C"),
        ("pack", "918", "s"),
        ("pack", "nine", "°C"),
        ("transfer", "-3", "s"),
        ("other", "1", "s"),
    ] {
        let form = [
            ("move", "read"),
            ("what", what),
            ("value", value),
            ("unit", unit),
        ];
        assert_eq!(
            sent(&served, "word-0020", &form).status,
            422,
            "{value} {unit}"
        );
    }
    for bad in ["", "short", "with blank 1", "<script>alert(1)"] {
        assert_eq!(sent(&served, bad, &[("move", "hot")]).status, 422, "{bad}");
    }
}

/// Reads from an open reply until the words have come.
fn until(stream: &mut TcpStream, words: &str) -> String {
    stream
        .set_read_timeout(Some(Duration::from_secs(10)))
        .expect("a timeout");
    let mut text = String::new();
    let mut bytes = [0_u8; 1024];
    while !text.contains(words) {
        let count = stream.read(&mut bytes).expect("it goes on");
        assert!(count > 0, "it ended: {text}");
        text.push_str(&String::from_utf8_lossy(&bytes[..count]));
    }
    text
}

#[test]
fn an_entry_is_told_to_every_page_that_is_open() {
    let book = new_book();
    with_run(&book);
    let served = served_from(&book);
    let mut streams: Vec<TcpStream> = (0..2)
        .map(|_| {
            let mut stream = TcpStream::connect(served.address).expect("it listens");
            let ask = format!(
                "GET /runs/P-1/live HTTP/1.1\r\nHost: {}\r\n\r\n",
                served.address
            );
            stream.write_all(ask.as_bytes()).expect("it reads");
            let heads = until(&mut stream, "data: 4\n");
            assert!(
                heads
                    .to_lowercase()
                    .contains("content-type: text/event-stream")
            );
            assert!(
                heads
                    .to_lowercase()
                    .contains("x-content-type-options: nosniff")
            );
            stream
        })
        .collect();
    assert_eq!(
        sent(&served, "word-0030", &[("move", "begin"), ("step", "1")]).status,
        200
    );
    for stream in &mut streams {
        until(stream, "data: 5\n");
    }
}

const PASSWORD: &str = "tern over grey water";

fn with_people(book: &Path) -> Served {
    let served = served_from(book);
    for (name, role, password) in [
        ("M. Tern", "operator", PASSWORD),
        ("A. Plover", "instructor", "plover on wet sand"),
        ("K. Knot", "student", "knot in the rope"),
    ] {
        served
            .site
            .people
            .put(&person(name, role), password)
            .expect("a person");
    }
    served
}

fn sign_in(served: &Served, name: &str, password: &str) -> Got {
    served.post(
        "/sign-in",
        &[
            ("name", name),
            ("password", password),
            ("back", "/runs/P-1"),
        ],
    )
}

/// The cookie that a sign-in gave, as heads are read in these tests: in small letters.
fn cookie(got: &Got) -> String {
    let from = got.heads.find("casewright-session=").expect("a cookie");
    let rest = &got.heads[from..];
    rest.split(';').next().expect("a value").to_owned()
}

fn post_as(served: &Served, cookie: &str, path: &str, body: &str) -> Got {
    served.ask(
        &format!(
            "POST {path} HTTP/1.1\r\nOrigin: http://{}\r\nCookie: {cookie}\r\nContent-Type: application/x-www-form-urlencoded",
            served.address
        ),
        body,
    )
}

#[test]
fn nobody_gets_past_the_sign_in_without_a_session() {
    let book = new_book();
    with_run(&book);
    let served = with_people(&book);
    for path in ["/", "/runs/P-1", "/book"] {
        let got = served.get(path);
        assert_eq!(got.status, 303, "{path}");
        assert!(got.heads.contains("location: /sign-in?back="), "{path}");
    }
    assert_eq!(served.get("/runs/P-1/live").status, 401);
    let before = count(&served);
    assert_eq!(
        sent(&served, "word-0040", &[("move", "done"), ("step", "1")]).status,
        401
    );
    assert_eq!(
        served
            .post("/who", &[("name", "M. Tern"), ("role", "lead")])
            .status,
        303
    );
    assert_eq!(count(&served), before);
    assert_eq!(served.get("/assets/paper.css").status, 200);
    let forged = served.ask("GET / HTTP/1.1\r\nCookie: casewright-session=00", "");
    assert_eq!(forged.status, 303);
}

#[test]
#[cfg_attr(
    unix,
    expect(
        clippy::disallowed_methods,
        reason = "the rights of the file are what is tested"
    )
)]
fn a_session_has_a_cookie_of_its_own_lives_through_a_restart_and_ends() {
    let book = new_book();
    with_run(&book);
    let served = with_people(&book);
    let got = sign_in(&served, "M. Tern", PASSWORD);
    assert_eq!(got.status, 303);
    for flag in ["httponly", "samesite=lax", "path=/"] {
        assert!(got.heads.contains(flag), "{flag}");
    }
    let first = cookie(&got);
    assert_ne!(
        first,
        cookie(&sign_in(&served, "M. Tern", PASSWORD)),
        "every session is another"
    );
    let file = book.with_file_name("book.people.json");
    let kept = crate::world::read_text(&file).expect("the file");
    let token = first.split('=').nth(1).expect("a token");
    assert!(
        !kept.contains(token) && !kept.contains(PASSWORD),
        "only hashes are kept"
    );
    assert!(kept.contains("$argon2id$"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(&file)
            .expect("the file")
            .permissions()
            .mode();
        assert_eq!(mode & 0o077, 0, "nobody else reads it");
    }
    drop(served);
    let again = served_from(&book);
    let look = |cookie: &str| again.ask(&format!("GET / HTTP/1.1\r\nCookie: {cookie}"), "");
    assert_eq!(look(&first).status, 200);
    assert!(look(&first).body.contains("Signed in: M. Tern"));
    assert_eq!(post_as(&again, &first, "/sign-out", "").status, 303);
    assert_eq!(look(&first).status, 303);
}

#[test]
fn an_entry_stands_under_the_one_who_is_signed_in() {
    let book = new_book();
    with_run(&book);
    let served = with_people(&book);
    let tern = cookie(&sign_in(&served, "M. Tern", PASSWORD));
    let entries = "/api/runs/P-1/entries";
    let other = post_as(
        &served,
        &tern,
        entries,
        "token=word-0050&move=done&step=1&by=A.+Plover&role=lead",
    );
    assert_eq!(other.status, 422);
    let own = post_as(
        &served,
        &tern,
        entries,
        "token=word-0051&move=done&step=1&by=M.+Tern&role=lead",
    );
    assert_eq!(own.status, 200, "{}", own.body);
    let entry = served
        .site
        .look()
        .expect("book")
        .entries(Wanted::Token("word-0051"), 0, 1)
        .expect("entries")
        .remove(0);
    assert_eq!(
        entry.content.by,
        person("M. Tern", "operator"),
        "the role is the list's, not the form's"
    );
    // The second person proves who they are; the session on the device stays the first one's.
    let look = |token, name: &str, password: &str| {
        post_as(
            &served,
            &tern,
            "/runs/P-1/enter",
            &format!(
                "token={token}&move=witness&step=1&second={name}&second_password={}",
                super::ask::escaped(password)
            ),
        )
        .status
    };
    assert_eq!(look("word-0052", "A.%20Plover", "a guess of one"), 422);
    assert_eq!(look("word-0053", "M.%20Tern", PASSWORD), 422);
    assert_eq!(look("word-0054", "A.%20Plover", "plover on wet sand"), 303);
    let foreign = served.ask(
        &format!("POST {entries} HTTP/1.1\r\nOrigin: http://evil.test\r\nCookie: {tern}"),
        "token=word-0055&move=begin&step=2",
    );
    assert_eq!(foreign.status, 403);
}

#[test]
fn guessing_a_password_runs_dry() {
    let book = new_book();
    let served = with_people(&book);
    let statuses: Vec<u16> = (0..6)
        .map(|number| sign_in(&served, "M. Tern", &format!("guess number {number}")).status)
        .collect();
    assert_eq!(statuses, [401, 401, 401, 401, 401, 429]);
    assert_eq!(
        sign_in(&served, "M. Tern", PASSWORD).status,
        429,
        "not even the right one"
    );
    assert_eq!(
        sign_in(&served, "A. Plover", "plover on wet sand").status,
        303
    );
    let unknown = sign_in(&served, "nobody", PASSWORD);
    assert_eq!(unknown.status, 401);
    assert!(unknown.body.contains("do not belong together"));
}

#[test]
fn a_short_password_and_a_spoilt_list_are_refused() {
    let book = new_book();
    let served = served_from(&book);
    let put = |password: &str| served.site.people.put(&person("M. Tern", "lead"), password);
    assert!(put(&"x".repeat(SHORTEST - 1)).is_err());
    assert!(put(&"x".repeat(300)).is_err());
    assert!(put(&"x".repeat(SHORTEST)).is_ok());
    crate::world::write_file(&book.with_file_name("book.people.json"), b"{}x").expect("written");
    assert!(
        Site::open(&book, false).is_err(),
        "shut rather than open to all"
    );
}

#[test]
fn the_book_shows_corrections_and_its_chain_and_hostile_words_stay_words() {
    let book = new_book();
    with_run(&book);
    let served = served_from(&book);
    let reading = [
        ("move", "read"),
        ("what", "pack"),
        ("value", "981"),
        ("unit", "°C"),
    ];
    assert_eq!(sent(&served, "word-0060", &reading).status, 200);
    let number = count(&served);
    served
        .site
        .add(
            person("M. Tern", "operator"),
            Event::Correction {
                corrects: number,
                reason: "digits <b>swapped</b>".to_owned(),
                instead: None,
            },
            Vec::new(),
        )
        .expect("a correction");
    let page = served.get("/book").body;
    assert!(page.contains("The chain is whole: 6 entries"));
    assert!(page.contains("<del lang=\"en\">pack couple: 981 °C</del>"));
    assert!(page.contains("digits &lt;b&gt;swapped&lt;/b&gt;"));
    assert!(!page.contains("<script>alert"));
    assert!(page.contains("href=\"/runs/P-1\""));
    assert_eq!(served.get("/book?before=0").status, 200);
    assert_eq!(served.get("/book?before=3").status, 200);
}

#[test]
fn a_student_cannot_approve_over_the_pages() {
    let book = new_book();
    with_run(&book);
    let served = with_people(&book);
    let tern = cookie(&sign_in(&served, "M. Tern", PASSWORD));
    let body = "token=word-0070&move=read&what=pack&value=918&unit=%C2%B0C";
    assert_eq!(
        post_as(&served, &tern, "/api/runs/P-1/entries", body).status,
        200
    );
    let number = count(&served);
    let approve = |cookie: &str| {
        post_as(
            &served,
            cookie,
            "/book/sign",
            &format!("entry={number}&meaning=approved"),
        )
        .status
    };
    let knot = cookie(&sign_in(&served, "K. Knot", "knot in the rope"));
    assert_eq!(approve(&knot), 422, "a student");
    assert_eq!(approve(&tern), 422, "the one who entered it");
    assert_eq!(count(&served), number);
    let plover = cookie(&sign_in(&served, "A. Plover", "plover on wet sand"));
    assert_eq!(approve(&plover), 303);
    assert_eq!(count(&served), number + 1);
    assert!(
        post_as(
            &served,
            &plover,
            "/book/sign",
            "entry=9999&meaning=approved"
        )
        .status
            == 422,
        "no such entry"
    );
}

#[test]
fn a_practice_run_says_that_it_never_gets_a_certificate() {
    for (practice, says) in [(None, false), (Some(true), true)] {
        let book = new_book();
        with_a_run(&book, practice);
        let served = served_from(&book);
        for path in ["/runs/P-1", "/book"] {
            assert_eq!(
                served.get(path).body.contains("never gets a certificate"),
                says,
                "{path}"
            );
        }
    }
}
