//! Who may sign for what: nobody is the second pair of eyes on words of their own, a student does
//! not approve, and the entry that is signed is the one that was shown. Tried with all stores, and
//! with random histories against rules that are written here once more.

use casewright_records::view::seen;
use casewright_records::{
    Addition, Event, Hash, Look, Meaning, Memory, Person, Role, Store, StoreError, Wanted,
};
use proptest::prelude::*;

use crate::full::fill;
use crate::several::all;
use crate::support::*;

const MEANINGS: [Meaning; 3] = [Meaning::Did, Meaning::Witnessed, Meaning::Approved];
const ROLES: [Role; 5] = [
    Role::Operator,
    Role::Student,
    Role::Instructor,
    Role::Inspector,
    Role::Lead,
];
/// The first three are one person.
const NAMES: [&str; 5] = ["M. Tern", "m. tern", "M.  TERN", "A. Plover", "B. Dunlin"];

fn by(name: &str, role: Role, event: Event) -> Addition {
    let mut addition = add(60_000, event);
    addition.by = person(name, role);
    addition
}

fn sign(book: &impl Look, of: u64, meaning: Meaning) -> Event {
    let of_hash = book.entry(of).unwrap().unwrap().hash;
    Event::Signature {
        of,
        of_hash,
        meaning,
    }
}

fn corrected(of: u64) -> Event {
    Event::Correction {
        corrects: of,
        reason: "read again".into(),
        instead: Some(Box::new(reading(0, "928").event)),
    }
}

fn code(outcome: Result<casewright_records::Receipt, StoreError>) -> Result<(), &'static str> {
    match outcome {
        Ok(_) => Ok(()),
        Err(StoreError::Refused(diag)) => Err(diag.code),
        Err(other) => panic!("{other:?}"),
    }
}

#[test]
fn approval_is_another_persons_in_every_store() {
    let mut book = all("approval");
    fill(&mut book);
    let entry = book.append(&reading(50_000, "927")).unwrap().number;
    let mut signs = |name, role, meaning| {
        let event = sign(&book, entry, meaning);
        code(book.append(&by(name, role, event)))
    };
    for name in &NAMES[..3] {
        for role in ROLES.into_iter().filter(|role| *role != Role::Student) {
            let own = signs(name, role, Meaning::Approved);
            assert_eq!(own, Err("book-own-approval"), "{name}");
            let own = signs(name, role, Meaning::Witnessed);
            assert_eq!(own, Err("book-own-witness"), "{name}");
        }
    }
    let student = signs("A. Plover", Role::Student, Meaning::Approved);
    assert_eq!(student, Err("book-student-approves"));
    assert_eq!(signs("A. Plover", Role::Lead, Meaning::Approved), Ok(()));
    let again = signs("a. plover", Role::Lead, Meaning::Approved);
    assert_eq!(again, Err("book-signed-already"));
    // Whoever corrects it wrote what stands there now.
    let mended = by("B. Dunlin", Role::Operator, corrected(entry));
    book.append(&mended).unwrap();
    let own = by(
        "B. Dunlin",
        Role::Lead,
        sign(&book, entry, Meaning::Approved),
    );
    assert_eq!(code(book.append(&own)), Err("book-own-approval"));
    // Who approved the old words may approve the new ones.
    let anew = by(
        "A. Plover",
        Role::Lead,
        sign(&book, entry, Meaning::Approved),
    );
    assert_eq!(code(book.append(&anew)), Ok(()));
    let other = Event::Signature {
        of: entry,
        of_hash: Hash::of(b"shown before"),
        meaning: Meaning::Approved,
    };
    let other = code(book.append(&by("C. Knot", Role::Lead, other)));
    assert_eq!(other, Err("book-signature-other"));
    assert_eq!(book.check(None).troubles, []);
}

/// What somebody tries: a correction, or a signature with a meaning.
fn tries() -> impl Strategy<Value = Vec<(usize, usize, Option<usize>)>> {
    let one = (
        0..NAMES.len(),
        0..ROLES.len(),
        proptest::option::of(0..3_usize),
    );
    proptest::collection::vec(one, 1..24)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// However corrections and signatures follow each other, what the book then shows as approved or
    /// witnessed was signed by nobody whose words stand there, approved by no student, and once by
    /// each since the last correction; and what the rules allow is taken.
    #[test]
    fn no_history_makes_ones_own_eyes_a_second_pair(history in tries()) {
        let mut book = Memory::default();
        book.append(&opening()).unwrap();
        fill(&mut book);
        let entry = book.append(&reading(50_000, "927")).unwrap().number;
        let one = |name: &str| name.to_lowercase().replace(' ', "");
        let (mut author, mut signed, mut taken_in_all) = (one("M. Tern"), Vec::new(), 0);
        for (name, role, what) in history {
            let (name, role) = (NAMES[name], ROLES[role]);
            let Some(what) = what else {
                book.append(&by(name, role, corrected(entry))).unwrap();
                author = one(name);
                signed.clear();
                continue;
            };
            let meaning = MEANINGS[what];
            let event = sign(&book, entry, meaning);
            let taken = code(book.append(&by(name, role, event))).is_ok();
            let own = [one("M. Tern"), author.clone()].contains(&one(name));
            let allowed = match meaning {
                Meaning::Did => true,
                Meaning::Witnessed => !own,
                Meaning::Approved => !own && role != Role::Student,
            };
            let allowed = allowed && !signed.contains(&(one(name), what));
            prop_assert_eq!(taken, allowed, "{} {:?} {:?}", name, role, meaning);
            if taken {
                signed.push((one(name), what));
                taken_in_all += 1;
            }
        }
        let all = seen(&book, Wanted::All, entry - 1, 1).unwrap();
        prop_assert_eq!(all[0].signatures.len(), taken_in_all);
        for signature in &all[0].signatures {
            let Person { name, role } = &signature.by;
            let eyes = signature.meaning != Meaning::Did;
            prop_assert!(!(eyes && one(name) == "m.tern"));
            prop_assert!(!(eyes && !signature.before_correction && one(name) == author));
            prop_assert!(!(signature.meaning == Meaning::Approved && *role == Role::Student));
        }
    }
}
