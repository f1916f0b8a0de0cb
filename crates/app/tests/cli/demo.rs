//! `demo`.

use super::*;

const JOBS: [&str; 4] = ["winch-pawl", "vang-pin", "latch-plate", "failed-lot"];

#[test]
fn four_jobs_are_planned_into_a_folder_again_the_same_and_never_over_edits() {
    let folder = folder("demo-twice").join("new");
    let name = folder.to_str().unwrap();
    let json = run(&["demo", name, "--json"]).ended(0).json();
    list(&json, "jobs", &["name", "what", "verdict"]);
    let first: Vec<Vec<u8>> = every_file(&folder);
    for job in JOBS {
        for file in ["job.toml", "evidence.toml", "plan.json", "plan.txt"] {
            assert!(folder.join(job).join(file).is_file(), "{job}/{file}");
        }
        assert_eq!(
            folder.join(job).join("sheet.pdf").is_file(),
            cfg!(feature = "pdf"),
            "{job}"
        );
        let plan: Value =
            serde_json::from_slice(&std::fs::read(folder.join(job).join("plan.json")).unwrap())
                .unwrap();
        has(&plan, &["verdict"]);
    }
    let verdict = |index: usize| json["jobs"][index]["verdict"].as_str().unwrap();
    assert_eq!(verdict(2), "cannot-be-met", "the thin plates are refused");
    run(&["demo", name]).ended(0);
    assert_eq!(every_file(&folder), first);
    // A job of the folder can be planned where it lies.
    let job = folder.join("winch-pawl/job.toml");
    let again = run(&["plan", job.to_str().unwrap()]);
    assert!(matches!(again.status, 0 | 1), "{}", again.err);
    // An edited job is not lost.
    std::fs::write(&job, "my work").unwrap();
    let refused = run(&["demo", name]).ended(3);
    assert!(
        refused.err.contains("winch-pawl/job.toml"),
        "{}",
        refused.err
    );
    assert_eq!(std::fs::read_to_string(&job).unwrap(), "my work");
}

fn every_file(folder: &Path) -> Vec<Vec<u8>> {
    let mut paths = vec![
        folder.join("index.txt"),
        folder.join("gannet-slip/shop.toml"),
    ];
    for job in JOBS {
        for file in ["job.toml", "evidence.toml", "plan.json", "plan.txt"] {
            paths.push(folder.join(job).join(file));
        }
    }
    paths
        .iter()
        .map(|path| std::fs::read(path).unwrap())
        .collect()
}

#[test]
fn other_peoples_files_are_left_alone() {
    let mine = folder("demo-foreign");
    let path = file(&mine, "letter.txt", "dear");
    let ran = run(&["demo", mine.to_str().unwrap()]).ended(3);
    assert!(ran.err.contains("nothing was written"), "{}", ran.err);
    assert_eq!(std::fs::read_dir(&mine).unwrap().count(), 1);
    assert_eq!(std::fs::read_to_string(path).unwrap(), "dear");
}

#[test]
fn a_file_is_no_folder() {
    let folder = folder("demo-file");
    let path = file(&folder, "taken", "x");
    run(&["demo", &path]).ended(3);
}
