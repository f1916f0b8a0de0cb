//! The practice book: the invented shop Gannet Slip with its four jobs, each at another stage, in a
//! folder that need not last. Everything in it is invented.

use std::path::PathBuf;
use std::time::Duration;

use casewright_records::{
    Addition, Book, Entered, Event, Look, Meaning, Measured, Person, Role, Unit, Verdict,
};

use super::desk::{self, Stand, Work};
use super::fault::Fault;
use super::site::Site;
use crate::answer::Trouble;
use crate::cli::demo::{EXAMPLES, SHOP};
use crate::world;

/// Longest that is waited for one plan, in quarters of a second: five minutes.
const MOST_WAITS: u32 = 1200;

fn tern() -> Person {
    Person {
        name: "M. Tern".to_owned(),
        role: Role::Operator,
    }
}

fn plover() -> Person {
    Person {
        name: "A. Plover".to_owned(),
        role: Role::Instructor,
    }
}

/// Starts the book with its jobs taken in.
///
/// # Errors
/// Where the folder or the book cannot be made.
pub(crate) fn new_book() -> Result<PathBuf, Trouble> {
    let path = world::passing_folder()?.join("practice.casewright");
    let first = Addition {
        at: world::now(),
        by: tern(),
        entered: Entered::Live,
        event: Event::BookOpened {
            shop: "Gannet Slip (invented)".to_owned(),
        },
        attachments: Vec::new(),
        token: None,
    };
    Book::create(&path, &first)?;
    let site = Site::open(&path, true)?;
    for example in &EXAMPLES {
        let taken = Event::JobRegistered {
            job: example.name.to_owned(),
            title: example.what.to_owned(),
        };
        site.add(tern(), taken, desk::kept(example.job, SHOP.1))?;
    }
    Ok(path)
}

/// Carries the jobs on while the pages are already there: one planned, one under way, one judged. The
/// thin plates stay where they are: their note cannot be met.
pub(crate) fn fill(site: &Site) {
    let done = planned(site, "vang-pin")
        .and_then(|_| under_way(site))
        .and_then(|()| judged(site));
    if let Err(fault) = done {
        world::complain(&format!("The practice book is not complete: {fault:?}\n"));
    }
}

/// Fixes the plan of an example; gives it and the number of its entry.
fn planned(site: &Site, name: &str) -> Result<(std::sync::Arc<Work>, u64), Fault> {
    let example = EXAMPLES
        .iter()
        .find(|example| example.name == name)
        .ok_or(Fault::Missing)?;
    let mut waits = 0;
    let work = loop {
        match site.desk.ask(example.job, SHOP.1).map_err(Fault::Input)? {
            Stand::Ready(work) => break work,
            Stand::Failed(words) => return Err(Fault::Inside(words)),
            Stand::Waiting(_) if waits < MOST_WAITS => {
                waits += 1;
                std::thread::sleep(Duration::from_millis(250));
            }
            Stand::Waiting(_) => return Err(Fault::Inside("the plan takes too long".to_owned())),
        }
    };
    let fixed = desk::fixed(&work, name, example.job, SHOP.1);
    let files = desk::kept(example.job, SHOP.1);
    let entry = site.add(tern(), fixed, files)?.number;
    Ok((work, entry))
}

fn started(site: &Site, run: &str, job: &str) -> Result<std::sync::Arc<Work>, Fault> {
    let (work, plan_entry) = planned(site, job)?;
    let start = Event::RunStarted {
        run: run.to_owned(),
        job: job.to_owned(),
        plan_entry,
        practice: Some(true),
    };
    site.add(tern(), start, Vec::new())?;
    Ok(work)
}

fn under_way(site: &Site) -> Result<(), Fault> {
    let run = "P-1";
    let work = started(site, run, "winch-pawl")?;
    step(site, &work, run, 1)?;
    let begun = Event::TimeNoted {
        run: run.to_owned(),
        step: 2,
        what: "begun".to_owned(),
    };
    site.add(tern(), begun, Vec::new())?;
    read(site, "918", Unit::Celsius, |measured| Event::ReadingTaken {
        run: run.to_owned(),
        step: Some(2),
        what: "pack couple".to_owned(),
        measured,
    })
}

/// The lot with the soft skin: all done, read, and judged.
fn judged(site: &Site) -> Result<(), Fault> {
    let run = "P-0";
    let work = started(site, run, "failed-lot")?;
    let steps = work.planned.sheet.steps.len();
    for number in 1..=steps {
        step(site, &work, run, number)?;
    }
    for (coupon, written) in [("P1", "83.5"), ("P2", "83.0"), ("K1", "90.5")] {
        read(site, written, Unit::Hr15n, |measured| {
            Event::CouponReading {
                run: run.to_owned(),
                coupon: coupon.to_owned(),
                what: "surface".to_owned(),
                depth: None,
                measured,
                doubt: None,
            }
        })?;
    }
    let verdict = Event::Judgement {
        run: run.to_owned(),
        verdict: Verdict::DoesNotMeet,
        because: "15N reads 83 to 84 on the plungers and 90.5 on the coupon that was wrapped: the \
                  skin of the plungers lost carbon at the bare reheat."
            .to_owned(),
        judged_json: None,
    };
    site.add(plover(), verdict, Vec::new())?;
    Ok(())
}

fn read(
    site: &Site,
    written: &str,
    unit: Unit,
    event: impl FnOnce(Measured) -> Event,
) -> Result<(), Fault> {
    let measured =
        Measured::new(written, unit).map_err(|fault| Fault::Inside(fault.to_string()))?;
    site.add(tern(), event(measured), Vec::new())?;
    Ok(())
}

/// A step done as on the sheet; at a hold point a second person looks.
fn step(site: &Site, work: &Work, run: &str, number: usize) -> Result<(), Fault> {
    let row = &work.planned.sheet.steps[number - 1];
    let done = Event::StepDone {
        run: run.to_owned(),
        step: u32::try_from(number).unwrap_or(u32::MAX),
        what: format!("{} as on the sheet", row.kind),
        hold_point: row.hold_point,
    };
    let receipt = site.add(tern(), done, Vec::new())?;
    if row.hold_point {
        let entry = site.look()?.entry(receipt.number)?.ok_or(Fault::Missing)?;
        let seen = Event::Signature {
            of: receipt.number,
            of_hash: entry.hash,
            meaning: Meaning::Witnessed,
        };
        site.add(plover(), seen, Vec::new())?;
    }
    Ok(())
}
