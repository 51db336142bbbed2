use proptest::prelude::*;

use super::*;
use crate::arbitrary;

/// The same tracing with every origin forgotten, as a table forgets it.
fn as_imported(mut tracing: FilmTracing) -> FilmTracing {
    for placed in tracing.points.values_mut() {
        placed.origin = Origin::Imported;
    }
    for cortices in tracing.cortices.values_mut() {
        cortices.origin = Origin::Imported;
        cortices.proximal_sd_px = None;
    }
    tracing
}

#[test]
fn a_table_from_a_spreadsheet_with_comments_and_blank_lines_is_read() {
    let table = "\u{feff}# traced by a script\r\n\r\nlandmark , x_px,y_px,sd_px\r\n\
                 \"m1_tip\", 812.5 ,431.25,2\r\n,,,\r\n# the head\r\nm1_head_centre,1,2\r\n\
                 m1_head_edge,3,4,\r\n";
    let tracing = import(table, View::Ap).expect("readable");
    let expected = [
        (Landmark::Tip(LongBone::M1), 812.5, 431.25, 2.0),
        (Landmark::HeadCentre, 1.0, 2.0, DEFAULT_SD_PX),
        (Landmark::HeadEdge, 3.0, 4.0, DEFAULT_SD_PX),
    ]
    .map(|(landmark, x, y, sd_px)| {
        let placed = PlacedPoint {
            at: FilmPoint::new(x, y),
            sd_px,
            origin: Origin::Imported,
        };
        (landmark, placed)
    });
    assert_eq!(tracing.points, expected.into(), "points");
}

#[test]
fn the_spread_may_be_left_out_and_columns_may_stand_in_any_order() {
    let tracing = import("y_px,landmark,x_px\n2,m1_tip,1\n", View::Ap).expect("readable");
    let placed = tracing.points[&Landmark::Tip(LongBone::M1)];
    assert_eq!(
        (placed.at, placed.sd_px),
        (FilmPoint::new(1.0, 2.0), DEFAULT_SD_PX),
        "point"
    );
}

#[test]
fn a_cortex_is_read_in_the_order_of_its_rows() {
    let table = "landmark,x_px,y_px\nm1_cortex_one,1,1\nm1_cortex_two,5,1\nm1_cortex_one,1,2\n\
                 m1_cortex_two,5,2\nm1_cortex_one,1,3\n";
    let tracing = import(table, View::Lateral).expect("readable");
    let cortices = &tracing.cortices[&LongBone::M1];
    let ys = |points: &[FilmPoint]| points.iter().map(|point| point.y_px).collect::<Vec<_>>();
    assert_eq!(ys(&cortices.one), [1.0, 2.0, 3.0], "one");
    assert_eq!(ys(&cortices.two), [1.0, 2.0], "two");
    assert_eq!(
        (cortices.sd_px, cortices.origin),
        (DEFAULT_SD_PX, Origin::Imported),
        "spread"
    );
}

#[test]
fn each_fault_is_named_with_its_line_and_remedy() {
    let faults = [
        ("", "line 1: the first row must name the columns"),
        ("\n# nothing\n", "the table is empty"),
        (
            "m1_tip,1,2\n",
            "line 1: the first row must name the columns",
        ),
        ("landmark;x_px;y_px\n", "with commas between them"),
        ("landmark,x_px\n", "“y_px” is missing"),
        ("landmark,x_px,y_px,x_px\n", "a column stands twice"),
        (
            "landmark,x_px,y_px\n\nm1_tip,one,2\n",
            "line 3: x_px must be a number",
        ),
        (
            "landmark,x_px,y_px\nm1_tip,1\n",
            "line 2: y_px must be a number",
        ),
        (
            "landmark,x_px,y_px\nm1_tip,NaN,2\n",
            "line 2: x_px must be a number",
        ),
        (
            "landmark,x_px,y_px\nm1_tip,1,inf\n",
            "line 2: y_px must be a number",
        ),
        (
            "landmark,x_px,y_px,sd_px\nm1_tip,1,2,-1\n",
            "line 2: sd_px must be a number from 0",
        ),
        (
            "landmark,x_px,y_px\nm1_tip,1,5,2,5\n",
            "decimal point, not a comma",
        ),
        (
            "landmark,x_px,y_px\nm9_tip,1,2\n",
            "line 2: “m9_tip” is not the name of a landmark",
        ),
        (
            "landmark,x_px,y_px\nm1_cortex_three,1,2\n",
            "“m1_cortex_three” is not the name",
        ),
        (
            "landmark,x_px,y_px\nm1_tip,1,2\nm1_tip,1,3\n",
            "line 3: m1_tip stands on line 2 already",
        ),
        (
            "landmark,x_px,y_px\ntalus_anterior,1,2\n",
            "not read on the AP film",
        ),
        (
            "landmark,x_px,y_px\nm1_cortex_one,1,2\nm1_cortex_one,1,3\n",
            "m1_cortex_two has 0 of",
        ),
        (
            "landmark,x_px,y_px,sd_px\nm1_cortex_one,1,2,1\nm1_cortex_two,1,2,2\n",
            "line 3: the points of both cortices of a bone share one sd_px and one together_sd_px; give the same as on line 2",
        ),
        (
            "landmark,x_px,y_px\n\"m1_tip,1,2\n",
            "line 2: “\"m1_tip” is not the name",
        ),
    ];
    for (table, expected) in faults {
        let error = import(table, View::Ap).expect_err(table).to_string();
        assert!(error.contains(expected), "{table:?}: {error}");
    }
    let error = import("landmark,x_px,y_px\nm2_cortex_one,1,2\n", View::Lateral)
        .expect_err("M2 is not read on the lateral");
    assert!(error.to_string().contains("on the lateral film"), "{error}");
}

#[test]
fn an_empty_tracing_is_a_table_of_its_header() {
    let table = export(&FilmTracing::default());
    assert_eq!(table, "landmark,x_px,y_px,sd_px\n", "table");
    assert_eq!(import(&table, View::Ap), Ok(FilmTracing::default()), "read");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_tracing_comes_back_exactly(
        (view, tracing) in prop_oneof![Just(View::Ap), Just(View::Lateral)]
            .prop_flat_map(|view| (Just(view), arbitrary::film_tracing(view))),
    ) {
        let table = export(&tracing);
        let imported = import(&table, view).expect("readable");
        prop_assert_eq!(export(&imported), table, "written again");
        prop_assert_eq!(imported, as_imported(tracing), "tracing");
    }

    #[test]
    fn any_text_is_read_without_a_panic(text in "(\\PC|[,\n\"#;]){0,300}") {
        drop(import(&text, View::Ap));
        drop(import(&format!("landmark,x_px,y_px\n{text}"), View::Ap));
    }
}
