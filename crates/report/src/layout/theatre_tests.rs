//! What holds of the sheet for theatre: one page, nothing lost, nothing over anything else.

use std::sync::Arc;

use super::*;
use crate::{
    content::SheetSide,
    drawing::Drawing,
    mark::{Area, TextMark},
    theatre::{ExpectedRow, FilmScale, PlanContent, PlanFilm},
};

const SIDE: (&str, &str) = ("RIGHT", "side not confirmed: confirm before use");

fn film(caption: &str, scale: Option<f64>, size: [f64; 2]) -> PlanFilm {
    let picture = crate::film_picture::testing::blank(size[0], size[1]);
    PlanFilm {
        caption: caption.to_owned(),
        picture: Ok(Arc::new(picture)),
        drawing: Drawing::default(),
        scale: scale.map(|mm_per_pixel_width| FilmScale {
            mm_per_pixel_width,
            calibration: "calibrated by an object on the film".to_owned(),
        }),
    }
}

/// A plan with so many screws and open checks.
fn content(paper: Paper, films: Vec<PlanFilm>, screws: usize, open: usize) -> PlanContent {
    let place =
        "19.2\u{2009}mm distal of the tarsometatarsal joint, 0.8\u{2009}mm dorsal of the midline";
    let names = ["Cut", "Head", "Screw A", "Screw B"].into_iter();
    PlanContent {
        paper,
        side: SheetSide::Unknown,
        identity: None,
        plan: "Plan 1 · before surgery · films of 5 January 2026".to_owned(),
        films,
        places: names
            .map(|name| (name.to_owned(), vec![place.to_owned(); 3]))
            .collect(),
        screws: vec![
            [
                "Screw A".to_owned(),
                "4.0\u{2009}mm".to_owned(),
                "withheld".to_owned(),
                "AP 48.0\u{2009}mm, lateral 46.1\u{2009}mm".to_owned(),
                "medial shaft, lateral shaft, medial head, lateral head".to_owned(),
                "in the shaft 20.0\u{2009}mm, in the head 11.4\u{2009}mm".to_owned(),
                "24.0° to the shaft, 3.0° to A".to_owned(),
            ];
            screws
        ],
        expected: vec![
            ExpectedRow {
                name: "Distal metatarsal articular angle".to_owned(),
                before: "32.1° ± 3.4".to_owned(),
                planned:
                    "not predicted: no flat film shows what supination does to the joint surface"
                        .to_owned(),
                is_chosen: false,
                with_loss: "18.0°".to_owned(),
            };
            5
        ],
        lost: "30\u{2009}% lost".to_owned(),
        open: vec!["A, B: enters clear of the medial step: open, 3.1\u{2009}mm".to_owned(); open],
        granted: vec![
            "The toe follows the head (ours: no source tells what a toe does).".to_owned();
            5
        ],
        notes: vec!["Millimetres on the AP film: calibrated by geometry.".to_owned(); 3],
        caution: "A measuring aid, not a medical device; a licensed clinician decides.".to_owned(),
        program: "Plumbray 0.1.0".to_owned(),
        origin: "Plumbray 0.1.0 · study file a.study.ron".to_owned(),
    }
}

fn every_content() -> Vec<PlanContent> {
    let ap = |scale| film("AP film, standing, 5 January 2026", scale, [350.0, 600.0]);
    let lateral = |scale| {
        film(
            "Lateral film, standing, date unknown",
            scale,
            [600.0, 300.0],
        )
    };
    let mut missing = ap(None);
    missing.picture = Err("The AP film is not shown: its file is missing.".to_owned());
    let mut contents = Vec::new();
    for paper in [Paper::A4, Paper::Letter] {
        for (screws, open) in [(0, 0), (2, 6), (6, 19)] {
            for films in [
                vec![ap(Some(0.2)), lateral(Some(0.2))],
                vec![ap(None), lateral(Some(0.2))],
                vec![ap(None)],
                vec![missing.clone(), lateral(None)],
            ] {
                contents.push(content(paper, films, screws, open));
            }
        }
    }
    contents
}

fn texts(page: &Page) -> Vec<&TextMark> {
    let marks = page.marks.iter();
    marks
        .filter_map(|mark| match mark {
            Mark::Text(text) => Some(text),
            _ => None,
        })
        .collect()
}

#[test]
fn nothing_leaves_the_page_and_nothing_lies_on_anything_else() {
    for content in every_content() {
        let (width, height) = content.paper.size();
        let page = plan_page(&content, SIDE);
        let mut areas: Vec<(String, Area)> = texts(&page)
            .iter()
            .map(|text| {
                (
                    text.text.clone(),
                    text.area().grown(-0.05, -0.12 * text.size),
                )
            })
            .collect();
        areas.extend(page.marks.iter().filter_map(|mark| match mark {
            Mark::Film(area, _) => Some(("a film".to_owned(), area.grown(-0.05, -0.05))),
            _ => None,
        }));
        for (index, (what, area)) in areas.iter().enumerate() {
            assert!(
                area.left >= SIDE_MARGIN - 0.1
                    && area.right() <= width - SIDE_MARGIN + 0.1
                    && area.top >= TOP_MARGIN - 0.1
                    && area.bottom() <= height - BOTTOM_MARGIN + 1.0,
                "“{what}” at {area:?}"
            );
            for (other, beside) in &areas[index + 1..] {
                assert!(!area.overlaps(*beside), "“{what}” on “{other}”");
            }
        }
    }
}

#[test]
fn a_bar_of_ten_millimetres_is_as_long_as_the_scale_says_and_stands_only_below_a_calibrated_film() {
    let ap = film("AP film", Some(0.2), [350.0, 600.0]);
    let lateral = film("Lateral film", None, [600.0, 300.0]);
    let page = plan_page(&content(Paper::A4, vec![ap, lateral], 2, 3), SIDE);
    let said: Vec<&str> = texts(&page).iter().map(|text| text.text.as_str()).collect();
    let all = said.join(" ");
    let scale: f64 = all
        .split("1 : ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next())
        .and_then(|number| number.parse().ok())
        .expect("the scale is said");
    let expected = 10.0 * 72.0 / 25.4 / scale;
    let is_bar = |mark: &&Mark| match mark {
        Mark::Line(line) => {
            let long = line.along[line.along.len() - 1].x - line.along[0].x;
            (long - expected).abs() < 1e-6 && line.along.len() == 2
        }
        _ => false,
    };
    assert_eq!(page.marks.iter().filter(is_bar).count(), 1, "one bar");
    let film = page.marks.iter().find_map(|mark| match mark {
        Mark::Film(area, _) => Some(*area),
        _ => None,
    });
    let width = film.map_or(0.0, |area| area.width);
    let drawn = 350.0 * 0.2 * 72.0 / 25.4 / scale;
    assert!((width - drawn).abs() < 1e-6, "{width} for {drawn}");
    assert!(
        all.contains("not calibrated, not to scale"),
        "the other: {all}"
    );
}

#[test]
fn the_side_the_caution_and_the_room_for_a_signature_stand_on_the_page() {
    for content in every_content().into_iter().step_by(5) {
        let page = plan_page(&content, SIDE);
        let all: Vec<&str> = texts(&page).iter().map(|text| text.text.as_str()).collect();
        for expected in [SIDE.0, SIDE.1, "name, signature, date", "page 1 of 1"] {
            assert!(all.contains(&expected), "{expected}");
        }
        assert!(
            all.join(" ").contains("not a medical device"),
            "the caution"
        );
    }
}
