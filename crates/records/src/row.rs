//! A row of the table of entries, whatever database it stands in. It is read with all its columns,
//! so that what is written twice can be compared.

use crate::chain::Hash;
use crate::store::{Content, Entry};

/// Its columns, in the order of the fields.
pub(crate) const COLUMNS: &str = "number, utc_us, kind, job, run, about, token, body, before, hash";

/// A row of the table of entries.
#[derive(Debug)]
pub(crate) struct EntryRow {
    pub(crate) number: i64,
    pub(crate) utc_us: i64,
    pub(crate) kind: String,
    pub(crate) job: Option<String>,
    pub(crate) run: Option<String>,
    pub(crate) about: Option<i64>,
    pub(crate) token: Option<String>,
    pub(crate) body: String,
    pub(crate) before: Vec<u8>,
    pub(crate) hash: Vec<u8>,
}

impl EntryRow {
    /// The entry; every column must say what the text says.
    pub(crate) fn read(self) -> Result<Entry, String> {
        let number = self.number;
        let content: Content = serde_json::from_str(&self.body)
            .map_err(|fault| format!("entry {number} cannot be read: {fault}"))?;
        let agree = i64::try_from(content.number) == Ok(number)
            && content.at.utc_us == self.utc_us
            && content.event.kind() == self.kind
            && content.event.job() == self.job.as_deref()
            && content.event.run() == self.run.as_deref()
            && content.event.about().and_then(|n| i64::try_from(n).ok()) == self.about
            && content.token == self.token;
        if !agree {
            return Err(format!(
                "the columns of entry {number} differ from its text"
            ));
        }
        let hash = |bytes: &[u8]| {
            Hash::from_bytes(bytes).ok_or_else(|| format!("a hash of entry {number} is cut"))
        };
        Ok(Entry {
            before: hash(&self.before)?,
            hash: hash(&self.hash)?,
            body: self.body,
            content,
        })
    }
}
