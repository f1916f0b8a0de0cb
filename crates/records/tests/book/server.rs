//! A private PostgreSQL server for the tests: made in a folder of its own, reached through a socket
//! there, gone when the tests end. Where the machine has no server, every test that wants one says
//! so and goes on with the other stores.

use std::io::{BufRead, BufReader, Write};
use std::os::unix::fs::chown;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};

/// A server refuses to run as root; this one is on every Linux.
const NOBODY: u32 = 65534;

/// A server that ends with this program, however that ends.
pub(crate) struct Private {
    folder: PathBuf,
    keeper: Child,
}

/// Starts the server, tells when it answers, and stops it when nobody holds the other end of its
/// input any more: also where the tests were killed. A new word on the input kills it at once and
/// starts it again, as after a crash.
const KEEPER: &str = r#"
start() {
  "$1/postgres" -D "$2/data" -k "$2" -c listen_addresses= -c max_connections=60 -c logging_collector=off >>"$2/log" 2>&1 &
  server=$!
  for try in $(seq 1 600); do
    "$1/pg_isready" -q -h "$2" && break
    sleep 0.1
  done
}
start "$1" "$2"
echo ready
while read -r word; do
  kill -9 "$server"; wait "$server" 2>/dev/null
  start "$1" "$2"
  echo again
done
kill -INT "$server"; wait "$server"
rm -rf "$2"
"#;

/// The newest server on this machine.
fn programs() -> Option<PathBuf> {
    let mut places: Vec<PathBuf> = std::fs::read_dir("/usr/lib/postgresql")
        .into_iter()
        .flatten()
        .flatten()
        .map(|version| version.path().join("bin"))
        .collect();
    places.sort();
    places.reverse();
    places.extend(["/usr/local/bin", "/usr/bin", "/usr/local/pgsql/bin"].map(PathBuf::from));
    let whole = |place: &PathBuf| {
        ["postgres", "initdb", "pg_isready"]
            .iter()
            .all(|program| place.join(program).exists())
    };
    places.into_iter().find(whole)
}

/// Whether this program is root.
fn root() -> bool {
    use std::os::unix::fs::MetadataExt;
    std::fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0)
}

/// A command as somebody whom the server lets run it.
fn as_nobody(program: &Path) -> Command {
    if !root() {
        return Command::new(program);
    }
    let mut command = Command::new("setpriv");
    let id = NOBODY.to_string();
    command.args(["--reuid", &id, "--regid", &id, "--clear-groups", "--"]);
    command.arg(program);
    command
}

impl Private {
    /// Makes and starts one.
    pub(crate) fn start(called: &str) -> Option<Self> {
        let Some(programs) = programs() else {
            // Straight to the screen: what a passing test prints is kept back.
            let _ = writeln!(
                std::io::stderr(),
                "SKIPPED: no PostgreSQL server on this machine (looked for postgres, initdb and \
                 pg_isready in /usr/lib/postgresql and /usr/local/bin); nothing about it was tested"
            );
            let must = std::env::var_os("CASEWRIGHT_SERVER_TESTS").is_some();
            assert!(
                !must,
                "CASEWRIGHT_SERVER_TESTS is set, and there is no server to test"
            );
            return None;
        };
        // Short: the name of a socket has at most 107 bytes.
        let name = format!("casewright-{called}-{}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).expect("a folder for the server");
        if root() {
            chown(&folder, Some(NOBODY), Some(NOBODY)).expect("root may give folders away");
        }
        let made = as_nobody(&programs.join("initdb"))
            .current_dir(&folder)
            .args(["--auth=trust", "--username=casewright", "--encoding=UTF8"])
            .args(["--locale=C", "--no-instructions", "-D"])
            .arg(folder.join("data"))
            .output()
            .expect("initdb runs");
        assert!(made.status.success(), "{made:?}");
        let mut keeper = as_nobody(Path::new("/bin/sh"))
            .current_dir(&folder)
            .args(["-c", KEEPER, "keeper"])
            .arg(&programs)
            .arg(&folder)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the keeper runs");
        told(&mut keeper, "ready");
        Some(Self { folder, keeper })
    }

    /// The address of a database there.
    pub(crate) fn address(&self, base: &str, user: &str) -> String {
        let folder = self.folder.display().to_string().replace('/', "%2F");
        format!("postgres://{user}@{folder}/{base}")
    }

    /// Runs statements as the one who may do everything.
    pub(crate) fn run(&self, base: &str, statements: &str) -> Result<(), postgres::Error> {
        let address = self.address(base, "casewright");
        let mut client = postgres::Client::connect(&address, postgres::NoTls)?;
        client.batch_execute(statements)
    }

    /// Kills the server as a crash would, and starts it again.
    pub(crate) fn crash(&mut self) {
        let input = self.keeper.stdin.as_mut().expect("piped");
        input.write_all(b"crash\n").expect("the keeper listens");
        told(&mut self.keeper, "again");
    }
}

impl Drop for Private {
    fn drop(&mut self) {
        drop(self.keeper.stdin.take());
        let _ = self.keeper.wait();
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// Reads byte by byte, so that nothing behind the line is swallowed.
fn told(keeper: &mut Child, word: &str) {
    let mut line = String::new();
    BufReader::with_capacity(1, keeper.stdout.as_mut().expect("piped"))
        .read_line(&mut line)
        .expect("the keeper talks");
    assert_eq!(line.trim(), word);
}

/// A new, empty database on the server that all tests share, and its address.
pub(crate) fn base() -> Option<(&'static Private, String)> {
    static SHARED: OnceLock<Option<Private>> = OnceLock::new();
    static NUMBER: AtomicU32 = AtomicU32::new(0);
    let server = SHARED.get_or_init(|| Private::start("shared")).as_ref()?;
    let base = format!("b{}", NUMBER.fetch_add(1, Ordering::Relaxed));
    server
        .run("postgres", &format!("CREATE DATABASE {base}"))
        .expect("a new database");
    Some((server, base))
}
