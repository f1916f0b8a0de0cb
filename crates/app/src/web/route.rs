//! What a page is to the router: its method, its path, the function that answers, and one sentence
//! about it, which is also what the API's description says.

use super::ask::{Ask, Reply};
use super::fault::Fault;
use super::site::Site;

/// A function that answers a question.
pub(crate) type Handler = fn(&Site, &Ask) -> Result<Reply, Fault>;

/// How it is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Method {
    /// Looks only.
    Get,
    /// Adds something; must come from our own pages.
    Post,
}

/// For whom it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A page for people.
    Page,
    /// An answer for scripts; its faults are JSON too.
    Api,
}

/// A value that a route takes, in its path, behind the question mark or in its form.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Param {
    /// Name.
    pub(crate) name: &'static str,
    /// What it is, with an example.
    pub(crate) what: &'static str,
    /// Whether it must be there.
    pub(crate) must: bool,
}

/// One route.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Route {
    /// How it is asked.
    pub(crate) method: Method,
    /// Path, with `{name}` for its parts.
    pub(crate) path: &'static str,
    /// For whom.
    pub(crate) kind: Kind,
    /// What it answers, in a sentence.
    pub(crate) what: &'static str,
    /// What it takes besides the parts of its path.
    pub(crate) takes: &'static [Param],
    /// Who answers.
    pub(crate) answer: Handler,
}

impl Route {
    /// A page that is looked at.
    pub(crate) const fn page(path: &'static str, what: &'static str, answer: Handler) -> Self {
        Self {
            method: Method::Get,
            path,
            kind: Kind::Page,
            what,
            takes: &[],
            answer,
        }
    }

    /// A form that adds something.
    pub(crate) const fn form(path: &'static str, what: &'static str, answer: Handler) -> Self {
        Self {
            method: Method::Post,
            ..Self::page(path, what, answer)
        }
    }

    /// An answer for scripts.
    pub(crate) const fn api(
        path: &'static str,
        what: &'static str,
        takes: &'static [Param],
        answer: Handler,
    ) -> Self {
        Self {
            kind: Kind::Api,
            takes,
            ..Self::page(path, what, answer)
        }
    }
}
