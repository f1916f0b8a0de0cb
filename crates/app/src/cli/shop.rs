//! `shop`: the shop book. Opens, adds, shows, checks, copies and hands over; holds no rule of the
//! book itself.

use std::path::{Path, PathBuf};

use casewright_records::hand_over::{HandOverError, hand_over};
use casewright_records::view::{Seen, seen};
use casewright_records::{
    Addition, Attachment, Book, Entered, Event, Hash, Head, Look, Person, Report, Role, Store,
    StoreError, Wanted,
};
use casewright_terms::Diag;
use clap::{Args, Subcommand, ValueEnum};

use crate::answer::{Answer, Ending, Trouble, WorldTrouble};
use crate::show::table::{self, numbers, words};
use crate::show::wrap::hanging;
use crate::wire;
use crate::world;

/// Options of `shop`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Start a book in a new file, or on a server (postgres://host/database).
    New {
        /// The file or the address; `postgres:` takes the address from CASEWRIGHT_BOOK.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// Name of the shop.
        #[arg(long, value_name = "NAME")]
        shop: String,
        #[command(flatten)]
        by: By,
    },
    /// Write an entry: one event as JSON, from a file or (with -) from standard input.
    Add {
        /// The book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// The event, as in {"kind":"reading-taken", …}; docs/guides/shop-book.md lists them.
        #[arg(value_name = "EVENT.json")]
        event: PathBuf,
        #[command(flatten)]
        by: By,
        /// A file to keep with the entry; may be given several times.
        #[arg(long, value_name = "FILE")]
        attach: Vec<PathBuf>,
        /// It happened earlier, at this time with its zone, as in 2026-11-25T14:20-05:00.
        #[arg(long, value_name = "TIME")]
        happened: Option<String>,
        /// A word of the sender's own: sent again under it, nothing is added twice.
        #[arg(long, value_name = "WORD")]
        token: Option<String>,
    },
    /// Show entries with what was later said about them.
    Show {
        /// The book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// Only of this job.
        #[arg(long, conflicts_with = "run")]
        job: Option<String>,
        /// Only of this run.
        #[arg(long)]
        run: Option<String>,
        /// Only entries behind this number.
        #[arg(long, value_name = "NUMBER", default_value_t = 0)]
        after: u64,
        /// At most so many.
        #[arg(long, value_name = "COUNT", default_value_t = 1000)]
        most: usize,
    },
    /// Check that nothing was changed, lost or slipped in.
    Check {
        /// The book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// Last entry and code as written down earlier, as in 14:a59c…
        #[arg(long, value_name = "NUMBER:CODE")]
        head: Option<String>,
    },
    /// Save a whole copy under a new name and check it.
    Save {
        /// The book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// The copy.
        #[arg(value_name = "COPY")]
        copy: PathBuf,
    },
    /// Bring a saved copy back under a name where nothing stands.
    BringBack {
        /// The copy.
        #[arg(value_name = "COPY")]
        copy: PathBuf,
        /// The book to be.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
    },
    /// What the judged runs have taught about furnace, box, compound, steel and tank, and the lines that
    /// say so in the shop file.
    Learnt {
        /// The book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// Leave this run out; may be given several times.
        #[arg(long, value_name = "RUN")]
        without: Vec<String>,
    },
    /// Write everything as open files (JSON lines, CSV, kept files) into a new folder.
    HandOver {
        /// The book.
        #[arg(value_name = "BOOK")]
        book: PathBuf,
        /// The folder.
        #[arg(value_name = "FOLDER")]
        folder: PathBuf,
    },
}

#[derive(Debug, Args)]
pub(super) struct By {
    /// Who writes this.
    #[arg(long, value_name = "NAME")]
    by: String,
    /// As what.
    #[arg(long, value_enum)]
    role: RoleName,
}

/// As what somebody writes.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum RoleName {
    /// Heat treater or machinist.
    Operator,
    /// Learner.
    Student,
    /// Teacher.
    Instructor,
    /// Inspector.
    Inspector,
    /// Whoever answers for the shop.
    Lead,
}

impl RoleName {
    /// As the book writes it.
    pub(super) const fn role(self) -> Role {
        match self {
            Self::Operator => Role::Operator,
            Self::Student => Role::Student,
            Self::Instructor => Role::Instructor,
            Self::Inspector => Role::Inspector,
            Self::Lead => Role::Lead,
        }
    }

    /// The word for it in the book.
    #[cfg(feature = "web")]
    pub(super) const fn word(self) -> &'static str {
        self.role().word()
    }
}

impl By {
    /// The one who writes, where no command line says it.
    #[cfg(feature = "web")]
    pub(super) fn of(person: &Person) -> Self {
        Self {
            by: person.name.clone(),
            role: match person.role {
                Role::Operator => RoleName::Operator,
                Role::Student => RoleName::Student,
                Role::Instructor => RoleName::Instructor,
                Role::Inspector => RoleName::Inspector,
                Role::Lead => RoleName::Lead,
            },
        }
    }

    pub(super) fn person(&self) -> Person {
        Person {
            name: self.by.clone(),
            role: self.role.role(),
        }
    }
}

/// Answers the command.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    match &options.what {
        What::New { book, shop, by } => {
            let first = addition(by, Event::BookOpened { shop: shop.clone() });
            let (_, receipt) = Book::create(book, &first)?;
            Ok(kept(receipt))
        }
        What::Add {
            book,
            event,
            by,
            attach,
            happened,
            token,
        } => {
            let mut addition = addition(by, read_event(event)?);
            addition.token.clone_from(token);
            if let Some(happened) = happened {
                addition.entered = Entered::Afterwards {
                    happened: world::moment(happened).map_err(Trouble::input)?,
                };
            }
            for file in attach {
                addition.attachments.push(read_attachment(file)?);
            }
            Ok(kept(Book::open(book)?.append(&addition)?))
        }
        What::Show {
            book,
            job,
            run,
            after,
            most,
        } => {
            let wanted = match (job, run) {
                (Some(job), _) => Wanted::Job(job),
                (_, Some(run)) => Wanted::Run(run),
                _ => Wanted::All,
            };
            let book = Book::open_to_look(book)?;
            Ok(shown(&seen(&book, wanted, *after, *most)?, book.head()?))
        }
        What::Check { book, head } => {
            let expected = head.as_deref().map(read_head).transpose()?;
            let report = Book::open_to_look(book)?.check(expected)?;
            Ok(checked(&report))
        }
        What::Save { book, copy } => Ok(checked(&Book::open_to_look(book)?.save(copy)?)),
        What::BringBack { copy, book } => Ok(checked(&Book::bring_back(copy, book)?)),
        What::Learnt { book, without } => super::run::learnt::answer(book, without),
        What::HandOver { book, folder } => handed(&Book::open_to_look(book)?, folder),
    }
}

fn addition(by: &By, event: Event) -> Addition {
    Addition {
        at: world::now(),
        by: by.person(),
        entered: Entered::Live,
        event,
        attachments: Vec::new(),
        token: None,
    }
}

fn read_event(path: &Path) -> Result<Event, Trouble> {
    let text = if path == Path::new("-") {
        world::read_stdin()
    } else {
        world::read_text(path)
    }
    .map_err(Trouble::input)?;
    serde_json::from_str(&text).map_err(|fault| {
        Trouble::input(
            Diag::stop("book-event", format!("The event cannot be read: {fault}."))
                .why("An entry with a word that nobody knows could not be read later.")
                .accepted("docs/guides/shop-book.md lists the kinds with their fields."),
        )
    })
}

pub(super) fn read_attachment(path: &Path) -> Result<Attachment, Trouble> {
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let bytes = world::read_whole(path, casewright_records::store::LARGEST_ATTACHMENT_BYTES)
        .map_err(Trouble::input)?;
    Ok(Attachment { name, bytes })
}

fn read_head(typed: &str) -> Result<Head, Trouble> {
    typed
        .split_once(':')
        .and_then(|(count, hash)| {
            Some(Head {
                count: count.parse().ok()?,
                hash: Hash::from_hex(hash)?,
            })
        })
        .ok_or_else(|| {
            Trouble::input(
                Diag::stop("book-head", format!("\"{typed}\" is no number and code."))
                    .accepted("Write both as `shop check` told them, as in 14:a59c… (64 digits)."),
            )
        })
}

fn kept(receipt: casewright_records::Receipt) -> Answer {
    let again = if receipt.repeated {
        " (was there already)"
    } else {
        ""
    };
    Answer::done(
        format!(
            "● Entry {} is in the book{again}.\n  {}\n",
            receipt.number, receipt.hash
        ),
        wire::json(&wire::shop::Kept::of(&receipt)),
    )
}

fn checked(report: &Report) -> Answer {
    let mut text = format!(
        "{} entries, {} kept files\nLast entry and code: {}:{}\n",
        report.entries,
        report.files.len(),
        report.head.count,
        report.head.hash
    );
    for number in &report.clock_back {
        text.push_str(&hanging(
            "▲ ",
            &format!(
                "Entry {number} is dated before the one in front of it: a clock was put back."
            ),
        ));
    }
    for trouble in &report.troubles {
        text.push_str(&hanging("■ ", &trouble.to_string()));
    }
    let ending = if report.troubles.is_empty() {
        text.push_str("● The book is whole.\n");
        Ending::Done
    } else {
        text.push_str(&hanging(
            "■ ",
            &format!(
                "The book is not whole; up to entry {} it is. Keep this file, and bring back the \
                 last saved copy under another name.",
                report.whole_up_to
            ),
        ));
        Ending::NotMet
    };
    Answer::done(text, wire::json(&wire::shop::Checked::of(report))).ending(ending)
}

fn shown(all: &[Seen], head: Head) -> Answer {
    let mut rows = Vec::new();
    for seen in all {
        let content = &seen.entry.content;
        let mut text = content.event.told();
        if let Some(corrected) = &seen.corrected {
            text.push_str(&format!(" [see entry {}]", corrected.by));
        }
        for signed in &seen.signatures {
            let old = if signed.before_correction {
                ", before the correction"
            } else {
                ""
            };
            text.push_str(&format!(
                " [{}: {}{old}]",
                signed.meaning.word(),
                signed.by.name
            ));
        }
        if seen.waits_for_witness() {
            text.push_str(" ▲ waits for a second person");
        }
        for file in &content.attached {
            text.push_str(&format!(" [file {}]", file.name));
        }
        let late = match &content.entered {
            Entered::Live => String::new(),
            Entered::Afterwards { happened } => format!("for {happened}"),
        };
        rows.push(vec![
            content.number.to_string(),
            content.at.to_string(),
            content.by.name.clone(),
            plain(&text),
            late,
        ]);
    }
    let columns = [
        numbers("no."),
        words("entered"),
        words("by"),
        words("what"),
        words("afterwards"),
    ];
    let mut text = table::text(&columns, &rows);
    text.push_str(&format!("The book goes to entry {}.\n", head.count));
    Answer::done(text, wire::json(&wire::shop::Shown::of(all, head)))
}

/// On one line of the terminal.
fn plain(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

fn handed(book: &Book, folder: &Path) -> Result<Answer, Trouble> {
    let report = book.check(None)?;
    if !report.troubles.is_empty() {
        return Ok(checked(&report));
    }
    if !world::list_folder(folder)?.is_empty() {
        return Err(WorldTrouble::Foreign {
            path: folder.to_owned(),
        }
        .into());
    }
    for inside in ["files", "plans"] {
        world::make_folder(&folder.join(inside))?;
    }
    let handed = hand_over(book, |name, bytes| {
        world::write_file(&folder.join(name), bytes)
    })
    .map_err(|fault| match fault {
        HandOverError::Book(fault) => Trouble::from(fault),
        HandOverError::Place(fault) => Trouble::from(fault),
        HandOverError::File(name) => Trouble::from(StoreError::Damaged {
            path: book.path().to_owned(),
            what: format!("the kept file {name} is not whole"),
        }),
    })?;
    let text = format!(
        "● {} entries and {} kept files are in {}; README.txt there tells what is what.\n",
        handed.entries,
        handed.files,
        folder.display()
    );
    Ok(Answer::done(
        text,
        wire::json(&wire::shop::Handed::of(&handed, report.head)),
    ))
}

impl From<StoreError> for Trouble {
    /// A wrong name or a broken rule is input; what the disk refuses is the world's.
    fn from(fault: StoreError) -> Self {
        let said = fault.to_string();
        match fault {
            StoreError::Refused(diag) => Self::input(*diag),
            StoreError::Missing { .. } => Self::input(Diag::stop("book-missing", sentence(&said))),
            StoreError::Occupied { .. } => {
                Self::input(Diag::stop("book-occupied", sentence(&said)))
            }
            StoreError::NoServers | StoreError::NoAddress | StoreError::CopyIsAFile => {
                Self::input(Diag::stop("book-place", sentence(&said)))
            }
            StoreError::NotABook { .. } => Self::input(Diag::stop("book-none", sentence(&said))),
            StoreError::Newer { .. } => Self::input(Diag::stop("book-newer", sentence(&said))),
            fault => Self::World(WorldTrouble::Book(fault)),
        }
    }
}

fn sentence(said: &str) -> String {
    format!("{said}.")
}
