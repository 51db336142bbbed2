//! How long a screw is, from two views and from each alone.

use crate::{foot_before::FootBefore, plan::Screw};

/// The tilt of the AP tube from the vertical: 10 to 20° are usual (common practice, no source).
const TUBE_TILT_DEGREES: f64 = 15.0;

/// The inclination of a first metatarsal: 21.1° in healthy feet (Lee et al., Arch Orthop Trauma Surg 2023).
const USUAL_INCLINATION_DEGREES: f64 = 21.0;

/// The length of a screw in millimetres of the patient.
///
/// With the differences of its two ends square to the shaft across the foot (x, from the AP film) and up (y, from the
/// lateral film), and along the shaft as the AP film (z′) and the lateral film's scale (z) have it:
///
/// ```text
/// true = √(x² + v² + w²)     AP alone = √(x² + z′²)     lateral alone = √(y² + z²)
/// v = y − x·sin φ·sin i      w = (z / l + z′ / a) / 2 − x·sin φ·sin i·tan τ / a² − v·(sin i − cos i·tan τ) / a
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
        let lateral_mm = lateral_bone.map(|bone| (dorsal_share * bone).hypot(along_share * bone));
        let true_mm = ap_bone.zip(lateral_bone).map(|(ap, lateral)| {
            let [across, up] = [lateral_share * ap, dorsal_share * lateral];
            InSpace::of(before).length(across, up, [along_share * ap, along_share * lateral])
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

/// How the first metatarsal lies in space, as far as both films and common practice tell.
struct InSpace {
    divergence: f64,
    inclination: f64,
    tube_tilt: f64,
}

impl InSpace {
    fn of(before: &FootBefore) -> Self {
        let usual = USUAL_INCLINATION_DEGREES.to_radians();
        Self {
            divergence: before.divergence.unwrap_or_default(),
            inclination: before.inclination.unwrap_or(usual),
            tube_tilt: TUBE_TILT_DEGREES.to_radians(),
        }
    }

    /// The length of what differs by so much across, up as the lateral film shows it, and along as the AP and as the
    /// lateral film show it.
    fn length(&self, across: f64, up: f64, [on_ap, on_lateral]: [f64; 2]) -> f64 {
        let (skew, apart) = self.divergence.sin_cos();
        let (sin, cos) = self.inclination.sin_cos();
        let tilt = self.tube_tilt.tan();
        let shortened = (1.0 - (cos * skew).powi(2)).sqrt();
        let drawn_out = (cos * skew).hypot(cos * apart + sin * tilt);
        let dorsal = up - across * skew * sin;
        let looks_distal = across * skew * sin * tilt / drawn_out + dorsal * (sin - cos * tilt);
        let along =
            f64::midpoint(on_lateral / shortened, on_ap / drawn_out) - looks_distal / drawn_out;
        across.hypot(dorsal).hypot(along)
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
