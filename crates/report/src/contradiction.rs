//! What the file of a film says against its study: the other foot, or the other view.

use plumbray_anatomy::{Side, View};
use plumbray_film::{FilmFacts, Stated};
use plumbray_study::Study;

/// What the file of a film says against its study. A wrong side or a wrong view can hurt somebody, and which of the two
/// is wrong only a person can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contradiction {
    /// The view as which the study has the film.
    pub view: View,
    /// What its file says instead.
    pub said: OtherFact,
}

/// What a file says other than the study.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OtherFact {
    /// It is the other foot.
    Side(Stated<Side>),
    /// It is the other view.
    View(Stated<View>),
}

impl Contradiction {
    /// What is said against what, with the attribute that says it: "the AP film’s file says right foot (Image
    /// Laterality), the study says left".
    #[must_use]
    pub fn text(&self) -> String {
        let film = self.view.name_in_sentence();
        match self.said {
            OtherFact::Side(said) => format!(
                "the {film} film’s file says {} foot ({}), the study says {}",
                said.value.identifier(),
                said.source,
                said.value.opposite().identifier()
            ),
            OtherFact::View(said) => format!(
                "the file of the film that is read as {film} says {} ({})",
                said.value.name_in_sentence(),
                said.source
            ),
        }
    }
}

/// What the files of a study's films say against it, in the order of [`View::ALL`]; `facts` are those of the films, in
/// the same order. A study without a side contradicts no side.
#[must_use]
pub fn contradictions(study: &Study, facts: [Option<&FilmFacts>; 2]) -> Vec<Contradiction> {
    let films = View::ALL.into_iter().zip(facts);
    films
        .filter_map(|(view, facts)| Some((view, facts?)))
        .flat_map(|(view, facts)| {
            let side = facts
                .side
                .filter(|said| study.foot().is_some_and(|side| side != said.value))
                .map(OtherFact::Side);
            let other_view = facts
                .view
                .filter(|said| said.value != view)
                .map(OtherFact::View);
            [side, other_view]
                .into_iter()
                .flatten()
                .map(move |said| Contradiction { view, said })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use plumbray_study::SideChoice;

    use super::*;

    fn facts(side: Side, view: View) -> FilmFacts {
        FilmFacts {
            side: Some(Stated {
                value: side,
                source: "Image Laterality",
            }),
            view: Some(Stated {
                value: view,
                source: "View Position",
            }),
            ..FilmFacts::default()
        }
    }

    #[test]
    fn the_other_foot_and_the_other_view_are_told_with_the_attribute_that_says_them() {
        let study = Study {
            side: Some(SideChoice::entered(Side::Left)),
            ..Study::default()
        };
        let [ap, lateral] = [facts(Side::Right, View::Ap), facts(Side::Left, View::Ap)];
        let told: Vec<String> = contradictions(&study, [Some(&ap), Some(&lateral)])
            .iter()
            .map(Contradiction::text)
            .collect();
        assert_eq!(
            told,
            [
                "the AP film’s file says right foot (Image Laterality), the study says left",
                "the file of the film that is read as lateral says AP (View Position)",
            ],
            "one of each"
        );
    }

    #[test]
    fn files_that_agree_or_say_nothing_contradict_nothing() {
        let mut study = Study {
            side: Some(SideChoice::entered(Side::Left)),
            ..Study::default()
        };
        let agreeing = facts(Side::Left, View::Ap);
        let silent = FilmFacts::default();
        assert_eq!(
            contradictions(&study, [Some(&agreeing), Some(&silent)]),
            [],
            "they agree"
        );
        assert_eq!(contradictions(&study, [None, None]), [], "no films");
        study.side = None;
        let right = facts(Side::Right, View::Ap);
        assert_eq!(
            contradictions(&study, [Some(&right), None]),
            [],
            "a study without a side contradicts none"
        );
    }
}
