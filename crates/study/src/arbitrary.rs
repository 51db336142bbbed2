//! Random studies for the property tests, as wild as a study may be.

use std::num::NonZeroU32;

use jiff::{Timestamp, civil::Date};
use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin,
    PixelSpacing, PlacedPoint, Proportions, Side, Tracing, View,
};
use plumbray_plan::{
    Aim, AimAt, BonePlace, Cut, CutDirection, CutForm, Extent, Goal, HeadMove, LengthSteps,
    MOST_SCREWS, Plan, Screw, ScrewKind, Toe, ToeRule,
};
use proptest::{collection, option, prelude::*, sample};

use crate::{
    content_hash::ContentHash,
    film_record::FilmRecord,
    history::{History, HistoryEntry},
    study::{
        AxisLevels, Choices, EarlierTracing, Judged, LateralHeadEdge, Operation, Reader,
        SideChoice, SideSource, Stance, Study, Visit,
    },
};

fn point() -> impl Strategy<Value = FilmPoint> {
    let coordinate = || {
        prop_oneof![
            8 => -1e6..1e6,
            1 => Just(0.0),
            1 => Just(-0.0),
            1 => Just(1e-300),
            1 => Just(0.1 + 0.2),
        ]
    };
    (coordinate(), coordinate()).prop_map(|(x, y)| FilmPoint::new(x, y))
}

fn origin() -> impl Strategy<Value = Origin> {
    sample::select(vec![
        Origin::Hand,
        Origin::Snapped,
        Origin::Derived,
        Origin::Proposed,
        Origin::Imported,
    ])
}

fn cortices() -> impl Strategy<Value = Cortices> {
    let cortex = || collection::vec(point(), 2..12);
    let together = prop_oneof![Just(0.0), 0.0..1.0];
    let spread = (0.0..100.0, together, option::of(0.0..1.0));
    (cortex(), cortex(), spread, origin()).prop_map(
        |(one, two, (sd_px, together, proximal), origin)| Cortices {
            one,
            two,
            sd_px,
            together_sd_px: together * sd_px,
            proximal_sd_px: proximal.map(|share: f64| 100.0 * share),
            origin,
        },
    )
}

/// Anything that may be placed on the film of this view.
pub(crate) fn film_tracing(view: View) -> impl Strategy<Value = FilmTracing> {
    let landmarks: Vec<Landmark> = Landmark::all()
        .into_iter()
        .filter(|landmark| landmark.is_on(view))
        .collect();
    let bones: Vec<LongBone> = LongBone::ALL
        .into_iter()
        .filter(|bone| Landmark::ShaftStart(*bone).is_on(view))
        .collect();
    let placed = (point(), 0.0..1e3, origin()).prop_map(|(at, sd_px, origin)| PlacedPoint {
        at,
        sd_px,
        origin,
    });
    (
        collection::btree_map(sample::select(landmarks), placed, 0..30),
        collection::btree_map(sample::select(bones), cortices(), 0..4),
    )
        .prop_map(|(points, cortices)| FilmTracing { points, cortices })
}

fn calibration() -> impl Strategy<Value = Calibration> {
    let basis = prop_oneof![
        Just(CalibrationBasis::FileByGeometry),
        Just(CalibrationBasis::FileByFiducial),
        Just(CalibrationBasis::FileOriginUnsaid),
        Just(CalibrationBasis::FileAcceptedByUser),
        Just(CalibrationBasis::AtDetector),
        (1.0..1.3).prop_map(|factor| CalibrationBasis::EstimatedMagnification { factor }),
        (5.0..50.0).prop_map(|diameter_mm| CalibrationBasis::RoundObject { diameter_mm }),
        (5.0..500.0).prop_map(|distance_mm| CalibrationBasis::KnownDistance { distance_mm }),
    ];
    (0.01..1.0, 0.01..1.0, basis, 0.0..0.2).prop_map(|(rows, columns, basis, relative_sd)| {
        Calibration {
            spacing: PixelSpacing::new(rows, columns).expect("possible"),
            basis,
            relative_sd,
        }
    })
}

fn date() -> impl Strategy<Value = Date> {
    (1896_i16..2100, 1_i8..13, 1_i8..29)
        .prop_map(|(year, month, day)| Date::new(year, month, day).expect("in the calendar"))
}

fn film() -> impl Strategy<Value = FilmRecord> {
    (
        "[^/\0]{0,20}[^/\0.]",
        any::<[u8; 8]>(),
        1_u32..400,
        (1_u32..60_000, 1_u32..60_000),
        0.01..100.0,
        option::of(calibration()),
        option::of(date()),
    )
        .prop_map(
            |(file, bytes, picture, (width_px, height_px), shape, calibration, date)| FilmRecord {
                file,
                hash: ContentHash::of_bytes(&bytes),
                picture: NonZeroU32::new(picture).expect("from 1"),
                width_px,
                height_px,
                proportions: Proportions::new(shape).expect("possible"),
                calibration,
                date,
            },
        )
}

fn side() -> impl Strategy<Value = Side> {
    sample::select(vec![Side::Left, Side::Right])
}

fn side_choice() -> impl Strategy<Value = SideChoice> {
    let source = sample::select(vec![
        SideSource::FilmFile,
        SideSource::Marker,
        SideSource::Bones,
        SideSource::User,
    ]);
    (side(), source, any::<bool>()).prop_map(|(side, source, confirmed)| SideChoice {
        side,
        source,
        confirmed,
    })
}

fn visit() -> impl Strategy<Value = Visit> {
    let operation =
        (option::of(date()), option::of(side())).prop_map(|(date, side)| Operation { date, side });
    let stance = sample::select(vec![Stance::Unknown, Stance::Standing, Stance::NotStanding]);
    (
        any::<String>(),
        any::<bool>(),
        option::of(operation),
        stance,
    )
        .prop_map(|(label, operated, operation, stance)| Visit {
            label,
            operated,
            operation,
            stance,
        })
}

fn axis_levels() -> impl Strategy<Value = AxisLevels> {
    (1.0..30.0, 1.0..15.0, 1.0..15.0).prop_map(|(metatarsal, proximal, distal)| AxisLevels {
        metatarsal_mm: metatarsal,
        proximal_phalanx_mm: proximal,
        distal_phalanx_mm: distal,
    })
}

fn time() -> impl Strategy<Value = Timestamp> {
    (0_i64..4_000_000_000).prop_map(|second| Timestamp::from_second(second).expect("possible"))
}

fn history() -> impl Strategy<Value = History> {
    let entry = (
        time(),
        time(),
        any::<String>(),
        any::<String>(),
        1_u32..1000,
    )
        .prop_map(|(first, last, who, what, count)| HistoryEntry {
            first,
            last,
            who,
            what,
            count,
        });
    collection::vec(entry, 0..5).prop_map(History::from_entries)
}

fn reader() -> impl Strategy<Value = Reader> {
    (any::<String>(), option::of(time())).prop_map(|(name, traced_at)| Reader { name, traced_at })
}

fn tracing() -> impl Strategy<Value = Tracing> {
    (film_tracing(View::Ap), film_tracing(View::Lateral))
        .prop_map(|(ap, lateral)| Tracing { ap, lateral })
}

fn earlier_tracings() -> impl Strategy<Value = Vec<EarlierTracing>> {
    let earlier =
        (tracing(), reader()).prop_map(|(tracing, reader)| EarlierTracing { tracing, reader });
    prop_oneof![4 => Just(Vec::new()), 1 => collection::vec(earlier, 1..3)]
}

fn extent(
    mm: std::ops::RangeInclusive<f64>,
    share: std::ops::RangeInclusive<f64>,
) -> impl Strategy<Value = Extent> {
    prop_oneof![
        mm.prop_map(Extent::Millimetres),
        share.prop_map(Extent::Share)
    ]
}

fn cut() -> impl Strategy<Value = Cut> {
    let at = sample::select(vec![AimAt::Neck, AimAt::Head]);
    let aim = (sample::select(Aim::BONES.to_vec()), at).prop_map(|(bone, at)| Aim { bone, at });
    let direction = prop_oneof![
        (-45.0..=45.0).prop_map(CutDirection::TiltDegrees),
        aim.prop_map(CutDirection::Toward),
    ];
    let form = prop_oneof![
        Just(CutForm::Straight),
        (0.0..=140.0).prop_map(|opens_degrees| CutForm::Chevron { opens_degrees }),
    ];
    let level = extent(5.0..=50.0, 0.08..=0.8);
    (level, direction, form, extent(0.0..=6.0, 0.0..=0.5)).prop_map(
        |(level, direction, form, kerf)| Cut {
            level,
            direction,
            form,
            kerf,
        },
    )
}

fn head_move() -> impl Strategy<Value = HeadMove> {
    let degrees = (-30.0..=30.0, -60.0..=60.0, -30.0..=30.0);
    let goal = option::of(prop_oneof![
        (-20.0..=40.0).prop_map(Goal::IntermetatarsalAngle),
        Just(Goal::SesamoidsUnderHead),
        Just(Goal::MostThisBoneAllows),
    ]);
    let shift = (extent(-5.0..=25.0, -0.4..=1.5), goal);
    (shift, extent(-10.0..=10.0, -0.8..=0.8), degrees).prop_map(
        |((shift, goal), dorsal_shift, (turn, supination, tilt))| HeadMove {
            shift,
            goal,
            medial_turn_degrees: turn,
            supination_degrees: supination,
            dorsal_shift,
            plantar_tilt_degrees: tilt,
        },
    )
}

fn toe() -> impl Strategy<Value = Toe> {
    let rule = prop_oneof![
        Just(ToeRule::FollowsHead),
        Just(ToeRule::KeepsDirection),
        (-20.0..=60.0).prop_map(|hallux_valgus_degrees| ToeRule::Realigned {
            hallux_valgus_degrees
        }),
    ];
    (rule, -25.0..=25.0).prop_map(|(rule, wedge_degrees)| Toe {
        rule,
        wedge_degrees,
    })
}

fn screw() -> impl Strategy<Value = Screw> {
    let share = || -3.0..=3.0;
    let place = || {
        (share(), share(), share()).prop_map(|(along, lateral, dorsal)| BonePlace {
            along,
            lateral,
            dorsal,
        })
    };
    let kind = sample::select(vec![ScrewKind::Screw, ScrewKind::Wire]);
    (kind, extent(0.5..=8.0, 0.03..=0.7), place(), place()).prop_map(
        |(kind, diameter, entry, tip)| Screw {
            kind,
            diameter,
            entry,
            tip,
        },
    )
}

fn plan() -> impl Strategy<Value = Plan> {
    let lengths =
        (5.0..=60.0, 0.5..=20.0, 60.0..=150.0).prop_map(|(shortest_mm, step_mm, longest_mm)| {
            LengthSteps {
                shortest_mm,
                step_mm,
                longest_mm,
            }
        });
    let screws = (collection::vec(screw(), 0..=MOST_SCREWS), any::<bool>());
    (
        any::<String>(),
        (cut(), head_move(), toe()),
        any::<bool>(),
        screws,
        lengths,
        0.0..=0.3,
    )
        .prop_map(
            |(
                name,
                (cut, head, toe),
                step_trimmed,
                (screws, screws_suggested),
                lengths,
                lost_share,
            )| Plan {
                name,
                cut,
                head,
                toe,
                step_trimmed,
                screws,
                screws_suggested,
                lengths,
                lost_share,
            },
        )
}

fn plans() -> impl Strategy<Value = Vec<Plan>> {
    prop_oneof![2 => Just(Vec::new()), 1 => collection::vec(plan(), 1..4)]
}

/// Any study that may be stored.
pub(crate) fn study() -> impl Strategy<Value = Study> {
    (
        option::of(side_choice()),
        option::of(film()),
        option::of(film()),
        visit(),
        (tracing(), earlier_tracings(), plans()),
        (
            option::of("[a-z_]{1,30}"),
            option::of(axis_levels()),
            option::of("[a-z_]{1,30}"),
        ),
        (
            reader(),
            option::of(sample::select(LateralHeadEdge::ALL.to_vec())),
        ),
        history(),
    )
        .prop_map(
            |(
                side,
                ap,
                lateral,
                visit,
                (tracing, earlier, plans),
                choices,
                (reader, edge),
                history,
            )| {
                Study {
                    side,
                    ap,
                    lateral,
                    visit,
                    tracing,
                    judged: Judged {
                        lateral_head_edge: edge,
                    },
                    earlier_tracings: earlier,
                    plans,
                    choices: Choices {
                        axis_convention: choices.0,
                        axis_levels: choices.1,
                        severity_scheme: choices.2,
                    },
                    reader,
                    history,
                }
            },
        )
}
