//! How a colour is seen: in white light, under a red lamp, and by people who tell fewer colours apart. Knows colours, not
//! what is drawn in them.

use super::Colour;

/// From linear red, green and blue as they are to the same as they are seen.
pub type Matrix = [[f64; 3]; 3];

/// Luminance of linear red, green and blue (IEC 61966-2-1, the primaries of ITU-R BT.709).
const LUMINANCE: [f64; 3] = [0.2126, 0.7152, 0.0722];
/// Light that comes back from ink and eye alike, a part of white (WCAG 2.1, contrast ratio).
const FLARE: f64 = 0.05;

/// One way of seeing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight {
    /// A word without spaces, to be told apart by in a page.
    pub id: &'static str,
    /// What people call it.
    pub name: &'static str,
    /// What it does to a colour.
    pub matrix: Matrix,
}

impl Sight {
    /// Every way of seeing that a card has to stand, white light first.
    ///
    /// Three deficiencies at full severity: Machado, Oliveira & Fernandes, A Physiologically-based Model for Simulation of
    /// Color Vision Deficiency, IEEE TVCG 15 (2009), in its authors' published tables. Under a red lamp only the red that a
    /// surface gives back is seen, and white paper is as red as the lamp.
    pub const ALL: [Sight; 5] = [
        Sight { id: "white-light", name: "white light", matrix: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] },
        Sight { id: "red-lamp", name: "red lamp", matrix: [[1.0, 0.0, 0.0], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]] },
        Sight {
            id: "protanopia",
            name: "no red cones",
            matrix: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
        },
        Sight {
            id: "deuteranopia",
            name: "no green cones",
            matrix: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
        },
        Sight {
            id: "tritanopia",
            name: "no blue cones",
            matrix: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
        },
    ];

    /// How bright a colour is beside white paper in the same light, 0 to 1.
    pub fn brightness(&self, colour: Colour) -> f64 {
        let linear = [colour.red, colour.green, colour.blue].map(|channel| linear(f64::from(channel)));
        self.luminance(linear) / self.luminance([1.0; 3])
    }

    /// How far two colours stand apart: 1 for the same, 21 for black on white (WCAG 2.1, contrast ratio).
    pub fn contrast(&self, one: Colour, other: Colour) -> f64 {
        let [one, other] = [one, other].map(|colour| self.brightness(colour) + FLARE);
        one.max(other) / one.min(other)
    }

    /// Of linear light, once it has been seen; no screen and no eye goes beyond black and white.
    fn luminance(&self, light: [f64; 3]) -> f64 {
        let seen = self.matrix.map(|row| row.iter().zip(light).map(|(share, light)| share * light).sum::<f64>());
        seen.iter().zip(LUMINANCE).map(|(seen, share)| seen.clamp(0.0, 1.0) * share).sum()
    }
}

/// From a channel as it is written to the light it stands for (IEC 61966-2-1).
fn linear(channel: f64) -> f64 {
    if channel <= 0.04045 { channel / 12.92 } else { ((channel + 0.055) / 1.055).powf(2.4) }
}
