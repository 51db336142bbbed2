//! A whole film is looked at, and what is proposed lies where the bones truly are.

use plumbray_anatomy::{Landmark, LongBone, Proportions, Sesamoid, Side, View};
use plumbray_film::GreyView;
use plumbray_phantom::{
    Exposure, Foot, FootParameters, Operation, SimulatedFilm, render_ap, render_ap_of_both,
    render_lateral,
};
use plumbray_proposal::{Doubt, Hints, Proposal, ProposalError, Sight};

/// Coarser than a clinic's films, and quick.
const PIXEL_MM: f64 = 0.3;

fn exposure() -> Exposure {
    Exposure {
        pixel_mm: PIXEL_MM,
        ..Exposure::default()
    }
}

fn foot(side: Side) -> Foot {
    Foot::new(FootParameters {
        side,
        hallux_valgus_angle: 28.0,
        intermetatarsal_angle_1_2: 13.0,
        ..FootParameters::default()
    })
    .expect("a possible foot")
}

fn view_of<'a>(samples: &'a [u16], width: usize, height: usize) -> GreyView<'a> {
    GreyView {
        width,
        height,
        samples,
        bone_is_bright: true,
        proportions: Proportions::SQUARE,
    }
}

fn proposals(film: &SimulatedFilm) -> Vec<Proposal> {
    let view = view_of(&film.samples, film.width, film.height);
    Sight::of(&view).expect("a foot").proposals(&view)
}

/// Every landmark of a foot within so many millimetres of where it truly is.
fn lies_true(proposal: &Proposal, film: &SimulatedFilm, foot: usize, most_mm: f64) {
    let truth = &film.truth.feet[foot].tracing;
    for (landmark, placed) in &proposal.tracing.points {
        // The ends of an ellipse's axes and the edge of a circle may be any of several points.
        if matches!(
            landmark,
            Landmark::SesamoidLongEnd(_)
                | Landmark::SesamoidShortEnd(_)
                | Landmark::HeadEdge
                | Landmark::FloorPosterior
                | Landmark::FloorAnterior
        ) {
            continue;
        }
        let there = truth.point(*landmark).expect("a true place");
        let away = placed.at.distance_px(there) * PIXEL_MM;
        assert!(away < most_mm, "{landmark} is {away:.2} mm off");
    }
}

#[test]
fn every_landmark_of_an_ap_film_is_proposed_for_either_side() {
    for side in [Side::Right, Side::Left] {
        let film = render_ap(&foot(side), &exposure()).expect("a film");
        let proposals = proposals(&film);
        let [proposal] = proposals.as_slice() else {
            panic!("{} feet on a film of one", proposals.len());
        };
        assert_eq!(proposal.view, View::Ap, "view");
        assert_eq!(proposal.side, Some(side), "side");
        assert_eq!(
            proposal.left_to_reader.len(),
            0,
            "{:?}",
            proposal.left_to_reader
        );
        assert_eq!(proposal.tracing.cortices.len(), 7, "shafts");
        for wanted in [
            Landmark::Tip(LongBone::M1),
            Landmark::HeadEdge,
            Landmark::ArticularMedial,
            Landmark::SesamoidCentre(Sesamoid::Tibial),
        ] {
            assert!(
                proposal.tracing.point(wanted).is_some(),
                "{wanted} is missing"
            );
        }
        lies_true(proposal, &film, 0, 3.0);
    }
}

#[test]
fn nothing_is_proposed_beyond_the_edge_of_a_film_that_cuts_bones_off() {
    let film = render_ap(&foot(Side::Right), &exposure()).expect("a film");
    let base = Landmark::BaseCentre(LongBone::M2);
    let there = film.truth.feet[0].tracing.point(base).expect("a base");
    let cut = there.y_px - 5.0 / PIXEL_MM;
    let rows = (0..film.height)
        .take_while(|row| (*row as f64) < cut)
        .count();
    let view = view_of(&film.samples[..rows * film.width], film.width, rows);
    let proposals = Sight::of(&view).expect("a foot").proposals(&view);
    let proposal = proposals.first().expect("a foot");
    let cortices = proposal.tracing.cortices.values();
    let places = proposal.tracing.points.values().map(|placed| placed.at);
    for at in places.chain(cortices.flat_map(|shaft| shaft.one.iter().chain(&shaft.two).copied())) {
        assert!(at.y_px <= rows as f64, "{at:?} is below the film");
    }
    let reason = proposal.left_to_reader.get(&base);
    assert_eq!(
        reason,
        Some(&Doubt::AtTheEdge),
        "what is cut off is left to the reader"
    );
    let tip = Landmark::Tip(LongBone::M2);
    assert!(
        proposal.tracing.points.contains_key(&tip),
        "what is shown is proposed"
    );
}

#[test]
fn metal_in_the_first_metatarsal_is_a_doubt_of_its_shaft_and_no_metal_is_none() {
    let whole = FootParameters {
        hallux_valgus_angle: 28.0,
        intermetatarsal_angle_1_2: 13.0,
        ..FootParameters::default()
    };
    for operation in [None, Some(Operation::default())] {
        let foot = Foot::new(FootParameters { operation, ..whole }).expect("a possible foot");
        let film = render_ap(&foot, &exposure()).expect("a film");
        let proposal = &proposals(&film)[0];
        let cortices = &proposal.tracing.cortices[&LongBone::M1];
        let proximal = cortices.proximal_sd_px;
        assert_eq!(proximal.is_some(), operation.is_some(), "its own spread");
        assert!(
            proximal.is_none_or(|proximal| proximal < cortices.sd_px),
            "metal and fragment do not make the proximal shaft uncertain: {proximal:?}"
        );
        let doubt = proposal
            .doubts
            .get(&Landmark::ShaftStart(LongBone::M1))
            .copied();
        let expected = operation.map(|_| Doubt::Metal);
        assert_eq!(doubt, expected, "{operation:?}");
    }
}

#[test]
fn a_lateral_film_is_seen_as_one() {
    let film = render_lateral(&foot(Side::Left), &exposure()).expect("a film");
    let proposals = proposals(&film);
    assert_eq!(proposals.len(), 1, "feet");
    assert_eq!(proposals[0].view, View::Lateral, "view");
    assert_eq!(proposals[0].side, None, "the side cannot be told");
    lies_true(&proposals[0], &film, 0, 3.0);
}

#[test]
fn two_feet_are_two_proposals_from_left_to_right() {
    let film =
        render_ap_of_both(&foot(Side::Left), &foot(Side::Right), &exposure()).expect("a film");
    let proposals = proposals(&film);
    assert_eq!(proposals.len(), 2, "feet");
    for proposal in &proposals {
        let index = film
            .truth
            .feet
            .iter()
            .position(|truth| Some(truth.side) == proposal.side)
            .expect("a foot of that side");
        lies_true(proposal, &film, index, 3.0);
    }
}

#[test]
fn a_turned_negative_is_found_as_well() {
    let film = render_ap(&foot(Side::Right), &exposure()).expect("a film");
    // A quarter turn clockwise: the first row becomes the last column.
    let (width, height) = (film.height, film.width);
    let mut turned = vec![0; film.samples.len()];
    for (index, sample) in film.samples.iter().enumerate() {
        let (column, row) = (index % film.width, index / film.width);
        turned[column * width + (width - 1 - row)] = u16::MAX - sample;
    }
    let view = view_of(&turned, width, height);
    let proposals = Sight::of(&view).expect("a foot").proposals(&view);
    assert_eq!(proposals.len(), 1, "feet");
    assert_eq!(proposals[0].side, Some(Side::Right), "side");
    let tip = film.truth.feet[0]
        .tracing
        .point(Landmark::Tip(LongBone::M1));
    let tip = tip.expect("a true tip");
    let found = proposals[0].tracing.point(Landmark::Tip(LongBone::M1));
    let found = found.expect("a tip");
    let expected_x = film.height as f64 - tip.y_px;
    let away = (found.x_px - expected_x).hypot(found.y_px - tip.x_px) * PIXEL_MM;
    assert!(away < 3.0, "the tip is {away:.2} mm off");
}

#[test]
fn hints_are_followed_where_the_bone_is_and_nowhere_else() {
    let film = render_ap(&foot(Side::Right), &exposure()).expect("a film");
    let view = view_of(&film.samples, film.width, film.height);
    let sight = Sight::of(&view).expect("a foot");
    let truth = &film.truth.feet[0].tracing;
    let mut hints = Hints::default();
    for landmark in [
        Landmark::ShaftStart(LongBone::M2),
        Landmark::ShaftEnd(LongBone::M2),
        Landmark::HeadCentre,
    ] {
        let mut at = truth.point(landmark).expect("a true place");
        at.x_px += 3.0 / PIXEL_MM;
        hints.points.insert(landmark, at);
    }
    let mut far = truth
        .point(Landmark::ArticularLateral)
        .expect("a true place");
    far.y_px += 60.0 / PIXEL_MM;
    hints.points.insert(Landmark::ArticularLateral, far);
    let traced = sight.traced(&view, View::Ap, &hints);
    assert!(
        traced.tracing.cortices.contains_key(&LongBone::M2),
        "the shaft"
    );
    assert_eq!(traced.tracing.cortices.len(), 1, "only what was pointed at");
    assert!(
        traced.tracing.point(Landmark::HeadEdge).is_some(),
        "the head"
    );
    assert_eq!(
        traced.left_to_reader.get(&Landmark::ArticularLateral),
        Some(&Doubt::FarFromHint),
        "a click elsewhere"
    );
    lies_true(&traced, &film, 0, 3.0);
}

#[test]
fn what_is_no_foot_is_said_to_be_none() {
    let noise: Vec<u16> = (0..300_u32 * 200)
        .map(|index| (index.wrapping_mul(2_654_435_761) >> 16) as u16)
        .collect();
    for (samples, what) in [
        (noise, "noise"),
        (vec![0; 60_000], "black"),
        (vec![u16::MAX; 60_000], "white"),
    ] {
        let found = Sight::of(&view_of(&samples, 300, 200)).err();
        assert_eq!(found, Some(ProposalError::NoFoot), "{what}");
    }
    for (samples, width, height) in [
        (vec![], 0, 0),
        (vec![1; 100], 10, 10),
        (vec![1; 100], 1000, 1000),
    ] {
        let found = Sight::of(&view_of(&samples, width, height)).err();
        assert_eq!(
            found,
            Some(ProposalError::FilmTooSmall),
            "{width} by {height}"
        );
    }
}
