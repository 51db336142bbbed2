//! What leaves the program about one foot for an archive: DICOM objects. The window and the command line make the same.

mod folder;
mod opened;

use std::{borrow::Cow, path::PathBuf};

use anyhow::Context as _;
use jiff::Zoned;
use plumbray_anatomy::View;
use plumbray_measure::{Measurement, worksheet};
use plumbray_report::{
    ChosenObjects, ExportFilm, ExportSheet, FoundFilm, MaskBox, ObjectFile, ObjectsRequest, Paper,
    objects_of,
};
use plumbray_study::Study;

use crate::{
    own_spread::{KeptOfReader, choices_by},
    printing::{Besides, Printing, identity_of},
    window::CAUTION,
    workbench::{RowSet, foot_of},
};
pub(crate) use folder::{new_folder_beside, write_new};
use opened::{OpenedFilm, opened_films, take_identity_away};

/// What is exported of one study, and how.
#[derive(Clone, Debug)]
pub(crate) struct ExportRequest<'a> {
    /// The study; its side must be confirmed for anything but the films themselves.
    pub study: Cow<'a, Study>,
    /// The name of its file, as the sheet tells it.
    pub name: Cow<'a, str>,
    /// What is kept of the reader who traced it; nothing where the intervals hold the tracing's spread alone.
    pub reader: Option<Cow<'a, KeptOfReader>>,
    /// Where its films lie, in the order of [`View::ALL`]; nothing where the study has none.
    pub films: [Option<PathBuf>; 2],
    /// Which objects.
    pub chosen: ChosenObjects,
    /// Whether the sheet names the patient; never without identity.
    pub names_patient: bool,
    /// Whether somebody looked at the films and goes on although their files say the other foot or view.
    pub against_films: bool,
    /// How the identity is taken away; nothing where it stays.
    pub without_identity: Option<WithoutIdentity>,
}

/// What a person did about letters in the pixels, for each film in the order of [`View::ALL`].
#[derive(Clone, Debug, Default)]
pub(crate) struct WithoutIdentity {
    /// The boxes that are filled.
    pub masks: [Vec<MaskBox>; 2],
    /// Whether somebody looked and says that no letters are left that name anybody.
    pub looked: [bool; 2],
}

impl ExportRequest<'_> {
    /// Every object that was chosen, under names that name nobody.
    ///
    /// # Errors
    /// When a film is missing, was changed, or says another side or view unheard, the side is not confirmed, a mask lies beside its film, or an object
    /// cannot be made.
    pub(crate) fn objects(&self) -> anyhow::Result<Vec<ObjectFile>> {
        let mut films = opened_films(&self.study, &self.films)?;
        let bare = match &self.without_identity {
            Some(how) => Some(take_identity_away(&self.study, &mut films, how)?),
            None => None,
        };
        let study = bare.as_ref().unwrap_or(&self.study);
        let pdf = if self.chosen.sheet {
            Some(self.sheet(study, &films)?)
        } else {
            None
        };
        let now = Zoned::now();
        let reader = self.reader.as_deref();
        let worksheet = worksheet(&foot_of(study), &choices_by(study, reader));
        let own_spread: Vec<(Measurement, String)> = reader
            .into_iter()
            .flat_map(|reader| reader.held_by(&worksheet))
            .map(|(measurement, kept)| (measurement, kept.words_without_day()))
            .collect();
        let request = ObjectsRequest {
            study,
            worksheet: &worksheet,
            own_spread: &own_spread,
            films: View::ALL.map(|view| {
                let film = films[view as usize].as_ref()?;
                Some(ExportFilm {
                    bytes: &film.bytes,
                    film: &film.film,
                    names_nobody: self.looked_at(view),
                })
            }),
            sheet: pdf.as_ref().map(|pdf| ExportSheet {
                pdf,
                names_patient: self.sheet_names_patient(),
            }),
            chosen: self.chosen,
            against_films: self.against_films,
            caution: CAUTION,
            version: env!("CARGO_PKG_VERSION"),
            moment: self.without_identity.is_none().then_some(&now),
        };
        Ok(objects_of(&request)?)
    }

    fn looked_at(&self, view: View) -> bool {
        let how = self.without_identity.as_ref();
        how.is_some_and(|how| how.looked[view as usize])
    }

    const fn sheet_names_patient(&self) -> bool {
        self.names_patient && self.without_identity.is_none()
    }

    /// The sheet with the rows that a clinic reads of every foot, on A4.
    fn sheet(&self, study: &Study, films: &[Option<OpenedFilm>; 2]) -> anyhow::Result<Vec<u8>> {
        let paths = self.films.iter().flatten().map(PathBuf::as_path);
        let identity = self.sheet_names_patient().then(|| identity_of(paths));
        let rows = Measurement::ALL.into_iter();
        let measurements: Vec<Measurement> = rows
            .filter(|row| RowSet::Clinic.usually_has(*row))
            .collect();
        let printing = Printing {
            // Names of files may be names of people.
            name: if self.without_identity.is_some() {
                "without identity"
            } else {
                &self.name
            },
            study,
            films: films
                .each_ref()
                .map(|film| film.as_ref().map(|film| FoundFilm::Same(&film.film))),
            measurements: &measurements,
            reader: self.reader.as_deref(),
            tells_reader: self.without_identity.is_none(),
            paper: Paper::A4,
            identity: identity.as_ref(),
        };
        let made = printing.files(Besides::default())?.into_iter().next();
        made.map(|file| file.bytes)
            .context("the sheet was not made")
    }
}
