//! The desk where plans are made for the pages: one after the other, each remembered by the hash of
//! its texts. It may forget any of them at any time; whoever asks again waits again.

use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use casewright_job::spec::Spec;
use casewright_plan::{Options, Study, Watch};
use casewright_records::Hash;
use casewright_terms::Diag;

use crate::answer::{Texts, Trouble};
use crate::cli::job::{NamedText, understand};
use crate::cli::planned::Planned;
use crate::guard;

/// Plans that are remembered; one takes a few megabytes.
const MOST_KEPT: usize = 24;
/// Seed of every plan that the pages make, as on the command line.
pub(crate) const SEED: u64 = 1;
/// What the texts of a job are called in complaints and in the book.
pub(crate) const JOB_TEXT: &str = "job.toml";
/// The shop's.
pub(crate) const SHOP_TEXT: &str = "shop.toml";

/// A planned job with all that pages show of it.
#[derive(Debug)]
pub(crate) struct Work {
    /// The plan, ready to be asked what one change does.
    pub(crate) study: Study,
    /// The plan and its sheet.
    pub(crate) planned: Planned,
    /// The texts that places in findings point into.
    pub(crate) texts: Texts,
}

/// How far a plan is.
#[derive(Clone, Debug)]
pub(crate) enum Stand {
    /// Being made; so many hundredths are done.
    Waiting(u32),
    /// Made.
    Ready(Arc<Work>),
    /// The program failed; words for the log.
    Failed(String),
}

#[derive(Debug, Default)]
struct Slot {
    hundredths: AtomicU32,
    done: OnceLock<Result<Arc<Work>, String>>,
}

/// The desk.
#[derive(Debug, Default)]
pub(crate) struct Desk {
    slots: Mutex<Vec<(Hash, Arc<Slot>)>>,
    /// Held by the one plan that is being made: two at once would only both take longer.
    turn: Arc<Mutex<()>>,
}

impl Desk {
    /// How far the plan of these texts is; begins it where nobody has asked before.
    ///
    /// # Errors
    /// All that is wrong with the texts.
    pub(crate) fn ask(&self, job: &str, shop: &str) -> Result<Stand, Vec<Diag>> {
        let (spec, texts) = read(job, shop)?;
        let key = Hash::of(format!("{}\n{job}\n{shop}", job.len()).as_bytes());
        let (slot, new) = self.slot(key);
        if new {
            let (slot, turn) = (slot.clone(), self.turn.clone());
            std::thread::spawn(move || {
                let _turn = turn.lock().unwrap_or_else(PoisonError::into_inner);
                let made = guard::run(|| Ok(make(&spec, texts, &slot)));
                // The slot is set once, here.
                let _ = slot.done.set(match made {
                    Ok(work) => Ok(Arc::new(work)),
                    Err(Trouble::Defect(words)) => Err(words),
                    Err(other) => Err(format!("{other:?}")),
                });
            });
        }
        Ok(match slot.done.get() {
            None => Stand::Waiting(slot.hundredths.load(Ordering::Relaxed)),
            Some(Ok(work)) => Stand::Ready(work.clone()),
            Some(Err(words)) => Stand::Failed(words.clone()),
        })
    }

    fn slot(&self, key: Hash) -> (Arc<Slot>, bool) {
        let mut slots: MutexGuard<'_, Vec<_>> =
            self.slots.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(at) = slots.iter().position(|(known, _)| *known == key) {
            // The last asked for stands last, so that the first is the one to forget.
            let found = slots.remove(at);
            slots.push(found.clone());
            return (found.1, false);
        }
        if slots.len() >= MOST_KEPT
            && let Some(at) = slots.iter().position(|(_, slot)| slot.done.get().is_some())
        {
            slots.remove(at);
        }
        let slot = Arc::new(Slot::default());
        slots.push((key, slot.clone()));
        (slot, true)
    }
}

/// Reads the texts of a job.
///
/// # Errors
/// All that is wrong with them.
pub(crate) fn read(job: &str, shop: &str) -> Result<(Spec, Texts), Vec<Diag>> {
    let shop_text = |_: &str| {
        Ok(NamedText {
            name: SHOP_TEXT.to_owned(),
            text: shop.to_owned(),
        })
    };
    understand(JOB_TEXT, job, &shop_text).map_err(|trouble| match trouble {
        Trouble::Input { diags, .. } => diags,
        other => vec![Diag::stop("job-not-read", format!("{other:?}"))],
    })
}

fn make(spec: &Spec, texts: Texts, slot: &Slot) -> Work {
    let tell = |share: f64| {
        slot.hundredths
            .store((share.clamp(0.0, 1.0) * 100.0) as u32, Ordering::Relaxed);
    };
    let options = Options {
        seed: SEED,
        ..Options::USUAL
    };
    let study = Study::watched(spec, options, &Watch::new(&tell));
    let planned = Planned::made(spec.clone(), study.report().clone());
    Work {
        study,
        planned,
        texts,
    }
}
