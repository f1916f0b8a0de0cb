//! A small book of the invented shop Gannet Slip, the same bytes every time.
#![expect(clippy::disallowed_methods, reason = "tests make files")]

use std::path::{Path, PathBuf};

use casewright_records::{
    Addition, Attachment, Entered, Event, Measured, Person, Role, Stamp, Unit,
};

/// A folder of one test's own, empty.
pub(crate) fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    folder
}

/// The moment so many seconds after the book was opened.
pub(crate) fn at(seconds: i64) -> Stamp {
    Stamp {
        utc_us: 1_795_600_800_000_000 + seconds * 1_000_000,
        offset_min: -300,
        zone: "America/New_York".to_owned(),
    }
}

pub(crate) fn person(name: &str, role: Role) -> Person {
    Person {
        name: name.to_owned(),
        role,
    }
}

pub(crate) fn add(seconds: i64, event: Event) -> Addition {
    Addition {
        at: at(seconds),
        by: person("M. Tern", Role::Operator),
        entered: Entered::Live,
        event,
        attachments: Vec::new(),
        token: None,
    }
}

pub(crate) fn with_file(mut addition: Addition, name: &str, bytes: &[u8]) -> Addition {
    addition.attachments.push(Attachment {
        name: name.to_owned(),
        bytes: bytes.to_vec(),
    });
    addition
}

pub(crate) fn opening() -> Addition {
    add(
        0,
        Event::BookOpened {
            shop: "Gannet Slip".into(),
        },
    )
}

pub(crate) fn reading(seconds: i64, value: &str) -> Addition {
    add(
        seconds,
        Event::ReadingTaken {
            run: "P-1".into(),
            step: Some(2),
            what: "pack couple".into(),
            measured: Measured::new(value, Unit::Celsius).expect("digits"),
        },
    )
}

/// Bytes that no packing makes smaller, the same every time.
pub(crate) fn noise(seed: u64, length: usize) -> Vec<u8> {
    let mut state = seed;
    (0..length)
        .map(|_| (next(&mut state) >> 32) as u8)
        .collect()
}

/// A step of splitmix64.
pub(crate) fn next(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut mixed = *state;
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^ (mixed >> 31)
}
