//! Sets are made whole or not at all, of simulated feet and of studies.

use std::path::Path;

use plumbray_anatomy::{
    Landmark, LongBone, Origin, PixelSpacing, Proportions, Side, Tracing, View,
};
use plumbray_measure::Measurement;
use plumbray_phantom::{Exposure, Foot, FootParameters, SimulatedFilm, render_ap};
use plumbray_practise::{
    Difficulty, DifficultyReason, DifficultyShares, LessonDefaults, MakingError, Picture,
    PracticeSet, ReferenceSource, SET_FILE, SeenPicture, SimulatedSet, StudyForSet, SupervisedSet,
    made_set, set_from_studies, study_fitness,
};
use plumbray_study::{
    FilmRecord, Reader, SideChoice, SideSource, Study, study_path, study_to_text, write_whole,
};

/// Two coarse feet, which are quick to simulate.
fn request(picture: Picture) -> SimulatedSet {
    SimulatedSet {
        name: "Two coarse feet".to_owned(),
        seed: 4,
        count: 2,
        shares: DifficultyShares {
            easy: 1,
            medium: 0,
            hard: 1,
        },
        pixel_mm: 1.0,
        picture,
        ..SimulatedSet::default()
    }
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn a_simulated_set_opens_and_the_same_seed_gives_the_same_set() {
    let root = tempfile::tempdir().expect("a folder");
    let [one, two] = ["one", "two"].map(|name| root.path().join(name));
    let set = made_set(&one, &request(Picture::Jpeg(80))).expect("made");
    let again = made_set(&two, &request(Picture::Jpeg(80))).expect("made");
    assert_eq!(set, again, "the same set");
    assert_eq!(
        names(root.path()),
        ["one", "two"],
        "nothing is left beside them"
    );
    for foot in &set.feet {
        foot.reference(&one).expect("the reference opens");
        for view in View::ALL {
            let film = foot.open_film(view, &one).expect("the film opens");
            assert!(
                film.is_some(),
                "{} has a {} film",
                foot.identifier,
                view.name()
            );
        }
    }
}

#[test]
fn a_place_that_is_taken_is_left_as_it_is_and_a_failed_making_leaves_nothing() {
    let root = tempfile::tempdir().expect("a folder");
    let taken = root.path().join("taken");
    std::fs::create_dir(&taken).expect("made");
    std::fs::write(taken.join("film.png"), b"a film").expect("written");
    let refused = made_set(&taken, &request(Picture::Png));
    assert!(
        matches!(refused, Err(MakingError::PlaceTaken { .. })),
        "{refused:?}"
    );
    assert_eq!(names(&taken), ["film.png"], "what was there is there");
    let impossible = SimulatedSet {
        pixel_mm: 1e-9,
        ..request(Picture::Png)
    };
    let refused = made_set(&root.path().join("new"), &impossible);
    assert!(refused.is_err(), "no such pixels");
    assert_eq!(names(root.path()), ["taken"], "no draft is left");
}

#[test]
fn an_exchanged_film_is_noticed() {
    let root = tempfile::tempdir().expect("a folder");
    let folder = root.path().join("set");
    let set = made_set(&folder, &request(Picture::Png)).expect("made");
    let [first, second] = [0, 1].map(|index| {
        set.feet[index]
            .film_path(View::Ap, &folder)
            .expect("a film")
    });
    std::fs::copy(second, first).expect("copied");
    let error = set.feet[0]
        .open_film(View::Ap, &folder)
        .expect_err("another film");
    assert!(error.to_string().contains("exchanged"), "{error}");
}

/// A DICOM film of a simulated foot with its true tracing as a study, as a supervisor would leave it.
fn supervised_study(folder: &Path, name: &str) -> (std::path::PathBuf, SimulatedFilm) {
    let foot = Foot::new(FootParameters::default()).expect("possible");
    let exposure = Exposure {
        pixel_mm: 1.0,
        ..Exposure::default()
    };
    let film = render_ap(&foot, &exposure).expect("a film");
    let path = folder.join(name);
    film.write_dicom(&path).expect("written");
    let size = |pixels: usize| u32::try_from(pixels).expect("small");
    let mut record =
        FilmRecord::of_file(&path, folder, size(film.width), size(film.height)).expect("recorded");
    record.proportions = Proportions::from(PixelSpacing::new(1.0, 1.0).expect("possible"));
    let study = Study {
        side: Some(SideChoice::entered(Side::Right)),
        reader: Reader {
            name: "A. Supervisor".to_owned(),
            traced_at: None,
        },
        ap: Some(record),
        tracing: Tracing {
            ap: film.truth.feet[0].tracing.clone(),
            ..Tracing::default()
        },
        ..Study::default()
    };
    let study_file = study_path(&path, None);
    let text = study_to_text(&study).expect("storable");
    write_whole(&study_file, text.as_bytes()).expect("written");
    (study_file, film)
}

/// A set of this one study.
fn clinic(study: &Path) -> SupervisedSet {
    SupervisedSet {
        name: "Clinic".to_owned(),
        made_by: "Clinic".to_owned(),
        supervisor: "A. Supervisor".to_owned(),
        defaults: LessonDefaults::default(),
        studies: vec![StudyForSet {
            path: study.to_owned(),
            difficulty: Difficulty::by_reasons(vec![DifficultyReason::Exposure]),
            tags: vec!["first week".to_owned()],
            looked_at: None,
        }],
    }
}

#[test]
fn a_film_that_nobody_looked_at_is_refused_where_somebody_had_to_look() {
    let root = tempfile::tempdir().expect("a folder");
    let (path, _) = supervised_study(root.path(), "film.dcm");
    let original = plumbray_film::open(&root.path().join("film.dcm")).expect("opens");
    let request = clinic(&path);
    let mut unseen = request.clone();
    let seen = SeenPicture::of(&original);
    let of_another_file = SeenPicture {
        content: "another film".to_owned(),
        ..seen.clone()
    };
    let another_of_the_file = SeenPicture {
        number: seen.number + 1,
        ..seen.clone()
    };
    for (folder, other) in [("c", of_another_file), ("d", another_of_the_file)] {
        unseen.studies[0].looked_at = Some(vec![other]);
        let refused = set_from_studies(&root.path().join(folder), &unseen, &mut |_| ());
        let refused = refused.expect_err("nobody looked at it").to_string();
        assert!(refused.contains("not looked at for names"), "{refused}");
    }
    unseen.studies[0].looked_at = Some(vec![seen]);
    assert!(
        set_from_studies(&root.path().join("e"), &unseen, &mut |_| ()).is_ok(),
        "somebody did"
    );
}

#[test]
fn a_set_of_studies_has_the_pixels_and_the_tracing_and_no_name() {
    let root = tempfile::tempdir().expect("a folder");
    let (path, film) = supervised_study(root.path(), "Miller_Mary.dcm");
    let request = clinic(&path);
    let folder = root.path().join("set");
    let mut written = Vec::new();
    let set = set_from_studies(&folder, &request, &mut |count| written.push(count)).expect("made");
    assert_eq!(written, [1], "told after the foot");
    assert_eq!(
        names(&folder),
        ["foot-01-ap.png", "foot-01.reference", SET_FILE],
        "a picture, a reference and the list"
    );
    let foot = &set.feet[0];
    let reference = foot.reference(&folder).expect("opens");
    let supervisor = ReferenceSource::Supervisor {
        name: "A. Supervisor".to_owned(),
    };
    assert_eq!(reference.source, supervisor, "whose tracing it is");
    assert_eq!(
        reference.tracing.ap, film.truth.feet[0].tracing,
        "the tracing"
    );
    let copied = foot
        .open_film(View::Ap, &folder)
        .expect("opens")
        .expect("a film");
    let original = plumbray_film::open(&root.path().join("Miller_Mary.dcm")).expect("opens");
    assert_eq!(
        (copied.width(), copied.height()),
        (film.width, film.height),
        "size"
    );
    let order = |index: usize, film: &plumbray_film::Film| film.samples()[index];
    let brightest = (0..copied.samples().len())
        .max_by_key(|index| order(*index, &original))
        .expect("pixels");
    let most = copied.samples().iter().max().expect("pixels");
    assert_eq!(
        order(brightest, &copied),
        *most,
        "the brightest pixel stays the brightest"
    );
    for file in names(&folder) {
        let bytes = std::fs::read(folder.join(&file)).expect("read");
        let text = String::from_utf8_lossy(&bytes);
        for word in ["Miller", "Mary", "DICM"] {
            assert!(!text.contains(word), "{file} says {word}");
        }
    }
    assert!(PracticeSet::open(&folder).is_ok(), "it opens again");

    let nameless = SupervisedSet {
        supervisor: " ".to_owned(),
        ..request.clone()
    };
    assert!(
        set_from_studies(&root.path().join("b"), &nameless, &mut |_| ()).is_err(),
        "no supervisor"
    );
    std::fs::write(root.path().join("Miller_Mary.dcm"), b"changed").expect("written");
    assert!(
        set_from_studies(&root.path().join("c"), &request, &mut |_| ()).is_err(),
        "a changed film"
    );
}

#[test]
fn what_a_study_offers_is_told_before_a_set_is_made() {
    let root = tempfile::tempdir().expect("a folder");
    let (path, film) = supervised_study(root.path(), "film.dcm");
    let (fit, films) = study_fitness(&path);
    assert_eq!(fit.refusal, None, "a true tracing");
    assert_eq!(fit.views, [View::Ap], "its only film");
    assert_eq!(fit.side, Some(Side::Right), "as somebody entered");
    assert_eq!(fit.lacks, [], "everything that an AP film can give");
    assert_eq!(films.len(), 1, "the film to look at");
    assert_eq!(films[0].1.width(), film.width, "whole");

    let mut study = plumbray_study::load(&path).expect("a study");
    study.reader.name = "A. Supervisor".to_owned();
    study.tracing.ap.cortices.remove(&LongBone::M1);
    study.tracing.ap.points.retain(|landmark, _| {
        use Landmark::{BaseCentre, ShaftEnd, ShaftStart, Tip};
        !matches!(
            landmark,
            BaseCentre(LongBone::M1)
                | ShaftStart(LongBone::M1)
                | ShaftEnd(LongBone::M1)
                | Tip(LongBone::M1)
        )
    });
    let text = study_to_text(&study).expect("storable");
    write_whole(&path, text.as_bytes()).expect("written");
    let (bare, _) = study_fitness(&path);
    assert_eq!(bare.traced_by, "A. Supervisor", "as the study says");
    assert_eq!(bare.refusal, None, "other numbers are left");
    let why = bare
        .lacks
        .iter()
        .find(|lack| lack.0 == Measurement::HalluxValgusAngle);
    let (_, why) = why.expect("no axis, no angle");
    assert!(why.contains("M1"), "what is missing: {why}");

    std::fs::write(root.path().join("film.dcm"), b"changed").expect("written");
    let (changed, films) = study_fitness(&path);
    assert!(changed.refusal.is_some(), "the film is another");
    assert!(films.is_empty(), "nothing to look at");
    let (absent, _) = study_fitness(&root.path().join("absent.study.ron"));
    assert!(absent.refusal.is_some(), "no such study");
}

#[test]
fn no_name_stands_for_a_draft_and_who_traced_stays() {
    let root = tempfile::tempdir().expect("a folder");
    let (path, _) = supervised_study(root.path(), "film.dcm");
    let true_study = plumbray_study::load(&path).expect("a study");
    let write = |study: &Study| {
        let text = study_to_text(study).expect("storable");
        write_whole(&path, text.as_bytes()).expect("written");
    };
    let mut nameless = true_study.clone();
    nameless.reader.name.clear();
    let mut draft = nameless.clone();
    draft.reader.traced_at = None;
    for point in draft.tracing.ap.points.values_mut() {
        point.origin = Origin::Proposed;
    }
    for shaft in draft.tracing.ap.cortices.values_mut() {
        shaft.origin = Origin::Proposed;
    }
    let mut unconfirmed = true_study.clone();
    unconfirmed.side = Some(SideChoice::proposed(Side::Right, SideSource::Bones));
    for (study, words) in [
        (nameless, "does not say who traced it"),
        (draft, "nobody has looked at it"),
        (unconfirmed, "confirm the side"),
    ] {
        write(&study);
        let refusal = study_fitness(&path).0.refusal.unwrap_or_default();
        assert!(refusal.contains(words), "{words}: {refusal}");
        let request = SupervisedSet {
            supervisor: "Somebody Else".to_owned(),
            ..clinic(&path)
        };
        let made = set_from_studies(&root.path().join("refused"), &request, &mut |_| ());
        assert!(made.is_err(), "no set of it: {words}");
    }
    write(&true_study);
    let request = SupervisedSet {
        supervisor: "Somebody Else".to_owned(),
        ..clinic(&path)
    };
    let folder = root.path().join("made");
    let set = set_from_studies(&folder, &request, &mut |_| ()).expect("made");
    let reference = set.feet[0].reference(&folder).expect("a reference");
    let whose = ReferenceSource::Supervisor {
        name: "A. Supervisor".to_owned(),
    };
    assert_eq!(reference.source, whose, "who traced, not who makes the set");
}
