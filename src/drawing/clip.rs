//! The part of a shape between two straight lines across a drawing. Exact for straight lines; curves that cross a line
//! are cut into straight pieces first.

use kurbo::{BezPath, Line, PathEl, Point, Rect, Shape as _, flatten};

use super::Shape;
use super::shape::CURVE_TOLERANCE_MM;

/// A band across a drawing, from one place to another along one axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    pub from: f64,
    pub to: f64,
    /// The axis is x rather than y.
    pub level: bool,
}

impl Band {
    fn along(self, point: Point) -> f64 {
        if self.level { point.x } else { point.y }
    }

    fn holds(self, area: Rect) -> bool {
        let (low, high) = if self.level { (area.x0, area.x1) } else { (area.y0, area.y1) };
        self.from <= low && high <= self.to
    }

    fn misses(self, area: Rect) -> bool {
        let (low, high) = if self.level { (area.x0, area.x1) } else { (area.y0, area.y1) };
        high < self.from || self.to < low
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
            let above = half(&ring, |point| self.along(point) - self.from);
            let inside = half(&above, |point| self.to - self.along(point));
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
        let (low, high) = (self.along(line.p0), self.along(line.p1));
        let (mut start, mut end) = (0.0_f64, 1.0_f64);
        if low == high {
            return (self.from <= low && low <= self.to).then_some(line);
        }
        for edge in [self.from, self.to] {
            let share = (edge - low) / (high - low);
            if (edge == self.from) == (high > low) { start = start.max(share) } else { end = end.min(share) }
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
