//! How long a screw is, from two views and from each alone.

use crate::{foot_before::FootBefore, in_space::InSpace, plan::Screw};

/// The length of a screw in millimetres of the patient.
///
/// With the differences of its two ends square to the shaft across the foot (x, from the AP film) and up (y, from the
/// lateral film), and along the shaft as the AP film (z′) and the lateral film's scale (z) have it:
///
/// ```text
/// true = √(x² + v² + w²)     AP alone = √(x² + z′²)     lateral alone = √(y² + (z + u)²)
/// v = y − x·sin φ·sin i      w = (z / l + z′ / a) / 2 − x·sin φ·sin i·tan τ / a² − v·(sin i − cos i·tan τ) / a
/// u = x·sin φ·cos φ·cos i·a / l²    with x at the lateral film's scale of the bone
/// l = √(1 − (cos i·sin φ)²)  a = √((cos i·sin φ)² + (cos i·cos φ + sin i·tan τ)²)
/// ```
///
/// where φ is the divergence of the shaft from the second metatarsal, along which the lateral film is taken to lie
/// (ours), i the inclination of the shaft to the floor and τ the tilt of the AP tube, taken to be 15°. The lateral film
/// shortens what runs at an angle to it (l), and shows what lies lateral higher on the slanting shaft. Under the tilted
/// tube the shaft is drawn out (a), and what lies lateral or dorsal of it looks more distal. How the foot stood for the
/// one film and how the tube was tilted for the other are two independent guesses, so that the mean of both scales is
/// wrong by less than either; `docs/plans.md` says by how much. Without a traced floor i is 21°. Plain geometry.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewLength {
    /// From both views; nothing unless both are calibrated at the patient.
    pub true_mm: Option<f64>,
    /// As the AP film alone shows it; nothing unless it is calibrated at the patient.
    pub ap_mm: Option<f64>,
    /// As the lateral film alone shows it; nothing unless it is calibrated at the patient.
    pub lateral_mm: Option<f64>,
    /// Why there is no true length; nothing where there is one.
    pub withheld: Option<String>,
}

impl ScrewLength {
    pub(crate) fn of(before: &FootBefore, screw: &Screw) -> Self {
        let lateral_share = screw.tip.lateral - screw.entry.lateral;
        let along_share = screw.tip.along - screw.entry.along;
        let dorsal_share = screw.tip.dorsal - screw.entry.dorsal;
        let ap_bone = before.ap.patient_mm(before.ap.length);
        let lateral_bone = before
            .lateral
            .as_ref()
            .and_then(|view| view.patient_mm(view.length));
        let across = |bone: f64| lateral_share * bone;
        let ap_mm = ap_bone.map(|bone| across(bone).hypot(along_share * bone));
        let space = InSpace::of(before);
        let looks_along = along_share + lateral_share * space.lateral_looks().y;
        let lateral_mm = lateral_bone.map(|bone| (dorsal_share * bone).hypot(looks_along * bone));
        let true_mm = ap_bone.zip(lateral_bone).map(|(ap, lateral)| {
            let [across, up] = [lateral_share * ap, dorsal_share * lateral];
            space.length(across, up, [along_share * ap, along_share * lateral])
        });
        Self {
            true_mm,
            ap_mm,
            lateral_mm,
            withheld: withheld(before, ap_bone.is_some(), lateral_bone.is_some()),
        }
    }

    /// The true length, or what the AP film alone shows of it where there is no more.
    #[must_use]
    pub fn best_mm(&self) -> Option<f64> {
        self.true_mm.or(self.ap_mm)
    }
}

fn withheld(before: &FootBefore, ap: bool, lateral: bool) -> Option<String> {
    let why = |name: &str, is_calibrated: bool| {
        if is_calibrated {
            format!(
                "the {name} film is calibrated at the detector, where a foot looks 2 to 5 % larger"
            )
        } else {
            format!("the {name} film is not calibrated")
        }
    };
    if !ap {
        return Some(why("AP", before.ap.mm_per_pixel_width.is_some()));
    }
    if lateral {
        return None;
    }
    Some(match (&before.lateral, &before.lateral_lacks) {
        (Some(view), _) => why("lateral", view.mm_per_pixel_width.is_some()),
        (None, Some(lacks)) => format!("the true length {lacks}"),
        (None, None) => "there is no lateral film".to_owned(),
    })
}
