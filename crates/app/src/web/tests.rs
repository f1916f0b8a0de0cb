//! Tests of the pages: each starts the server on a free port with an empty book of its own and asks
//! it over the wire.

mod pages;

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::sync::Arc;

use casewright_records::{Addition, Book, Entered, Event, Verdict};

use super::book::{Stage, jobs};
use super::serve::listen;
use super::site::{Site, person};
use crate::world;

/// A server with a book of its own; ends with the test.
pub(super) struct Served {
    pub(super) address: SocketAddr,
    pub(super) site: Arc<Site>,
    _runtime: tokio::runtime::Runtime,
}

/// A reply as it came.
pub(super) struct Got {
    pub(super) status: u16,
    pub(super) heads: String,
    pub(super) body: String,
}

pub(super) fn served() -> Served {
    served_from(&new_book())
}

/// A server over a book that is there.
pub(super) fn served_from(book: &std::path::Path) -> Served {
    let site = Arc::new(Site::open(book, false).expect("the book is there"));
    let runtime = tokio::runtime::Runtime::new().expect("threads");
    let listening = runtime
        .block_on(listen(site.clone(), 0, super::gate::Reach::Here))
        .expect("a free port");
    let address = listening.address;
    runtime.spawn(listening.until(std::future::pending()));
    Served {
        address,
        site,
        _runtime: runtime,
    }
}

pub(super) fn new_book() -> PathBuf {
    let path = world::passing_folder().expect("a folder").join("book");
    let first = Addition {
        at: world::now(),
        by: person("M. Tern", "lead"),
        entered: Entered::Live,
        event: Event::BookOpened {
            shop: "Gannet Slip".to_owned(),
        },
        attachments: Vec::new(),
        token: None,
    };
    Book::create(&path, &first).expect("a new book");
    path
}

impl Served {
    pub(super) fn ask(&self, head: &str, body: &str) -> Got {
        let mut stream = TcpStream::connect(self.address).expect("it listens");
        let host = if head.to_lowercase().contains("\nhost:") {
            String::new()
        } else {
            format!("Host: {}\r\n", self.address)
        };
        let text = format!(
            "{head}\r\n{host}Connection: close\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        );
        stream.write_all(text.as_bytes()).expect("it reads");
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).expect("it answers");
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let (heads, body) = text.split_once("\r\n\r\n").expect("heads and body");
        Got {
            status: heads
                .split(' ')
                .nth(1)
                .and_then(|status| status.parse().ok())
                .expect("a status"),
            heads: heads.to_lowercase(),
            body: body.to_owned(),
        }
    }

    pub(super) fn get(&self, path: &str) -> Got {
        self.ask(&format!("GET {path} HTTP/1.1"), "")
    }

    pub(super) fn post(&self, path: &str, form: &[(&str, &str)]) -> Got {
        let body: Vec<String> = form
            .iter()
            .map(|(name, value)| format!("{name}={}", super::ask::escaped(value)))
            .collect();
        self.ask(
            &format!(
                "POST {path} HTTP/1.1\r\nOrigin: http://{}\r\nContent-Type: application/x-www-form-urlencoded",
                self.address
            ),
            &body.join("&"),
        )
    }
}

#[test]
fn an_empty_book_says_so_in_every_language() {
    let served = served();
    for (code, words) in [
        ("en", "No job has been taken in yet."),
        ("es", "Todavía no se ha recibido ningún trabajo."),
        ("de", "Noch ist kein Auftrag angenommen."),
        ("fr", "Aucun travail n’a encore été pris."),
    ] {
        let got = served.ask(&format!("GET / HTTP/1.1\r\nAccept-Language: {code}"), "");
        assert_eq!(got.status, 200);
        assert!(got.body.contains(words), "{code}");
        assert!(
            got.body.contains(&format!("<html lang=\"{code}\"")),
            "{code}"
        );
    }
}

#[test]
fn every_reply_carries_the_heads_of_the_house() {
    let served = served();
    for path in ["/", "/assets/paper.css", "/assets/live.js", "/nowhere"] {
        let got = served.get(path);
        assert!(
            got.heads
                .contains("content-security-policy: default-src 'self';"),
            "{path}"
        );
        assert!(!got.heads.contains("unsafe-"), "{path}");
        for head in [
            "x-content-type-options: nosniff",
            "referrer-policy: same-origin",
            "permissions-policy: ",
            "cache-control: ",
        ] {
            assert!(got.heads.contains(head), "{path}: {head}");
        }
    }
    assert_eq!(served.get("/nowhere").status, 404);
    // A form where there is only a page: no other reply than ours, with its heads.
    let form = served.post("/handbook", &[]);
    assert_eq!(form.status, 404);
    assert!(form.heads.contains("content-security-policy: "));
}

#[test]
fn a_form_of_another_site_writes_nothing() {
    let served = served();
    let foreign = served.ask(
        "POST /language HTTP/1.1\r\nOrigin: http://evil.test",
        "language=de&back=/",
    );
    assert_eq!(foreign.status, 403);
    assert!(!foreign.heads.contains("set-cookie"));
    let named = served.ask("GET / HTTP/1.1\r\nHost: evil.test", "");
    assert_eq!(named.status, 403);
    let own = served.post("/language", &[("language", "de"), ("back", "//evil.test")]);
    assert_eq!(own.status, 303);
    assert!(own.heads.contains("location: /\r\n") || own.heads.ends_with("location: /"));
    assert!(own.heads.contains("samesite=lax"));
}

#[test]
fn a_form_that_is_too_large_is_refused() {
    let served = served();
    let got = served.post("/language", &[("language", &"x".repeat(1_100_000))]);
    assert_eq!(got.status, 413);
}

#[test]
fn the_practice_book_has_a_job_at_every_stage() {
    let site = Site::open(&super::practice::new_book().expect("a book"), true).expect("it opens");
    super::practice::fill(&site);
    let look = site.look().expect("the book");
    let stages: Vec<(String, Stage)> = jobs(&look)
        .expect("jobs")
        .into_iter()
        .map(|job| (job.job, job.stage))
        .collect();
    let expected = [
        ("failed-lot", Stage::Judged(Verdict::DoesNotMeet)),
        ("latch-plate", Stage::TakenIn),
        ("vang-pin", Stage::Planned),
        ("winch-pawl", Stage::Running(Some(1))),
    ];
    for ((job, stage), (name, at)) in stages.iter().zip(&expected) {
        assert_eq!((job.as_str(), stage), (*name, at));
    }
    assert_eq!(stages.len(), expected.len());
}
