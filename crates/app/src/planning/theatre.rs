//! A plan as a sheet for theatre.

use std::sync::Arc;

use plumbray_anatomy::View;
use plumbray_plan::{Check, PlannedOutcome, ScrewKind, Undertaking, Verdict, assumptions};
use plumbray_report::{
    ExpectedRow, FilmPicture, FilmScale, FoundFilm, Identity, Paper, PlanContent, PlanFilm,
    SCREW_COLUMNS, SheetSide, files_line, film_caption, number::millimetres, plan_picture,
    plan_sheet, proportions_of, visit_line,
};
use plumbray_study::Study;

use super::{
    carried::Carried,
    screw_words,
    theatre_drawing::{drawing, shown},
    words,
};
use crate::{
    window::CAUTION,
    workbench::{PROGRAM, traced_on},
};

/// Pixels of a whole film's longer side, of which a part is printed: some 300 to the inch of that part.
const PRINTED_SIDE_PX: u32 = 3000;

/// A plan on its way to theatre.
pub(crate) struct TheatreSheet<'a> {
    /// The name of the study's file.
    pub name: &'a str,
    pub study: &'a Study,
    /// In the order of [`View::ALL`]; nothing where the study has none.
    pub films: [Option<FoundFilm<'a>>; 2],
    pub carried: &'a Carried,
    pub paper: Paper,
    /// The patient, where that was asked for.
    pub identity: Option<&'a Identity>,
}

impl TheatreSheet<'_> {
    /// The page as PDF.
    ///
    /// # Errors
    /// When the side is not known, or the PDF cannot be made.
    pub(crate) fn pdf(&self) -> anyhow::Result<Vec<u8>> {
        Ok(plan_sheet(&self.content())?)
    }

    /// The page as PNG.
    ///
    /// # Errors
    /// When the side is not known, or the picture cannot be made.
    pub(crate) fn png(&self) -> anyhow::Result<Vec<u8>> {
        Ok(plan_picture(&self.content())?)
    }

    fn content(&self) -> PlanContent {
        let Carried {
            name,
            plan,
            undertaking,
        } = self.carried;
        let films = View::ALL.into_iter().zip(self.films);
        let mut notes = words::calibration_lines(undertaking);
        notes.extend(withheld(undertaking));
        notes.extend(lateral_lacks(undertaking));
        PlanContent {
            paper: self.paper,
            side: SheetSide::beside_films(self.study, self.films.map(|found| found?.film())),
            identity: self.identity.map(Identity::without_line_breaks),
            plan: format!(
                "“{name}” · {}",
                visit_line(self.study, traced_on(self.study))
            ),
            films: films
                .filter_map(|(view, found)| self.film(view, found?))
                .collect(),
            places: places(self.carried),
            screws: screws(self.carried),
            expected: words::HEADLINE_ROWS
                .into_iter()
                .filter_map(|measurement| undertaking.row(measurement))
                .map(|row| ExpectedRow {
                    name: row.measurement.name().to_owned(),
                    before: words::outcome(row.measurement, &row.before),
                    planned: words::planned(row),
                    is_chosen: matches!(row.planned, PlannedOutcome::Chosen(_)),
                    with_loss: words::with_loss(row).unwrap_or_default(),
                })
                .chain(lengths(self.carried))
                .collect(),
            lost: words::share_lost(plan),
            open: open(self.carried),
            granted: assumptions(plan)
                .into_iter()
                .map(|granted| {
                    format!(
                        "{} ({}).",
                        granted.text.trim_end_matches('.'),
                        granted.source
                    )
                })
                .collect(),
            notes,
            caution: CAUTION.to_owned(),
            program: PROGRAM.to_owned(),
            origin: files_line(PROGRAM, self.name, self.study),
        }
    }

    fn film(&self, view: View, found: FoundFilm<'_>) -> Option<PlanFilm> {
        let undertaking = &self.carried.undertaking;
        let record = self.study.film(view)?;
        let tracing = self.study.tracing.on(view);
        let before = undertaking.before.view(view)?;
        let mut caption = format!("{}, as planned", film_caption(self.study, view));
        let film = match found {
            FoundFilm::Absent(why) => Err(format!(
                "The {} film is not shown: {why}. The plan comes from the study.",
                view.name_in_sentence()
            )),
            FoundFilm::Same(film) => Ok(film),
            FoundFilm::Changed(film) => {
                caption.push_str(" · the file was changed since it was traced");
                Ok(film)
            }
        };
        let picture = film.map(|film| {
            let stay = match view {
                View::Ap => plumbray_plan::sesamoid_outlines(tracing),
                View::Lateral => Vec::new(),
            };
            let pieces = undertaking.moved_pieces(view, tracing);
            let whole = FilmPicture::with_moved_pieces(
                film,
                proportions_of(record),
                PRINTED_SIDE_PX,
                &pieces,
                &stay,
            );
            Arc::new(whole.around(&shown(undertaking, view, tracing)))
        });
        let scale = before
            .mm_per_pixel_width
            .zip(before.calibration_name.clone());
        Some(PlanFilm {
            caption,
            picture,
            drawing: drawing(undertaking, view, tracing),
            scale: scale.map(|(mm_per_pixel_width, calibration)| FilmScale {
                mm_per_pixel_width,
                calibration,
            }),
        })
    }
}

/// What is found with a finger or under an image intensifier.
fn places(carried: &Carried) -> Vec<(String, Vec<String>)> {
    let (plan, undertaking) = (&carried.plan, &carried.undertaking);
    let mut head = vec![format!(
        "shifted laterally by {}",
        words::length_and_share(undertaking.shift)
    )];
    head.extend(words::head_turns(plan));
    head.push(format!(
        "contact at the cut: {}",
        words::contact(undertaking)
    ));
    head.push(format!(
        "medial step {}",
        words::medial_step(undertaking, plan)
    ));
    head.push(format!("great toe {}", words::toe(undertaking, plan)));
    let mut places = vec![
        ("Cut".to_owned(), cut_places(carried)),
        ("Head".to_owned(), head),
    ];
    for place in 0..plan.screws.len() {
        places.extend(screw_places(carried, place));
    }
    places
}

fn cut_places(carried: &Carried) -> Vec<String> {
    let (plan, undertaking) = (&carried.plan, &carried.undertaking);
    let cut = &undertaking.cut;
    let from_base = words::from_base(undertaking, cut.middle.y);
    let mut lines = vec![
        format!(
            "{} proximal of the joint line of the great toe",
            words::cut_level(undertaking)
        ),
        format!("{from_base} distal of the tarsometatarsal joint (base of M1)"),
    ];
    lines.extend(cut.clear_of_sesamoids.map(|clear| {
        if clear.pixel_widths >= 0.0 {
            format!("{} proximal of the sesamoids", words::length(clear))
        } else {
            "beside a sesamoid".to_owned()
        }
    }));
    lines.push(format!(
        "{}; {}; kerf {}",
        words::cut_tilt(undertaking, plan),
        words::cut_form(plan.cut.form),
        words::kerf(undertaking)
    ));
    lines
}

/// Where a screw or wire enters, leaves and ends.
fn screw_places(carried: &Carried, place: usize) -> Option<(String, Vec<String>)> {
    let undertaking = &carried.undertaking;
    let (screw, course) = (
        carried.plan.screws.get(place)?,
        undertaking.screws.get(place)?,
    );
    let bone = undertaking.before.ap.length;
    let distal = words::from_base(undertaking, screw.entry.along * bone);
    let mut lines = vec![format!(
        "enters {distal} distal of the tarsometatarsal joint, {}",
        screw_words::height_of_entry(undertaking, screw)
    )];
    let exit = course.exit_to_cut.map(|exit| {
        format!(
            "leaves the lateral cortex {} proximal of the cut",
            words::length(exit)
        )
    });
    match (exit, screw.kind) {
        (Some(exit), _) => lines.push(exit),
        (None, ScrewKind::Screw) => lines.push("does not leave the shaft laterally".to_owned()),
        (None, ScrewKind::Wire) => {}
    }
    let side = if course.tip_to_joint.pixel_widths >= 0.0 {
        "short of"
    } else {
        "beyond"
    };
    lines.push(format!(
        "ends {} {side} the head’s joint surface",
        words::length(course.tip_to_joint.abs())
    ));
    Some((screw_words::screw_name(screw.kind, place), lines))
}

fn screws(carried: &Carried) -> Vec<[String; SCREW_COLUMNS.len()]> {
    let plan = &carried.plan;
    let courses = plan.screws.iter().zip(&carried.undertaking.screws);
    courses
        .enumerate()
        .map(|(place, (screw, course))| {
            let alone: Vec<String> = View::ALL
                .into_iter()
                .filter_map(|view| {
                    let mm = screw_words::length_alone(&course.length, view)?;
                    Some(format!("{} {mm}", view.name_in_sentence()))
                })
                .collect();
            let long = match course.length.true_mm {
                Some(mm) => {
                    let at_hand = screw_words::length_at_hand(plan, &course.length);
                    let at_hand = at_hand.map_or_else(String::new, |words| format!(", {words}"));
                    format!("{}{at_hand}", millimetres(mm))
                }
                None => "withheld".to_owned(),
            };
            [
                screw_words::screw_name(screw.kind, place),
                words::length(course.diameter),
                long,
                if alone.is_empty() {
                    "withheld".to_owned()
                } else {
                    alone.join(", ")
                },
                screw_words::cortices(course),
                screw_words::purchase(course),
                screw_words::screw_angle(course),
            ]
        })
        .collect()
}

/// What becomes of the length, as rows beside the angles.
fn lengths(carried: &Carried) -> Vec<ExpectedRow> {
    let change = &carried.undertaking.length;
    let row = |name: &str, planned: String| ExpectedRow {
        name: name.to_owned(),
        before: String::new(),
        planned,
        is_chosen: false,
        with_loss: String::new(),
    };
    let mut rows = vec![row(
        "Length along M1",
        words::signed_length(change.along_first.whole),
    )];
    rows.extend(
        change
            .along_second
            .as_ref()
            .map(|along| row("Length along M2", words::signed_length(along.whole))),
    );
    rows
}

/// What is open and what cannot be told; the same finding of several screws in one line.
fn open(carried: &Carried) -> Vec<String> {
    let is_calibrated = carried.undertaking.before.ap.mm_per_pixel_width.is_some();
    let mut lines: Vec<String> = Vec::new();
    let checks = || {
        let all = carried.undertaking.checks.iter();
        all.filter(|check| check.verdict != Verdict::Met)
    };
    for verdict in [Verdict::Open, Verdict::CannotTell] {
        let mut told = Vec::new();
        for check in checks().filter(|check| check.verdict == verdict) {
            if told.contains(&check.finding) {
                continue;
            }
            told.push(check.finding);
            let same: Vec<&Check> = checks()
                .filter(|other| other.finding == check.finding && other.verdict == verdict)
                .collect();
            let name = words::check_name(check.finding, is_calibrated);
            lines.push(format!(
                "{name}: {}{}",
                words::verdict(verdict),
                figures(&same)
            ));
        }
    }
    lines
}

/// The figures behind checks of one finding, each with its screw: ", A 3.1 mm, B 2.0 mm".
fn figures(checks: &[&Check]) -> String {
    let words = checks.iter().filter_map(|check| {
        let letter = check.screw.map(screw_words::letter);
        let figure = words::figure_and_wanted(check);
        match (letter, figure) {
            (Some(letter), Some(figure)) => Some(format!(", {letter} {figure}")),
            (Some(letter), None) => Some(format!(", {letter}")),
            (None, Some(figure)) => Some(format!(", {figure}")),
            (None, None) => None,
        }
    });
    words.collect()
}

/// Why no true lengths are told, in one sentence; nothing where they are, or there is no screw.
fn withheld(undertaking: &Undertaking) -> Option<String> {
    let mut courses = undertaking.screws.iter();
    let why = courses.find_map(|course| course.length.withheld.as_ref())?;
    Some(format!("Lengths of screws are withheld: {why}."))
}

/// What the lateral film lacks; nothing where it serves.
fn lateral_lacks(undertaking: &Undertaking) -> Option<String> {
    let lacks = undertaking.before.lateral_lacks.as_ref()?;
    Some(format!("The lateral view {lacks}: heights are not told."))
}
