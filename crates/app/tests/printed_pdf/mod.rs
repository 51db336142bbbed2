//! The words of a printed sheet.

use std::{path::Path, process::Command};

/// The words of a PDF as poppler reads them; a form feed ends each page.
pub(crate) fn words_of_pdf(pdf: &Path) -> String {
    let output = Command::new("pdftotext")
        .args(["-layout".as_ref(), pdf.as_os_str(), "-".as_ref()])
        .output()
        .expect("poppler-utils is installed");
    assert!(output.status.success(), "{} is a PDF", pdf.display());
    String::from_utf8(output.stdout).expect("text")
}
