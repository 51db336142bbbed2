//! The objects that `plumbray export` writes, given to the readers and validators of others: dicom3tools' dciodvfy,
//! dcmtk's dsrdump, dcmpschk and dcmp2pgm, pydicom and highdicom. Numbers are those of the worksheet, places those of
//! the tracing, pixels those of the pictures.

mod exported;
mod own_spread;
mod read;
mod several_pictures;
mod tools;

use std::{collections::BTreeMap, fs, process::Command};

use plumbray_film::Film;
use plumbray_report::{NewUids, TextInPicture, object_without_identity};
use plumbray_tests::answered_outside;
use serde_json::{Value, json};

use exported::{Exported, READER, VISIT};
use read::{Item, Number, Read};
use tools::{complaints, run, said_by};

/// A place is written with 32 bits; of a film of some thousand pixels that is less than this.
const PLACE_TOLERANCE_PX: f64 = 1e-3;

/// What a decimal string of 16 letters loses.
const DECIMAL_TOLERANCE: f64 = 1e-8;

/// Warnings of dciodvfy that say nothing about an object: our own coding scheme is none that it knows, an
/// unknown patient has nothing for the index of a disc, and nobody says which part of the reader's name is which.
const HARMLESS_WARNINGS: [&str; 4] = [
    "<99PLUMBRAY> for value 1 of attribute <Coding Scheme Designator>",
    "of attribute <Coding Scheme UID>",
    "needed to build DICOMDIR",
    "(0x0040,0xa123) PN Person Name",
];

/// What dcmpschk says of a drawing whose patient has no name, and nothing else is wrong.
const NAMELESS: [&str; 2] = [
    "patientName absent or empty in presentation state",
    "Test failed - one or more errors",
];

/// The validator and the readers of dcmtk find no fault with any object but those that the film itself has.
fn assert_valid(exported: &Exported, has_no_name: bool) {
    for file in exported.files() {
        let name = file
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let original = exported
            .folder
            .path()
            .join(name.replace("film", "sample-foot"))
            .with_extension("dcm");
        let known = if original.is_file() {
            complaints(&original, "Error")
        } else {
            Vec::new()
        };
        let errors = complaints(&file, "Error");
        assert_eq!(errors, known, "{name}: errors");
        let warnings = complaints(&file, "Warning");
        let odd: Vec<_> = warnings
            .iter()
            .filter(|line| !HARMLESS_WARNINGS.iter().any(|known| line.contains(known)))
            .collect();
        assert!(odd.is_empty() || original.is_file(), "{name}: {odd:#?}");
    }
    let report = run("dsrdump", "dcmtk", &[], &exported.file("report"));
    let text = said_by(&report);
    assert!(report.status.success(), "dsrdump: {text}");
    assert!(text.contains("Comprehensive SR Document"), "{text}");
    assert!(text.contains("Imaging Measurement Report"), "{text}");
    for line in text.lines() {
        assert!(!line.starts_with("E:"), "dsrdump: {line}");
    }
    for view in ["ap", "lateral"] {
        let drawing = exported.file(&format!("drawing-{view}"));
        let text = said_by(&run("dcmpschk", "dcmtk", &[], &drawing));
        // An empty name is right where nobody knows the patient (type 2); dcmpschk would have one all the same.
        let wrong = text.lines().filter(|line| !line.contains("Testing:"));
        let wrong =
            wrong.filter(|line| !has_no_name || !NAMELESS.iter().any(|said| line.contains(said)));
        let wrong: Vec<_> = wrong.filter(|line| !line.contains("Test passed")).collect();
        assert!(wrong.is_empty(), "dcmpschk of {view}: {wrong:#?}");
    }
}

#[test]
fn validators_find_no_fault_with_the_objects_of_dicom_films() {
    assert_valid(&Exported::sample(&[]), false);
}

#[test]
fn validators_find_no_fault_with_the_objects_of_plain_pictures() {
    assert_valid(&Exported::plain(&[]), true);
}

#[test]
fn validators_find_no_fault_with_objects_without_identity() {
    let further = ["--without-identity", "--no-text-in-picture"];
    assert_valid(&Exported::sample(&further), false);
}

#[test]
fn every_number_and_class_of_the_report_is_the_worksheets() {
    for exported in [Exported::sample(&[]), Exported::plain(&[])] {
        assert_reported(&exported, &[]);
    }
}

/// Every number and class of the report is the worksheet's, as `plumbray measure` tells it with further arguments.
fn assert_reported(exported: &Exported, further: &[&str]) -> (Vec<Value>, BTreeMap<String, Item>) {
    let worksheet = exported.told(&[&["measure", "--json"], further].concat());
    let worksheet: Value = serde_json::from_str(&worksheet).expect("JSON");
    let worksheet = &worksheet[0];
    let groups = exported.read().report.groups.into_iter();
    let items: BTreeMap<String, Item> = groups
        .flat_map(|group| group.items)
        .map(|item| (item.name.value.clone(), item))
        .collect();
    let rows = worksheet["measurements"].as_array().expect("rows");
    let mut reported = 0;
    for row in rows {
        let identifier = row["identifier"].as_str().expect("a name");
        let Some(value) = row["value"].as_f64() else {
            assert!(
                !items.contains_key(identifier),
                "{identifier} has no number"
            );
            continue;
        };
        reported += 1;
        let item = &items[identifier];
        assert_eq!(item.name.scheme, "99PLUMBRAY", "{identifier}");
        assert_eq!(item.name.meaning, row["name"], "{identifier}");
        assert!(!item.places.is_empty(), "{identifier}: on the film");
        assert_modifiers(identifier, item, row);
        match row["unit"].as_str().expect("a unit") {
            "position" | "grade" => assert_class(identifier, item, row, value),
            unit => assert_number(identifier, item, row, unit),
        }
    }
    assert!(
        reported > 25,
        "the sample foot has many numbers: {reported}"
    );
    assert_severity(&items, &worksheet["severity"]);
    (rows.clone(), items)
}

fn assert_modifiers(identifier: &str, item: &Item, row: &Value) {
    let method = item.modifiers.get("370129005").map(|code| &code["value"]);
    assert_eq!(
        method.unwrap_or(&Value::Null),
        &row["convention"],
        "{identifier}: by which axes"
    );
    let calibration = item.modifiers.get("calibration").unwrap_or(&Value::Null);
    assert_eq!(
        calibration, &row["calibration"],
        "{identifier}: calibration"
    );
    if row["unit"] == "millimetres" {
        assert!(calibration.is_string(), "{identifier}: whose millimetres");
    }
}

fn assert_number(identifier: &str, item: &Item, row: &Value, unit: &str) {
    let code = match unit {
        "degrees" => "deg",
        "millimetres" => "mm",
        "per_cent" => "%",
        _ => "1",
    };
    assert_eq!(item.kind, "NUM", "{identifier}");
    let value: Number = serde_json::from_value(item.value.clone()).expect("a number");
    let expected = [
        (&value, &row["value"]),
        (&item.properties["386136009"], &row["sd"]),
        (&item.properties["interval_low"], &row["interval"][0]),
        (&item.properties["interval_high"], &row["interval"][1]),
    ];
    for (number, expected) in expected {
        let expected = expected.as_f64().expect("a number");
        assert_eq!(
            number.exact.to_bits(),
            expected.to_bits(),
            "{identifier}: {} for {expected}",
            number.exact
        );
        let lost = (number.decimal - expected).abs();
        assert!(
            lost <= DECIMAL_TOLERANCE * expected.abs().max(1.0),
            "{identifier}: {lost} lost"
        );
        assert_eq!(number.unit, code, "{identifier}: unit");
    }
}

fn assert_class(identifier: &str, item: &Item, row: &Value, value: f64) {
    assert_eq!(item.kind, "CODE", "{identifier}");
    assert_eq!(
        item.value["value"],
        format!("{identifier}.{value:.0}"),
        "{identifier}"
    );
    for class in row["classes"].as_array().expect("classes") {
        let name = class["class"].as_str().expect("a class");
        let number = &item.properties[&format!("{identifier}.{name}.probability")];
        let expected = class["probability"].as_f64().expect("a number");
        assert_eq!(
            number.exact.to_bits(),
            expected.to_bits(),
            "{identifier}: probability of {name}"
        );
    }
}

fn assert_severity(items: &BTreeMap<String, Item>, severity: &Value) {
    let scheme = severity["scheme"].as_str().expect("a scheme");
    let item = &items[&format!("severity.{scheme}")];
    let class = severity["class"].as_str().expect("a class");
    let meaning = item.value["meaning"].as_str().expect("a meaning");
    assert!(meaning.eq_ignore_ascii_case(class), "{meaning} for {class}");
    assert_eq!(item.value["scheme"], "SCT", "a code of the standard's");
}

#[test]
fn without_a_calibration_nothing_is_in_millimetres() {
    let exported = Exported::without_calibration();
    let report = exported.read().report;
    let numbers = report.groups.iter().flat_map(|group| &group.items);
    let units: Vec<String> = numbers
        .filter(|item| item.kind == "NUM")
        .map(|item| item.value["unit"].to_string())
        .collect();
    assert!(units.len() > 10, "angles and shares are there: {units:?}");
    assert!(!units.iter().any(|unit| unit.contains("mm")), "{units:?}");
    let bytes = fs::read(exported.file("report")).expect("a report");
    let says = |words: &[u8]| bytes.windows(words.len()).any(|window| window == words);
    assert!(says(b"degree") && !says(b"millimeter"), "in no other place");
}

#[test]
fn every_place_of_report_and_drawing_is_the_tracings() {
    let exported = Exported::sample(&[]);
    let read = exported.read();
    for view in ["ap", "lateral"] {
        let traced = landmarks(&exported.told(&["landmarks", "--view", view]));
        let film = &read.said[&format!("film-{view}")]["SOPInstanceUID"];
        let places = &read.report.tracing[view];
        assert_eq!(places.len(), traced.len(), "{view}: all of it, each once");
        for place in places {
            let name = place.name.value.as_str();
            let expected = &traced[name];
            assert_near(&place.points, expected, name);
            let shape = if expected.len() > 2 {
                "POLYLINE"
            } else {
                "POINT"
            };
            assert_eq!(place.shape, shape, "{name}");
            assert_eq!(&place.image, film, "{name}: on its film");
        }
        let drawing = &read.drawings[&format!("drawing-{view}")];
        let drawn = |points: &Vec<f64>| {
            let mut graphics = drawing.graphics.iter();
            graphics.any(|graphic| is_near(&graphic.points, points))
        };
        for (name, points) in &traced {
            assert!(drawn(points), "{view}: {name} is drawn over the film");
        }
        assert_eq!(&drawing.image, film, "{view}: over its film");
        assert_eq!(drawing.units, ["PIXEL"], "{view}");
        assert_eq!(drawing.layers.len(), 1, "{view}: one layer");
        assert!(!drawing.texts.is_empty(), "{view}: values beside lines");
        assert!(
            drawing
                .graphics
                .iter()
                .any(|graphic| graphic.shape == "POINT"),
            "{view}: points"
        );
        assert_eq!(drawing.area[0], [1, 1], "{view}: the whole film");
        assert_near(&drawing.window, &[512.0, 1024.0], view);
        assert_eq!(drawing.shape, "IDENTITY", "{view}: bone bright");
    }
}

/// The places of a landmark table by name: two numbers for a point, more for a cortex.
fn landmarks(table: &str) -> BTreeMap<String, Vec<f64>> {
    let mut places: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for line in table.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let number = |index: usize| fields[index].parse::<f64>().expect("a number");
        let place = places.entry(fields[0].to_owned()).or_default();
        place.extend([number(1), number(2)]);
    }
    places
}

fn is_near(points: &[f64], expected: &[f64]) -> bool {
    points.len() == expected.len()
        && points
            .iter()
            .zip(expected)
            .all(|(one, other)| (one - other).abs() < PLACE_TOLERANCE_PX)
}

fn assert_near(points: &[f64], expected: &[f64], name: &str) {
    assert!(is_near(points, expected), "{name}: {points:?} {expected:?}");
}

#[test]
fn another_viewer_shows_the_film_through_the_drawing_as_the_program_does() {
    // Without identity the film is uncompressed, which dcmp2pgm wants.
    let exported = Exported::sample(&["--without-identity"]);
    for view in ["ap", "lateral"] {
        let bytes = fs::read(exported.file(&format!("film-{view}"))).expect("a film");
        let film = Film::from_bytes(&bytes).expect("a film");
        let shown = exported.folder.path().join(format!("{view}.pgm"));
        let output = Command::new("dcmp2pgm")
            .arg("-p")
            .arg(exported.file(&format!("drawing-{view}")))
            .arg(exported.file(&format!("film-{view}")))
            .arg(&shown)
            .output()
            .expect("dcmp2pgm (Debian: dcmtk) runs");
        assert!(output.status.success(), "{view}: {}", said_by(&output));
        let pixels = film.width() * film.height();
        let pgm = fs::read(&shown).expect("a picture");
        let theirs = &pgm[pgm.len() - pixels..];
        let table = film.grey().named_table(film.grey().default_window(), false);
        let mut ours = vec![0; pixels];
        table.apply(film.samples(), &mut ours);
        let largest = ours
            .iter()
            .zip(theirs)
            .map(|(one, other)| one.abs_diff(*other))
            .max();
        assert!(largest <= Some(1), "{view}: {largest:?} greys of 255 apart");
        assert!(
            ours.iter().any(|grey| *grey > 200),
            "{view}: something is bright"
        );
    }
}

#[test]
fn objects_stand_in_the_film_s_study_under_series_of_their_own() {
    let exported = Exported::sample(&[]);
    let said = exported.read().said;
    let mut series = BTreeMap::new();
    for (name, object) in said.iter().filter(|(name, _)| !name.starts_with("film")) {
        // What refers to the lateral film alone stands in its study; a presentation state must.
        let film = if name.ends_with("lateral") {
            &said["film-lateral"]
        } else {
            &said["film-ap"]
        };
        for shared in ["PatientName", "PatientID", "StudyInstanceUID"] {
            assert_eq!(object[shared], film[shared], "{name}: {shared}");
        }
        assert_eq!(object["Manufacturer"], "Plumbray", "{name}");
        assert_eq!(object["SpecificCharacterSet"], "ISO_IR 192", "{name}");
        assert_eq!(object["meta"], object["SOPInstanceUID"], "{name}: header");
        assert!(!object["SeriesDescription"].is_empty(), "{name}");
        assert_ne!(
            object["SeriesInstanceUID"], film["SeriesInstanceUID"],
            "{name}"
        );
        series.insert(object["SeriesInstanceUID"].clone(), name);
    }
    assert_eq!(series.len(), 6, "one series for each object: {series:?}");
    assert_eq!(said["sheet"]["BurnedInAnnotation"], "NO", "names nobody");
    assert_eq!(said["picture-ap"]["ConversionType"], "WSD", "picture");
    assert_eq!(said["drawing-ap"]["Laterality"], "L", "drawing");
    let again = Exported::sample(&[]).read().said;
    for (name, object) in again.iter().filter(|(name, _)| !name.starts_with("film")) {
        assert_ne!(
            object["SOPInstanceUID"], said[name]["SOPInstanceUID"],
            "{name}: a new instance each time"
        );
    }
}

#[test]
fn the_report_names_side_films_and_observer_and_highdicom_finds_its_groups() {
    let exported = Exported::sample(&[]);
    let Read { said, report, .. } = exported.read();
    let films = ["film-ap", "film-lateral"].map(|name| said[name]["SOPInstanceUID"].clone());
    assert_eq!(report.library, films, "image library");
    let mut evidence = report.evidence;
    evidence.sort();
    let mut sorted = films.to_vec();
    sorted.sort();
    assert_eq!(evidence, sorted, "evidence");
    assert!(
        report.texts["121106"].contains("not a medical device"),
        "caution"
    );
    assert_eq!(report.texts["121008"], READER, "the reader");
    assert!(report.texts["121015"].starts_with("Plumbray "), "observer");
    for group in &report.groups {
        assert_eq!(group.site, "56459004", "foot");
        assert_eq!(group.laterality, "7771000", "left");
        for place in group.items.iter().flat_map(|item| &item.places) {
            assert!(sorted.contains(&place.image), "{}", place.name.meaning);
        }
    }
    let found: Vec<_> = report
        .highdicom
        .iter()
        .map(|group| &group.tracking)
        .collect();
    let tracked: Vec<_> = report.groups.iter().map(|group| &group.tracking).collect();
    assert_eq!(found, tracked, "groups");
    for (group, found) in report.groups.iter().zip(&report.highdicom) {
        assert_eq!(found.site, "56459004", "{}", found.tracking);
        let numbers = group.items.iter().filter(|item| item.kind == "NUM");
        let numbers: BTreeMap<String, f64> = numbers
            .map(|item| {
                let exact = item.value["exact"].as_f64().expect("a number");
                (item.name.value.clone(), exact)
            })
            .collect();
        assert_eq!(found.numbers.len(), numbers.len(), "{}", found.tracking);
        for (name, value) in &found.numbers {
            assert!((numbers[name] - value).abs() < 1e-9, "{name}: {value}");
        }
    }
}

#[test]
fn sheet_and_pictures_come_out_as_the_program_makes_them_elsewhere() {
    for exported in [Exported::sample(&[]), Exported::plain(&[])] {
        let read = exported.read();
        assert_eq!(read.pictures.len(), 2, "both films");
        for (name, picture) in &read.pictures {
            assert!(picture.is_same, "{name}: pixel by pixel");
            let film = name.replace("picture", "film");
            assert_eq!(picture.source, read.said[&film]["SOPInstanceUID"], "{name}");
        }
        for (name, capture) in &read.captures {
            assert!(capture["is_same"], "{name}: the plain picture's own pixels");
        }
        let stem = exported
            .study
            .file_name()
            .expect("a name")
            .to_string_lossy();
        let stem = stem.replace(".study.ron", "");
        let sheet = exported
            .folder
            .path()
            .join(format!("pictures/{stem}.sheet.pdf"));
        let [made, taken_out] = [sheet, exported.objects().join("sheet.pdf")]
            .map(|file| fs::read(file).expect("a PDF"));
        assert!(made.starts_with(b"%PDF"), "a PDF");
        assert!(made == taken_out, "the very same bytes");
    }
}

#[test]
fn a_plain_picture_goes_along_so_that_references_lead_somewhere() {
    let exported = Exported::plain(&[]);
    let read = exported.read();
    assert_eq!(read.captures.len(), 2, "both films go along");
    for view in ["ap", "lateral"] {
        let film = &read.said[&format!("film-{view}")];
        assert_eq!(film["SOPClassUID"], "1.2.840.10008.5.1.4.1.1.7", "{view}");
        assert_eq!(film["PatientID"], "", "{view}: nobody knows");
        assert!(
            read.report.library.contains(&film["SOPInstanceUID"]),
            "{view}"
        );
        let study = &read.said["report"]["StudyInstanceUID"];
        assert_eq!(&film["StudyInstanceUID"], study, "{view}: one study");
    }
}

#[test]
fn nothing_without_identity_names_patient_study_or_day() {
    let named = Exported::sample(&[]);
    let said = named.read().said;
    let bare = Exported::sample(&["--without-identity", "--mask", "ap:10,20,60,40"]);
    let mut secrets: Vec<String> = ["Sample^Foot", "SAMPLE", "20260105", "2026-01-05", "January"]
        .map(str::to_owned)
        .to_vec();
    for film in ["film-ap", "film-lateral"] {
        for uid in ["SOPInstanceUID", "SeriesInstanceUID", "StudyInstanceUID"] {
            secrets.push(said[film][uid].clone());
        }
    }
    secrets.extend([READER, VISIT, "Quillfeather", "Ottershaw"].map(str::to_owned));
    let today = &said["report"]["InstanceCreationDate"];
    secrets.push(today.clone());
    for file in bare.files() {
        let mut bytes = fs::read(&file).expect("an object");
        if file.ends_with("sheet.dcm") {
            bytes.extend(bare.printed_sheet().into_bytes());
        }
        for secret in &secrets {
            let is_there = bytes
                .windows(secret.len())
                .any(|window| window == secret.as_bytes());
            assert!(!is_there, "{} says {secret}", file.display());
        }
    }
    let read = bare.read();
    for (name, object) in &read.said {
        assert_eq!(object["PatientIdentityRemoved"], "YES", "{name}");
        assert_eq!(object["PatientName"], "ANONYMOUS^PATIENT", "{name}");
        assert_eq!(
            object["PatientID"], read.said["film-ap"]["PatientID"],
            "{name}: one patient"
        );
    }
    let film = &read.said["film-ap"]["SOPInstanceUID"];
    assert!(
        read.report.library.contains(film),
        "references still lead there"
    );
    assert_eq!(
        &read.drawings["drawing-ap"].image, film,
        "of the drawing too"
    );
}

#[test]
fn objects_that_were_exported_lose_their_identity_too_and_stay_what_they_are() {
    let named = Exported::sample(&[]);
    let before = named.read();
    let bare = named.folder.path().join("bare");
    fs::create_dir(&bare).expect("a folder");
    let mut uids = NewUids::default();
    for file in named
        .files()
        .iter()
        .filter(|file| file.extension().is_some_and(|ending| ending == "dcm"))
    {
        let bytes = fs::read(file).expect("an object");
        let left = object_without_identity(&bytes, &[], TextInPicture::NotLookedAt, &mut uids)
            .unwrap_or_else(|problem| panic!("{}: {problem}", file.display()));
        let to = bare.join(file.file_name().expect("a name"));
        fs::write(&to, &left).expect("writable");
        assert_eq!(
            complaints(&to, "Error"),
            complaints(file, "Error"),
            "{}",
            to.display()
        );
        for secret in ["Sample^Foot", "SAMPLE", "20260105", READER].map(str::as_bytes) {
            let is_there = left.windows(secret.len()).any(|window| window == secret);
            assert!(!is_there, "{} still names somebody", to.display());
        }
    }
    let question = json!({"folder": bare, "pictures": named.folder.path().join("pictures")});
    let after: Read = answered_outside("dicom/read_objects.py", &question);
    let numbers = |read: &Read| -> Vec<(String, Value)> {
        let items = read.report.groups.iter().flat_map(|group| &group.items);
        items
            .map(|item| (item.name.value.clone(), item.value.clone()))
            .collect()
    };
    assert_eq!(numbers(&after), numbers(&before), "the same numbers");
    let film = &after.said["film-ap"]["SOPInstanceUID"];
    assert_ne!(
        film, &before.said["film-ap"]["SOPInstanceUID"],
        "a new identifier"
    );
    assert!(
        after.report.library.contains(film),
        "references lead to the new film"
    );
    assert_eq!(&after.drawings["drawing-ap"].image, film, "the drawing too");
    assert_eq!(
        &after.pictures["picture-ap"].source, film,
        "and the picture"
    );
    let page = fs::read(bare.join("sheet.pdf")).expect("a page");
    assert!(
        page.starts_with(b"%PDF") && page.len() < 400,
        "an empty page"
    );
    let moved: Vec<_> = after.report.tracing["ap"]
        .iter()
        .map(|place| &place.points)
        .collect();
    let placed: Vec<_> = before.report.tracing["ap"]
        .iter()
        .map(|place| &place.points)
        .collect();
    assert_eq!(moved, placed, "places stay");
}
