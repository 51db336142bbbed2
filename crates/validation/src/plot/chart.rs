//! A chart of lines and dots over two axes.

use super::axis::Axis;

/// How a series is drawn. Each line has a dash of its own, each dot a shape of its own, so that no
/// colour has to be told from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// A line.
    Line,
    /// A thin faint line: one of many of a kind.
    FaintLine,
    /// Small dots.
    Dots,
    /// A line with a shape at each point.
    LineAndShapes,
    /// A shape at each point.
    Shapes,
}

/// Values that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// The name in the legend; without one the series has no entry there.
    pub name: Option<String>,
    /// How it is drawn.
    pub mark: Mark,
    /// Which dash, shape and tint, from 0.
    pub style: usize,
    /// The points (x, y). One that is no number interrupts a line.
    pub points: Vec<(f64, f64)>,
}

/// A chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What it shows, for readers who cannot see it and as its title.
    pub title: String,
    /// The axis to the right.
    pub across: Axis,
    /// The axis upward.
    pub up: Axis,
    /// Names of places on the axis to the right, instead of its numbers.
    pub places: Vec<String>,
    /// Heights at which a level line is drawn.
    pub levels: Vec<f64>,
    /// What is drawn.
    pub series: Vec<Series>,
}

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 380.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 20.0;
const TOP: f64 = 40.0;
const PLOT_HEIGHT: f64 = 260.0;
/// Legend entries in a row.
const LEGEND_COLUMNS: usize = 2;
const LEGEND_WIDTH: f64 = (WIDTH - LEFT - RIGHT) / LEGEND_COLUMNS as f64;
const LEGEND_LINE: f64 = 18.0;

const DASHES: [&str; 5] = ["none", "8 4", "2 3", "10 3 2 3", "14 5"];
const SHAPES: usize = 4;

const STYLE: &str = "\
text{font:13px sans-serif;fill:#222}\
.t{font-weight:bold;font-size:14px}\
.f{fill:none;stroke:#222;stroke-width:1}\
.g{stroke:#222;stroke-opacity:.15;stroke-width:1}\
.l{stroke:#222;stroke-opacity:.6;stroke-width:1;stroke-dasharray:4 4}\
.s{fill:none;stroke-width:2}\
.x{fill:none;stroke-width:1;stroke-opacity:.7}\
.c0{stroke:#0b5cad}.c1{stroke:#a33c00}.c2{stroke:#2e6b2e}.c3{stroke:#6b2e8f}.c4{stroke:#444}\
.d{stroke:none;fill-opacity:.45}.d0{fill:#0b5cad}.d1{fill:#a33c00}.d2{fill:#2e6b2e}.d3{fill:#6b2e8f}.d4{fill:#444}\
.b{fill:#fff}\
@media (prefers-color-scheme:dark){text{fill:#ddd}.f,.g,.l{stroke:#ddd}.b{fill:#16181c}\
.c0{stroke:#7cb8f2}.c1{stroke:#f0a070}.c2{stroke:#8fd08f}.c3{stroke:#c9a0e6}.c4{stroke:#bbb}\
.d0{fill:#7cb8f2}.d1{fill:#f0a070}.d2{fill:#8fd08f}.d3{fill:#c9a0e6}.d4{fill:#bbb}}";

impl Chart {
    /// The chart as a whole SVG document.
    #[must_use]
    pub fn svg(&self) -> String {
        let legend: Vec<&Series> = self
            .series
            .iter()
            .filter(|one| one.name.is_some())
            .collect();
        let lines = legend.len().div_ceil(LEGEND_COLUMNS);
        let height = HEIGHT + lines as f64 * LEGEND_LINE;
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" \
             role=\"img\" aria-label=\"{title}\">\n<style>{STYLE}</style>\n\
             <rect class=\"b\" width=\"{WIDTH}\" height=\"{height}\"/>\n\
             <text class=\"t\" x=\"{LEFT}\" y=\"22\">{title}</text>\n",
            title = escaped(&self.title),
        );
        self.draw_axes(&mut svg);
        svg.push_str(&format!("<clipPath id=\"p\"><rect x=\"{LEFT}\" y=\"{TOP}\" width=\"{}\" height=\"{PLOT_HEIGHT}\"/></clipPath>\n\
             <g clip-path=\"url(#p)\">\n",
            WIDTH - LEFT - RIGHT));
        for series in &self.series {
            self.draw_series(&mut svg, series);
        }
        svg.push_str("</g>\n");
        for (index, series) in legend.into_iter().enumerate() {
            draw_legend(&mut svg, index, series);
        }
        svg.push_str("</svg>\n");
        svg
    }

    fn x(&self, value: f64) -> f64 {
        LEFT + self.across.share(value) * (WIDTH - LEFT - RIGHT)
    }

    fn y(&self, value: f64) -> f64 {
        TOP + (1.0 - self.up.share(value)) * PLOT_HEIGHT
    }

    fn draw_axes(&self, svg: &mut String) {
        let (right, bottom) = (WIDTH - RIGHT, TOP + PLOT_HEIGHT);
        for (value, label) in self.up.steps() {
            let y = self.y(value);
            svg.push_str(&format!(
                "<path class=\"g\" d=\"M{LEFT} {y:.1}H{right}\"/>\
                 <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{label}</text>\n",
                LEFT - 6.0,
                y + 4.0
            ));
        }
        for (value, label) in self.steps_across() {
            let x = self.x(value);
            svg.push_str(&format!(
                "<path class=\"g\" d=\"M{x:.1} {TOP}V{bottom}\"/>\
                 <text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>\n",
                bottom + 17.0,
                escaped(&label)
            ));
        }
        let is_seen = |level: &&f64| (0.0..=1.0).contains(&self.up.share(**level));
        for level in self.levels.iter().filter(is_seen) {
            let y = self.y(*level);
            svg.push_str(&format!(
                "<path class=\"l\" d=\"M{LEFT} {y:.1}H{right}\"/>\n"
            ));
        }
        let middle = TOP + PLOT_HEIGHT / 2.0;
        svg.push_str(&format!("<rect class=\"f\" x=\"{LEFT}\" y=\"{TOP}\" width=\"{}\" height=\"{PLOT_HEIGHT}\"/>\n\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>\n\
             <text transform=\"translate(18 {middle:.1}) rotate(-90)\" text-anchor=\"middle\">{}</text>\n",
            right - LEFT,
            f64::midpoint(LEFT, right),
            bottom + 38.0,
            escaped(&self.across.label),
            escaped(&self.up.label)));
    }

    fn steps_across(&self) -> Vec<(f64, String)> {
        if self.places.is_empty() {
            return self.across.steps();
        }
        self.places
            .iter()
            .enumerate()
            .map(|(index, name)| (index as f64, name.clone()))
            .collect()
    }

    fn draw_series(&self, svg: &mut String, series: &Series) {
        let at: Vec<(f64, f64)> = series
            .points
            .iter()
            .map(|(x, y)| (self.x(*x), self.y(*y)))
            .collect();
        match series.mark {
            Mark::Line => draw_line(svg, &at, series.style, ""),
            Mark::FaintLine => {
                draw_line(
                    svg,
                    &at,
                    series.style,
                    " stroke-opacity=\".45\" stroke-width=\"1\"",
                );
            }
            Mark::LineAndShapes | Mark::Shapes => {
                if series.mark == Mark::LineAndShapes {
                    draw_line(svg, &at, series.style, "");
                }
                for place in at.iter().filter(is_finite) {
                    draw_shape(svg, *place, series.style);
                }
            }
            Mark::Dots => draw_dots(svg, &at, series.style),
        }
    }
}

fn is_finite(place: &&(f64, f64)) -> bool {
    place.0.is_finite() && place.1.is_finite()
}

fn draw_line(svg: &mut String, at: &[(f64, f64)], style: usize, more: &str) {
    let mut path = String::new();
    let mut is_down = false;
    for place in at {
        if is_finite(&place) {
            let letter = if is_down { 'L' } else { 'M' };
            path.push_str(&format!("{letter}{:.1} {:.1}", place.0, place.1));
        }
        is_down = is_finite(&place);
    }
    let dash = DASHES[style % DASHES.len()];
    svg.push_str(&format!(
        "<path class=\"s c{}\" stroke-dasharray=\"{dash}\"{more} d=\"{path}\"/>\n",
        style % 5
    ));
}

/// Small squares, or small crosses where the style is odd.
fn draw_dots(svg: &mut String, at: &[(f64, f64)], style: usize) {
    let places = at.iter().filter(is_finite);
    let class = style % 5;
    if style.is_multiple_of(2) {
        let dots: String = places
            .map(|(x, y)| format!("M{:.1} {:.1}h4v4h-4z", x - 2.0, y - 2.0))
            .collect();
        svg.push_str(&format!("<path class=\"d d{class}\" d=\"{dots}\"/>\n"));
    } else {
        let dots: String = places
            .map(|(x, y)| format!("M{:.1} {:.1}l5 5m0-5l-5 5", x - 2.5, y - 2.5))
            .collect();
        svg.push_str(&format!("<path class=\"x c{class}\" d=\"{dots}\"/>\n"));
    }
}

/// A square, a circle, a triangle or a cross, hollow so that shapes over each other stay seen.
fn draw_shape(svg: &mut String, (x, y): (f64, f64), style: usize) {
    let class = style % 5;
    let path = match style % SHAPES {
        0 => format!("M{:.1} {:.1}h8v8h-8z", x - 4.0, y - 4.0),
        1 => format!("M{:.1} {y:.1}a5 5 0 1 0 10 0a5 5 0 1 0-10 0z", x - 5.0),
        2 => format!("M{x:.1} {:.1}l5 9h-10z", y - 6.0),
        _ => format!("M{:.1} {:.1}l8 8m0-8l-8 8", x - 4.0, y - 4.0),
    };
    svg.push_str(&format!("<path class=\"s c{class}\" d=\"{path}\"/>\n"));
}

fn draw_legend(svg: &mut String, index: usize, series: &Series) {
    let (column, line) = (index % LEGEND_COLUMNS, index / LEGEND_COLUMNS);
    let x = LEFT + column as f64 * LEGEND_WIDTH;
    let y = TOP + PLOT_HEIGHT + 64.0 + line as f64 * LEGEND_LINE;
    let sample = [(x, y - 4.0), (x + 17.0, y - 4.0), (x + 34.0, y - 4.0)];
    match series.mark {
        Mark::Line => draw_line(svg, &sample, series.style, ""),
        Mark::FaintLine => draw_line(svg, &sample, series.style, " stroke-opacity=\".45\""),
        Mark::LineAndShapes => {
            draw_line(svg, &sample, series.style, "");
            draw_shape(svg, sample[1], series.style);
        }
        Mark::Shapes => draw_shape(svg, sample[1], series.style),
        Mark::Dots => draw_dots(svg, &sample, series.style),
    }
    let name = series.name.as_deref().unwrap_or_default();
    svg.push_str(&format!(
        "<text x=\"{:.1}\" y=\"{y:.1}\">{}</text>\n",
        x + 42.0,
        escaped(name)
    ));
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(points: Vec<(f64, f64)>, mark: Mark) -> Chart {
        Chart {
            title: "Error < 1° & more".to_owned(),
            across: Axis::new("tilt, °", 0.0, 10.0),
            up: Axis::new("angle, °", 0.0, 20.0),
            places: Vec::new(),
            levels: vec![10.0],
            series: vec![Series {
                name: Some("a \"b\"".to_owned()),
                mark,
                style: 1,
                points,
            }],
        }
    }

    /// How often tags open and close, to see that the document is balanced.
    fn balance(svg: &str) -> (usize, usize) {
        let opened = svg.matches('<').count() - svg.matches("</").count();
        let closed = svg.matches("</").count() + svg.matches("/>").count();
        (opened, closed)
    }

    #[test]
    fn the_corners_of_the_axes_are_the_corners_of_the_plot() {
        let svg = chart(vec![(0.0, 0.0), (10.0, 20.0)], Mark::Line).svg();
        assert!(svg.contains("d=\"M70.0 300.0L700.0 40.0\""), "{svg}");
    }

    #[test]
    fn every_mark_makes_a_balanced_document_with_escaped_text() {
        for mark in [
            Mark::Line,
            Mark::FaintLine,
            Mark::Dots,
            Mark::LineAndShapes,
            Mark::Shapes,
        ] {
            let svg = chart(
                vec![(1.0, 1.0), (2.0, f64::NAN), (3.0, 5.0), (4.0, 4.0)],
                mark,
            )
            .svg();
            let (opened, closed) = balance(&svg);
            assert_eq!(opened, closed, "{mark:?}: {svg}");
            assert!(svg.contains("Error &lt; 1° &amp; more"), "{svg}");
            assert!(svg.contains("a &quot;b&quot;"), "{svg}");
            assert!(!svg.contains("NaN"), "{mark:?}: {svg}");
        }
    }

    #[test]
    fn a_point_that_is_no_number_interrupts_a_line() {
        let svg = chart(vec![(0.0, 0.0), (5.0, f64::NAN), (10.0, 20.0)], Mark::Line).svg();
        assert!(svg.contains("M70.0 300.0M700.0 40.0"), "{svg}");
    }
}
