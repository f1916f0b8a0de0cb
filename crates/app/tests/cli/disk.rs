//! A disk without room: the largest file that the system allows stands in for it, which every user
//! may set. What was acknowledged is kept, what was not is said, and with room it goes on.
#![cfg(unix)]

use super::*;

/// Runs the program with files of at most so many blocks of 512 bytes.
fn limited(blocks: u32, arguments: &[&str], input: &str) -> Ran {
    let mut command = Command::new("sh");
    // The signal of a file that is too long would end the program before it can say anything; a full
    // disk sends none.
    command
        .arg("-c")
        .arg(format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$@\""))
        .arg("sh")
        .arg(env!("CARGO_BIN_EXE_casewright"))
        .args(arguments)
        .current_dir(root());
    run_with(command, input)
}

#[test]
fn a_disk_without_room_says_so_loses_nothing_and_goes_on() {
    let folder = folder("disk-full");
    let book = folder.join("gannet.book").to_str().unwrap().to_owned();
    let by = ["--by", "M. Tern", "--role", "operator"];
    run(&[&["shop", "new", &book, "--shop", "Gannet Slip"][..], &by].concat()).ended(0);
    let bytes: Vec<u8> = (0..30_000_u32)
        .map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8)
        .collect();
    let mut acknowledged = 1;
    let mut refused = 0;
    for n in 0..12_u8 {
        let mut own = bytes.clone();
        own[0] = n;
        let photo = file(&folder, &format!("{n}.bin"), &own);
        let event = format!(r#"{{"kind":"job-registered","job":"J-{n}","title":"job {n}"}}"#);
        let add = [
            &["shop", "add", &book, "-", "--json", "--attach", &photo][..],
            &by,
        ]
        .concat();
        // 256 blocks are 128 KiB: some entries fit, then none does.
        let ran = limited(256, &add, &event);
        if ran.status == 0 {
            acknowledged = ran.json()["number"].as_u64().unwrap();
        } else {
            refused += 1;
            let ran = ran.ended(3);
            assert!(ran.err.contains("was not added"), "{}", ran.err);
            assert!(ran.err.contains("all earlier ones are kept"), "{}", ran.err);
            assert_eq!(ran.json()["error"]["kind"], "world");
        }
    }
    assert!(acknowledged > 2 && refused > 2, "{acknowledged} {refused}");
    // The book is whole, to the last entry that was acknowledged, and takes the next one.
    let check = run(&["shop", "check", &book, "--json"]).ended(0).json();
    assert_eq!(check["last"]["number"].as_u64(), Some(acknowledged));
    let event = r#"{"kind":"job-registered","job":"last","title":"with room again"}"#;
    let add = [&["shop", "add", &book, "-", "--json"][..], &by].concat();
    let kept = run_with(command(&add), event).ended(0).json();
    assert_eq!(kept["number"].as_u64(), Some(acknowledged + 1));
    assert_eq!(
        run(&["shop", "check", &book, "--json"]).ended(0).json()["whole"],
        true
    );
}
