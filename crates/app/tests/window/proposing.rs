//! A proposed tracing: shown, accepted, corrected, thrown away, and never taken for the reader's own.

use egui::{Key, Modifiers};
use plumbray::workbench::{Command, Progress, Selection, TraceStep};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Origin, Sesamoid, Side, View};
use plumbray_measure::Measurement;
use plumbray_proposal::{Doubt, Proposal, ProposalError};

use crate::{
    harness::{Desk, Window},
    sample_truth::{RoughHand, read_value, trace, true_tracing, true_value},
    samples::truth_of,
};

const TIP: Landmark = Landmark::Tip(LongBone::M1);
/// A point near which no other lies.
const DRAGGED: Landmark = Landmark::Tip(LongBone::M5);

/// The truth of a sample film as a proposal would give it, each point with a spread.
pub(crate) fn proposal_of(film: &str, side: Side, view: View) -> Proposal {
    let mut tracing = true_tracing(film, side);
    for point in tracing.points.values_mut() {
        point.sd_px = 2.0;
    }
    for cortices in tracing.cortices.values_mut() {
        cortices.sd_px = 1.0;
    }
    Proposal {
        view,
        side: (view == View::Ap).then_some(side),
        tracing,
        doubts: [(Landmark::Tip(LongBone::M3), Doubt::Faint)].into(),
        left_to_reader: [].into(),
    }
}

/// The same with the fibular sesamoid left to the reader.
fn incomplete_proposal() -> Proposal {
    let mut proposal = proposal_of("sample-foot-ap", Side::Left, View::Ap);
    for landmark in Landmark::of_sesamoid(Sesamoid::Fibular) {
        proposal.tracing.points.remove(&landmark);
        proposal.left_to_reader.insert(landmark, Doubt::Ambiguous);
    }
    proposal
}

/// A window with the AP film of the sample foot and a proposal on it.
fn window_with(desk: &Desk, proposal: Proposal) -> Window {
    let mut window = Window::with(desk, vec![desk.copy_of_sample("sample-foot-ap.dcm")]);
    window.film_shows(View::Ap, Ok(vec![proposal]));
    window
}

#[test]
fn a_proposal_is_shown_and_nothing_of_it_is_in_the_study() {
    let desk = Desk::new();
    let window = window_with(&desk, incomplete_proposal());
    let workbench = window.workbench();
    assert!(workbench.study().tracing.ap.is_empty(), "nothing is placed");
    assert_eq!(workbench.next_undo(), None, "nothing to take back");
    let outcome = workbench
        .worksheet()
        .outcome(Measurement::HalluxValgusAngle);
    assert!(
        outcome.is_some_and(|outcome| outcome.reading().is_none()),
        "no number from a proposal"
    );
    assert_eq!(
        workbench.progress(TraceStep::Shaft(View::Ap, LongBone::M1)),
        Progress::Proposed,
        "the foot map tells it"
    );
    drop(workbench);
    let all = incomplete_proposal();
    let (proposed, left) = (all.tracing.points.len(), all.left_to_reader.len());
    let sentence = format!(
        "Left foot, AP: {proposed} of {} landmarks proposed.",
        proposed + left
    );
    assert!(window.shows(&sentence), "{sentence}");
    assert!(
        window.shows("1 of them to look at again, 3 left for you."),
        "what the reader has to do"
    );
    for name in ["Accept", "Correct", "Throw away"] {
        assert!(window.shows(name), "the choice {name}");
    }
    assert!(
        window.shows("Third metatarsal, tip") || window.shows("look again: tip, hidden behind"),
        "the doubt, bone by bone"
    );
}

#[test]
fn enter_accepts_in_one_step_and_asks_for_what_is_left() {
    let desk = Desk::new();
    let mut window = window_with(&desk, incomplete_proposal());
    window.key(Key::Enter);
    {
        let workbench = window.workbench();
        let tracing = &workbench.study().tracing.ap;
        assert!(
            tracing
                .points
                .values()
                .all(|point| point.origin == Origin::Proposed)
                && tracing.points.len() == incomplete_proposal().tracing.points.len(),
            "every point, as proposed"
        );
        assert_eq!(
            workbench.next_step(),
            Some(TraceStep::Sesamoid(Sesamoid::Fibular)),
            "what is left"
        );
        assert_eq!(
            workbench.next_undo(),
            Some("Accept the proposal"),
            "one step"
        );
    }
    assert!(
        window.shows("Left for you: two places are about as likely."),
        "why it is left"
    );
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let read = read_value(&window, Measurement::HalluxValgusAngle);
    let expected = true_value(&truth, Measurement::HalluxValgusAngle);
    assert!((read - expected).abs() < 0.2, "{read} for {expected}");
    window.apply(Command::SelectPoint(View::Ap, Landmark::Tip(LongBone::M3)));
    assert!(
        window.shows("Look at it again: hidden behind other bones"),
        "the doubt stays beside its point"
    );
    window.key_with(Modifiers::COMMAND, Key::Z);
    assert!(
        window.workbench().study().tracing.ap.is_empty(),
        "one step back takes all of it"
    );
    assert!(window.shows("landmarks proposed."), "and offers it again");
    window.key_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    assert!(!window.shows("landmarks proposed."), "made again");
}

#[test]
fn what_the_reader_traced_is_never_overwritten() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![desk.copy_of_sample("sample-foot-ap.dcm")]);
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), 4);
    let step = TraceStep::Shaft(View::Ap, LongBone::M1);
    trace(&mut window, step, &truth, &mut hand);
    let own = window.workbench().study().tracing.ap.clone();
    let mut proposal = incomplete_proposal();
    for point in proposal.tracing.points.values_mut() {
        point.at.x_px += 5.0;
    }
    window.film_shows(View::Ap, Ok(vec![proposal]));
    assert!(
        !window.shows("landmarks proposed."),
        "a film that is being traced is left in peace"
    );
    window.key_with(Modifiers::COMMAND, Key::T);
    assert!(window.shows("landmarks proposed."), "until it is asked for");
    window.press_button_that_begins("Accept");
    let workbench = window.workbench();
    let tracing = &workbench.study().tracing.ap;
    for (landmark, point) in &own.points {
        assert_eq!(tracing.points.get(landmark), Some(point), "{landmark}");
    }
    assert_eq!(
        tracing.cortices.get(&LongBone::M1),
        own.cortices.get(&LongBone::M1),
        "the swept shaft"
    );
    assert!(tracing.cortices.contains_key(&LongBone::M2), "the rest");
}

#[test]
fn a_point_that_is_dragged_is_accepted_alone_at_its_new_place() {
    let desk = Desk::new();
    let mut window = window_with(&desk, incomplete_proposal());
    window.press_button_that_begins("Correct");
    let from = incomplete_proposal().tracing.points[&DRAGGED].at;
    let to = FilmPoint::new(from.x_px + 20.0, from.y_px - 10.0);
    let map = window.map(View::Ap);
    window.drag(map.screen(from), map.screen(to), Modifiers::NONE);
    {
        let workbench = window.workbench();
        let points = &workbench.study().tracing.ap.points;
        assert_eq!(points.len(), 1, "that one alone");
        assert_eq!(points[&DRAGGED].origin, Origin::Hand, "it is the reader's");
        let apart = points[&DRAGGED].at.distance_px(to);
        assert!(apart < 1.0, "{apart} pixels from the hand");
    }
    assert!(
        window.shows("landmarks proposed."),
        "the rest is still offered"
    );
    let moved = window.workbench().study().tracing.ap.points[&DRAGGED];
    window.press_button_that_begins("Accept");
    let workbench = window.workbench();
    assert_eq!(
        workbench.study().tracing.ap.points[&DRAGGED],
        moved,
        "it stays"
    );
    assert!(!workbench.view().adjusting, "the next bone is asked for");
}

#[test]
fn a_proposed_point_can_be_taken_out() {
    let desk = Desk::new();
    let mut window = window_with(&desk, incomplete_proposal());
    window.apply(Command::SelectPoint(View::Ap, TIP));
    window.key(Key::Delete);
    assert_eq!(
        window.workbench().view().selection,
        Selection::Nothing,
        "nothing is selected"
    );
    window.key(Key::Enter);
    let workbench = window.workbench();
    let points = &workbench.study().tracing.ap.points;
    assert!(!points.contains_key(&TIP), "taken out");
    assert!(points.len() > 20, "the others were accepted");
}

#[test]
fn enter_accepts_while_a_point_is_selected() {
    let desk = Desk::new();
    let mut window = window_with(&desk, incomplete_proposal());
    window.key(Key::D);
    let tip = Landmark::Tip(LongBone::M3);
    assert_eq!(
        window.workbench().view().selection,
        Selection::Point(View::Ap, tip),
        "the doubtful point"
    );
    window.key(Key::Enter);
    let workbench = window.workbench();
    assert!(
        workbench.study().tracing.ap.points.contains_key(&tip),
        "accepted"
    );
}

#[test]
fn a_proposal_that_is_thrown_away_comes_back_when_asked_for() {
    let desk = Desk::new();
    let mut window = window_with(&desk, incomplete_proposal());
    window.key_with(Modifiers::COMMAND, Key::Delete);
    assert!(!window.shows("landmarks proposed."), "gone");
    assert!(
        window.shows("Sweep along the first metatarsal, base to head."),
        "the reader traces"
    );
    assert_eq!(
        window.workbench().next_undo(),
        None,
        "no change of the study"
    );
    window.apply(Command::ProposeTracing);
    assert!(window.shows("landmarks proposed."), "back again");
}

#[test]
fn a_bone_of_the_list_is_traced_by_the_reader() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.film_shows(View::Ap, Ok(vec![incomplete_proposal()]));
    window.press_button_that_begins("Trace it yourself: Second metatarsal");
    assert!(
        window.shows("Sweep along the second metatarsal, base to head."),
        "it is asked for"
    );
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), 4);
    let step = TraceStep::Shaft(View::Ap, LongBone::M2);
    trace(&mut window, step, &truth, &mut hand);
    assert!(
        window.shows("landmarks proposed."),
        "then the rest is offered"
    );
    window.key(Key::Enter);
    let workbench = window.workbench();
    let tracing = &workbench.study().tracing.ap;
    assert_eq!(
        tracing.cortices[&LongBone::M2].origin,
        Origin::Snapped,
        "the reader's own"
    );
    assert_eq!(
        tracing.cortices[&LongBone::M3].origin,
        Origin::Proposed,
        "accepted"
    );
}

#[test]
fn a_film_of_the_other_view_is_told_and_exchanged() {
    let desk = Desk::new();
    let copy = desk.film("first.dcm");
    let ap = desk.copy_of_sample("sample-foot-lateral.png");
    std::fs::rename(ap, &copy).expect("writable");
    let mut window = Window::with(&desk, vec![copy]);
    let lateral = proposal_of("sample-foot-lateral", Side::Left, View::Lateral);
    window.film_shows(View::Ap, Ok(vec![lateral]));
    assert!(
        window.shows("This looks like a lateral film, but it was opened as an AP film."),
        "the contradiction"
    );
    window.key(Key::Enter);
    assert!(
        window.workbench().study().tracing.ap.is_empty(),
        "no lateral bones on an AP film"
    );
    window.press_button_that_begins("Exchange AP and lateral");
    assert!(
        window.workbench().film(View::Lateral).is_some(),
        "exchanged"
    );
    assert!(window.shows("Lateral: "), "and offered");
    window.key(Key::Enter);
    let angle = read_value(&window, Measurement::CalcanealInclinationAngle);
    assert!((15.0..30.0).contains(&angle), "{angle}");
}

#[test]
fn a_side_that_the_bones_contradict_is_told() {
    let desk = Desk::new();
    let mut window = window_with(&desk, incomplete_proposal());
    window.apply(Command::ConfirmSide(Side::Right));
    assert!(
        window.shows("The order of the bones makes it the other foot, not the right one."),
        "told"
    );
}

#[test]
fn of_a_film_of_both_feet_the_chosen_foot_is_proposed() {
    for side in [Side::Left, Side::Right] {
        let desk = Desk::new();
        let film = desk.copy_of_sample("both-feet-ap.dcm");
        let mut window = Window::with(&desk, vec![film]);
        let feet =
            [Side::Left, Side::Right].map(|side| proposal_of("both-feet-ap", side, View::Ap));
        window.film_shows(View::Ap, Ok(feet.to_vec()));
        let confirmed = window.workbench().study().side.is_some();
        assert!(
            confirmed || window.shows("The film shows both feet. Which one is read?"),
            "asked, unless the file says it"
        );
        window.apply(Command::ReadOneFootOfTwo(side));
        window.key(Key::Enter);
        let truth = true_tracing("both-feet-ap", side);
        let workbench = window.workbench();
        let tip = workbench.study().tracing.ap.point(TIP);
        assert_eq!(tip, truth.point(TIP), "the {side:?} foot");
    }
}

#[test]
fn where_nothing_is_recognised_the_reader_traces_and_is_told_quietly() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, vec![desk.copy_of_sample("sample-foot-ap.dcm")]);
    window.film_shows(View::Ap, Err(ProposalError::NoFoot));
    assert!(
        window.workbench().notices().is_empty(),
        "no notice to close"
    );
    assert!(
        window.shows("Nothing is proposed: no foot is recognised on this film"),
        "why"
    );
    assert!(
        window.shows("Sweep along the first metatarsal, base to head."),
        "what to do"
    );
    window.apply(Command::ProposeTracing);
    assert!(
        window.shows("AP: no foot is recognised on this film"),
        "an answer to who asks"
    );
}

#[test]
fn a_doubtful_point_that_lies_right_is_confirmed_from_the_keyboard() {
    let desk = Desk::new();
    let mut proposal = proposal_of("sample-foot-ap", Side::Left, View::Ap);
    proposal.doubts.insert(DRAGGED, Doubt::AtTheEdge);
    let doubtful: Vec<Landmark> = proposal.doubts.keys().copied().collect();
    let mut window = window_with(&desk, proposal.clone());
    window.key(Key::Enter);
    assert!(
        window.shows("Look again at what is marked"),
        "what is left to do"
    );
    for landmark in doubtful {
        window.key(Key::D);
        assert_eq!(
            window.workbench().view().selection,
            Selection::Point(View::Ap, landmark),
            "one after the other"
        );
        window.key(Key::Y);
        let placed = window.workbench().study().tracing.ap.points[&landmark];
        let proposed = proposal.tracing.points[&landmark];
        assert_eq!(placed.origin, Origin::Hand, "the reader’s own");
        assert_eq!(placed.at, proposed.at, "where it was");
        window.apply(Command::SelectNothing);
    }
    assert!(
        window.shows("Everything on this film is traced; there is no lateral film."),
        "nothing is left on the only film"
    );
    assert!(
        !window.shows("Look again at what"),
        "and nothing is doubtful"
    );
}
