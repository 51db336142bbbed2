//! What the prompt line says of a proposal, and between what the reader chooses.

use plumbray_anatomy::{Side, View};

use super::{Workbench, command::Command};

/// What is offered to the reader now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Offer {
    /// A tracing, to be accepted, corrected or thrown away.
    Tracing {
        /// On which film.
        view: View,
        /// Which foot the order of the bones makes it; nothing on a lateral film.
        side: Option<Side>,
        /// The side that the reader or the file says, where the bones contradict it.
        contradicts: Option<Side>,
        /// How many landmarks are proposed.
        proposed: usize,
        /// How many of them to look at again.
        doubtful: usize,
        /// How many are left to the reader.
        left: usize,
    },
    /// The film looks like one of the other view.
    OtherView {
        /// As which view it was opened.
        opened: View,
    },
    /// The film shows several feet, and nobody has said which one is read.
    WhichFoot {
        /// As which view it was opened.
        view: View,
    },
}

impl Offer {
    /// The film that it is about.
    #[must_use]
    pub const fn view(&self) -> View {
        match self {
            Self::Tracing { view, .. } | Self::WhichFoot { view } => *view,
            Self::OtherView { opened } => *opened,
        }
    }

    /// One sentence that says what was found.
    #[must_use]
    pub fn prompt(&self) -> String {
        match self {
            Self::Tracing {
                view,
                side,
                proposed,
                left,
                ..
            } => {
                let all = proposed + left;
                format!(
                    "{}: {proposed} of {all} landmarks proposed.",
                    foot_name(*side, *view)
                )
            }
            Self::OtherView { opened } => format!(
                "This looks like {}, but it was opened as {}.",
                film_name(opened.other()),
                film_name(*opened)
            ),
            Self::WhichFoot { .. } => "The film shows both feet. Which one is read?".to_owned(),
        }
    }

    /// One line that says what is to be looked at.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::Tracing {
                contradicts: Some(said),
                ..
            } => format!(
                "The order of the bones makes it the other foot, not the {} one. Is the film \
                 mirrored, or the side wrong?",
                said.identifier()
            ),
            Self::Tracing { doubtful, left, .. } => {
                let mut parts = Vec::new();
                if *doubtful > 0 {
                    parts.push(format!("{doubtful} of them to look at again"));
                }
                if *left > 0 {
                    parts.push(format!("{left} left for you"));
                }
                let found = if parts.is_empty() {
                    String::new()
                } else {
                    format!("{}. ", parts.join(", "))
                };
                format!("{found}Look whether the lines lie on the bones.")
            }
            Self::OtherView { .. } => {
                "Exchanged, each film keeps what was traced on it that belongs to its view."
                    .to_owned()
            }
            Self::WhichFoot { .. } => "Each foot has a study of its own.".to_owned(),
        }
    }

    /// Whether the first choice is the one that most readers want.
    #[must_use]
    pub const fn first_is_likeliest(&self) -> bool {
        !matches!(self, Self::WhichFoot { .. })
    }

    /// The commands between which the reader chooses.
    #[must_use]
    pub fn choices(&self) -> Vec<Command> {
        match self {
            Self::Tracing { .. } => vec![
                Command::AcceptProposal,
                Command::SetAdjusting(true),
                Command::ThrowProposalAway,
            ],
            Self::OtherView { .. } => vec![Command::ExchangeViews, Command::ThrowProposalAway],
            Self::WhichFoot { .. } => vec![
                Command::ReadOneFootOfTwo(Side::Left),
                Command::ReadOneFootOfTwo(Side::Right),
                Command::ThrowProposalAway,
            ],
        }
    }

    /// What a choice is called beside this offer.
    #[must_use]
    pub fn name_of(&self, choice: &Command) -> String {
        match (self, choice) {
            (Self::Tracing { .. }, Command::AcceptProposal) => "Accept".to_owned(),
            (Self::Tracing { .. }, Command::SetAdjusting(_)) => "Correct".to_owned(),
            (Self::Tracing { .. }, Command::ThrowProposalAway) => "Throw away".to_owned(),
            (_, Command::ThrowProposalAway) => "Leave it".to_owned(),
            (_, Command::ReadOneFootOfTwo(Side::Left)) => "The left foot".to_owned(),
            (_, Command::ReadOneFootOfTwo(Side::Right)) => "The right foot".to_owned(),
            _ => choice.text(),
        }
    }
}

fn foot_name(side: Option<Side>, view: View) -> String {
    match side {
        Some(Side::Left) => format!("Left foot, {}", view.name()),
        Some(Side::Right) => format!("Right foot, {}", view.name()),
        None => view.name().to_owned(),
    }
}

const fn film_name(view: View) -> &'static str {
    match view {
        View::Ap => "an AP film",
        View::Lateral => "a lateral film",
    }
}

impl Workbench {
    /// What the prompt line offers now: on the active film, or on the other one when nothing more is
    /// asked for on the active one. Nothing while the reader traces a chosen bone or calibrates.
    #[must_use]
    pub fn offer(&self) -> Option<Offer> {
        let view = self.view();
        if view.calibrating.is_some() || view.first_click.is_some() {
            return None;
        }
        let waits = |view: View| self.view().chosen_step[view as usize].is_none();
        let active = view.active?;
        let other = active.other();
        self.offer_on(active).filter(|_| waits(active)).or_else(|| {
            self.offer_on(other)
                .filter(|_| waits(other) && self.step(active).is_none())
        })
    }

    /// Whether the prompt line offers a tracing, which Enter then accepts.
    pub(super) fn accepts_proposal(&self) -> bool {
        matches!(self.offer(), Some(Offer::Tracing { .. }))
    }

    /// The film whose proposal a command is about: the active one, or the other where the active one
    /// has none.
    pub(super) fn view_of_offer(&self) -> Option<View> {
        let active = self.view().active?;
        let films = [active, active.other()];
        films
            .into_iter()
            .find(|view| self.offer_on(*view).is_some())
    }

    /// What is offered on one film.
    pub(super) fn offer_on(&self, view: View) -> Option<Offer> {
        let look = &self.film(view)?.look;
        let seen = look.seen().filter(|_| look.offered)?;
        if !seen.feet.is_empty() && seen.feet.iter().all(|foot| foot.view != view) {
            return Some(Offer::OtherView { opened: view });
        }
        let Some(foot) = seen.foot(self.study().foot()) else {
            return (seen.feet.len() > 1).then_some(Offer::WhichFoot { view });
        };
        let rest = self.offered_tracing(view)?;
        let tracing = self.study().tracing.on(view);
        let is_offered = |landmark| rest.points.contains_key(landmark);
        let chosen = self.study().foot();
        Some(Offer::Tracing {
            view,
            side: foot.side,
            contradicts: chosen.filter(|chosen| foot.side.is_some_and(|side| side != *chosen)),
            proposed: rest.points.len(),
            doubtful: foot.doubts.keys().filter(|at| is_offered(at)).count(),
            left: foot
                .left_to_reader
                .keys()
                .filter(|at| !tracing.points.contains_key(at))
                .count(),
        })
    }
}
