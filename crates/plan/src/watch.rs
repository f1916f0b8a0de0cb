//! How far the making of a plan has come, for somebody who waits. It tells and never decides.

use std::fmt;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A place to tell how much of the work is done.
pub struct Watch<'w> {
    tell: Option<&'w (dyn Fn(f64) + Sync)>,
    /// Steps done, of those that are expected.
    done: AtomicUsize,
    expected: AtomicUsize,
}

/// Steps that a plan takes besides its ways and its runs, in runs' worth: the boxes' runs, the edges
/// and the small changes.
const BESIDES: usize = 3 * PART;
/// A third of that: the boxes for the search, the boxes as chosen, the edges.
pub(crate) const PART: usize = 20;

impl fmt::Debug for Watch<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Watch")
            .field("done", &self.done)
            .field("expected", &self.expected)
            .finish_non_exhaustive()
    }
}

impl<'w> Watch<'w> {
    /// Nobody waits.
    #[must_use]
    pub const fn nobody() -> Watch<'static> {
        Watch {
            tell: None,
            done: AtomicUsize::new(0),
            expected: AtomicUsize::new(BESIDES),
        }
    }

    /// `tell` is given the share done, 0 to 1, from any thread.
    #[must_use]
    pub fn new(tell: &'w (dyn Fn(f64) + Sync)) -> Self {
        Self {
            tell: Some(tell),
            ..Watch::nobody()
        }
    }

    /// So many more steps are to be done.
    pub(crate) fn expect(&self, steps: usize) {
        self.expected.fetch_add(steps, Ordering::Relaxed);
    }

    /// One step is done.
    pub(crate) fn step(&self) {
        self.steps(1);
    }

    /// So many steps are done.
    pub(crate) fn steps(&self, steps: usize) {
        let done = self.done.fetch_add(steps, Ordering::Relaxed) + steps;
        let expected = self.expected.load(Ordering::Relaxed).max(1);
        // What comes unexpected, such as a second aim, must not say that all is done.
        self.stands_at((done as f64 / expected as f64).min(0.99));
    }

    /// So much is done.
    pub(crate) fn stands_at(&self, share: f64) {
        if let Some(tell) = self.tell {
            tell(share);
        }
    }
}
