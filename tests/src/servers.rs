//! Archives of the tests' own, each on a free port and in a folder that is thrown away. Every server ends with its
//! value, also when a test fails.

use std::{
    fs,
    net::TcpStream,
    os::unix::process::CommandExt as _,
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    thread,
    time::{Duration, Instant},
};

use tempfile::TempDir;

use crate::free_port;

/// How long a server may take to come up on a busy machine.
const COMING_UP: Duration = Duration::from_secs(60);

/// A running program with a folder of its own. Both end with the value.
#[derive(Debug)]
pub struct Server {
    /// The port on which it answers, on this machine alone.
    pub port: u16,
    process: Child,
    /// Its folder, with all that it keeps and its log.
    pub folder: TempDir,
}

impl Server {
    /// Starts a program in its own folder, and waits until its port answers.
    ///
    /// # Panics
    /// When it is not installed, or does not answer in a minute.
    #[must_use]
    pub fn start(port: u16, folder: TempDir, program: &str, arguments: &[&str]) -> Self {
        let log = fs::File::create(folder.path().join("log")).expect("a log");
        let errors = log.try_clone().expect("the same log");
        let process = Command::new(program)
            .args(arguments)
            .current_dir(folder.path())
            .stdin(Stdio::null())
            .stdout(log)
            .stderr(errors)
            // A group of its own, so that the processes that it starts end with it.
            .process_group(0)
            .spawn()
            .unwrap_or_else(|error| {
                panic!("these tests need {program} (Debian: dcmtk, orthanc): {error}")
            });
        let server = Self {
            port,
            process,
            folder,
        };
        let begun = Instant::now();
        while TcpStream::connect(("127.0.0.1", port)).is_err() {
            assert!(
                begun.elapsed() < COMING_UP,
                "{program} does not answer: {}",
                server.log()
            );
            thread::sleep(Duration::from_millis(30));
        }
        server
    }

    /// All that the server has said so far.
    ///
    /// # Panics
    /// When its log cannot be read.
    #[must_use]
    pub fn log(&self) -> String {
        let bytes = fs::read(self.folder.path().join("log")).expect("a log");
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let group = format!("-{}", self.process.id());
        let _ended = Command::new("kill").args(["-KILL", "--", &group]).status();
        let _ended = self.process.wait();
    }
}

/// dcmtk's archive, with what else it is to be told; it knows this workstation as PLUMBRAY on a port.
///
/// # Panics
/// As [`Server::start`].
#[must_use]
pub fn dcmqrscp(receive_port: u16, options: &[&str]) -> Server {
    let folder = temporary("dcmqrscp");
    let database = folder.path().join("database");
    fs::create_dir(&database).expect("made");
    let port = free_port();
    let configuration = format!(
        "NetworkTCPPort = {port}\nMaxPDUSize = 16384\nMaxAssociations = 16\n\
         HostTable BEGIN\nworkstation = (PLUMBRAY, localhost, {receive_port})\nHostTable END\n\
         VendorTable BEGIN\nVendorTable END\n\
         AETable BEGIN\nARCHIVE {} RW (200, 1024mb) ANY\nAETable END\n",
        database.display()
    );
    let file = folder.path().join("dcmqrscp.cfg");
    fs::write(&file, configuration).expect("written");
    let file = file.display().to_string();
    let arguments = [&["--verbose", "--config", &file], options].concat();
    Server::start(port, folder, "dcmqrscp", &arguments)
}

/// dcmtk's receiver of objects, with what else it is to be told.
///
/// # Panics
/// As [`Server::start`].
#[must_use]
pub fn storescp(options: &[&str]) -> Server {
    let folder = temporary("storescp");
    let port = free_port();
    let number = port.to_string();
    let received = folder.path().display().to_string();
    let arguments = [
        &["--verbose", "--output-directory", &received],
        options,
        &[&number],
    ]
    .concat();
    Server::start(port, folder, "storescp", &arguments)
}

/// A temporary folder.
///
/// # Panics
/// When it cannot be made.
#[must_use]
pub fn temporary(name: &str) -> TempDir {
    tempfile::Builder::new()
        .prefix(&format!("plumbray-{name}-"))
        .tempdir()
        .expect("a temporary folder")
}

/// The files of a folder, by name.
///
/// # Panics
/// When it cannot be read.
#[must_use]
pub fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.expect("one").path()).collect();
    files.sort();
    files
}
