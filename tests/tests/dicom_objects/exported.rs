//! The objects of a study, exported by the program into a folder of their own.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use plumbray_tests::{answered_outside, plumbray_program, repository};
use serde_json::json;
use tempfile::TempDir;

use super::{read::Read, tools::run};

/// Who traced the sample foot, and what the visit is called.
pub(super) const READER: &str = "Reader Quillfeather";
pub(super) const VISIT: &str = "Ottershaw, second visit";

pub(super) struct Exported {
    pub(super) folder: TempDir,
    pub(super) study: PathBuf,
}

impl Exported {
    /// Exports everything of a study in a folder of its own, with the program's further arguments.
    pub(super) fn of(folder: TempDir, study: PathBuf, further: &[&str]) -> Self {
        let exported = Self { folder, study };
        let output = Command::new(plumbray_program())
            .arg("export")
            .arg(&exported.study)
            .arg("--into")
            .arg(exported.objects())
            .args(["--report", "--drawing", "--sheet", "--picture", "--film"])
            .args(further)
            .output()
            .expect("the program runs");
        assert!(
            output.status.success(),
            "export failed: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        exported
    }

    /// The sample foot as it comes with the program, two DICOM films, with a reader and a visit of some name.
    pub(super) fn sample(further: &[&str]) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for name in ["sample-foot-ap.dcm", "sample-foot-lateral.dcm"] {
            copy_sample(name, folder.path());
        }
        let sample = repository().join("sample-images/sample-foot-ap.dcm.study.ron");
        let text = fs::read_to_string(sample).expect("the sample study");
        let named = text
            .replace("name: \"\"", &format!("name: \"{READER}\""))
            .replace("label: \"\"", &format!("label: \"{VISIT}\""));
        assert!(
            named.contains(READER) && named.contains(VISIT),
            "both are set"
        );
        let study = folder.path().join("sample-foot-ap.dcm.study.ron");
        fs::write(&study, named).expect("writable");
        Self::of(folder, study, further)
    }

    /// The sample foot before anybody calibrated its films.
    pub(super) fn without_calibration() -> Self {
        const BEGINNING: &str = "calibration: Some((";
        let folder = tempfile::tempdir().expect("a temporary folder");
        for name in ["sample-foot-ap.dcm", "sample-foot-lateral.dcm"] {
            copy_sample(name, folder.path());
        }
        let sample = repository().join("sample-images/sample-foot-ap.dcm.study.ron");
        let mut text = fs::read_to_string(sample).expect("the sample study");
        while let Some(start) = text.find(BEGINNING) {
            let end = text[start..]
                .find(")),\n            date")
                .expect("its end");
            text.replace_range(start..start + end + 2, "calibration: None");
        }
        let study = folder.path().join("sample-foot-ap.dcm.study.ron");
        fs::write(&study, text).expect("writable");
        Self::of(folder, study, &[])
    }

    /// The same foot on films that are plain pictures, traced at the same places.
    pub(super) fn plain(further: &[&str]) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let sample = repository().join("sample-images/sample-foot-ap.dcm.study.ron");
        let mut text = fs::read_to_string(sample).expect("the sample study");
        for view in ["ap", "lateral"] {
            let [dicom, png] = ["dcm", "png"].map(|ending| format!("sample-foot-{view}.{ending}"));
            copy_sample(&png, folder.path());
            let hash = |file: &Path| {
                let hash = plumbray_study::ContentHash::of_file(file).expect("a film");
                hash.to_string()
            };
            let [old, new] =
                [&dicom, &png].map(|name| hash(&repository().join("sample-images").join(name)));
            assert!(text.contains(&old), "the study names its film by hash");
            text = text.replace(&old, &new).replace(&dicom, &png);
        }
        let study = folder.path().join("sample-foot-ap.png.study.ron");
        fs::write(&study, text).expect("writable");
        Self::of(folder, study, further)
    }

    pub(super) fn objects(&self) -> PathBuf {
        self.folder.path().join("objects")
    }

    pub(super) fn files(&self) -> Vec<PathBuf> {
        let mut files: Vec<PathBuf> = fs::read_dir(self.objects())
            .expect("the folder of objects")
            .map(|entry| entry.expect("an entry").path())
            .collect();
        files.sort();
        files
    }

    pub(super) fn file(&self, name: &str) -> PathBuf {
        self.objects().join(format!("{name}.dcm"))
    }

    /// What the program answers to this subcommand about the study.
    pub(super) fn told(&self, arguments: &[&str]) -> String {
        let output = Command::new(plumbray_program())
            .args(arguments)
            .arg(&self.study)
            .output()
            .expect("the program runs");
        assert!(output.status.success(), "{arguments:?}: {output:?}");
        String::from_utf8(output.stdout).expect("text")
    }

    /// The words of the exported sheet, as poppler reads them, with single spaces between them.
    pub(super) fn printed_sheet(&self) -> String {
        self.read();
        let pdf = self.objects().join("sheet.pdf");
        let pdf = pdf.to_string_lossy();
        let text = run("pdftotext", "poppler-utils", &[&pdf], Path::new("-"));
        let text = String::from_utf8_lossy(&text.stdout).into_owned();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// What pydicom and highdicom read.
    pub(super) fn read(&self) -> Read {
        let pictures = self.folder.path().join("pictures");
        let pictures_text = pictures.to_string_lossy().into_owned();
        self.told(&["sheet", "--picture", "--out", &pictures_text]);
        let originals: BTreeMap<String, PathBuf> = ["ap", "lateral"]
            .map(|view| {
                let png = self.folder.path().join(format!("sample-foot-{view}.png"));
                (format!("film-{view}"), png)
            })
            .into_iter()
            .filter(|(_, png)| png.is_file())
            .collect();
        let question =
            json!({"folder": self.objects(), "pictures": pictures, "originals": originals});
        answered_outside("dicom/read_objects.py", &question)
    }
}

pub(super) fn copy_sample(name: &str, folder: &Path) {
    let from = repository().join("sample-images").join(name);
    fs::copy(&from, folder.join(name)).expect("a sample film");
}
