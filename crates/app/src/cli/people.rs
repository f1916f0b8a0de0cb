//! `people`: who may sign in to the pages of a shop book.

use std::path::PathBuf;

use casewright_terms::Diag;
use clap::{Args, Subcommand};
use serde::Serialize;

use super::shop::RoleName;
use crate::answer::{Answer, Trouble};
use crate::web::people::People;
use crate::web::site::person;
use crate::{wire, world};

/// Options of `people`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Enter a person, or give one a new password; the password is the first line of standard input.
    Add {
        /// The shop book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// Name, as entries are to carry it.
        #[arg(value_name = "NAME")]
        name: String,
        /// As what.
        #[arg(long, value_enum)]
        role: RoleName,
    },
    /// Take a person off the list; their sessions end.
    Remove {
        /// The shop book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// Name.
        #[arg(value_name = "NAME")]
        name: String,
    },
    /// List names and roles.
    List {
        /// The shop book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
    },
}

#[derive(Serialize)]
struct Line {
    name: String,
    role: &'static str,
}

#[derive(Serialize)]
struct List {
    people: Vec<Line>,
}

/// Answers the command.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    match &options.what {
        What::Add { book, name, role } => {
            let people = of(book)?;
            let typed = world::read_stdin().map_err(Trouble::input)?;
            let password = typed.lines().next().unwrap_or("");
            people.put(&person(name, role.word()), password)?;
            Ok(listed(&people))
        }
        What::Remove { book, name } => {
            let people = of(book)?;
            if !people.remove(name)? {
                return Err(Trouble::input(
                    Diag::stop("people-unknown", format!("There is no {name} on the list."))
                        .accepted("`casewright people list BOOK` names all."),
                ));
            }
            Ok(listed(&people))
        }
        What::List { book } => Ok(listed(&of(book)?)),
    }
}

fn of(book: &std::path::Path) -> Result<People, Trouble> {
    casewright_records::Book::open_to_look(book)?;
    People::of(book)
}

fn listed(people: &People) -> Answer {
    let list = people.list();
    let mut text = String::new();
    for person in &list {
        text.push_str(&format!("{}, {}\n", person.name, person.role.word()));
    }
    if list.is_empty() {
        text.push_str("Nobody has to sign in.\n");
    }
    let people = list
        .into_iter()
        .map(|person| Line {
            name: person.name,
            role: person.role.word(),
        })
        .collect();
    Answer::done(text, wire::json(&List { people }))
}
