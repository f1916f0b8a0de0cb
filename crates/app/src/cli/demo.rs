//! `demo`: plans the four example jobs of the invented shop Gannet Slip into a folder.
//!
//! Writes only into a folder that is new, empty, or made by this command; of the files in it only
//! those that are as this command left them. The index keeps the list.

use std::path::{Path, PathBuf};

use casewright_terms::Diag;
use clap::Args;
use serde::Serialize;

use super::planned::{self, Planned};
use super::{PaperName, job, plan};
use crate::answer::{Answer, Trouble, WorldTrouble};
use crate::wire;
use crate::world;

/// Options of `demo`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The folder.
    #[arg(value_name = "FOLDER", default_value = "gannet-slip")]
    folder: PathBuf,
}

/// An example as it is compiled in.
pub(crate) struct Example {
    pub(crate) name: &'static str,
    pub(crate) what: &'static str,
    pub(crate) job: &'static str,
    /// What was read on the lot.
    evidence: &'static str,
}

pub(crate) const EXAMPLES: [Example; 4] = [
    Example {
        name: "winch-pawl",
        what: "Ratchet pawls for a hand winch, plain steel, ground on two faces",
        job: include_str!("../../../../examples/winch-pawl/job.toml"),
        evidence: include_str!("../../../../examples/winch-pawl/evidence.toml"),
    },
    Example {
        name: "vang-pin",
        what: "Pivot pins for a boom vang, alloy steel, with a thread that stays soft",
        job: include_str!("../../../../examples/vang-pin/job.toml"),
        evidence: include_str!("../../../../examples/vang-pin/evidence.toml"),
    },
    Example {
        name: "latch-plate",
        what: "Thin latch plates whose note asks for more case than the plate can hold",
        job: include_str!("../../../../examples/latch-plate/job.toml"),
        evidence: include_str!("../../../../examples/latch-plate/evidence.toml"),
    },
    Example {
        name: "failed-lot",
        what: "A lot that came out with a soft skin, planned as it should have been run",
        job: include_str!("../../../../examples/failed-lot/job.toml"),
        evidence: include_str!("../../../../examples/failed-lot/evidence.toml"),
    },
];

/// The shop file, and the name by which the jobs refer to it.
pub(crate) const SHOP: (&str, &str) = (
    "../gannet-slip/shop.toml",
    include_str!("../../../../examples/gannet-slip/shop.toml"),
);
const SHOP_PATH: &str = "gannet-slip/shop.toml";

const INDEX: &str = "index.txt";
/// First line of an index; a folder with another first line is not ours.
const INDEX_MARK: &str = "Gannet Slip: example jobs of an invented shop, planned by casewright";
const SEED: u64 = 1;

/// A file to write: its path in the folder and its bytes.
type NewFile = (PathBuf, Vec<u8>);

#[derive(Serialize)]
struct Made {
    folder: String,
    jobs: Vec<MadeJob>,
    files: Vec<String>,
}

#[derive(Serialize)]
struct MadeJob {
    name: &'static str,
    what: &'static str,
    verdict: &'static str,
}

/// Plans all four and writes the folder. A job that cannot be met is part of the demonstration:
/// the exit status is 0.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let folder = &options.folder;
    let ours = ours(folder)?;
    for path in paths() {
        untouched(folder, &path, &ours)?;
    }
    let mut files: Vec<NewFile> = vec![(SHOP_PATH.into(), SHOP.1.into())];
    let mut jobs = Vec::new();
    for example in &EXAMPLES {
        let (planned, written) = made(example)?;
        files.extend(written);
        jobs.push(MadeJob {
            name: example.name,
            what: example.what,
            verdict: wire::plan::verdict(planned.report.verdict),
        });
    }
    let index = index(&jobs, &files);
    files.push((INDEX.into(), index.clone().into_bytes()));
    for (path, bytes) in &files {
        let path = folder.join(path);
        world::make_folder(path.parent().unwrap_or(folder))?;
        world::write_file(&path, bytes)?;
    }
    let json = wire::json(&Made {
        folder: folder.display().to_string(),
        jobs,
        files: files
            .iter()
            .map(|(path, _)| path.display().to_string())
            .collect(),
    });
    let text = format!("{index}\nWritten to {}\n", folder.display());
    Ok(Answer::done(text, json))
}

/// Every file this command may write, but for the index.
fn paths() -> Vec<PathBuf> {
    let per_job = EXAMPLES.iter().flat_map(|example| {
        [
            "job.toml",
            "evidence.toml",
            "plan.json",
            "plan.txt",
            "sheet.pdf",
        ]
        .map(|file| Path::new(example.name).join(file))
    });
    std::iter::once(PathBuf::from(SHOP_PATH))
        .chain(per_job)
        .collect()
}

/// Plans one example and gives its files with their paths in the folder.
fn made(example: &Example) -> Result<(Planned, Vec<NewFile>), Trouble> {
    let shop = |named: &str| {
        if named == SHOP.0 {
            Ok(job::NamedText {
                name: named.to_owned(),
                text: SHOP.1.to_owned(),
            })
        } else {
            Err(Diag::stop(
                "file-missing",
                format!("There is no file {named}."),
            ))
        }
    };
    let name = format!("{}/job.toml", example.name);
    let (spec, texts) = job::understand(&name, example.job, &shop)?;
    let planned = Planned::of(spec, SEED);
    let at = |file: &str| Path::new(example.name).join(file);
    let mut json = plan::json(&planned, SEED, &texts, None);
    json.push('\n');
    let mut files = vec![
        (at("job.toml"), example.job.into()),
        (at("evidence.toml"), example.evidence.into()),
        (at("plan.json"), json.into_bytes()),
        (
            at("plan.txt"),
            casewright_report::text::render(
                &planned.sheet,
                casewright_report::text::Sources::Counted,
            )
            .into_bytes(),
        ),
    ];
    // A build without the PDF writer makes the rest of the folder.
    if planned::HAS_PDF {
        let bytes = planned::pdf(&planned.sheet, PaperName::A4, false)?;
        files.push((at("sheet.pdf"), bytes));
    }
    Ok((planned, files))
}

/// What the index of an earlier run lists: path and code of each file's bytes.
fn ours(folder: &Path) -> Result<Vec<(String, String)>, Trouble> {
    let foreign = |path: PathBuf| Trouble::World(WorldTrouble::Foreign { path });
    if world::list_folder(folder)?.is_empty() {
        return Ok(Vec::new());
    }
    let index = world::read_text(&folder.join(INDEX)).map_err(|_| foreign(folder.to_owned()))?;
    if index.lines().next() != Some(INDEX_MARK) {
        return Err(foreign(folder.to_owned()));
    }
    let listed = index.lines().filter_map(|line| {
        let (code, path) = line.strip_prefix("  ")?.split_once("  ")?;
        (code.len() == CODE_DIGITS).then(|| (path.to_owned(), code.to_owned()))
    });
    Ok(listed.collect())
}

/// Complains about a file that is there but not as this command left it.
fn untouched(folder: &Path, path: &Path, ours: &[(String, String)]) -> Result<(), Trouble> {
    let full = folder.join(path);
    if !world::exists(&full) {
        return Ok(());
    }
    let shown = path.display().to_string();
    let known = ours
        .iter()
        .find(|(listed, _)| *listed == shown)
        .is_some_and(|(_, listed)| {
            world::read_bytes(&full).is_some_and(|bytes| code(&bytes) == *listed)
        });
    if known {
        Ok(())
    } else {
        Err(WorldTrouble::Foreign { path: full }.into())
    }
}

fn index(jobs: &[MadeJob], files: &[NewFile]) -> String {
    let mut out = format!("{INDEX_MARK}\n\nAll names, numbers and parts are invented.\n\nJobs\n");
    for job in jobs {
        out.push_str(&format!("- {}: {} ({})\n", job.name, job.what, job.verdict));
    }
    out.push_str(
        "\nPlan one again, from this folder, after changing its job.toml:\n  casewright plan winch-pawl/job.toml\n\n\
         Judge what was read on a lot, or ask why one failed:\n  casewright judge winch-pawl/job.toml winch-pawl/evidence.toml\n  casewright diagnose failed-lot/job.toml failed-lot/evidence.toml\n\n\
         Files, each with a code of its bytes\n",
    );
    for (path, bytes) in files {
        out.push_str(&format!("  {}  {}\n", code(bytes), path.display()));
    }
    out
}

const CODE_DIGITS: usize = 16;

/// FNV-1a over 64 bits: tells an edited file from an untouched one; guards against nobody.
fn code(bytes: &[u8]) -> String {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    for byte in bytes {
        hash = (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
    }
    format!("{hash:0CODE_DIGITS$x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published test vectors of FNV-1a 64: the empty text, "a", "foobar".
    #[test]
    fn val_code_is_fnv_1a() {
        assert_eq!(code(b""), "cbf29ce484222325");
        assert_eq!(code(b"a"), "af63dc4c8601ec8c");
        assert_eq!(code(b"foobar"), "85944171f73967e8");
    }
}
