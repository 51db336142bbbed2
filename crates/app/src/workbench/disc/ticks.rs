//! Which films are ticked: at most two, of one patient.

use plumbray_anatomy::capitalised;

use super::OpenDisc;
use crate::workbench::Workbench;

/// A foot has at most two films.
const MOST_TICKED: usize = 2;

impl OpenDisc {
    /// Ticks a film.
    ///
    /// # Errors
    /// Why it cannot be ticked beside those that are, in words.
    fn tick(&mut self, film: usize) -> Result<(), &'static str> {
        let Some(listing) = &self.listing else {
            return Ok(());
        };
        if self.ticked.contains(&film) || listing.film(film).is_none() {
            return Ok(());
        }
        let is_other = |ticked: &usize| !listing.are_of_one_patient(*ticked, film);
        if self.ticked.iter().any(is_other) {
            return Err(
                "This film is of another patient than the film that is ticked, so it was not ticked. Untick that \
                 one first.",
            );
        }
        if self.ticked.len() >= MOST_TICKED {
            return Err(
                "Two films are ticked already, so this one was not. A foot has an AP and a lateral film; untick one \
                 first.",
            );
        }
        self.ticked.push(film);
        Ok(())
    }

    /// What a reader should know of the two films that are ticked before they are opened as one foot.
    pub(crate) fn remarks(&self) -> Vec<String> {
        let [one, other] = self.ticked[..] else {
            return Vec::new();
        };
        let Some(listing) = &self.listing else {
            return Vec::new();
        };
        let (Some((_, study, _, one)), Some((_, other_study, _, other))) =
            (listing.film(one), listing.film(other))
        else {
            return Vec::new();
        };
        let mut remarks = Vec::new();
        let side = |film: &plumbray_film::DiscFilm| film.about.side.as_ref().map(|side| side.value);
        if let (Some(one), Some(other)) = (side(one), side(other))
            && one != other
        {
            remarks.push(format!(
                "{} and {} foot: these films are not of one foot.",
                capitalised(one.identifier()),
                other.identifier()
            ));
        }
        let view = |film: &plumbray_film::DiscFilm| film.about.view.as_ref().map(|view| view.value);
        if let (Some(one), Some(other)) = (view(one), view(other))
            && one == other
        {
            let view = one.name_in_sentence();
            remarks.push(format!(
                "Both say that they are {view} films. The second is taken for the other view."
            ));
        }
        if let (Some(one), Some(other)) = (&study.about.date, &other_study.about.date)
            && one != other
        {
            remarks.push(format!("They were taken on two days: {one} and {other}."));
        }
        remarks
    }
}

impl Workbench {
    pub(super) fn tick(&mut self, film: usize, ticked: bool) {
        let Some(disc) = &mut self.disc else { return };
        let refused = if ticked {
            disc.tick(film).err()
        } else {
            disc.ticked.retain(|own| *own != film);
            None
        };
        self.notices.clear();
        if let Some(refusal) = refused {
            self.warn(refusal.to_owned());
        }
    }
}
