//! Saved copies and bringing them back: whole files beside the book. A book that a program has
//! open is never moved, replaced or removed; a copy is made by SQLite itself.
#![expect(
    clippy::disallowed_methods,
    reason = "the store is a file; app names the path and never its parts"
)]

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use rusqlite::OpenFlags;

use super::Book;
use crate::check::Report;
use crate::store::{Head, Look, StoreError, each};

/// Length of the file at the path; `None` where there is none.
pub(super) fn length(path: &Path) -> Option<u64> {
    fs::metadata(path)
        .ok()
        .filter(fs::Metadata::is_file)
        .map(|file| file.len())
}

/// Makes sure that the folder knows of the new file after a power cut.
pub(super) fn flush_folder(path: &Path) -> Result<(), StoreError> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    // Some systems cannot open a folder as a file; they keep names by themselves.
    match File::open(folder) {
        Ok(folder) if cfg!(unix) => folder.sync_all().map_err(file_fault(path, "flushed")),
        _ => Ok(()),
    }
}

fn file_fault(path: &Path, doing: &'static str) -> impl FnOnce(io::Error) -> StoreError {
    let path = path.to_owned();
    move |source| StoreError::File {
        path,
        doing,
        source,
    }
}

impl Book {
    /// Saves a whole copy under a new name while the book may be in use, and checks the copy.
    ///
    /// # Errors
    /// Where something stands there already, there is no room, or the copy is not whole.
    pub fn save(&self, to: &Path) -> Result<Report, StoreError> {
        let beside = free_for(to)?;
        let made = self.save_beside(&beside);
        if made.is_err() {
            let _ = fs::remove_file(&beside);
        }
        let report = made?;
        put(&beside, to)?;
        Ok(report)
    }

    /// Opens a saved copy to look, and only where it is whole.
    ///
    /// # Errors
    /// As for [`Book::open`], and where a check finds anything wrong.
    pub fn open_whole(copy: &Path) -> Result<Self, StoreError> {
        whole(copy, None)?;
        Self::open_to_look(copy)
    }

    /// Writes another store out as a new file, entry by entry, and checks it. The caller sees to it
    /// that the other store stands still meanwhile.
    ///
    /// # Errors
    /// Where something stands there already, there is no room, or the copy is not whole.
    pub fn write_out(from: &impl Look, to: &Path) -> Result<Report, StoreError> {
        let beside = free_for(to)?;
        let made = write_beside(from, &beside);
        if made.is_err() {
            let _ = fs::remove_file(&beside);
        }
        let report = made?;
        put(&beside, to)?;
        Ok(report)
    }

    fn save_beside(&self, beside: &Path) -> Result<Report, StoreError> {
        let name = beside.to_str().ok_or_else(|| StoreError::File {
            path: beside.to_owned(),
            doing: "written",
            source: io::Error::new(io::ErrorKind::InvalidInput, "the name is no plain text"),
        })?;
        self.connection
            .execute("VACUUM INTO ?1", [name])
            .map_err(|fault| super::trouble(beside, fault))?;
        let report = whole(beside, Some(self.head()?))?;
        flush(beside)?;
        Ok(report)
    }
}

fn flush(file: &Path) -> Result<(), StoreError> {
    File::options()
        .write(true)
        .open(file)
        .and_then(|open| open.sync_all())
        .map_err(file_fault(file, "flushed"))
}

fn write_beside(from: &impl Look, beside: &Path) -> Result<Report, StoreError> {
    let trouble = |fault| super::trouble(beside, fault);
    let mut connection = super::connect(
        beside,
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE,
    )?;
    let change = connection.transaction().map_err(trouble)?;
    super::migrate::bring_up(&change, &super::migrate::STEPS).map_err(trouble)?;
    super::begin_head(&change).map_err(trouble)?;
    each(from, |entry, files| {
        for (hash, bytes) in files {
            super::rows::keep(&change, hash, bytes).map_err(trouble)?;
        }
        super::rows::insert(&change, entry).map_err(trouble)
    })?;
    change.commit().map_err(trouble)?;
    drop(connection);
    let report = whole(beside, Some(from.head()?))?;
    flush(beside)?;
    Ok(report)
}

/// Brings a saved copy back under a name where nothing stands, and checks both.
///
/// # Errors
/// Where something stands there already (the old book is moved away by a person who knows that no
/// program has it open), or the copy is not whole.
pub fn bring_back(copy: &Path, to: &Path) -> Result<Report, StoreError> {
    Book::open_whole(copy)?.save(to)
}

/// A name beside `to` to write under, where neither it nor what SQLite keeps with it is taken.
fn free_for(to: &Path) -> Result<PathBuf, StoreError> {
    let with = |end: &str| {
        let mut name = to.as_os_str().to_owned();
        name.push(end);
        PathBuf::from(name)
    };
    for taken in ["", "-wal", "-shm", "-journal"].map(with) {
        if fs::symlink_metadata(&taken).is_ok() {
            return Err(StoreError::Occupied { path: taken });
        }
    }
    let beside = with(&format!(".{}.part", std::process::id()));
    match fs::remove_file(&beside) {
        Err(fault) if fault.kind() != io::ErrorKind::NotFound => {
            Err(file_fault(&beside, "removed")(fault))
        }
        _ => Ok(beside),
    }
}

/// Gives the finished file its name, never over another.
fn put(beside: &Path, to: &Path) -> Result<(), StoreError> {
    // A second name on the same file fails where the name is taken, which a rename would not.
    match fs::hard_link(beside, to) {
        Ok(()) => {
            fs::remove_file(beside).map_err(file_fault(beside, "removed"))?;
        }
        Err(fault) if fault.kind() == io::ErrorKind::AlreadyExists => {
            let _ = fs::remove_file(beside);
            return Err(StoreError::Occupied {
                path: to.to_owned(),
            });
        }
        // Not every file system has second names, memory cards among them.
        Err(_) => fs::rename(beside, to).map_err(file_fault(to, "named"))?,
    }
    flush_folder(to)
}

/// Checks a finished copy.
fn whole(path: &Path, expected: Option<Head>) -> Result<Report, StoreError> {
    let report = Book::open_to_look(path)?.check(expected)?;
    match report.troubles.first() {
        None => Ok(report),
        Some(trouble) => Err(StoreError::Damaged {
            path: path.to_owned(),
            what: trouble.to_string(),
        }),
    }
}
