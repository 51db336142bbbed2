//! What is true of the sample AP film, and where it lies on the screen.

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Proportions};
use plumbray_measure::{Choices, Foot, Measurement, TracedFilm, measure};
use plumbray_phantom::FilmTruth;
use plumbray_tests::{read_text, repository};

use crate::{
    screen::{Picture, Place, SIZE, Screen},
    waiting::wait_for,
};

/// Height of the line above the films, in pixels.
const TOP_LINE: f64 = 44.0;
/// Height of the line below the films, in pixels.
const PROMPT_LINE: f64 = 84.0;
/// Width of the worksheet beside the films, in pixels.
const WORKSHEET: f64 = 396.0;
/// What is left free beside a whole film, and above and below it, in pixels.
const MARGIN: (f64, f64) = (8.0, 28.0);

/// On the screen the film is lighter and softer, and points of a tracing may lie on it; one that lies
/// elsewhere or has another size is far from this alike.
const ALIKE: f64 = 0.9;

/// The true tracing of the sample AP film.
pub(crate) fn true_tracing() -> FilmTracing {
    let text = read_text("sample-images/sample-foot-ap.truth.ron".as_ref());
    let truth: FilmTruth = ron::from_str(&text).expect("a truth");
    let foot = truth.feet.into_iter().next();
    foot.expect("one foot is on the film").tracing
}

/// What the engine reads from the true tracing, by the usual convention, in degrees.
pub(crate) fn true_value(tracing: &FilmTracing, measurement: Measurement) -> f64 {
    let film = TracedFilm {
        tracing,
        proportions: Proportions::SQUARE,
        calibration: None,
    };
    let foot = Foot {
        ap: Some(film),
        lateral: None,
        operated: false,
    };
    let outcome = measure(&foot, &Choices::default(), measurement);
    outcome.reading().expect("a number from the truth").value
}

/// Where a hand sweeps along a bone: from just inside its base to just inside its tip.
pub(crate) fn along(tracing: &FilmTracing, bone: LongBone) -> [FilmPoint; 2] {
    let [base, tip] = [Landmark::BaseCentre(bone), Landmark::Tip(bone)]
        .map(|landmark| tracing.point(landmark).expect("the truth has it"));
    [0.08, 0.92].map(|share| {
        FilmPoint::new(
            base.x_px + share * (tip.x_px - base.x_px),
            base.y_px + share * (tip.y_px - base.y_px),
        )
    })
}

/// The sample AP film as it is shown: whole, in its zone of the window.
pub(crate) struct ShownFilm {
    film: image::GrayImage,
    middle: (f64, f64),
    zoom: f64,
}

impl ShownFilm {
    /// The film beside a lateral film (the left half) or alone.
    pub(crate) fn new(beside_lateral: bool) -> Self {
        let path = repository().join("sample-images/sample-foot-ap.png");
        let film = image::open(path).expect("the sample film").into_luma8();
        let zone_width = f64::from(SIZE.0) - WORKSHEET;
        let width = if beside_lateral {
            zone_width / 2.0 - 1.0
        } else {
            zone_width
        };
        let height = f64::from(SIZE.1) - TOP_LINE - PROMPT_LINE;
        let across = (width - 2.0 * MARGIN.0) / f64::from(film.width());
        let down = (height - 2.0 * MARGIN.1) / f64::from(film.height());
        Self {
            film,
            middle: (width / 2.0, TOP_LINE + height / 2.0),
            zoom: across.min(down),
        }
    }

    /// Where a point of the film is on the screen.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place on the screen is a small whole number"
    )]
    pub(crate) fn place(&self, at: FilmPoint) -> Place {
        let x = self.middle.0 + self.zoom * (at.x_px - f64::from(self.film.width()) / 2.0);
        let y = self.middle.1 + self.zoom * (at.y_px - f64::from(self.film.height()) / 2.0);
        (x.round() as u32, y.round() as u32)
    }

    /// Waits until the film is shown where it is expected.
    pub(crate) fn wait_until_shown(&self, screen: &Screen) {
        wait_for("the AP film to be shown", || {
            (self.likeness(&screen.settled()) > ALIKE).then_some(())
        });
    }

    /// The correlation of the film with what is on the screen in its place.
    fn likeness(&self, picture: &Picture) -> f64 {
        let pairs: Vec<(f64, f64)> = (20..self.film.width() - 20)
            .step_by(13)
            .flat_map(|x| {
                (20..self.film.height() - 20)
                    .step_by(13)
                    .map(move |y| (x, y))
            })
            .map(|(x, y)| {
                let at = self.place(FilmPoint::new(f64::from(x), f64::from(y)));
                (
                    f64::from(self.film.get_pixel(x, y).0[0]),
                    picture.brightness(at),
                )
            })
            .collect();
        correlation(&pairs)
    }
}

/// Pearson's correlation; zero where one of both does not vary.
fn correlation(pairs: &[(f64, f64)]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a few thousand pairs")]
    let count = pairs.len() as f64;
    let sum = |of: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>();
    let (mean_0, mean_1) = (sum(&|pair| pair.0) / count, sum(&|pair| pair.1) / count);
    let together = sum(&|pair| (pair.0 - mean_0) * (pair.1 - mean_1));
    let spread_0 = sum(&|pair| (pair.0 - mean_0).powi(2));
    let spread_1 = sum(&|pair| (pair.1 - mean_1).powi(2));
    if spread_0 > 0.0 && spread_1 > 0.0 {
        together / (spread_0 * spread_1).sqrt()
    } else {
        0.0
    }
}
