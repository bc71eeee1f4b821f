//! The part of a shape between two straight lines across a drawing. Exact for straight lines; curves that cross a line
//! are cut into straight pieces first.

use kurbo::{BezPath, Line, PathEl, Point, Rect, Shape as _, Vec2, flatten};

use super::Shape;
use super::shape::CURVE_TOLERANCE_MM;

/// What lies on one side of a straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// Square to the line, into the side that is kept; of length 1.
    inward: Vec2,
    /// Of the line from the origin, along `inward`.
    from: f64,
}

impl Side {
    /// The side into which `inward` points from a line through `point`.
    pub fn new(point: Point, inward: Vec2) -> Self {
        Side { inward, from: inward.dot(point.to_vec2()) }
    }

    /// How far a point lies along `inward`.
    fn along(self, point: Point) -> f64 {
        self.inward.dot(point.to_vec2())
    }

    fn holds(self, area: Rect) -> bool {
        corners(area).iter().all(|corner| self.from <= self.along(*corner))
    }

    fn misses(self, area: Rect) -> bool {
        corners(area).iter().all(|corner| self.along(*corner) < self.from)
    }
}

fn corners(area: Rect) -> [Point; 4] {
    [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1)].map(Point::from)
}

/// What lies between two lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band([Side; 2]);

impl Band {
    /// From one place to another along one axis: along x if `level`, else along y.
    pub fn straight(from: f64, to: f64, level: bool) -> Self {
        let axis = if level { Vec2::new(1.0, 0.0) } else { Vec2::new(0.0, 1.0) };
        Band([Side { inward: axis, from }, Side { inward: -axis, from: -to }])
    }

    /// Where both sides are one.
    pub fn between(one: Side, other: Side) -> Self {
        Band([one, other])
    }

    fn holds(self, area: Rect) -> bool {
        self.0.iter().all(|side| side.holds(area))
    }

    fn misses(self, area: Rect) -> bool {
        self.0.iter().any(|side| side.misses(area))
    }

    /// What of a shape lies in the band: its middle line's part for a stroke, whole words or parts of their outlines
    /// for a text.
    pub fn part(self, shape: &Shape) -> Option<Shape> {
        match shape {
            Shape::Fill { path, colour } => self.filled(path).map(|path| Shape::Fill { path, colour: *colour }),
            Shape::Stroke { path, colour, width, dash } => {
                let path = self.stroked(path)?;
                Some(Shape::Stroke { path, colour: *colour, width: *width, dash: *dash })
            }
            Shape::Text(text) if self.holds(text.bounds()) => Some(shape.clone()),
            Shape::Text(text) if self.misses(text.bounds()) => None,
            Shape::Text(text) => self.filled(&text.outlines()).map(|path| Shape::Fill { path, colour: text.colour }),
        }
    }

    fn filled(self, path: &BezPath) -> Option<BezPath> {
        let bounds = path.bounding_box();
        if self.holds(bounds) {
            return Some(path.clone());
        }
        if self.misses(bounds) {
            return None;
        }
        // Each ring on its own keeps its winding, so what was filled stays filled.
        let mut kept = BezPath::new();
        for ring in rings(path) {
            let inside = self.0.iter().fold(ring, |ring, side| half(&ring, |point| side.along(point) - side.from));
            for (index, point) in inside.iter().enumerate() {
                if index == 0 { kept.move_to(*point) } else { kept.line_to(*point) }
            }
            if !inside.is_empty() {
                kept.close_path();
            }
        }
        (!kept.is_empty()).then_some(kept)
    }

    fn stroked(self, path: &BezPath) -> Option<BezPath> {
        let bounds = path.bounding_box();
        if self.holds(bounds) {
            return Some(path.clone());
        }
        if self.misses(bounds) {
            return None;
        }
        let mut kept = BezPath::new();
        let mut end = None;
        for line in straight(path) {
            let Some(part) = self.line(line) else { continue };
            if end != Some(part.p0) {
                kept.move_to(part.p0);
            }
            kept.line_to(part.p1);
            end = Some(part.p1);
        }
        (!kept.is_empty()).then_some(kept)
    }

    fn line(self, line: Line) -> Option<Line> {
        let (mut start, mut end) = (0.0_f64, 1.0_f64);
        for side in self.0 {
            let (first, last) = (side.along(line.p0), side.along(line.p1));
            if first == last {
                if first < side.from {
                    return None;
                }
                continue;
            }
            let share = (side.from - first) / (last - first);
            if last > first { start = start.max(share) } else { end = end.min(share) }
        }
        let at = |share: f64| match share {
            0.0 => line.p0,
            1.0 => line.p1,
            _ => line.p0.lerp(line.p1, share),
        };
        (start < end).then(|| Line::new(at(start), at(end)))
    }
}

fn straight(path: &BezPath) -> Vec<Line> {
    let mut lines = Vec::new();
    let (mut first, mut current) = (Point::ZERO, Point::ZERO);
    flatten(path, CURVE_TOLERANCE_MM, |element| {
        match element {
            PathEl::MoveTo(point) => first = point,
            PathEl::LineTo(point) => lines.push(Line::new(current, point)),
            PathEl::ClosePath if current != first => lines.push(Line::new(current, first)),
            _ => {}
        }
        current = element.end_point().unwrap_or(first);
    });
    lines
}

fn rings(path: &BezPath) -> Vec<Vec<Point>> {
    let mut rings: Vec<Vec<Point>> = Vec::new();
    flatten(path, CURVE_TOLERANCE_MM, |element| match element {
        PathEl::MoveTo(point) => rings.push(vec![point]),
        PathEl::LineTo(point) => {
            if let Some(ring) = rings.last_mut() {
                ring.push(point);
            }
        }
        _ => {}
    });
    rings
}

/// The part of a ring where `inside` is not negative (Sutherland & Hodgman, Reentrant polygon clipping, 1974).
fn half(ring: &[Point], inside: impl Fn(Point) -> f64) -> Vec<Point> {
    let mut kept = Vec::new();
    let Some(mut last) = ring.last().copied() else { return kept };
    for &point in ring {
        let (before, here) = (inside(last), inside(point));
        if (before < 0.0) != (here < 0.0) {
            kept.push(last.lerp(point, before / (before - here)));
        }
        if here >= 0.0 {
            kept.push(point);
        }
        last = point;
    }
    kept
}
