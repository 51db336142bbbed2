//! What looks wrong about a tracing is told, and nothing of a usual foot.

use plumbray_anatomy::{Landmark, LongBone, Sesamoid, Side, View};
use plumbray_measure::{Foot, Implausible, implausible};

use crate::made_feet::{
    MadeAngles, ap_only, ap_tracing, film, lateral_only, lateral_tracing, put, put_further_ap,
};

#[test]
fn a_usual_foot_is_plausible_and_so_is_a_crooked_one() {
    for (hallux_valgus, intermetatarsal) in [(5.0, 6.0), (32.0, 13.0), (55.0, 22.0), (-15.0, 4.0)] {
        let mut ap = ap_tracing(MadeAngles {
            hallux_valgus,
            intermetatarsal,
            ..MadeAngles::default()
        });
        put_further_ap(&mut ap);
        let lateral = lateral_tracing(25.0, 20.0, 20.0);
        let foot = Foot {
            ap: Some(film(&ap)),
            lateral: Some(film(&lateral)),
            operated: false,
        };
        assert_eq!(implausible(&foot, Some(Side::Right)), [], "{hallux_valgus}");
    }
}

#[test]
fn a_metatarsal_of_half_the_length_and_one_out_of_order_are_told() {
    let mut tracing = ap_tracing(MadeAngles::default());
    put(&mut tracing, Landmark::Tip(LongBone::M3), [507.0, 720.0]);
    let found = implausible(&ap_only(&tracing), None);
    assert!(
        matches!(
            found.as_slice(),
            [Implausible::Length {
                short: LongBone::M3,
                ..
            }]
        ),
        "{found:?}"
    );
    let mut tracing = ap_tracing(MadeAngles::default());
    for (landmark, y) in [
        (Landmark::BaseCentre(LongBone::M4), 880.0),
        (Landmark::Tip(LongBone::M4), 450.0),
    ] {
        put(&mut tracing, landmark, [380.0, y]);
    }
    let found = implausible(&ap_only(&tracing), None);
    assert!(found.contains(&Implausible::Order), "{found:?}");
}

#[test]
fn an_end_that_was_dragged_far_beside_its_shaft_is_told_by_name() {
    let mut tracing = ap_tracing(MadeAngles::default());
    let base = Landmark::BaseCentre(LongBone::M1);
    let at = tracing.point(base).expect("placed");
    put(&mut tracing, base, [at.x_px + 150.0, at.y_px]);
    let found = implausible(&ap_only(&tracing), None);
    let told = Implausible::EndBesideShaft(View::Ap, base);
    assert!(found.contains(&told), "{found:?}");
    assert!(
        told.text()
            .starts_with("First metatarsal, centre of the base"),
        "{}",
        told.text()
    );
}

#[test]
fn sesamoids_far_from_the_head_or_exchanged_are_told() {
    let mut tracing = ap_tracing(MadeAngles::default());
    put_further_ap(&mut tracing);
    let tibial = Landmark::SesamoidCentre(Sesamoid::Tibial);
    put(&mut tracing, tibial, [300.0, 880.0]);
    let found = implausible(&ap_only(&tracing), None);
    let far = Implausible::SesamoidFromHead(Sesamoid::Tibial);
    assert_eq!(found, [far], "near the base");
    let mut tracing = ap_tracing(MadeAngles::default());
    put_further_ap(&mut tracing);
    let fibular = Landmark::SesamoidCentre(Sesamoid::Fibular);
    let places = [tracing.points[&fibular], tracing.points[&tibial]];
    tracing
        .points
        .extend([(tibial, places[0]), (fibular, places[1])]);
    let found = implausible(&ap_only(&tracing), None);
    assert_eq!(found, [Implausible::SesamoidsExchanged], "exchanged");
}

#[test]
fn the_other_side_and_the_other_view_are_told() {
    let tracing = ap_tracing(MadeAngles::default());
    let found = implausible(&ap_only(&tracing), Some(Side::Left));
    assert_eq!(found, [Implausible::OtherSide(Side::Right)], "a right foot");
    let mut tracing = lateral_tracing(25.0, 20.0, 20.0);
    put(&mut tracing, Landmark::Tip(LongBone::M3), [500.0, 500.0]);
    let found = implausible(&lateral_only(&tracing), None);
    let other = Implausible::OtherView(View::Lateral, Landmark::Tip(LongBone::M3));
    assert_eq!(found, [other], "M3 is not read there");
}

#[test]
fn an_axis_along_a_quarter_of_its_bone_is_told() {
    let mut tracing = ap_tracing(MadeAngles::default());
    let cortices = tracing.cortices.get_mut(&LongBone::M2).expect("traced");
    cortices.one.drain(..14);
    cortices.two.drain(..14);
    let found = implausible(&ap_only(&tracing), None);
    assert_eq!(
        found,
        [Implausible::ShortShaft(View::Ap, LongBone::M2)],
        "M2"
    );
}

#[test]
fn a_foot_that_hangs_and_metatarsals_over_each_other_are_told() {
    let hanging = lateral_tracing(60.0, 60.0, 20.0);
    let found = implausible(&lateral_only(&hanging), None);
    assert_eq!(found, [Implausible::NotStanding], "60° to the floor");
    let mut tracing = ap_tracing(MadeAngles::default());
    for (bone, x) in [
        (LongBone::M3, 425.0),
        (LongBone::M4, 430.0),
        (LongBone::M5, 435.0),
    ] {
        put(&mut tracing, Landmark::BaseCentre(bone), [x, 880.0]);
        put(&mut tracing, Landmark::Tip(bone), [x + 5.0, 450.0]);
        tracing.cortices.remove(&bone);
    }
    let found = implausible(&ap_only(&tracing), None);
    assert_eq!(found, [Implausible::Oblique], "as from the side");
}
