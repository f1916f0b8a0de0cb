//! Catches our own defects, so that a failed assertion ends one command with a message instead of
//! a trace.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Mutex, Once, PoisonError};

use crate::answer::Trouble;

static LAST_WORDS: Mutex<Option<String>> = Mutex::new(None);
static HOOK: Once = Once::new();

/// Runs the work; a panic becomes [`Trouble::Defect`] with its message and place.
///
/// # Errors
/// The trouble of the work itself, or the defect.
pub(crate) fn run<T>(work: impl FnOnce() -> Result<T, Trouble>) -> Result<T, Trouble> {
    HOOK.call_once(|| {
        std::panic::set_hook(Box::new(|panic| {
            let words = panic.payload_as_str().unwrap_or("no message");
            let place = panic
                .location()
                .map_or_else(|| "unknown place".to_owned(), ToString::to_string);
            *LAST_WORDS.lock().unwrap_or_else(PoisonError::into_inner) =
                Some(format!("{words} (at {place})"));
        }));
    });
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
        let words = LAST_WORDS
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        Err(Trouble::Defect(
            words.unwrap_or_else(|| "no message".into()),
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failed_assertion_becomes_a_defect_with_its_values() {
        let outcome = run(|| -> Result<(), Trouble> {
            let depth_mm = -1.0;
            assert!(depth_mm > 0.0, "depth must be positive, got {depth_mm}");
            Ok(())
        });
        match outcome {
            Err(Trouble::Defect(words)) => {
                assert!(words.contains("got -1"), "{words}");
                assert!(words.contains("guard.rs"), "{words}");
            }
            other => panic!("{other:?}"),
        }
    }
}
