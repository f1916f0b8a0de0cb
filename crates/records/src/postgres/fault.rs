//! What PostgreSQL says, in the words of the book.

use std::path::Path;

use postgres::Error;
use postgres::error::SqlState;

use crate::store::StoreError;

/// A book whose head is gone or cut.
pub(super) fn headless(place: &Path) -> StoreError {
    StoreError::Damaged {
        path: place.to_owned(),
        what: "it does not say how far it goes".to_owned(),
    }
}

/// While the entry was being kept: without an answer of the server nobody knows whether it was.
pub(super) fn while_committing(place: &Path, fault: Error) -> StoreError {
    let ended = fault
        .code()
        .is_none_or(|code| code.code().starts_with("57P") || code.code().starts_with("08"));
    if ended {
        return StoreError::Unsure {
            path: place.to_owned(),
            source: fault.into(),
        };
    }
    trouble(place, fault)
}

/// Before that: nothing was added.
pub(super) fn trouble(place: &Path, fault: Error) -> StoreError {
    let path = place.to_owned();
    let Some(code) = fault.code().cloned() else {
        // Values that do not fit are damage; everything else without a code is the line.
        let odd = std::error::Error::source(&fault)
            .is_some_and(|inner| inner.is::<postgres::types::WrongType>());
        if odd {
            return StoreError::Damaged {
                path,
                what: fault.to_string(),
            };
        }
        return StoreError::Unreachable {
            path,
            source: fault.into(),
        };
    };
    let class = &code.code()[..2];
    match code {
        SqlState::INVALID_CATALOG_NAME => StoreError::Missing { path },
        SqlState::DISK_FULL => StoreError::Full {
            path,
            source: fault.into(),
        },
        SqlState::INSUFFICIENT_PRIVILEGE | SqlState::READ_ONLY_SQL_TRANSACTION => {
            StoreError::ReadOnly {
                path,
                source: fault.into(),
            }
        }
        SqlState::LOCK_NOT_AVAILABLE
        | SqlState::QUERY_CANCELED
        | SqlState::T_R_DEADLOCK_DETECTED
        | SqlState::T_R_SERIALIZATION_FAILURE => StoreError::Busy {
            path,
            source: fault.into(),
        },
        // Damaged pages, broken rules of the schema, tables that are gone, and refusing guards.
        _ if matches!(class, "23" | "42" | "P0" | "XX") => StoreError::Damaged {
            path,
            what: fault
                .as_db_error()
                .map_or_else(|| fault.to_string(), |said| said.message().to_owned()),
        },
        // No line, not let in, shutting down.
        _ if matches!(class, "08" | "28" | "57") => StoreError::Unreachable {
            path,
            source: fault.into(),
        },
        _ => StoreError::System {
            path,
            source: fault.into(),
        },
    }
}
