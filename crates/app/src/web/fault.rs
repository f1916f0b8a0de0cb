//! What keeps a page from its answer, as a person and as a script read it. The inner cause goes to
//! the log line, not into the page.

use casewright_records::StoreError;
use casewright_terms::Diag;
use maud::html;

use super::ask::{Ask, Reply};
use super::frame;
use super::lang::Lang;
use super::words::Word;
use super::words::floor::Floor;
use crate::answer::Trouble;
use crate::wire;

/// Why there is no answer.
#[derive(Debug)]
pub(crate) enum Fault {
    /// There is no such page, job or picture.
    Missing,
    /// The question did not come from our own pages.
    Stranger(&'static str),
    /// Nobody is signed in, and somebody has to be.
    SignIn,
    /// Tried too often to sign in.
    TooOften,
    /// More was sent than is taken.
    TooMuch,
    /// What was sent is wrong, where no form can show it beside its field.
    Input(Vec<Diag>),
    /// The book could not be read or written.
    Book(Box<StoreError>),
    /// The world, the numbers or we failed; the words are for the log.
    Inside(String),
}

impl From<StoreError> for Fault {
    fn from(fault: StoreError) -> Self {
        match fault {
            StoreError::Refused(diag) => Self::Input(vec![*diag]),
            fault => Self::Book(Box::new(fault)),
        }
    }
}

impl From<Trouble> for Fault {
    fn from(trouble: Trouble) -> Self {
        match trouble {
            Trouble::Input { diags, .. } => Self::Input(diags),
            Trouble::World(fault) => Self::Inside(fault.to_string()),
            Trouble::Numbers(failure) => Self::Inside(failure.to_string()),
            Trouble::Defect(words) => Self::Inside(words),
        }
    }
}

impl Fault {
    /// Status of the reply.
    pub(crate) const fn status(&self) -> u16 {
        match self {
            Self::Missing => 404,
            Self::SignIn => 401,
            Self::TooOften => 429,
            Self::Stranger(_) => 403,
            Self::TooMuch => 413,
            Self::Input(_) => 422,
            Self::Book(_) => 503,
            Self::Inside(_) => 500,
        }
    }

    /// Stable code for scripts.
    const fn code(&self) -> &'static str {
        match self {
            Self::Missing => "not-here",
            Self::SignIn => "sign-in",
            Self::TooOften => "too-often",
            Self::Stranger(_) => "not-from-here",
            Self::TooMuch => "too-much",
            Self::Input(_) => "input",
            Self::Book(_) => "book",
            Self::Inside(_) => "failed",
        }
    }

    /// What the log says.
    pub(crate) fn log(&self) -> Option<String> {
        match self {
            Self::Inside(words) => Some(words.clone()),
            Self::Book(fault) => Some(fault.to_string()),
            Self::Stranger(why) => Some((*why).to_owned()),
            _ => None,
        }
    }

    fn words(&self, lang: Lang) -> &'static str {
        lang.say(match self {
            Self::SignIn => return lang.say(Floor::SignInWhy),
            Self::TooOften => return lang.say(Floor::SignInOften),
            Self::Missing => Word::FaultMissing,
            Self::Stranger(_) => Word::FaultStranger,
            Self::TooMuch => Word::FaultTooMuch,
            Self::Input(_) => Word::FaultInput,
            Self::Book(_) => Word::FaultBook,
            Self::Inside(_) => Word::FaultInside,
        })
    }

    /// The page that says so.
    pub(crate) fn page(&self, ask: &Ask) -> Reply {
        let lang = ask.lang;
        let title = self.words(lang);
        let body = html! {
            h1 { span.shape aria-hidden="true" { "■ " } (title) }
            @match self {
                Self::Input(diags) => { (frame::findings(diags)) }
                Self::Book(fault) => { p lang="en" { (fault.to_string()) } }
                _ => {}
            }
            p { a href="/" { (lang.say(Word::BackToJobs)) } }
        };
        Reply::page(frame::page(ask, title, "", body)).status(self.status())
    }

    /// The same for scripts.
    pub(crate) fn json(&self) -> Reply {
        #[derive(serde::Serialize)]
        struct Said {
            code: &'static str,
            findings: Vec<wire::diag::Finding>,
        }
        let none = crate::answer::Texts::default();
        let findings = match self {
            Self::Input(diags) => wire::diag::findings(diags, &none),
            _ => Vec::new(),
        };
        Reply::json(wire::json(&Said {
            code: self.code(),
            findings,
        }))
        .status(self.status())
    }
}
