//! The window on a sample foot.

use std::fs;

use anyhow::{Context as _, Result, bail};

use crate::{cargo, repository, run, scratch_folder};

/// The films of the sample foot, in `sample-images`.
const FILMS: [&str; 2] = ["sample-foot-ap.png", "sample-foot-lateral.png"];

/// Builds the program and opens its window on the sample foot.
///
/// The films are copied first: the study is saved beside its films, and measuring a sample should not
/// change the repository. A study from an earlier opening stays.
pub(crate) fn open() -> Result<()> {
    let folder = scratch_folder().join("sample-foot");
    fs::create_dir_all(&folder)
        .with_context(|| format!("could not make the folder {}", folder.display()))?;
    for film in FILMS {
        let copy = folder.join(film);
        if !copy.exists() {
            fs::copy(repository().join("sample-images").join(film), &copy)
                .with_context(|| format!("could not copy the sample film {film}"))?;
        }
    }
    run(&mut cargo(&[
        "build",
        "--release",
        "--package",
        "plumbray",
        "--locked",
    ]))?;
    expect_a_screen()?;
    run(cargo(&[
        "run",
        "--release",
        "--quiet",
        "--package",
        "plumbray",
        "--locked",
        "--",
    ])
    .args(FILMS.map(|film| folder.join(film))))
}

/// Says so in words when there is nothing to show a window on: the window's libraries would not.
fn expect_a_screen() -> Result<()> {
    let names_a_screen =
        |variable| std::env::var_os(variable).is_some_and(|value| !value.is_empty());
    if cfg!(target_os = "linux")
        && !["DISPLAY", "WAYLAND_DISPLAY"]
            .into_iter()
            .any(names_a_screen)
    {
        bail!(
            "everything is built, but this session has no screen (DISPLAY and WAYLAND_DISPLAY are \
             empty): start it again inside a desktop session"
        );
    }
    Ok(())
}
