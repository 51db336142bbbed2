//! From two films to the numbers of the first ray and the arch in few gestures, each with its time.

use std::time::Instant;

use egui::Key;
use plumbray::workbench::{Command, TraceStep};
use plumbray_anatomy::{Side, View};
use plumbray_measure::Measurement;
use plumbray_proposal::Proposal;

use crate::{
    harness::{Desk, Window},
    proposing::proposal_of,
    sample_truth::{RoughHand, read_value, trace, true_tracing, true_value},
    samples::truth_of,
};

/// No more gestures than this lead from the films to the numbers, opening included.
const MOST_GESTURES: usize = 12;

/// The numbers that a clinician wants first, with how far each may lie from the truth's.
const WANTED: [(Measurement, f64); 7] = [
    (Measurement::HalluxValgusAngle, 1.5),
    (Measurement::IntermetatarsalAngle12, 1.5),
    (Measurement::DistalMetatarsalArticularAngle, 3.0),
    (Measurement::TibialSesamoidPosition, 1.0),
    (Measurement::RelativeFirstMetatarsalLengthRatio, 0.05),
    (Measurement::TaloFirstMetatarsalAngle, 5.0),
    (Measurement::CalcanealInclinationAngle, 3.0),
];

/// Counts what a person does, and prints how long the program takes for each.
#[derive(Default)]
struct Watch {
    gestures: usize,
}

impl Watch {
    fn does<T>(&mut self, what: &str, gesture: impl FnOnce() -> T) -> T {
        let begun = Instant::now();
        let result = gesture();
        self.gestures += 1;
        eprintln!("{:>2}. {what}: {:.0?}", self.gestures, begun.elapsed());
        result
    }
}

fn assert_every_number_is_read(window: &Window) {
    let truths = [
        true_tracing("sample-foot-ap", Side::Left),
        true_tracing("sample-foot-lateral", Side::Left),
    ];
    for (measurement, limit) in WANTED {
        let truth = true_value(&truths[measurement.view() as usize], measurement);
        let read = read_value(window, measurement);
        assert!(
            (read - truth).abs() <= limit,
            "{measurement:?}: {read:.2} for {truth:.2}"
        );
    }
}

/// Opens the sample foot, confirms its side, accepts what is proposed and traces what is left. Without
/// proposals laid ready, those of the program itself are taken.
fn read_the_sample_foot(laid_ready: Option<[Proposal; 2]>) -> usize {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut watch = Watch::default();
    let mut window = Window::new(&desk);
    watch.does("open the AP and the lateral film", || {
        window.apply(Command::Open(films));
        for (view, proposal) in View::ALL.into_iter().zip(laid_ready.into_iter().flatten()) {
            window.film_shows(view, Ok(vec![proposal]));
        }
    });
    watch.does("confirm that it is the left foot", || {
        window.press_button("Left");
    });
    while window.workbench().offer().is_some() {
        watch.does("accept a proposal", || window.key(Key::Enter));
        trace_what_is_left(&mut window, &mut watch);
    }
    assert_every_number_is_read(&window);
    watch.gestures
}

/// The bone that is asked for; nothing while a proposal is offered or everything is traced.
fn asked_for(window: &Window) -> Option<TraceStep> {
    let workbench = window.workbench();
    match workbench.offer() {
        Some(_) => None,
        None => workbench.next_step(),
    }
}

fn trace_what_is_left(window: &mut Window, watch: &mut Watch) {
    while let Some(step) = asked_for(window) {
        let film = match step.view() {
            View::Ap => "sample-foot-ap",
            View::Lateral => "sample-foot-lateral",
        };
        let truth = true_tracing(film, Side::Left);
        let mut hand = RoughHand::missing_by(1.0, &truth_of(film), 3);
        watch.does(step.name(), || trace(window, step, &truth, &mut hand));
        assert!(watch.gestures <= MOST_GESTURES, "too many gestures");
    }
}

fn proposals() -> [Proposal; 2] {
    [
        ("sample-foot-ap", View::Ap),
        ("sample-foot-lateral", View::Lateral),
    ]
    .map(|(film, view)| proposal_of(film, Side::Left, view))
}

#[test]
fn whole_proposals_lead_to_every_number_in_four_gestures() {
    let gestures = read_the_sample_foot(Some(proposals()));
    assert_eq!(gestures, 4, "open, confirm, accept, accept");
}

#[test]
fn proposals_with_three_bones_left_lead_to_every_number_in_seven_gestures() {
    use plumbray_anatomy::{Landmark, LongBone, Sesamoid};
    use plumbray_proposal::Doubt;
    let mut proposals = proposals();
    let left = [
        (0, Landmark::of_sesamoid(Sesamoid::Tibial).to_vec()),
        (0, Landmark::of_shaft(LongBone::M5).to_vec()),
        (1, vec![Landmark::TalusPosterior, Landmark::TalusAnterior]),
    ];
    for (film, landmarks) in left {
        let proposal = &mut proposals[film];
        for landmark in landmarks {
            proposal.tracing.points.remove(&landmark);
            proposal.left_to_reader.insert(landmark, Doubt::Faint);
        }
    }
    proposals[0].tracing.cortices.remove(&LongBone::M5);
    let gestures = read_the_sample_foot(Some(proposals));
    assert_eq!(gestures, 7, "four, and one for each bone that was left");
}

#[test]
fn the_program_s_own_proposals_lead_to_every_number_in_twelve_gestures() {
    let gestures = read_the_sample_foot(None);
    assert!(gestures <= MOST_GESTURES, "{gestures} gestures");
}
