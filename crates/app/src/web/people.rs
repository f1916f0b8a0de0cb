//! Who may use the pages: names with a password, sessions, and signing in.
//!
//! They stand in a file beside the book, not in it: passwords change, and a copy of the book that is
//! handed to a customer holds none. Of a password and of a session only a hash is kept.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use casewright_records::{Hash, Person, Role};
use casewright_terms::Diag;
use serde::{Deserialize, Serialize};

use super::ask::Ask;
use super::fault::Fault;
use super::site::{Site, person};
use crate::answer::Trouble;
use crate::world;

/// The cookie of a session.
pub(crate) const SESSION_COOKIE: &str = "casewright-session";
/// A session lasts this long, in hours: a soak and the night around it.
const SESSION_H: i64 = 16;
/// Shortest password, in characters. OWASP ASVS 5.0, 6.2.1.
pub(crate) const SHORTEST: usize = 8;
/// Longest password, in bytes, so that hashing it takes no more time than any.
const LONGEST: usize = 256;
/// Tries to sign in that are allowed at once, for one name and for all together.
const TRIES: (f64, f64) = (5.0, 20.0);
/// Tries that come back in a second.
const TRIES_BACK: (f64, f64) = (5.0 / 60.0, 20.0 / 60.0);
/// Most names for which tries are counted at a time.
const MOST_COUNTED: usize = 200;

/// What the file holds.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    people: Vec<Known>,
    #[serde(default)]
    sessions: Vec<Session>,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Known {
    name: String,
    role: Role,
    /// Argon2id with its salt and its costs, in the PHC form.
    password: String,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Session {
    /// Hash of the token; the token itself is only in the cookie.
    token: Hash,
    name: String,
    until_utc_us: i64,
}

/// Tries that are left, filled up again with time.
#[derive(Clone, Copy, Debug)]
struct Bucket {
    left: f64,
    at_us: i64,
}

impl Bucket {
    /// Takes one try; whether there was one.
    fn take(&mut self, now_us: i64, most: f64, back: f64) -> bool {
        let passed_s = (now_us - self.at_us).max(0) as f64 / 1e6;
        self.left = (self.left + passed_s * back).min(most);
        self.at_us = now_us;
        if self.left < 1.0 {
            return false;
        }
        self.left -= 1.0;
        true
    }
}

#[derive(Debug, Default)]
struct Tries {
    all: Option<Bucket>,
    named: BTreeMap<String, Bucket>,
}

impl Tries {
    fn take(&mut self, name: &str, now_us: i64) -> bool {
        let full = |most| Bucket {
            left: most,
            at_us: now_us,
        };
        if !self.named.contains_key(name) && self.named.len() >= MOST_COUNTED {
            // Whoever tries many names meets the count of all.
            self.named.clear();
        }
        let named = self
            .named
            .entry(name.to_owned())
            .or_insert_with(|| full(TRIES.0))
            .take(now_us, TRIES.0, TRIES_BACK.0);
        let all = self
            .all
            .get_or_insert_with(|| full(TRIES.1))
            .take(now_us, TRIES.1, TRIES_BACK.1);
        named && all
    }
}

/// The people of a shop.
#[derive(Debug)]
pub(crate) struct People {
    file: PathBuf,
    kept: Mutex<Kept>,
    tries: Mutex<Tries>,
}

/// Why nobody is signed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NotIn {
    /// Name and password do not belong together.
    Wrong,
    /// Tried too often.
    Often,
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl People {
    /// Those of a book; nobody where there is no file.
    ///
    /// # Errors
    /// Where the file is not one of ours: the pages then stay shut rather than open to all.
    pub(crate) fn of(book: &Path) -> Result<Self, Trouble> {
        let mut name = book.file_name().unwrap_or_default().to_owned();
        name.push(".people.json");
        let file = book.with_file_name(name);
        let kept = if world::exists(&file) {
            let text = world::read_text(&file).map_err(Trouble::input)?;
            serde_json::from_str(&text).map_err(|fault| {
                Trouble::input(
                    Diag::stop(
                        "people-unread",
                        format!("{} is no list of people: {fault}.", file.display()),
                    )
                    .why("Without it anybody could write under any name.")
                    .accepted("Bring back the file, or move it away and enter the people anew."),
                )
            })?
        } else {
            Kept::default()
        };
        Ok(Self {
            file,
            kept: Mutex::new(kept),
            tries: Mutex::new(Tries::default()),
        })
    }

    /// Whether anybody has to sign in.
    pub(crate) fn any(&self) -> bool {
        !locked(&self.kept).people.is_empty()
    }

    /// Names and roles.
    pub(crate) fn list(&self) -> Vec<Person> {
        let kept = locked(&self.kept);
        kept.people
            .iter()
            .map(|known| Person {
                name: known.name.clone(),
                role: known.role,
            })
            .collect()
    }

    /// Enters a person, or gives one a new password and role; their sessions end.
    ///
    /// # Errors
    /// A password that is too short or too long, or a file that cannot be written.
    pub(crate) fn put(&self, person: &Person, password: &str) -> Result<(), Trouble> {
        if password.chars().count() < SHORTEST || password.len() > LONGEST {
            return Err(Trouble::input(
                Diag::stop(
                    "people-password",
                    "The password is too short or too long.",
                )
                .why("A short one is found by trying.")
                .accepted(format!(
                    "Give at least {SHORTEST} characters, better four words in a row; any marks are allowed."
                )),
            ));
        }
        let hashed = Argon2::default()
            .hash_password(password.as_bytes())
            .map_err(|fault| Trouble::Defect(format!("argon2: {fault}")))?
            .to_string();
        self.change(|kept| {
            kept.people.retain(|known| known.name != person.name);
            kept.sessions.retain(|session| session.name != person.name);
            kept.people.push(Known {
                name: person.name.clone(),
                role: person.role,
                password: hashed,
            });
        })
    }

    /// Takes a person off the list; their sessions end. Whether there was one.
    ///
    /// # Errors
    /// Where the file cannot be written.
    pub(crate) fn remove(&self, name: &str) -> Result<bool, Trouble> {
        let before = self.list().len();
        self.change(|kept| {
            kept.people.retain(|known| known.name != name);
            kept.sessions.retain(|session| session.name != name);
        })?;
        Ok(self.list().len() < before)
    }

    fn change(&self, change: impl FnOnce(&mut Kept)) -> Result<(), Trouble> {
        let mut kept = locked(&self.kept);
        let mut next = kept.clone();
        change(&mut next);
        let text = serde_json::to_string_pretty(&next).expect("names and plain values");
        world::write_private(&self.file, text.as_bytes())?;
        *kept = next;
        Ok(())
    }

    /// The person of that name and password. Takes as long for a name that nobody has.
    pub(crate) fn prove(&self, name: &str, password: &str) -> Result<Person, NotIn> {
        if !locked(&self.tries).take(name, world::now().utc_us) {
            return Err(NotIn::Often);
        }
        if password.len() > LONGEST {
            return Err(NotIn::Wrong);
        }
        let known = locked(&self.kept)
            .people
            .iter()
            .find(|known| known.name == name)
            .cloned();
        let Some(known) = known else {
            // The same work as for a known name, so that the time tells nothing.
            let _ = Argon2::default().hash_password(password.as_bytes());
            return Err(NotIn::Wrong);
        };
        let right = PasswordHash::new(&known.password).is_ok_and(|hash| {
            Argon2::default()
                .verify_password(password.as_bytes(), &hash)
                .is_ok()
        });
        if !right {
            return Err(NotIn::Wrong);
        }
        Ok(Person {
            name: known.name,
            role: known.role,
        })
    }

    /// Begins a session; gives its token.
    ///
    /// # Errors
    /// Where the file cannot be written.
    pub(crate) fn begin(&self, who: &Person) -> Result<String, Trouble> {
        let token = random_word();
        let now = world::now().utc_us;
        self.change(|kept| {
            kept.sessions.retain(|session| session.until_utc_us > now);
            kept.sessions.push(Session {
                token: Hash::of(token.as_bytes()),
                name: who.name.clone(),
                until_utc_us: now + SESSION_H * 3_600_000_000,
            });
        })?;
        Ok(token)
    }

    /// Who a session belongs to.
    pub(crate) fn of_session(&self, token: &str) -> Option<Person> {
        let kept = locked(&self.kept);
        let wanted = Hash::of(token.as_bytes());
        let now = world::now().utc_us;
        let session = kept
            .sessions
            .iter()
            .find(|session| session.token == wanted && session.until_utc_us > now)?;
        let known = kept
            .people
            .iter()
            .find(|known| known.name == session.name)?;
        Some(Person {
            name: known.name.clone(),
            role: known.role,
        })
    }

    /// Ends a session.
    ///
    /// # Errors
    /// Where the file cannot be written.
    pub(crate) fn end(&self, token: &str) -> Result<(), Trouble> {
        let wanted = Hash::of(token.as_bytes());
        self.change(|kept| kept.sessions.retain(|session| session.token != wanted))
    }
}

/// The second person at a hold point: with their own password where people sign in.
pub(crate) fn second(site: &Site, ask: &Ask) -> Result<Person, Fault> {
    let name = ask.form.get("second");
    if !site.people.any() {
        return Ok(person(name, ask.form.get("second_role")));
    }
    site.people
        .prove(name, ask.form.get("second_password"))
        .map_err(|not| match not {
            NotIn::Often => Fault::TooOften,
            NotIn::Wrong => Fault::Input(vec![
                Diag::stop(
                    "second-not-known",
                    "Name and password of the second person do not belong together.",
                )
                .why("A hold point is there for a second pair of eyes, known by name.")
                .accepted("Let the second person type name and password again."),
            ]),
        })
}

/// 128 random bits as letters and digits.
pub(crate) fn random_word() -> String {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).expect("the system has randomness");
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tries_run_out_and_come_back() {
        let mut tries = Tries::default();
        for _ in 0..5 {
            assert!(tries.take("M. Tern", 0));
        }
        assert!(!tries.take("M. Tern", 0));
        assert!(tries.take("A. Plover", 0), "another name is not shut out");
        assert!(tries.take("M. Tern", 12_000_001), "one comes back in 12 s");
        assert!(!tries.take("M. Tern", 12_000_002));
        let many = (0..40)
            .filter(|number| tries.take(&format!("n{number}"), 12_000_003))
            .count();
        assert!(many < 20, "many names meet the count of all: {many}");
    }

    #[test]
    fn random_words_differ() {
        assert_ne!(random_word(), random_word());
        assert_eq!(random_word().len(), 32);
    }
}
