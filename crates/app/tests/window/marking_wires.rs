//! Wires marked as they lie on a later film, and held against the plan.

use std::path::Path;

use egui::{Key, vec2};
use plumbray::workbench::{Command, CompareCommand, CompareView, WireAgainstPlan, WireMarking};
use plumbray_anatomy::{FilmPoint, LongBone, View, testing::assert_close};
use plumbray_plan::{BonePlace, Extent, Screw, ScrewKind};
use plumbray_study::StudyFile;

use crate::{
    harness::{Desk, Window},
    planned::oak_is_planned,
    visits::oak_at_three_visits,
};

/// Where two wires are planned.
const PLANNED: [[(f64, f64); 2]; 2] = [[(0.3, -0.1), (0.95, 0.05)], [(0.45, -0.15), (1.0, 0.12)]];

fn place((along, lateral): (f64, f64)) -> BonePlace {
    BonePlace {
        along,
        lateral,
        dorsal: 0.0,
    }
}

/// A plan with two wires, in the study of the visit before surgery.
fn wires_are_planned(study: &Path, desk: &Desk) {
    oak_is_planned(study, &desk.folders());
    let (mut file, found) = StudyFile::open_with(study, &desk.folders()).expect("a study's file");
    let mut found = found.expect("the study before");
    found.plans[0].screws = PLANNED
        .map(|[entry, tip]| Screw {
            kind: ScrewKind::Wire,
            diameter: Extent::Share(0.1),
            entry: place(entry),
            tip: place(tip),
        })
        .to_vec();
    file.save(&found).expect("writable");
}

/// The window with the visit before surgery compared with the last one, tall enough for every number.
fn window(desk: &Desk, small_later_film: bool) -> Window {
    let studies = oak_at_three_visits(&desk.film(""), &desk.folders());
    wires_are_planned(&studies[0], desk);
    if small_later_film {
        let opened = StudyFile::open_with(&studies[2], &desk.folders());
        let (mut file, found) = opened.expect("a study's file");
        let mut study = found.expect("the last visit");
        // Of the lesser rays the second alone, as on a round film from theatre: not laid over the earlier one.
        let lesser = [LongBone::M3, LongBone::M4, LongBone::M5];
        study
            .tracing
            .ap
            .cortices
            .retain(|bone, _| !lesser.contains(bone));
        study.tracing.ap.points.retain(|landmark, _| {
            let name = landmark.identifier();
            ["m3", "m4", "m5"]
                .iter()
                .all(|bone| !name.starts_with(bone))
        });
        file.save(&study).expect("writable");
    }
    let mut window = Window::of_size(desk, vec2(1440.0, 2400.0));
    window.apply(Command::Open(vec![studies[2].clone()]));
    window.press_button("Compare");
    window.press_button("Visit 1: before surgery");
    window
}

/// Where the ends of the second planned wire lie on the later film.
fn planned_on_later(window: &Window) -> [FilmPoint; 2] {
    let workbench = window.workbench();
    let comparing = workbench.comparing().expect("comparing");
    let (.., laid) = comparing.laid_by_shaft().expect("the shaft is traced");
    PLANNED[1].map(|end| laid.on_later(place(end)))
}

/// Clicks on a point of the later film, which is shown under this name.
fn click_later(window: &mut Window, film: &str, at: FilmPoint) {
    let shown = {
        let workbench = window.workbench();
        workbench
            .comparing()
            .expect("comparing")
            .as_later_is_shown(at)
    };
    let at = window.map_of_later(film).screen(shown);
    window.click_at(at);
}

fn against_plan(window: &Window) -> Vec<WireAgainstPlan> {
    let workbench = window.workbench();
    workbench
        .comparing()
        .expect("comparing")
        .wires_against_plan()
}

fn marking(window: &Window) -> WireMarking {
    let workbench = window.workbench();
    workbench
        .comparing()
        .expect("comparing")
        .looking
        .wires
        .marking
}

#[test]
fn a_wire_marked_where_it_was_planned_lies_there_and_can_be_taken_away() {
    for (is_small, film) in [(false, "Both AP films"), (true, "Later AP film")] {
        let desk = Desk::new();
        let mut window = window(&desk, is_small);
        window.press_button("Mark a wire as it lies");
        assert!(
            window.shows("click where the wire enters"),
            "{film}: what to do first"
        );
        let ends = planned_on_later(&window);
        click_later(&mut window, film, ends[0]);
        assert!(window.shows("Click its tip"), "{film}: what to do then");
        click_later(&mut window, film, ends[1]);
        let told = against_plan(&window);
        let [wire] = told.as_slice() else {
            panic!("one wire was marked: {told:?}");
        };
        let (nearest, difference) = wire.nearest.as_ref().expect("two ends");
        assert_eq!(*nearest, 1, "{film}: the second of the planned ones");
        for end in [&difference.entry, &difference.tip] {
            let mm = end.apart.mm.expect("the film before is calibrated");
            assert_close(mm, 0.0, 0.05, film);
        }
        assert_close(difference.angle_degrees, 0.0, 0.2, film);
        for text in [
            "Nearest planned: Wire B",
            "mm farther",
            "Millimetres calibrated by geometry",
            "kept in no file",
        ] {
            assert!(window.shows(text), "{film}: {text}");
        }
        window.press_button("Take wire 1 away");
        assert!(against_plan(&window).is_empty(), "{film}: taken away");
    }
}

#[test]
fn escape_forgets_a_wire_that_is_being_marked_and_other_ways_to_look_do_too() {
    let desk = Desk::new();
    let mut window = window(&desk, false);
    window.press_button(CompareView::Blend.name());
    window.key(Key::K);
    assert_eq!(marking(&window), WireMarking::Entry, "by its key");
    let shown = {
        let workbench = window.workbench();
        workbench.comparing().expect("comparing").looking.shown
    };
    assert_eq!(shown, CompareView::Outlines, "the later film with the plan");
    let [entry, _] = planned_on_later(&window);
    click_later(&mut window, "Both AP films", entry);
    assert!(
        matches!(marking(&window), WireMarking::Tip(_)),
        "half marked"
    );
    window.key(Key::Escape);
    assert_eq!(marking(&window), WireMarking::Nothing, "forgotten");
    assert!(
        window.workbench().comparing().is_some(),
        "and still comparing"
    );
    window.key(Key::K);
    window.press_button(CompareView::Curtain.name());
    assert_eq!(
        marking(&window),
        WireMarking::Nothing,
        "a curtain shows no film by itself"
    );
    assert!(against_plan(&window).is_empty(), "nothing was marked");
}

#[test]
fn a_wire_belongs_to_its_own_visit() {
    let desk = Desk::new();
    let mut window = window(&desk, false);
    window.apply(Command::Compare(CompareCommand::MarkWire));
    for at in planned_on_later(&window) {
        window.apply(Command::Compare(CompareCommand::WireAt(at)));
    }
    assert_eq!(against_plan(&window).len(), 1, "on the last film");
    let to = |earlier, later| {
        let pair = plumbray_compare::Pair { earlier, later };
        Command::Compare(CompareCommand::Between(pair))
    };
    window.apply(to(0, 1));
    assert!(against_plan(&window).is_empty(), "not on the first one");
    window.apply(to(0, 2));
    assert_eq!(against_plan(&window).len(), 1, "still on the last one");
}

#[test]
fn without_screws_in_the_plan_or_on_lateral_films_there_is_nothing_to_mark() {
    let desk = Desk::new();
    let mut window = window(&desk, false);
    let mark = Command::Compare(CompareCommand::MarkWire);
    assert!(mark.is_possible(&window.workbench()), "two planned wires");
    window.apply(Command::Compare(CompareCommand::HoldPlan(1)));
    assert!(!mark.is_possible(&window.workbench()), "none in this plan");
    assert!(window.shows("the plan has no screws or wires"), "and why");
    window.apply(Command::Compare(CompareCommand::HoldPlan(0)));
    window.apply(Command::Compare(CompareCommand::Films(View::Lateral)));
    assert!(!mark.is_possible(&window.workbench()), "no AP film is seen");
}
