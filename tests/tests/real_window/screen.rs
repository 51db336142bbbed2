//! A screen of the test's own, with a pointer and a keyboard: Xvfb and xdotool.

use std::{
    fs::{self, File},
    io::{BufRead as _, BufReader, ErrorKind},
    process::{Child, Command, Output, Stdio},
    time::Duration,
};

use tempfile::TempDir;

use crate::waiting::{wait_for, within};

/// Width and height of the screen, and of the window on it, in pixels.
pub(crate) const SIZE: (u32, u32) = (1280, 800);

/// A place on the screen, in pixels.
pub(crate) type Place = (u32, u32);

/// In how many steps the pointer is drawn along a sweep.
const STEPS: u32 = 6;

/// A window that looks the same so many times in a row has come to rest.
const LOOKS_AT_REST: u32 = 4;

/// What is on the screen at one moment.
#[derive(PartialEq)]
pub(crate) struct Picture {
    bytes: Vec<u8>,
    start: usize,
    bytes_per_row: usize,
}

impl Picture {
    /// Reads the format in which Xvfb keeps its screen (xwd version 7): a header of big-endian words,
    /// a table of colours of 12 bytes each, and four bytes a pixel.
    fn read(bytes: Vec<u8>) -> Option<Self> {
        let word = |index: usize| -> Option<usize> {
            let four = bytes.get(4 * index..4 * index + 4)?;
            usize::try_from(u32::from_be_bytes(four.try_into().ok()?)).ok()
        };
        let (header, bytes_per_row, colours) = (word(0)?, word(12)?, word(19)?);
        let start = header + 12 * colours;
        let whole = start + bytes_per_row * SIZE.1 as usize;
        (bytes.len() >= whole && bytes_per_row >= 4 * SIZE.0 as usize).then_some(Self {
            bytes,
            start,
            bytes_per_row,
        })
    }

    /// How bright the screen is at a place: its green, from 0 to 255.
    pub(crate) fn brightness(&self, (x, y): Place) -> f64 {
        let at = self.start + self.bytes_per_row * y as usize + 4 * x as usize;
        f64::from(self.bytes[at + 1])
    }

    /// Whether nothing was drawn yet.
    fn is_blank(&self) -> bool {
        let pixels = &self.bytes[self.start..];
        pixels.iter().all(|byte| *byte == pixels[0])
    }
}

/// A running Xvfb; it ends with this.
pub(crate) struct Screen {
    server: Child,
    folder: TempDir,
    display: String,
}

impl Drop for Screen {
    fn drop(&mut self) {
        // One that has ended already cannot be ended again, which is as well.
        drop(self.server.kill());
        drop(self.server.wait());
    }
}

impl Screen {
    /// Starts Xvfb on a display that is free.
    ///
    /// # Panics
    /// When Xvfb or xdotool is not installed, with the packages to install.
    pub(crate) fn start() -> Self {
        started(Command::new("xdotool").arg("version"), "xdotool");
        let folder = tempfile::tempdir().expect("a temporary folder");
        let size = format!("{}x{}x24", SIZE.0, SIZE.1);
        let mut command = Command::new("Xvfb");
        command
            .args(["-displayfd", "1", "-nolisten", "tcp", "-noreset"])
            .args(["-screen", "0", &size, "-fbdir"])
            .arg(folder.path())
            .stdout(Stdio::piped())
            .stderr(File::create(folder.path().join("messages")).expect("a file"));
        let mut server = command
            .spawn()
            .unwrap_or_else(|problem| panic!("{}", cannot_start("Xvfb", &problem)));
        let output = server.stdout.take().expect("its output was asked for");
        let mut screen = Self {
            server,
            folder,
            display: String::new(),
        };
        // Xvfb writes the number of its display once it can be used.
        let mut number = String::new();
        BufReader::new(output)
            .read_line(&mut number)
            .expect("the number of a display");
        assert!(
            number.trim().parse::<u32>().is_ok(),
            "Xvfb did not start: {}",
            fs::read_to_string(screen.folder.path().join("messages")).unwrap_or_default()
        );
        screen.display = format!(":{}", number.trim());
        screen
    }

    /// The display, as programs are told of it.
    pub(crate) fn display(&self) -> &str {
        &self.display
    }

    /// What is on the screen now.
    pub(crate) fn picture(&self) -> Picture {
        let file = self.folder.path().join("Xvfb_screen0");
        wait_for("the picture of the screen", || {
            Picture::read(fs::read(&file).ok()?)
        })
    }

    /// Waits until something is drawn and nothing changes any more, and gives the picture.
    pub(crate) fn settled(&self) -> Picture {
        let mut last = self.picture();
        let mut looks_alike = 0;
        wait_for("the window to come to rest", || {
            let now = self.picture();
            looks_alike = if now == last { looks_alike + 1 } else { 0 };
            last = now;
            (looks_alike >= LOOKS_AT_REST && !last.is_blank()).then_some(())
        });
        last
    }

    /// Waits for a window of this name and gives its number.
    pub(crate) fn window(&self, name: &str) -> String {
        let pattern = format!("^{name}$");
        wait_for(&format!("a window named {name}"), || {
            let output = self.xdotool(&["search", "--onlyvisible", "--name", &pattern]);
            let numbers = String::from_utf8_lossy(&output.stdout).into_owned();
            numbers.lines().last().map(str::to_owned)
        })
    }

    /// Lets a window fill the screen.
    pub(crate) fn fill_with(&self, window: &str) {
        let (width, height) = (SIZE.0.to_string(), SIZE.1.to_string());
        wait_for("the window to fill the screen", || {
            self.acts(&["windowmove", window, "0", "0"]);
            self.acts(&["windowsize", window, &width, &height]);
            let output = self.xdotool(&["getwindowgeometry", "--shell", window]);
            let geometry = String::from_utf8_lossy(&output.stdout).into_owned();
            let wanted = ["X=0", "Y=0"].map(str::to_owned).into_iter();
            wanted
                .chain([format!("WIDTH={width}"), format!("HEIGHT={height}")])
                .all(|line| geometry.lines().any(|other| other == line))
                .then_some(())
        });
    }

    /// Presses keys while a window has the keyboard.
    pub(crate) fn press(&self, window: &str, keys: &str) {
        // Without a window manager nobody else gives a window the keyboard.
        self.acts(&["windowfocus", window]);
        self.acts(&["key", keys]);
    }

    /// Clicks at a place.
    pub(crate) fn click(&self, at: Place) {
        self.move_pointer(at);
        self.settled();
        self.acts(&["click", "1"]);
    }

    /// Presses the button at one place and lets it go at another. Before each of both the window is
    /// given the time to draw what went before: a slow one would take press and release for one.
    pub(crate) fn sweep(&self, from: Place, to: Place) {
        self.move_pointer(from);
        let before = self.settled();
        self.acts(&["mousedown", "1"]);
        for step in 1..=STEPS {
            let between = |from: u32, to: u32| (from * (STEPS - step) + to * step) / STEPS;
            self.move_pointer((between(from.0, to.0), between(from.1, to.1)));
        }
        let drawn = within(Duration::from_secs(60), || {
            (self.settled() != before).then_some(())
        });
        self.acts(&["mouseup", "1"]);
        assert!(
            drawn.is_some(),
            "no stroke was drawn from {from:?} to {to:?}"
        );
    }

    fn move_pointer(&self, (x, y): Place) {
        self.acts(&["mousemove", &x.to_string(), &y.to_string()]);
    }

    fn acts(&self, arguments: &[&str]) {
        let output = self.xdotool(arguments);
        assert!(
            output.status.success(),
            "xdotool {arguments:?} failed: {}",
            String::from_utf8_lossy(&output.stderr)
        );
    }

    fn xdotool(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new("xdotool");
        started(
            command.args(arguments).env("DISPLAY", &self.display),
            "xdotool",
        )
    }
}

/// Runs a program to its end.
fn started(command: &mut Command, name: &str) -> Output {
    command
        .output()
        .unwrap_or_else(|problem| panic!("{}", cannot_start(name, &problem)))
}

fn cannot_start(name: &str, problem: &std::io::Error) -> String {
    if problem.kind() == ErrorKind::NotFound {
        format!(
            "{name} is not installed. The test of the real window needs Xvfb and xdotool (Debian: \
             apt-get install xvfb xdotool; .setup/test-everything installs both)"
        )
    } else {
        format!("{name} cannot be started: {problem}")
    }
}
