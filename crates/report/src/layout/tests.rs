//! What holds of every layout: nothing leaves the page, nothing lies on anything else, nothing is lost.

use plumbray_measure::Question;

use super::*;
use crate::{
    content::{SheetFilm, SheetSide},
    drawing::Drawing,
    mark::{Area, TextMark},
    row::{SheetRow, Standing},
    verdict::Verdict,
};

const LONG_NAME: &str =
    "A measurement with an uncommonly long name that nobody would print in one line";

fn row(name: &'static str) -> SheetRow {
    SheetRow {
        name,
        value: "\u{2212}102.4\u{2009}mm".to_owned(),
        spread: "± 120.9".to_owned(),
        usual: "\u{2212}2.5 to 2.0\u{2009}mm".to_owned(),
        convention:
            "Mid-diaphyseal, at the quarters; calibrated by an object on the film; M2 drawn by hand"
                .to_owned(),
        standing: Some(Standing::About),
    }
}

/// A sheet with so many rows and as many words in its label.
fn content(paper: Paper, rows: usize, words_of_label: usize) -> SheetContent {
    let film = |caption: &str| SheetFilm {
        caption: caption.to_owned(),
        picture: Err("The film is not shown: the file is missing.".to_owned()),
        drawing: Drawing::default(),
    };
    let named = |index| {
        if index % 5 == 0 {
            LONG_NAME
        } else {
            "A short name"
        }
    };
    let per_question = rows / Question::ALL.len();
    SheetContent {
        paper,
        visit: vec!["label"; words_of_label].join(" "),
        side: SheetSide::Unknown,
        identity: None,
        films: vec![
            film("AP film, standing, 5 January 2026"),
            film("Lateral film, not standing, date unknown"),
        ],
        questions: Question::ALL
            .into_iter()
            .map(|question| {
                (
                    question,
                    (0..per_question).map(|index| row(named(index))).collect(),
                )
            })
            .collect(),
        notes: vec!["Without a number: 3 of 40 measurements. Missing: much.".to_owned(); 3],
        holds_own_spread: false,
        verdict: Verdict {
            headline: "Moderate, 76\u{2009}%; severe, 22\u{2009}%; mild, 2\u{2009}%".to_owned(),
            remarks: "By these limits, and with a remark that takes more than a line. ".repeat(3),
        },
        caution: "A measuring aid, not a medical device; a licensed clinician decides.".to_owned(),
        program: "Plumbray 0.1.0".to_owned(),
        origin: "Plumbray 0.1.0 · study file a-name-without-any-space-".to_owned()
            + &"and-so-on-".repeat(20),
    }
}

fn texts(page: &Page) -> Vec<&TextMark> {
    page.marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Text(text) => Some(text),
            Mark::Line(_) | Mark::Fill(..) | Mark::Film(..) => None,
        })
        .collect()
}

fn every_content() -> impl Iterator<Item = SheetContent> {
    [Paper::A4, Paper::Letter].into_iter().flat_map(|paper| {
        [(0, 0), (20, 5), (60, 300)]
            .into_iter()
            .map(move |(rows, words)| content(paper, rows, words))
    })
}

#[test]
fn nothing_leaves_the_margins() {
    for content in every_content() {
        let (width, height) = content.paper.size();
        for page in pages(&content) {
            for text in texts(&page) {
                let area = text.area();
                assert!(
                    area.left >= SIDE_MARGIN - 0.01
                        && area.right() <= width - SIDE_MARGIN + 0.01
                        && area.top >= TOP_MARGIN - 0.01
                        && area.bottom() <= height - BOTTOM_MARGIN + 1.0,
                    "“{}” at {area:?}",
                    text.text
                );
            }
        }
    }
}

#[test]
fn no_two_texts_overlap() {
    for content in every_content() {
        for page in pages(&content) {
            let texts = texts(&page);
            let areas: Vec<Area> = texts
                .iter()
                .map(|text| text.area().grown(-0.05, -0.1 * text.size))
                .collect();
            for (index, area) in areas.iter().enumerate() {
                for other in index + 1..areas.len() {
                    assert!(
                        !area.overlaps(areas[other]),
                        "“{}” on “{}”",
                        texts[index].text,
                        texts[other].text
                    );
                }
            }
        }
    }
}

#[test]
fn every_row_stands_on_some_page_and_every_page_has_the_side_and_the_caution() {
    for content in every_content() {
        let pages = pages(&content);
        let rows: usize = content.questions.iter().map(|(_, rows)| rows.len()).sum();
        let values = pages.iter().flat_map(texts);
        let values = values.filter(|text| text.text == "\u{2212}102.4\u{2009}mm");
        assert_eq!(values.count(), rows, "rows");
        for page in &pages {
            for expected in [
                "SIDE UNKNOWN",
                "side not confirmed",
                TITLE,
                "name, signature, date",
            ] {
                let found = texts(page).iter().any(|text| text.text == expected);
                assert!(found, "{expected}");
            }
            let all: Vec<&str> = texts(page).iter().map(|text| text.text.as_str()).collect();
            let all = all.join(" ");
            assert!(all.contains("not a medical device"), "the caution: {all}");
        }
    }
}

#[test]
fn few_rows_take_one_page_and_many_take_more() {
    for paper in [Paper::A4, Paper::Letter] {
        assert_eq!(pages(&content(paper, 8, 5)).len(), 1, "few on {paper:?}");
        assert!(
            pages(&content(paper, 120, 5)).len() > 2,
            "many on {paper:?}"
        );
    }
}

#[test]
fn a_question_never_stands_alone_at_the_foot_of_a_page() {
    for rows in (20..60).step_by(8) {
        for page in pages(&content(Paper::A4, rows, 5)) {
            let texts = texts(&page);
            for (index, text) in texts.iter().enumerate() {
                let is_question = Question::ALL
                    .into_iter()
                    .any(|question| question.heading() == text.text);
                if is_question {
                    let next = texts.get(index + 1).map(|next| next.text.as_str());
                    assert_eq!(next, Some("\u{2212}102.4\u{2009}mm"), "a row follows");
                }
            }
        }
    }
}
