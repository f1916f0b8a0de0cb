//! Files, clock, terminal: the only place of the program that touches them.
//!
//! Reading never hands out more than a stated number of bytes and only ever text; what is wrong
//! with a file comes back as a complaint about the input, not as a failure of ours.
#![expect(
    clippy::disallowed_methods,
    reason = "this file is where the world is touched; the ban holds everywhere else"
)]

use std::fs;
use std::io::{self, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use casewright_plan::Watch;
use casewright_records::Stamp;
use casewright_terms::Diag;

use crate::answer::WorldTrouble;

/// Largest text that is read, in bytes; the job reader's own limit.
const MOST_BYTES: u64 = casewright_job::decode::LARGEST_TEXT_BYTES as u64;

/// What the standard input is called in complaints.
pub(crate) const STDIN_NAME: &str = "(standard input)";

/// Work shorter than this shows no progress: a bar that flashes by is noise.
const QUIET_FOR: Duration = Duration::from_millis(500);

/// The command line. The word `postgres:` stands for the address of a book in `CASEWRIGHT_BOOK`:
/// an address with a password would show in every list of running programs.
pub(crate) fn arguments() -> Vec<std::ffi::OsString> {
    let book = std::env::var_os("CASEWRIGHT_BOOK").filter(|address| !address.is_empty());
    std::env::args_os()
        .map(|word| match &book {
            Some(address) if word == "postgres:" => address.clone(),
            _ => word,
        })
        .collect()
}

/// Reads a text file; the complaint's places and the text's name are the path as given.
///
/// # Errors
/// A complaint that names the path: missing, a folder, too large, not text, not readable.
pub(crate) fn read_text(path: &Path) -> Result<String, Diag> {
    let name = path.display().to_string();
    let metadata = fs::metadata(path).map_err(|error| unreadable(&name, &error))?;
    if metadata.is_dir() {
        return Err(Diag::stop(
            "file-is-a-folder",
            format!("{name} is a folder, not a file."),
        )
        .accepted("Name the file in it."));
    }
    if metadata.len() > MOST_BYTES {
        return Err(too_large(&name));
    }
    let file = fs::File::open(path).map_err(|error| unreadable(&name, &error))?;
    text_from(file, &name)
}

/// Reads a text from standard input.
///
/// # Errors
/// A complaint: too large, not text, not readable.
pub(crate) fn read_stdin() -> Result<String, Diag> {
    text_from(io::stdin().lock(), STDIN_NAME)
}

fn text_from(source: impl Read, name: &str) -> Result<String, Diag> {
    let mut bytes = Vec::new();
    // A device or a pipe has no honest length beforehand, so the limit is held while reading.
    source
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| unreadable(name, &error))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(too_large(name));
    }
    casewright_job::decode(&bytes, name)
}

/// The whole of a log, whatever its encoding.
///
/// # Errors
/// A complaint that names the path: missing, a folder, too large, not readable.
pub(crate) fn read_log(path: &Path) -> Result<Vec<u8>, Diag> {
    read_whole(path, casewright_job::log::LARGEST_LOG_BYTES)
}

/// The whole of a file as bytes, up to a limit.
///
/// # Errors
/// A complaint that names the path: missing, a folder, too large, not readable.
pub(crate) fn read_whole(path: &Path, most_bytes: usize) -> Result<Vec<u8>, Diag> {
    let name = path.display().to_string();
    let file = fs::File::open(path).map_err(|error| unreadable(&name, &error))?;
    if file.metadata().is_ok_and(|metadata| metadata.is_dir()) {
        return Err(Diag::stop(
            "file-is-a-folder",
            format!("{name} is a folder, not a file."),
        )
        .accepted("Name the file in it."));
    }
    let mut bytes = Vec::new();
    file.take(most_bytes as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| unreadable(&name, &error))?;
    if bytes.len() > most_bytes {
        return Err(Diag::stop(
            "file-too-large",
            format!(
                "{name} is larger than {} MiB, the most that is read.",
                most_bytes >> 20
            ),
        )
        .accepted("Split it, or name the file that was meant."));
    }
    Ok(bytes)
}

/// This moment, with the zone of this machine.
pub(crate) fn now() -> Stamp {
    stamp(jiff::Timestamp::now(), &jiff::tz::TimeZone::system())
}

/// A moment as typed, with its offset: `2026-11-25T14:20-05:00`.
///
/// # Errors
/// What is no time with an offset.
pub(crate) fn moment(typed: &str) -> Result<Stamp, Diag> {
    let read = || -> Option<Stamp> {
        let instant: jiff::Timestamp = typed.parse().ok()?;
        let offset = match typed.rfind(['+', '-', 'Z', 'z'])? {
            at if typed[at..].len() > 1 => {
                let digits: String = typed[at + 1..]
                    .chars()
                    .filter(char::is_ascii_digit)
                    .collect();
                let hours: i16 = digits.get(..2)?.parse().ok()?;
                let minutes: i16 = digits.get(2..4).unwrap_or("00").parse().ok()?;
                let ahead = hours * 60 + minutes;
                if typed[at..].starts_with('-') {
                    -ahead
                } else {
                    ahead
                }
            }
            _ => 0,
        };
        Some(Stamp {
            utc_us: instant.as_microsecond(),
            offset_min: offset,
            zone: "as told".to_owned(),
        })
    };
    read().ok_or_else(|| {
        Diag::stop(
            "time-not-read",
            format!("\"{typed}\" is no time with its zone."),
        )
        .why("Without the zone an hour that came twice cannot be told apart.")
        .accepted("Write it as in 2026-11-25T14:20-05:00.")
    })
}

/// A moment as typed at the bench: `14:20` is the last time the clock of this machine showed that,
/// `2026-11-25 14:20` is read in the zone of this machine, and with its offset it stands for itself.
///
/// # Errors
/// What is no time, and a time that the clock showed twice or not at all.
pub(crate) fn moment_here(typed: &str) -> Result<Stamp, Diag> {
    let zone = jiff::tz::TimeZone::system();
    let now = jiff::Timestamp::now();
    let at = |wall: jiff::civil::DateTime| {
        let seen = zone.to_ambiguous_timestamp(wall);
        if seen.is_ambiguous() {
            return Err(Diag::stop(
                "time-twice",
                format!(
                    "The clock showed {wall} twice, or not at all: summer time began or ended then."
                ),
            )
            .accepted("Write the time with its offset, as in 2026-11-01T01:30-05:00."));
        }
        seen.compatible().map_err(|_| no_time(typed))
    };
    let wall = typed.trim().replace(' ', "T");
    let time = wall
        .parse::<jiff::civil::Time>()
        .ok()
        .filter(|_| !wall.contains('T'));
    if let Some(time) = time {
        let today = zone.to_datetime(now).date();
        let instant = at(today.to_datetime(time))?;
        let instant = if instant > now {
            let yesterday = today.yesterday().map_err(|_| no_time(typed))?;
            at(yesterday.to_datetime(time))?
        } else {
            instant
        };
        return Ok(stamp(instant, &zone));
    }
    if let Ok(stamp) = moment(&wall) {
        return Ok(stamp);
    }
    match wall.parse::<jiff::civil::DateTime>() {
        Ok(wall) => Ok(stamp(at(wall)?, &zone)),
        Err(_) => Err(no_time(typed)),
    }
}

fn no_time(typed: &str) -> Diag {
    Diag::stop("time-not-read", format!("\"{typed}\" is no time."))
        .why("What happened when decides what the part got.")
        .accepted(
            "Write it as 14:20, as 2026-11-25 14:20, or with its offset as 2026-11-25T14:20-05:00.",
        )
}

/// A moment so many seconds later, on the same wall: across an end of summer time the wall's hour
/// moves with it where the zone is known.
pub(crate) fn later(from: &Stamp, seconds: f64) -> Stamp {
    let utc_us = from.utc_us + (seconds * 1e6) as i64;
    let zone = jiff::tz::TimeZone::get(&from.zone).ok();
    let instant = jiff::Timestamp::from_microsecond(utc_us).ok();
    match (zone, instant) {
        (Some(zone), Some(instant)) if from.zone != "UTC" => stamp(instant, &zone),
        _ => Stamp {
            utc_us,
            ..from.clone()
        },
    }
}

fn stamp(instant: jiff::Timestamp, zone: &jiff::tz::TimeZone) -> Stamp {
    let offset = zone.to_offset(instant);
    Stamp {
        utc_us: instant.as_microsecond(),
        offset_min: i16::try_from(offset.seconds() / 60).unwrap_or(0),
        zone: zone.iana_name().unwrap_or("UTC").to_owned(),
    }
}

fn too_large(name: &str) -> Diag {
    Diag::stop(
        "text-too-large",
        format!(
            "{name} is larger than {} KiB, the most that is read.",
            MOST_BYTES / 1024
        ),
    )
    .why("A job, a shop or a setup is a few kilobytes of text, so this is some other file.")
    .accepted("Name the text file that was meant.")
}

fn unreadable(name: &str, error: &io::Error) -> Diag {
    match error.kind() {
        io::ErrorKind::NotFound => Diag::stop("file-missing", format!("There is no file {name}."))
            .accepted("Check the spelling and the folder you are in."),
        io::ErrorKind::PermissionDenied => {
            Diag::stop("file-forbidden", format!("You may not read {name}."))
                .accepted("Ask whoever owns the file, or copy it.")
        }
        _ => Diag::stop(
            "file-unreadable",
            format!("{name} could not be read: {error}."),
        )
        .accepted("Name a plain text file."),
    }
}

/// Writes a file whole: first beside it, then in its place, so that a reader never sees half.
///
/// # Errors
/// With the path and what the system said.
pub(crate) fn write_file(path: &Path, bytes: &[u8]) -> Result<(), WorldTrouble> {
    let failed = |source| WorldTrouble::Write {
        path: path.to_owned(),
        source,
    };
    let Some(name) = path.file_name() else {
        return Err(failed(io::Error::new(
            io::ErrorKind::InvalidInput,
            "no file name",
        )));
    };
    if path.is_dir() {
        return Err(failed(io::Error::new(
            io::ErrorKind::IsADirectory,
            "it is a folder",
        )));
    }
    // A device such as /dev/stdout cannot be replaced by a rename.
    if fs::metadata(path).is_ok_and(|metadata| !metadata.is_file()) {
        return fs::write(path, bytes).map_err(failed);
    }
    let mut beside = name.to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = path.with_file_name(beside);
    fs::write(&beside, bytes)
        .and_then(|()| fs::rename(&beside, path))
        .map_err(|source| {
            // The half-written file helps nobody; that it may not exist is fine.
            let _ = fs::remove_file(&beside);
            failed(source)
        })
}

/// The same for a file that only this account may read.
///
/// # Errors
/// With the path and what the system said.
#[cfg(feature = "web")]
pub(crate) fn write_private(path: &Path, bytes: &[u8]) -> Result<(), WorldTrouble> {
    let failed = |source| WorldTrouble::Write {
        path: path.to_owned(),
        source,
    };
    let mut beside = path.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
        .open(&beside)
        .and_then(|mut file| io::Write::write_all(&mut file, bytes).and_then(|()| file.sync_all()))
        .and_then(|()| fs::rename(&beside, path))
        .map_err(|source| {
            // The half-written file helps nobody; that it may not exist is fine.
            let _ = fs::remove_file(&beside);
            failed(source)
        })
}

/// A new folder of our own for things that need not last.
///
/// # Errors
/// With the path and what the system said.
#[cfg(feature = "web")]
pub(crate) fn passing_folder() -> Result<PathBuf, WorldTrouble> {
    let parent = std::env::temp_dir();
    let mut number = jiff::Timestamp::now().as_microsecond();
    loop {
        let path = parent.join(format!("casewright-{}-{number}", std::process::id()));
        match fs::DirBuilder::new().create(&path) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => number += 1,
            Err(source) => return Err(WorldTrouble::MakeFolder { path, source }),
        }
    }
}

/// Makes a folder and those above it.
///
/// # Errors
/// With the path and what the system said.
pub(crate) fn make_folder(path: &Path) -> Result<(), WorldTrouble> {
    fs::create_dir_all(path).map_err(|source| WorldTrouble::MakeFolder {
        path: path.to_owned(),
        source,
    })
}

/// Names in a folder, sorted; empty where there is no such folder.
///
/// # Errors
/// Where it is there but is no folder or cannot be listed.
pub(crate) fn list_folder(path: &Path) -> Result<Vec<PathBuf>, WorldTrouble> {
    let failed = |source| WorldTrouble::MakeFolder {
        path: path.to_owned(),
        source,
    };
    if !path.exists() {
        return Ok(Vec::new());
    }
    let mut names = fs::read_dir(path)
        .map_err(failed)?
        .map(|entry| entry.map(|entry| PathBuf::from(entry.file_name())))
        .collect::<Result<Vec<_>, _>>()
        .map_err(failed)?;
    names.sort();
    Ok(names)
}

/// Whether something stands at the path, a dangling link included.
pub(crate) fn exists(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// All bytes of a plain file; `None` for anything else and for what cannot be read.
pub(crate) fn read_bytes(path: &Path) -> Option<Vec<u8>> {
    let plain = fs::symlink_metadata(path).is_ok_and(|metadata| metadata.is_file());
    plain.then(|| fs::read(path).ok()).flatten()
}

/// Whether both paths lead to one file that is there.
pub(crate) fn same_file(a: &Path, b: &Path) -> bool {
    matches!((fs::canonicalize(a), fs::canonicalize(b)), (Ok(a), Ok(b)) if a == b)
}

/// Prints to standard output. A reader who closed the pipe has seen enough: that is no failure.
///
/// # Errors
/// Where the output cannot be written for another reason, such as a full disk.
pub(crate) fn print(text: &str) -> Result<(), WorldTrouble> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(WorldTrouble::Write {
            path: PathBuf::from("the standard output"),
            source: error,
        }),
        _ => Ok(()),
    }
}

/// Prints to standard error. Where even that is closed there is nobody left to tell.
pub(crate) fn complain(text: &str) {
    let mut out = io::stderr().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Whether complaints go to a person's terminal that wants colour.
pub(crate) fn complaints_in_colour() -> bool {
    io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// Runs the work and says how long it took.
pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let started = Instant::now();
    let value = work();
    (value, started.elapsed())
}

/// Runs the work; on a terminal, work longer than half a second shows what is being done.
pub(crate) fn with_progress<T>(what: &'static str, work: impl FnOnce() -> T) -> T {
    if !io::stderr().is_terminal() {
        return work();
    }
    let (done, wait) = mpsc::channel::<()>();
    std::thread::scope(|scope| {
        scope.spawn(move || show_progress(what, &wait));
        // Dropped on the way out, by a return as well as by a panic, which ends the bar.
        let _done = done;
        work()
    })
}

/// Runs the planner's work; on a terminal, work longer than half a second shows a bar of how much is
/// done.
pub(crate) fn with_bar<T>(what: &'static str, work: impl FnOnce(&Watch<'_>) -> T) -> T {
    if !io::stderr().is_terminal() {
        return work(&Watch::nobody());
    }
    // In thousandths, and never back: what comes unexpected only makes the bar wait.
    let stands = AtomicU64::new(0);
    let tell = |share: f64| {
        stands.fetch_max((share * BAR as f64) as u64, Ordering::Relaxed);
    };
    let (done, wait) = mpsc::channel::<()>();
    std::thread::scope(|scope| {
        let stands = &stands;
        scope.spawn(move || {
            if wait.recv_timeout(QUIET_FOR) != Err(mpsc::RecvTimeoutError::Timeout) {
                return;
            }
            let bar = indicatif::ProgressBar::new(BAR).with_message(what);
            if let Ok(style) =
                indicatif::ProgressStyle::with_template("{msg} {wide_bar} {percent} %")
            {
                bar.set_style(style);
            }
            let often = Duration::from_millis(100);
            while wait.recv_timeout(often) == Err(mpsc::RecvTimeoutError::Timeout) {
                bar.set_position(stands.load(Ordering::Relaxed));
            }
            bar.finish_and_clear();
        });
        // Dropped on the way out, by a return as well as by a panic, which ends the bar.
        let _done = done;
        work(&Watch::new(&tell))
    })
}

/// Parts of a bar.
const BAR: u64 = 1000;

fn show_progress(what: &'static str, wait: &mpsc::Receiver<()>) {
    if wait.recv_timeout(QUIET_FOR) != Err(mpsc::RecvTimeoutError::Timeout) {
        return;
    }
    let bar = indicatif::ProgressBar::new_spinner().with_message(what);
    while wait.recv_timeout(Duration::from_millis(100)) == Err(mpsc::RecvTimeoutError::Timeout) {
        bar.tick();
    }
    bar.finish_and_clear();
}
