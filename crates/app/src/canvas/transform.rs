//! From the film to the screen and back: pan, zoom, turn, flip and pixels that are not square.

use egui::{Pos2, Rect, Vec2};
use plumbray_anatomy::{Angle, FilmPoint, FilmStep, PhysicalPoint, PhysicalVector, Proportions};
use plumbray_film::Film;

/// The largest zoom, in screen points per pixel width.
///
/// A film of a few pixels, which fits its viewport only at more than this, may still be fitted.
pub const LARGEST_ZOOM: f64 = 20.0;

/// The size of a film in its own pixels and the shape of those pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmExtent {
    /// Number of columns, above zero.
    pub width_px: f64,
    /// Number of rows, above zero.
    pub height_px: f64,
    /// The shape of a pixel.
    pub proportions: Proportions,
}

impl FilmExtent {
    /// The extent of a film with pixels of this shape, which the film's own calibration may change.
    #[must_use]
    pub fn of_film(film: &Film, proportions: Proportions) -> Self {
        Self {
            width_px: film.width() as f64,
            height_px: film.height() as f64,
            proportions,
        }
    }

    /// The point in the middle of the film.
    #[must_use]
    pub fn centre(self) -> FilmPoint {
        FilmPoint::new(self.width_px / 2.0, self.height_px / 2.0)
    }

    /// As large as the part between two opposite corners, which is at least a pixel wide and high.
    fn part(self, [one, other]: [FilmPoint; 2]) -> Self {
        Self {
            width_px: (other.x_px - one.x_px).abs().max(1.0),
            height_px: (other.y_px - one.y_px).abs().max(1.0),
            ..self
        }
    }

    /// The film point nearest to `point` that lies on the film.
    #[must_use]
    pub fn nearest(self, point: FilmPoint) -> FilmPoint {
        FilmPoint::new(
            point.x_px.clamp(0.0, self.width_px),
            point.y_px.clamp(0.0, self.height_px),
        )
    }
}

/// Which part of a film is shown, and how large.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Placement {
    /// The whole film, as large as the viewport allows, whatever the viewport's size becomes.
    #[default]
    Fit,
    /// The part of the film between two opposite corners, as large as the viewport allows, whatever the viewport's
    /// size becomes.
    Part([FilmPoint; 2]),
    /// A chosen place.
    At {
        /// The film point in the middle of the viewport.
        centre: FilmPoint,
        /// Screen points per pixel width, above zero.
        zoom: f64,
    },
}

/// How a film lies on the screen: turned, and mirrored or not.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Orientation {
    /// How far the film is turned, positive clockwise as seen on the screen.
    pub turn: Angle,
    /// Whether left and right of the film are exchanged, before it is turned.
    pub flipped: bool,
}

impl Orientation {
    /// Turned further, clockwise as seen on the screen; kept above −180° and up to 180°.
    #[must_use]
    pub fn turned_by(self, further: Angle) -> Self {
        let radians = self.turn.radians() + further.radians();
        Self {
            turn: Angle::from_radians(radians.sin().atan2(radians.cos())),
            ..self
        }
    }

    /// Mirrored left to right as seen on the screen, whatever the turn.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self {
            turn: Angle::from_radians(-self.turn.radians()),
            flipped: !self.flipped,
        }
    }

    /// A displacement in physical proportions as it points on the screen, in the same unit.
    fn on_screen(self, v: PhysicalVector) -> PhysicalVector {
        let (sin, cos) = self.turn.radians().sin_cos();
        let x = if self.flipped { -v.x } else { v.x };
        PhysicalVector::new(cos * x - sin * v.y, sin * x + cos * v.y)
    }

    /// The inverse of [`Self::on_screen`].
    fn on_film(self, v: PhysicalVector) -> PhysicalVector {
        let (sin, cos) = self.turn.radians().sin_cos();
        let x = cos * v.x + sin * v.y;
        PhysicalVector::new(if self.flipped { -x } else { x }, cos * v.y - sin * v.x)
    }
}

/// The map from film points to screen points, with everything needed to change it.
///
/// ```text
/// screen = middle of the viewport + zoom · turn · flip · (physical(film) − physical(centre))
/// ```
///
/// The screen is in egui's points, x to the right and y down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScreenFromFilm {
    film: FilmExtent,
    viewport: Rect,
    orientation: Orientation,
    centre: FilmPoint,
    zoom: f64,
}

impl ScreenFromFilm {
    /// The map that shows `film` inside `viewport` as asked.
    ///
    /// A centre beside the film is moved to its edge and a zoom beyond the limits to the nearest
    /// limit, so that a film cannot be lost from the screen. A viewport without area counts as one
    /// screen point wide and high.
    #[must_use]
    pub fn new(
        film: FilmExtent,
        viewport: Rect,
        orientation: Orientation,
        placement: Placement,
    ) -> Self {
        let fit = fitting_zoom(film, viewport, orientation);
        let (centre, zoom) = match placement {
            Placement::Fit => (film.centre(), fit),
            Placement::At { centre, zoom } => (centre, zoom),
            Placement::Part(corners) => {
                let part = film.part(corners);
                (
                    corners[0].toward(corners[1], 0.5),
                    fitting_zoom(part, viewport, orientation),
                )
            }
        };
        let (centre, zoom) = if centre.is_finite() && zoom.is_finite() {
            let zoom = zoom.clamp(fit.min(LARGEST_ZOOM), fit.max(LARGEST_ZOOM));
            (film.nearest(centre), zoom)
        } else {
            (film.centre(), fit)
        };
        Self {
            film,
            viewport,
            orientation,
            centre,
            zoom,
        }
    }

    /// The same film, turned and flipped in the same way, with `centre` in the middle of another
    /// viewport at a zoom without limit.
    #[must_use]
    pub(super) const fn magnified(&self, centre: FilmPoint, zoom: f64, viewport: Rect) -> Self {
        Self {
            viewport,
            centre,
            zoom,
            ..*self
        }
    }

    /// The film that is shown.
    #[must_use]
    pub const fn film(&self) -> FilmExtent {
        self.film
    }

    /// The part of the screen that shows it.
    #[must_use]
    pub const fn viewport(&self) -> Rect {
        self.viewport
    }

    /// How the film lies on the screen.
    #[must_use]
    pub const fn orientation(&self) -> Orientation {
        self.orientation
    }

    /// The film point in the middle of the viewport.
    #[must_use]
    pub const fn centre(&self) -> FilmPoint {
        self.centre
    }

    /// Screen points per pixel width.
    #[must_use]
    pub const fn zoom(&self) -> f64 {
        self.zoom
    }

    /// The placement that gives this map again, by its centre and zoom.
    #[must_use]
    pub const fn placement(&self) -> Placement {
        Placement::At {
            centre: self.centre,
            zoom: self.zoom,
        }
    }

    /// Where a film point lies on the screen.
    #[must_use]
    pub fn screen(&self, point: FilmPoint) -> Pos2 {
        let physical =
            self.film.proportions.physical(point) - self.film.proportions.physical(self.centre);
        self.viewport.center() + to_vec2(self.orientation.on_screen(physical) * self.zoom)
    }

    /// The film point under a place on the screen; it may lie beside the film.
    #[must_use]
    pub fn film_point(&self, screen: Pos2) -> FilmPoint {
        let middle = self.viewport.center();
        let from_middle = PhysicalVector::new(
            f64::from(screen.x) - f64::from(middle.x),
            f64::from(screen.y) - f64::from(middle.y),
        );
        let centre = self.film.proportions.physical(self.centre);
        self.film
            .proportions
            .film(centre + self.orientation.on_film(from_middle * (1.0 / self.zoom)))
    }

    /// How a displacement on the film points on the screen, in screen points.
    #[must_use]
    pub fn screen_step(&self, step: FilmStep) -> Vec2 {
        let origin = FilmPoint::default();
        let physical = self.film.proportions.physical(step.from(origin))
            - self.film.proportions.physical(origin);
        to_vec2(self.orientation.on_screen(physical) * self.zoom)
    }

    /// The displacement on the film of a displacement on the screen in screen points.
    #[must_use]
    pub fn film_step(&self, step: Vec2) -> FilmStep {
        let step = PhysicalVector::new(f64::from(step.x), f64::from(step.y));
        let physical = self.orientation.on_film(step * (1.0 / self.zoom));
        let point = self
            .film
            .proportions
            .film(PhysicalPoint::new(physical.x, physical.y));
        FilmStep::new(point.x_px, point.y_px)
    }

    /// The placement that holds `point` under the place `at` on the screen. Panning calls it with
    /// the film point that was grabbed, so that the film stays under the hand.
    #[must_use]
    pub fn placement_with(&self, point: FilmPoint, at: Pos2) -> Placement {
        let to_centre = self.film_step(self.viewport.center() - at);
        Placement::At {
            centre: self.film.nearest(to_centre.from(point)),
            zoom: self.zoom,
        }
    }

    /// The placement at `factor` times the zoom, with the film point under `about` kept where it is.
    ///
    /// Zoomed out until the whole film is visible, it is [`Placement::Fit`].
    #[must_use]
    pub fn placement_zoomed(&self, factor: f64, about: Pos2) -> Placement {
        let fit = fitting_zoom(self.film, self.viewport, self.orientation);
        let zoom = self.zoom * factor;
        if zoom.is_nan() || zoom <= fit {
            return Placement::Fit;
        }
        let zoomed = Self {
            zoom: zoom.min(fit.max(LARGEST_ZOOM)),
            ..*self
        };
        zoomed.placement_with(self.film_point(about), about)
    }
}

/// The zoom at which the whole film, turned as it is, just fits the viewport.
fn fitting_zoom(film: FilmExtent, viewport: Rect, orientation: Orientation) -> f64 {
    let (sin, cos) = orientation.turn.radians().sin_cos();
    let width = film.width_px;
    let height = film.height_px * film.proportions.height_over_width();
    let across = width * cos.abs() + height * sin.abs();
    let down = width * sin.abs() + height * cos.abs();
    let room = viewport.size().max(Vec2::splat(1.0));
    (f64::from(room.x) / across).min(f64::from(room.y) / down)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the screen is in single precision; beyond its range the place is off the screen anyway"
)]
fn to_vec2(v: PhysicalVector) -> Vec2 {
    Vec2::new(v.x as f32, v.y as f32)
}

#[cfg(test)]
mod tests {
    use egui::{pos2, vec2};
    use proptest::prelude::*;

    use super::*;

    const FILM: FilmExtent = FilmExtent {
        width_px: 3000.0,
        height_px: 4000.0,
        proportions: Proportions::SQUARE,
    };

    fn viewport() -> Rect {
        Rect::from_min_size(pos2(40.0, 20.0), vec2(500.0, 700.0))
    }

    fn any_map() -> impl Strategy<Value = ScreenFromFilm> {
        (
            (1.0..9000.0, 1.0..9000.0, 0.3..3.0),
            (-4.0..4.0, any::<bool>()),
            (0.0..1.0, 0.0..1.0, 0.01..20.0),
            (1.0_f32..2000.0, 1.0_f32..2000.0),
        )
            .prop_map(|(size, lies, place, room)| {
                let film = FilmExtent {
                    width_px: size.0,
                    height_px: size.1,
                    proportions: Proportions::new(size.2).expect("possible"),
                };
                ScreenFromFilm::new(
                    film,
                    Rect::from_min_size(pos2(300.0, 50.0), vec2(room.0, room.1)),
                    Orientation {
                        turn: Angle::from_radians(lies.0),
                        flipped: lies.1,
                    },
                    Placement::At {
                        centre: FilmPoint::new(place.0 * size.0, place.1 * size.1),
                        zoom: place.2,
                    },
                )
            })
    }

    fn placed(map: &ScreenFromFilm, placement: Placement) -> ScreenFromFilm {
        ScreenFromFilm::new(map.film(), map.viewport(), map.orientation(), placement)
    }

    proptest! {
        #[test]
        fn the_screen_and_the_film_are_inverses(
            map in any_map(), x in 0.0_f32..2000.0, y in 0.0_f32..2000.0,
        ) {
            let back = map.screen(map.film_point(pos2(x, y)));
            prop_assert!(back.distance(pos2(x, y)) < 1e-3, "{back:?} for {x}, {y}");
        }

        #[test]
        fn a_step_on_the_screen_and_a_step_on_the_film_are_inverses(
            map in any_map(), x in -50.0..50.0, y in -50.0..50.0,
        ) {
            let back = map.film_step(map.screen_step(FilmStep::new(x, y)));
            let error = (back.across_px - x).hypot(back.down_px - y);
            prop_assert!(error < 1e-4, "off by {error} px");
        }

        #[test]
        fn the_orientation_and_its_inverse_cancel_to_the_last_digits(
            turn in -9.0..9.0, flipped: bool, x in -1e4..1e4, y in -1e4..1e4,
        ) {
            let lies = Orientation { turn: Angle::from_radians(turn), flipped };
            let error = lies.on_film(lies.on_screen(PhysicalVector::new(x, y)))
                - PhysicalVector::new(x, y);
            prop_assert!(error.length() < 1e-10, "off by {error:?}");
        }

        #[test]
        fn a_grabbed_point_stays_under_the_pointer(
            map in any_map(), u in 0.2_f32..0.8, v in 0.2_f32..0.8, t in 0.0..1.0,
        ) {
            let at = map.viewport().min + map.viewport().size() * vec2(u, v);
            let grabbed = map.film().centre().toward(map.centre(), t);
            let moved = placed(&map, map.placement_with(grabbed, at));
            let centre = moved.centre();
            let inside = centre.x_px > 0.0 && centre.x_px < map.film().width_px
                && centre.y_px > 0.0 && centre.y_px < map.film().height_px;
            prop_assume!(inside);
            prop_assert!(moved.screen(grabbed).distance(at) < 2e-3, "{:?}", moved.screen(grabbed));
        }

        #[test]
        fn zooming_in_about_a_point_on_the_film_keeps_it_in_place(map in any_map(), factor in 1.0..3.0) {
            let about = map.screen(map.centre());
            let zoomed = placed(&map, map.placement_zoomed(factor, about));
            let drift = zoomed.screen(map.film_point(about)).distance(about);
            prop_assert!(drift < 2e-3, "drifted by {drift}");
        }

        #[test]
        fn the_fitted_film_lies_inside_the_viewport_and_touches_it(map in any_map()) {
            let fitted = placed(&map, Placement::Fit);
            let mut bounds = Rect::NOTHING;
            for (x, y) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)] {
                let extent = map.film();
                bounds.extend_with(
                    fitted.screen(FilmPoint::new(x * extent.width_px, y * extent.height_px)),
                );
            }
            let room = map.viewport();
            prop_assert!(room.expand(0.01).contains_rect(bounds), "{bounds:?} in {room:?}");
            let spare = (room.size() - bounds.size()).min_elem();
            prop_assert!(spare < 0.01, "{spare} points to spare");
        }

        #[test]
        fn mirroring_exchanges_left_and_right_of_the_screen(
            map in any_map(), x in -50.0..50.0, y in -50.0..50.0,
        ) {
            let lies = map.orientation();
            let step = lies.on_screen(PhysicalVector::new(x, y));
            let mirrored = lies.mirrored().on_screen(PhysicalVector::new(x, y));
            prop_assert!((mirrored.x + step.x).abs() < 1e-9, "x: {mirrored:?}, {step:?}");
            prop_assert!((mirrored.y - step.y).abs() < 1e-9, "y: {mirrored:?}, {step:?}");
        }
    }

    #[test]
    fn a_quarter_turn_brings_the_top_of_the_film_to_the_right() {
        let lies = Orientation::default().turned_by(Angle::from_degrees(90.0));
        let map = ScreenFromFilm::new(FILM, viewport(), lies, Placement::Fit);
        let top = map.screen(FilmPoint::new(1500.0, 0.0));
        assert!(
            top.distance(pos2(540.0, 370.0)) < 1e-3,
            "the top edge's middle lies at the right edge's middle, not at {top:?}"
        );
    }

    #[test]
    fn a_part_of_the_film_just_fits_the_viewport_whichever_corners_are_named() {
        let [one, other] = [FilmPoint::new(900.0, 700.0), FilmPoint::new(400.0, 1700.0)];
        let map = |corners| {
            ScreenFromFilm::new(
                FILM,
                viewport(),
                Orientation::default(),
                Placement::Part(corners),
            )
        };
        let shown = map([one, other]);
        assert_eq!(shown, map([other, one]), "corners exchanged");
        let on_screen = egui::Rect::from_two_pos(shown.screen(one), shown.screen(other));
        let spare = (viewport().size() - on_screen.size()).min_elem();
        assert!(spare.abs() < 1e-3, "{spare} points to spare");
        assert!(
            viewport().expand(1e-3).contains_rect(on_screen),
            "{on_screen:?} within {:?}",
            viewport()
        );
        let nothing = map([one, one]);
        assert!(
            (nothing.zoom() - LARGEST_ZOOM).abs() < 1e-12,
            "a part without area"
        );
    }

    #[test]
    fn the_zoom_keeps_its_limits() {
        let at = |zoom| Placement::At {
            centre: FILM.centre(),
            zoom,
        };
        let map = |placement| {
            ScreenFromFilm::new(FILM, viewport(), Orientation::default(), placement).zoom()
        };
        assert!((map(at(500.0)) - LARGEST_ZOOM).abs() < 1e-12, "upper");
        assert!((map(at(0.001)) - 500.0 / 3000.0).abs() < 1e-12, "lower");
        assert!(
            (map(at(f64::NAN)) - 500.0 / 3000.0).abs() < 1e-12,
            "no number"
        );
    }

    #[test]
    fn zooming_out_ends_at_the_fitted_film() {
        let map = ScreenFromFilm::new(
            FILM,
            viewport(),
            Orientation::default(),
            Placement::At {
                centre: FilmPoint::new(100.0, 100.0),
                zoom: 0.5,
            },
        );
        let placement = map.placement_zoomed(0.01, pos2(100.0, 100.0));
        assert_eq!(placement, Placement::Fit, "far out");
    }

    #[test]
    fn a_film_cannot_be_pushed_off_the_screen() {
        let map = ScreenFromFilm::new(
            FILM,
            viewport(),
            Orientation::default(),
            Placement::At {
                centre: FILM.centre(),
                zoom: 1.0,
            },
        );
        let placement = map.placement_with(FilmPoint::new(0.0, 0.0), pos2(9e6, 9e6));
        let pushed = placed(&map, placement);
        assert_eq!(
            pushed.centre(),
            FilmPoint::new(0.0, 0.0),
            "stopped at the corner"
        );
    }

    #[test]
    fn turns_add_up_within_one_full_turn() {
        let lies = Orientation::default()
            .turned_by(Angle::from_degrees(170.0))
            .turned_by(Angle::from_degrees(30.0));
        assert!(
            (lies.turn.degrees() + 160.0).abs() < 1e-9,
            "{:?}",
            lies.turn
        );
    }
}
