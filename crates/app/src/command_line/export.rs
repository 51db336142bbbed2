//! `plumbray export`: DICOM objects of a measured study, for an archive.

use std::{
    borrow::Cow,
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::Context as _;
use clap::Args;
use plumbray_anatomy::View;
use plumbray_report::{ChosenObjects, MaskBox};
use plumbray_study::load;

use super::measure::kept_spreads;
use crate::exporting::{ExportRequest, WithoutIdentity, write_new};

#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("what").required(true).multiple(true)))]
pub(super) struct ExportArguments {
    /// A study (`….study.ron`) whose side is confirmed.
    study: PathBuf,
    /// The folder for the objects; it is made if there is none. Nothing in it is written over.
    #[arg(long, value_name = "FOLDER")]
    into: PathBuf,
    /// The worksheet as a structured report.
    #[arg(long, group = "what")]
    report: bool,
    /// The tracing over each film, as a presentation state.
    #[arg(long, group = "what")]
    drawing: bool,
    /// The printed sheet, as an encapsulated PDF.
    #[arg(long, group = "what")]
    sheet: bool,
    /// Each film with its tracing burnt in, as a secondary capture.
    #[arg(long, group = "what")]
    picture: bool,
    /// The films themselves.
    #[arg(long, group = "what")]
    film: bool,
    /// Put the patient on the sheet, as the films' files name them.
    #[arg(long, conflicts_with = "without_identity")]
    identity: bool,
    /// Widen the intervals by what is kept of the study's reader in this file, as `plumbray agreement --keep-spread`
    /// wrote it.
    #[arg(long, value_name = "FILE")]
    reader_spread: Option<PathBuf>,
    /// You looked at the films: side and views of the study are right, although the file of a film says otherwise.
    #[arg(long)]
    films_looked_at: bool,
    /// Everything without whom it is about: attributes by the Basic Profile of the standard, new identifiers, no days.
    #[arg(long)]
    without_identity: bool,
    /// Fill this box over letters in a film, in its pixels: ap:20,15,300,80 is 300 wide and 80 high, its corner at
    /// 20, 15. Repeatable.
    #[arg(long, value_name = "VIEW:LEFT,TOP,WIDTH,HEIGHT", value_parser = mask_from, requires = "without_identity")]
    mask: Vec<(View, MaskBox)>,
    /// You looked at the films: no letters that name anybody are left in them, masked or not there at all.
    #[arg(long, requires = "without_identity")]
    no_text_in_picture: bool,
}

/// Reads `ap:20,15,300,80`.
fn mask_from(text: &str) -> Result<(View, MaskBox), String> {
    let as_wanted = || {
        let (view, numbers) = text.split_once(':')?;
        let view = View::ALL
            .into_iter()
            .find(|known| known.identifier() == view)?;
        let numbers: Vec<u32> = numbers
            .split(',')
            .map(|number| number.trim().parse().ok())
            .collect::<Option<_>>()?;
        let [left, top, width, height] = numbers[..] else {
            return None;
        };
        let masked = MaskBox {
            left,
            top,
            width,
            height,
        };
        Some((view, masked))
    };
    as_wanted()
        .ok_or_else(|| "a mask is VIEW:LEFT,TOP,WIDTH,HEIGHT, as in ap:20,15,300,80".to_owned())
}

/// Makes every object first and writes them only then: what cannot be made leaves nothing half done.
pub(super) fn export(arguments: &ExportArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let path = &arguments.study;
    let study = load(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let kept = kept_spreads(arguments.reader_spread.as_deref())?;
    let request = ExportRequest {
        study: Cow::Borrowed(&study),
        name,
        reader: kept.of_named(&study.reader.name).map(Cow::Borrowed),
        films: View::ALL.map(|view| Some(study.film(view)?.path_in(folder))),
        chosen: ChosenObjects {
            report: arguments.report,
            drawing: arguments.drawing,
            sheet: arguments.sheet,
            picture: arguments.picture,
            film: arguments.film,
        },
        names_patient: arguments.identity,
        against_films: arguments.films_looked_at,
        without_identity: arguments.without_identity.then(|| WithoutIdentity {
            masks: View::ALL.map(|view| arguments.masks_of(view)),
            looked: [arguments.no_text_in_picture; 2],
        }),
    };
    let files = request
        .objects()
        .with_context(|| format!("nothing can be exported of {}", path.display()))?;
    write_new(&arguments.into, &files)?;
    for file in &files {
        writeln!(output, "{}", arguments.into.join(&file.name).display())?;
    }
    if arguments.without_identity && !arguments.no_text_in_picture {
        writeln!(
            output,
            "letters that are part of a film stay on it, but for the masks: look at each film, mask what names \
             anybody, then say --no-text-in-picture"
        )?;
    }
    Ok(())
}

impl ExportArguments {
    fn masks_of(&self, view: View) -> Vec<MaskBox> {
        let masks = self.mask.iter().filter(|(of, _)| *of == view);
        masks.map(|(_, masked)| *masked).collect()
    }
}
