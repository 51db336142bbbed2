//! A PostgreSQL server of the tests' own: in a folder that is thrown away, reached by a socket alone.

use std::{
    fs,
    os::unix::{fs::chown, process::CommandExt as _},
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    thread,
    time::{Duration, Instant},
};

use plumbray_cohort::IndexPlace;
use tempfile::TempDir;

/// Where Debian's package puts the server, a folder for each version.
const DEBIAN: &str = "/usr/lib/postgresql";

/// How long a server may take to come up on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);

/// A running server. It ends with the value.
pub(crate) struct Server {
    folder: TempDir,
    programs: PathBuf,
    user: Option<(u32, u32)>,
    process: Option<Child>,
}

impl Server {
    pub(crate) fn start() -> Self {
        let folder = tempfile::Builder::new()
            .prefix("plumbray-postgres-")
            .tempdir_in("/tmp")
            .expect("a temporary folder");
        let user = unprivileged();
        if let Some((user, group)) = user {
            chown(folder.path(), Some(user), Some(group)).expect("root may");
        }
        let mut server = Self {
            folder,
            programs: programs(),
            user,
            process: None,
        };
        let output = server
            .command("initdb")
            .args([
                "--auth=trust",
                "--username=plumbray",
                "--no-sync",
                "--encoding=UTF8",
            ])
            .args(["--locale=C", "--pgdata"])
            .arg(server.data())
            .output()
            .expect("initdb runs");
        assert!(output.status.success(), "initdb: {output:?}");
        server.run();
        server
    }

    /// Starts the server, and waits until it answers.
    pub(crate) fn run(&mut self) {
        let child = self
            .command("postgres")
            .arg("-D")
            .arg(self.data())
            .arg("-k")
            .arg(self.folder.path())
            .args(["-c", "listen_addresses=", "-c", "max_connections=40"])
            .stderr(Stdio::null())
            .spawn()
            .expect("the server starts");
        self.process = Some(child);
        let begun = Instant::now();
        while postgres::Client::connect(&self.url("postgres"), postgres::NoTls).is_err() {
            assert!(begun.elapsed() < PATIENCE, "the server does not answer");
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// Ends the server as a power cut does, so that it has to recover when it runs again.
    pub(crate) fn crash(&mut self) {
        let crashed = self
            .command("pg_ctl")
            .args(["stop", "--mode=immediate", "--pgdata"])
            .arg(self.data())
            .output()
            .expect("pg_ctl runs");
        assert!(crashed.status.success(), "pg_ctl: {crashed:?}");
        if let Some(mut process) = self.process.take() {
            process.wait().expect("it ends");
        }
    }

    /// The address of a database.
    pub(crate) fn url(&self, database: &str) -> String {
        let folder = self.folder.path().display().to_string().replace('/', "%2F");
        format!("postgresql://plumbray@{folder}/{database}")
    }

    /// A new empty database as a place for an index.
    pub(crate) fn database(&self, name: &str) -> IndexPlace {
        self.client("postgres")
            .batch_execute(&format!("CREATE DATABASE {name}"))
            .expect("made");
        IndexPlace::Postgres(self.url(name))
    }

    pub(crate) fn client(&self, database: &str) -> postgres::Client {
        postgres::Client::connect(&self.url(database), postgres::NoTls).expect("connected")
    }

    fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    fn command(&self, program: &str) -> Command {
        let mut command = Command::new(self.programs.join(program));
        command
            .current_dir(self.folder.path())
            .stdout(Stdio::null())
            .stdin(Stdio::null());
        if let Some((user, group)) = self.user {
            command.uid(user).gid(group);
        }
        command
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        if let Some(mut process) = self.process.take() {
            let stopped = self
                .command("pg_ctl")
                .args(["stop", "--mode=immediate", "--pgdata"])
                .arg(self.data())
                .status();
            if !stopped.is_ok_and(|status| status.success()) {
                let _gone = process.kill();
            }
            let _gone = process.wait();
        }
    }
}

/// The folder of the newest server here.
fn programs() -> PathBuf {
    let versions = fs::read_dir(DEBIAN).into_iter().flatten().flatten();
    let debian = versions
        .map(|version| version.path().join("bin"))
        .filter(|folder| folder.join("initdb").is_file())
        .max();
    let on_path = || {
        let path = std::env::var_os("PATH")?;
        std::env::split_paths(&path).find(|folder| folder.join("initdb").is_file())
    };
    debian
        .or_else(on_path)
        .expect("these tests need a PostgreSQL server (Debian: postgresql)")
}

/// Whom the server runs as: it refuses to run as root. Nothing where this is not root.
fn unprivileged() -> Option<(u32, u32)> {
    let number = |arguments: &[&str]| {
        let output = Command::new("id").args(arguments).output().ok()?;
        String::from_utf8(output.stdout).ok()?.trim().parse().ok()
    };
    (number(&["-u"]) == Some(0)).then(|| {
        let user = number(&["-u", "postgres"]).or_else(|| number(&["-u", "nobody"]));
        let group = number(&["-g", "postgres"]).or_else(|| number(&["-g", "nobody"]));
        user.zip(group).expect("a user postgres or nobody")
    })
}

/// Whether a path holds no more than a Unix socket's name may.
#[test]
fn the_socket_of_the_server_has_a_name_short_enough() {
    let folder = Path::new("/tmp/plumbray-postgres-XXXXXX/.s.PGSQL.5432");
    assert!(folder.as_os_str().len() < 100, "{folder:?}");
}
