//! What the program remembers between starts: theme, text size, reader, recent feet.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray_report::Paper;
use serde::{Deserialize, Serialize};

use super::{rows::RowChoice, series::SeriesIndex};
use crate::{printing::Besides, user_folders::settings_file};

/// How many recent feet are remembered.
const RECENT_FEET: usize = 12;

/// A settings file larger than this is not ours.
const LARGEST_SETTINGS_BYTES: u64 = 1 << 20;

/// Dark, light, or as the desktop says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ThemeChoice {
    /// As the desktop says; dark where it says nothing.
    #[default]
    System,
    /// Dark panels.
    Dark,
    /// Light panels.
    Light,
}

/// What is kept of the choices for the printed sheet. Whether the patient is named on it is asked for each
/// time anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct SheetSettings {
    /// The paper.
    pub paper: Paper,
    /// What is made beside the sheet.
    pub besides: Besides,
}

/// What is kept between starts. Holds no patient's name: only paths that the user opened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Dark or light.
    pub theme: ThemeChoice,
    /// Text size in per cent, 80 to 200.
    pub text_size_per_cent: u16,
    /// Whether the caution of the first start was read.
    pub caution_read: bool,
    /// Who traces, written into each study; may be empty.
    pub reader: String,
    /// Which rows the worksheet shows.
    pub rows: RowChoice,
    /// The printed sheet as the reader likes it.
    pub sheet: SheetSettings,
    /// Where the index of series lies.
    pub series_index: SeriesIndex,
    /// Studies opened lately, the latest first.
    pub recent: Vec<PathBuf>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            theme: ThemeChoice::System,
            text_size_per_cent: 100,
            caution_read: false,
            reader: String::new(),
            rows: RowChoice::default(),
            sheet: SheetSettings::default(),
            series_index: SeriesIndex::default(),
            recent: Vec::new(),
        }
    }
}

impl Settings {
    /// Where the settings are kept, if the system has such a place.
    #[must_use]
    pub fn usual_path() -> Option<PathBuf> {
        settings_file("settings.ron")
    }

    /// The settings kept at a path; the usual ones where there is no readable file, since lost
    /// settings must never keep anybody from a film.
    #[must_use]
    pub fn read(path: &Path) -> Self {
        let small = fs::metadata(path).is_ok_and(|about| about.len() <= LARGEST_SETTINGS_BYTES);
        let text = if small {
            fs::read_to_string(path).ok()
        } else {
            None
        };
        let mut settings: Self = text
            .and_then(|text| ron::from_str(&text).ok())
            .unwrap_or_default();
        settings.text_size_per_cent = settings.text_size_per_cent.clamp(80, 200);
        settings.recent.truncate(RECENT_FEET);
        settings
    }

    /// Keeps the settings at a path.
    ///
    /// # Errors
    /// When the folder cannot be made or the file cannot be written.
    pub fn write(&self, path: &Path) -> std::io::Result<()> {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default())
            .map_err(std::io::Error::other)?;
        plumbray_study::write_whole(path, text.as_bytes())
    }

    /// Puts a study at the head of the recent ones; whether it was not there already.
    pub fn remember(&mut self, study: &Path) -> bool {
        // The next start may be in another folder.
        let study = std::path::absolute(study).unwrap_or_else(|_| study.to_owned());
        if self.recent.first() == Some(&study) {
            return false;
        }
        self.recent.retain(|known| *known != study);
        self.recent.insert(0, study);
        self.recent.truncate(RECENT_FEET);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_come_back_as_they_were_written() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("deeper/settings.ron");
        let mut settings = Settings {
            text_size_per_cent: 150,
            ..Settings::default()
        };
        settings.remember(Path::new("/films/a.study.ron"));
        settings.write(&path).expect("writable");
        assert_eq!(Settings::read(&path), settings, "read back");
    }

    #[test]
    fn a_damaged_file_gives_the_usual_settings() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("settings.ron");
        fs::write(&path, "(theme: 7, ").expect("writable");
        assert_eq!(Settings::read(&path), Settings::default(), "damaged");
    }

    #[test]
    fn the_latest_foot_comes_first_and_only_once() {
        let mut settings = Settings::default();
        for name in ["a", "b", "a"] {
            settings.remember(Path::new(name));
        }
        let whole = |name: &str| std::path::absolute(name).expect("a folder to be in");
        assert_eq!(settings.recent, [whole("a"), whole("b")], "whole, in order");
    }
}
