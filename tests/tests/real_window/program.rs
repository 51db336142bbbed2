//! The program in its window, with a home of its own.

use std::{
    fs::{self, File},
    os::unix::{fs::PermissionsExt as _, process::ExitStatusExt as _},
    path::{Path, PathBuf},
    process::{Child, Command, ExitStatus},
    thread::panicking,
    time::Duration,
};

use plumbray_tests::{plumbray_program, repository};
use tempfile::TempDir;

use crate::{
    screen::Screen,
    waiting::{wait_for, within},
};

/// A folder with films and a home, so that nothing of the person who runs the test is touched.
pub(crate) struct Desk {
    folder: TempDir,
}

impl Desk {
    /// A desk with copies of sample films.
    pub(crate) fn with(films: &[&str]) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for part in ["films", "home", "running"] {
            fs::create_dir(folder.path().join(part)).expect("a folder");
        }
        let only_user = fs::Permissions::from_mode(0o700);
        fs::set_permissions(folder.path().join("running"), only_user).expect("a private folder");
        let desk = Self { folder };
        // The caution was read, so that the foot is shown at once.
        let settings = desk.folder.path().join("home/config/plumbray");
        fs::create_dir_all(&settings).expect("a folder");
        fs::write(settings.join("settings.ron"), "(caution_read: true)").expect("settings");
        for film in films {
            let original = repository().join("sample-images").join(film);
            fs::copy(original, desk.file(film)).expect("a copy of a sample film");
        }
        desk
    }

    /// A file beside the films.
    pub(crate) fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join("films").join(name)
    }

    /// The names of the files beside the films, in order.
    pub(crate) fn names_beside_films(&self) -> Vec<String> {
        let mut names: Vec<String> = files_below(&self.folder.path().join("films"))
            .iter()
            .filter_map(|file| file.file_name())
            .map(|name| name.to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// Locks, recovery copies and half-written files, anywhere on the desk.
    pub(crate) fn leftovers(&self) -> Vec<PathBuf> {
        let mut files = files_below(self.folder.path());
        files.retain(|file| {
            let path = file.to_string_lossy();
            is_lock(file) || path.contains(".saving-") || path.contains("/recovery/")
        });
        files
    }

    /// Whether a window holds a study open.
    pub(crate) fn has_lock(&self) -> bool {
        files_below(self.folder.path())
            .iter()
            .any(|file| is_lock(file))
    }

    /// What `plumbray measure --json` prints.
    pub(crate) fn measured(&self, study: &str) -> String {
        let output = self
            .program()
            .args(["measure", "--json"])
            .arg(self.file(study))
            .output()
            .expect("the program runs");
        assert!(
            output.status.success(),
            "measuring {study}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).expect("JSON is UTF-8")
    }

    /// Opens files in a window that fills the screen.
    pub(crate) fn open<'screen>(&self, screen: &'screen Screen, files: &[&str]) -> Window<'screen> {
        let messages = self.folder.path().join("messages");
        let process = self
            .program()
            .args(files.iter().map(|name| self.file(name)))
            .env("DISPLAY", screen.display())
            .stderr(File::create(&messages).expect("a file"))
            .spawn()
            .expect("the program starts");
        let mut window = Window {
            screen,
            process,
            messages,
            number: String::new(),
        };
        window.number = screen.window("Plumbray");
        screen.fill_with(&window.number);
        window
    }

    fn program(&self) -> Command {
        let mut command = Command::new(plumbray_program());
        let home = self.folder.path().join("home");
        let of_the_person = [
            "WAYLAND_DISPLAY",
            "WAYLAND_SOCKET",
            "XAUTHORITY",
            "DBUS_SESSION_BUS_ADDRESS",
        ];
        for variable in of_the_person {
            command.env_remove(variable);
        }
        command
            .env("HOME", &home)
            .env("XDG_CONFIG_HOME", home.join("config"))
            .env("XDG_DATA_HOME", home.join("data"))
            .env("XDG_STATE_HOME", home.join("state"))
            .env("XDG_CACHE_HOME", home.join("cache"))
            .env("XDG_RUNTIME_DIR", self.folder.path().join("running"))
            .env("LIBGL_ALWAYS_SOFTWARE", "1");
        command
    }
}

fn is_lock(file: &Path) -> bool {
    file.extension()
        .is_some_and(|extension| extension == "lock")
}

/// Every file in a folder and in those below it. One that goes away meanwhile is left out.
fn files_below(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    entries
        .flat_map(|entry| {
            let path = entry.path();
            if path.is_dir() {
                files_below(&path)
            } else {
                vec![path]
            }
        })
        .collect()
}

/// The running program; it ends with this.
pub(crate) struct Window<'screen> {
    screen: &'screen Screen,
    process: Child,
    messages: PathBuf,
    number: String,
}

impl Drop for Window<'_> {
    fn drop(&mut self) {
        if panicking()
            && let Ok(Some(ended)) = self.process.try_wait()
        {
            eprintln!("The program had ended ({ended}): {}", self.messages());
        }
        // One that has ended already cannot be ended again, which is as well.
        drop(self.process.kill());
        drop(self.process.wait());
    }
}

impl Window<'_> {
    /// What the program wrote about problems.
    pub(crate) fn messages(&self) -> String {
        fs::read_to_string(&self.messages).unwrap_or_default()
    }

    /// Quits by Ctrl+Q.
    pub(crate) fn quit(mut self) {
        let ended = wait_for("the program to quit after Ctrl+Q", || {
            // A window that has only just got the keyboard may miss keys.
            self.screen.press(&self.number, "ctrl+q");
            within(Duration::from_secs(15), || self.ended())
        });
        let messages = self.messages();
        assert!(ended.success(), "quitting gave {ended}: {messages}");
    }

    /// Ends the program without a warning, as a failing machine would.
    pub(crate) fn kill(mut self) {
        assert_eq!(self.ended(), None, "it ended before it was killed");
        self.process.kill().expect("it can be killed");
        let ended = self.process.wait().expect("it ends");
        let by_signal = ended.signal();
        assert_eq!(by_signal, Some(9), "it did not end by SIGKILL: {ended}");
    }

    /// How the program ended, once it has.
    pub(crate) fn ended(&mut self) -> Option<ExitStatus> {
        self.process.try_wait().expect("a child can be asked")
    }
}
