//! A place in the boat, in the axes that all the arithmetic of rigging shares. Knows nothing of what stands there.

use std::ops::{Add, Mul, Sub};

use crate::length::Length;

/// A place: `x` aft of the stem, `y` to starboard of the centreline, `z` up from the waterline.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Position {
    /// How far aft of the stem it is; forward of it is negative.
    pub x: Length,
    /// How far to starboard of the centreline it is; to port is negative.
    pub y: Length,
    /// How far above the waterline it is; below it is negative.
    pub z: Length,
}

impl Position {
    /// The place so far aft, to starboard and up.
    pub const fn new(x: Length, y: Length, z: Length) -> Self {
        Position { x, y, z }
    }

    /// Whether all three are numbers that can be reckoned with.
    pub const fn is_finite(self) -> bool {
        self.x.to_mm().is_finite() && self.y.to_mm().is_finite() && self.z.to_mm().is_finite()
    }

    /// How far it is from here to another place, in a straight line.
    pub fn distance_to(self, other: Position) -> Length {
        Length::mm((other - self).length())
    }

    /// The place that lies `part` of the way from here to `other`: 0 here, 1 there.
    pub fn part_way_to(self, other: Position, part: f64) -> Position {
        self + (other - self) * part
    }
}

/// From one place to another, in millimetres; or a direction without a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vector {
    /// The part that points aft.
    pub x: f64,
    /// The part that points to starboard.
    pub y: f64,
    /// The part that points up.
    pub z: f64,
}

impl Vector {
    /// The scalar product of the two: 0 if they are square to each other.
    pub fn dot(self, other: Vector) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// The vector product of the two, which is square to both.
    pub fn cross(self, other: Vector) -> Vector {
        Vector {
            x: self.y * other.z - self.z * other.y,
            y: self.z * other.x - self.x * other.z,
            z: self.x * other.y - self.y * other.x,
        }
    }

    /// How long it is, in the unit of its parts.
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// `None` if it has no direction.
    pub fn unit(self) -> Option<Vector> {
        let length = self.length();
        (length > 0.0 && length.is_finite()).then(|| self * (1.0 / length))
    }

    /// The angle to `other`, 0 to π; exact for small angles and for nearly straight ones, where the arc cosine is not.
    pub fn angle_to(self, other: Vector) -> f64 {
        self.cross(other).length().atan2(self.dot(other))
    }
}

impl Sub for Position {
    type Output = Vector;
    fn sub(self, from: Position) -> Vector {
        Vector { x: (self.x - from.x).to_mm(), y: (self.y - from.y).to_mm(), z: (self.z - from.z).to_mm() }
    }
}
impl Add<Vector> for Position {
    type Output = Position;
    fn add(self, by: Vector) -> Position {
        Position::new(self.x + Length::mm(by.x), self.y + Length::mm(by.y), self.z + Length::mm(by.z))
    }
}
impl Add for Vector {
    type Output = Vector;
    fn add(self, other: Vector) -> Vector {
        Vector { x: self.x + other.x, y: self.y + other.y, z: self.z + other.z }
    }
}
impl Sub for Vector {
    type Output = Vector;
    fn sub(self, other: Vector) -> Vector {
        self + other * -1.0
    }
}
impl Mul<f64> for Vector {
    type Output = Vector;
    fn mul(self, factor: f64) -> Vector {
        Vector { x: self.x * factor, y: self.y * factor, z: self.z * factor }
    }
}
