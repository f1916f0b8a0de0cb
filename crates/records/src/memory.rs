//! A store that forgets: for practice, where nothing may end on a certificate, and for tests.

use std::collections::BTreeMap;

use crate::chain::Hash;
use crate::rules;
use crate::store::{
    Addition, Entry, Head, Look, Receipt, Store, StoreError, Wanted, is_the_same, seal,
};

/// A book in memory.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    entries: Vec<Entry>,
    files: BTreeMap<Hash, Vec<u8>>,
}

impl Look for Memory {
    fn head(&self) -> Result<Head, StoreError> {
        Ok(self.entries.last().map_or(Head::NONE, |last| Head {
            count: last.content.number,
            hash: last.hash,
        }))
    }

    fn entries(
        &self,
        wanted: Wanted<'_>,
        after: u64,
        most: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        Ok(self
            .entries
            .iter()
            .filter(|entry| entry.content.number > after)
            .filter(|entry| match wanted {
                Wanted::All => true,
                Wanted::Job(job) => entry.content.event.job() == Some(job),
                Wanted::Run(run) => entry.content.event.run() == Some(run),
                Wanted::Kind(kind) => entry.content.event.kind() == kind,
                Wanted::About(number) => entry.content.event.about() == Some(number),
                Wanted::Token(token) => entry.content.token.as_deref() == Some(token),
            })
            .take(most)
            .cloned()
            .collect())
    }

    fn attachment(&self, hash: &Hash) -> Result<Option<Vec<u8>>, StoreError> {
        Ok(self.files.get(hash).cloned())
    }
}

impl Store for Memory {
    fn append(&mut self, addition: &Addition) -> Result<Receipt, StoreError> {
        if let Some(receipt) = repeated(self, addition)? {
            return Ok(receipt);
        }
        rules::hold(self, addition)?;
        let sealed = seal(self.head()?, addition);
        for (file, attached) in addition.attachments.iter().zip(&sealed.content.attached) {
            self.files.insert(attached.sha256, file.bytes.clone());
        }
        let receipt = Receipt {
            number: sealed.content.number,
            hash: sealed.hash,
            repeated: false,
        };
        self.entries.push(sealed);
        Ok(receipt)
    }
}

/// The receipt of an addition that was made before under the same token.
pub(crate) fn repeated(
    book: &impl Look,
    addition: &Addition,
) -> Result<Option<Receipt>, StoreError> {
    let Some(token) = &addition.token else {
        return Ok(None);
    };
    let found = book.entries(Wanted::Token(token), 0, 1)?;
    let Some(entry) = found.first() else {
        return Ok(None);
    };
    if !is_the_same(entry, addition) {
        return Err(casewright_terms::Diag::stop(
            "book-token-taken",
            format!(
                "Entry {} was sent under the word {token} and says something else.",
                entry.content.number
            ),
        )
        .accepted("Send it under a word of its own, or correct the entry.")
        .into());
    }
    Ok(Some(Receipt {
        number: entry.content.number,
        hash: entry.hash,
        repeated: true,
    }))
}
