//! Where each job of the book stands, read from its entries. Decides nothing of the trade.

use std::collections::BTreeMap;

use casewright_records::view::seen;
use casewright_records::{Attached, Event, Look, Stamp, StoreError, Verdict, Wanted};

/// Most entries that are read for one page. A shop writes some thousands a year.
const MOST_ENTRIES: usize = 100_000;

/// The last thing that happened to a job.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Stage {
    /// It was taken in.
    TakenIn,
    /// A plan is fixed.
    Planned,
    /// It is being carried out; the last step that was done, where one was.
    Running(Option<u32>),
    /// It was judged.
    Judged(Verdict),
}

/// A job of the book.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct JobEntry {
    /// Its name.
    pub(crate) job: String,
    /// What it is.
    pub(crate) title: String,
    /// Where it stands.
    pub(crate) stage: Stage,
    /// When that was entered.
    pub(crate) since: Stamp,
    /// Its files as kept.
    pub(crate) files: Vec<Attached>,
    /// Code of the fixed plan and number of its entry.
    pub(crate) plan: Option<(String, u64)>,
    /// Name of the last run.
    pub(crate) run: Option<String>,
}

impl JobEntry {
    /// The bytes of one of its files as text.
    ///
    /// # Errors
    /// Where the book cannot be read.
    pub(crate) fn text(&self, book: &impl Look, name: &str) -> Result<Option<String>, StoreError> {
        let Some(file) = self.files.iter().find(|file| file.name == name) else {
            return Ok(None);
        };
        Ok(book
            .attachment(&file.sha256)?
            .map(|bytes| String::from_utf8_lossy(&bytes).into_owned()))
    }
}

/// All jobs, the latest first.
///
/// # Errors
/// Where the book cannot be read.
pub(crate) fn jobs(book: &impl Look) -> Result<Vec<JobEntry>, StoreError> {
    let mut jobs: Vec<JobEntry> = Vec::new();
    let mut runs: BTreeMap<String, String> = BTreeMap::new();
    for seen in seen(book, Wanted::All, 0, MOST_ENTRIES)? {
        let Some(event) = seen.holds() else { continue };
        let content = &seen.entry.content;
        if let Event::JobRegistered { job, title } = event {
            jobs.push(JobEntry {
                job: job.clone(),
                title: title.clone(),
                stage: Stage::TakenIn,
                since: content.at.clone(),
                files: content.attached.clone(),
                plan: None,
                run: None,
            });
            continue;
        }
        let name = match event.run() {
            Some(run) if event.job().is_none() => runs.get(run).cloned(),
            _ => event.job().map(str::to_owned),
        };
        let Some(known) = name.and_then(|name| jobs.iter_mut().find(|known| known.job == name))
        else {
            continue;
        };
        if let Event::RunStarted { run, job, .. } = event {
            runs.insert(run.clone(), job.clone());
        }
        if moved(known, event, content.number) {
            known.since = content.at.clone();
        }
    }
    jobs.reverse();
    Ok(jobs)
}

/// Moves the job on; whether it did.
fn moved(job: &mut JobEntry, event: &Event, number: u64) -> bool {
    match event {
        Event::PlanFixed { code, .. } => {
            job.plan = Some((code.clone(), number));
            job.stage = Stage::Planned;
        }
        Event::RunStarted { run, .. } => {
            job.run = Some(run.clone());
            job.stage = Stage::Running(None);
        }
        Event::StepDone { step, .. } => job.stage = Stage::Running(Some(*step)),
        Event::Judgement { verdict, .. } => job.stage = Stage::Judged(*verdict),
        _ => return false,
    }
    true
}

/// One job.
///
/// # Errors
/// Where the book cannot be read.
pub(crate) fn job(book: &impl Look, name: &str) -> Result<Option<JobEntry>, StoreError> {
    Ok(jobs(book)?.into_iter().find(|known| known.job == name))
}

/// Name of the shop.
///
/// # Errors
/// Where the book cannot be read.
pub(crate) fn shop(book: &impl Look) -> Result<String, StoreError> {
    Ok(book
        .entry(1)?
        .and_then(|entry| match entry.content.event {
            Event::BookOpened { shop } => Some(shop),
            _ => None,
        })
        .unwrap_or_default())
}
