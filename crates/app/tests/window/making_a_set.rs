//! A supervisor makes a practice set of traced studies in the window, and a resident practises on it.

use std::{fs, path::PathBuf};

use egui::Key;
use plumbray::workbench::{Command, MakingCommand, PracticeCommand, SetInMaking};
use plumbray_anatomy::{Side, View};
use plumbray_practise::{PracticeSet, ReferenceSource, SET_FILE};
use plumbray_study::{FilmRecord, load, study_to_text, write_whole};

use crate::{
    harness::{Desk, Window},
    samples::sample_images,
};

/// A folder with the traced sample foot twice, the second time by another reader, and one study whose film was
/// changed since.
fn traced(desk: &Desk) -> PathBuf {
    let folder = desk.film("clinic");
    for (patient, reader) in [
        ("Doe Jane", "Dr Reed"),
        ("Roe Rick", "Dr Moss"),
        ("Poe Pat", "Dr Reed"),
    ] {
        let own = folder.join(patient);
        fs::create_dir_all(&own).expect("a folder");
        for file in [
            "sample-foot-ap.dcm",
            "sample-foot-lateral.dcm",
            "sample-foot-ap.dcm.study.ron",
        ] {
            fs::copy(sample_images().join(file), own.join(file)).expect("a sample");
        }
        let path = own.join("sample-foot-ap.dcm.study.ron");
        let mut study = load(&path).expect("a study");
        reader.clone_into(&mut study.reader.name);
        let text = study_to_text(&study).expect("storable");
        write_whole(&path, text.as_bytes()).expect("written");
    }
    let changed = folder.join("Poe Pat").join("sample-foot-ap.dcm");
    fs::copy(sample_images().join("sample-foot-lateral.dcm"), changed).expect("changed");
    folder
}

fn make(command: MakingCommand) -> Command {
    Command::Practise(PracticeCommand::Make(command))
}

fn making<T>(window: &Window, look: impl Fn(&SetInMaking) -> T) -> T {
    let workbench = window.workbench();
    let practising = workbench.practising().expect("practising");
    look(practising.making().expect("a set is made"))
}

fn study(patient: &str) -> String {
    format!("{patient}/sample-foot-ap.dcm.study.ron")
}

/// A window in which the studies of a folder were read, to make a set of them.
fn making_of(desk: &Desk, folder: PathBuf) -> Window {
    let mut window = Window::new(desk);
    window.press_button("Practise");
    window.press_button("Make a set…");
    assert!(
        window.shows("Choose the folder of the studies"),
        "what to do"
    );
    window.lay_out(folder);
    window.press_button("Choose the folder…");
    window.wait_until("the studies are read", |workbench| {
        let making = workbench.practising().and_then(|own| own.making());
        making.is_some_and(|own| own.studies.is_some())
    });
    window
}

#[test]
fn each_study_says_what_it_offers_and_a_film_is_ticked_only_when_it_was_seen_large() {
    let desk = Desk::new();
    let mut window = making_of(&desk, traced(&desk));
    for words in [
        "2 of 3 studies can serve",
        "This study cannot be a reference: its film was changed",
        "traced by Dr Reed",
        "traced by Dr Moss",
        "AP and lateral film",
        "Text that is burnt into a film’s pixels stays",
    ] {
        assert!(window.shows(words), "{words}");
    }
    let whose = making(&window, |own| own.supervisor.clone());
    assert_eq!(whose, "Dr Reed", "whoever traced");
    window.press_button(&study("Roe Rick"));
    let unseen = make(MakingCommand::Clear(0, View::Ap, true));
    assert!(!unseen.is_possible(&window.workbench()), "nobody looked");
    assert!(
        window.shows("Look at 2 more films for names"),
        "what is missing"
    );
    let write = make(MakingCommand::Write);
    assert!(
        !write.is_possible(&window.workbench()),
        "not before every film was looked at"
    );
    window.press_button(&format!("Look at the AP film of {}", study("Doe Jane")));
    assert!(
        window.shows("AP film, to be looked at for names"),
        "it is shown large"
    );
    window.press_button("Nothing in it tells who it is");
    assert!(
        window.shows("Lateral film, to be looked at for names"),
        "the next one"
    );
    window.press_button("Nothing in it tells who it is");
    assert!(window.shows("2 of 3 studies can serve"), "the list again");
    assert!(write.is_possible(&window.workbench()), "all were looked at");
    let tick = format!("No name in the AP film of {}", study("Doe Jane"));
    window.press_button(&tick);
    assert!(
        window.shows("Look at 1 more film for names"),
        "a tick taken back"
    );
    window.press_button(&format!("Look at the AP film of {}", study("Doe Jane")));
    window.press_button("Leave this study out");
    assert!(
        window.shows("Take at least one study into the set"),
        "a name was found: the study stays out"
    );
}

#[test]
fn a_supervisor_makes_a_set_of_studies_and_a_resident_practises_on_it() {
    let desk = Desk::new();
    let mut window = making_of(&desk, traced(&desk));
    window.press_button(&study("Roe Rick"));
    window.press_button("Look at the next film");
    for _ in View::ALL {
        window.press_button("Nothing in it tells who it is");
    }
    window.fill_in("Name of the set", "Spring course");
    window.press_button("residents begin with snapping");
    let target = desk.film("ward set");
    window.fill_in("Where to write it", &target.display().to_string());
    window.press_button("Write the set");
    assert!(
        window.shows("Spring course"),
        "it opens: {:?}",
        window.workbench().notices()
    );
    assert!(
        window.shows("The practice set is written"),
        "and says where"
    );
    let set = PracticeSet::open(&target).expect("a set");
    assert_eq!(set.feet.len(), 1, "the other one was left out");
    assert!(set.defaults.snapping, "as it was chosen");
    assert_eq!(set.feet[0].side, Side::Left, "the side of the study");
    let reference = set.feet[0].reference(&target).expect("sealed");
    let source = ReferenceSource::Supervisor {
        name: "Dr Reed".to_owned(),
    };
    assert_eq!(reference.source, source, "whose tracing");
    for entry in fs::read_dir(&target).expect("a folder") {
        let path = entry.expect("an entry").path();
        let text = fs::read(&path).expect("readable");
        for word in [&b"Doe"[..], b"Jane", b"DICM"] {
            assert!(
                !text.windows(word.len()).any(|part| part == word),
                "{} tells who it is",
                path.display()
            );
        }
    }
    window.apply(Command::Practise(PracticeCommand::As("Ada".to_owned())));
    window.key(Key::Enter);
    let workbench = window.workbench();
    let attempt = workbench.practising().and_then(|own| own.attempt());
    assert!(attempt.expect("the foot").snapping(), "it is practised on");
}

#[test]
fn what_cannot_be_written_is_said_and_leaves_nothing_half_made() {
    let desk = Desk::new();
    let folder = traced(&desk);
    let mut window = Window::new(&desk);
    // The folder of the study that was open is proposed.
    let own = folder.join("Doe Jane");
    window.apply(Command::Open(vec![
        own.join("sample-foot-ap.dcm.study.ron"),
    ]));
    window.press_button("Practise");
    window.press_button("Make a set…");
    assert_eq!(
        making(&window, |making| making.folder.clone()),
        Some(own.clone()),
        "proposed"
    );
    assert!(window.shows("1 of 1 studies can serve"), "and read");
    for view in View::ALL {
        window.apply(make(MakingCommand::LookAt(0, view)));
        window.apply(make(MakingCommand::Clear(0, view, true)));
    }
    // A film that came since nobody looked at.
    let study_file = own.join("sample-foot-ap.dcm.study.ron");
    let whole = fs::read_to_string(&study_file).expect("a study");
    let mut other = load(&study_file).expect("a study");
    fs::copy(
        sample_images().join("oak-before-ap.dcm"),
        own.join("oak-before-ap.dcm"),
    )
    .expect("a film");
    other.lateral =
        Some(FilmRecord::of_file(&own.join("oak-before-ap.dcm"), &own, 10, 10).expect("a film"));
    let text = study_to_text(&other).expect("storable");
    write_whole(&study_file, text.as_bytes()).expect("written");
    window.press_button("Write the set");
    assert!(
        window.shows("it has a film that was not looked at for names"),
        "refused"
    );
    write_whole(&study_file, whole.as_bytes()).expect("written");
    // The folder of the films themselves is taken.
    window.apply(make(MakingCommand::Where(own.display().to_string())));
    window.press_button("Write the set");
    assert!(window.shows("The set was not written"), "why");
    assert!(!own.join(SET_FILE).exists(), "nothing was written");
    assert!(
        making(&window, |making| making.work_under_way().is_none()),
        "it can be mended"
    );
    window.apply(make(MakingCommand::ReadStudies(desk.film("nowhere"))));
    assert!(window.shows("The folder cannot be read"), "no such folder");
    window.apply(Command::Practise(PracticeCommand::NoDialogs));
    assert!(
        window.shows("Write the folder’s path into the field"),
        "without dialogs"
    );
    // A dropped folder is read.
    window.apply(Command::Open(vec![folder]));
    assert!(window.shows("2 of 3 studies can serve"), "dropped");
    window.press_button("Leave");
    assert!(window.shows("Ten simulated feet"), "the overview");
}
