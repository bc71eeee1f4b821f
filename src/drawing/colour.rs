//! The few inks a card may use. Colour is never the only signal.

/// An opaque colour, each channel 0 to 1, in the display's own RGB.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Colour {
    /// The share of red light, 0 to 1.
    pub red: f32,
    /// The share of green light, 0 to 1.
    pub green: f32,
    /// The share of blue light, 0 to 1.
    pub blue: f32,
}

impl Colour {
    /// What almost everything is printed in.
    pub const BLACK: Colour = Colour::grey(0.0);
    /// The paper's own colour, for what is cut out of black.
    pub const WHITE: Colour = Colour::grey(1.0);

    /// A grey from 0 (black) to 1 (white).
    pub const fn grey(level: f32) -> Self {
        Colour { red: level, green: level, blue: level }
    }

    /// A colour of three channels, each 0 to 1.
    pub const fn rgb(red: f32, green: f32, blue: f32) -> Self {
        Colour { red, green, blue }
    }

    /// The ink for a colour people name a tape by, in sRGB of our own choosing; `None` for an unknown word.
    pub fn named(word: &str) -> Option<Self> {
        Some(match word {
            "red" => Colour::rgb(0.80, 0.10, 0.12),
            "orange" => Colour::rgb(0.93, 0.52, 0.10),
            "yellow" => Colour::rgb(0.97, 0.86, 0.15),
            "green" => Colour::rgb(0.10, 0.55, 0.25),
            "blue" => Colour::rgb(0.12, 0.32, 0.70),
            "purple" => Colour::rgb(0.45, 0.20, 0.60),
            "pink" => Colour::rgb(0.95, 0.60, 0.72),
            "brown" => Colour::rgb(0.45, 0.29, 0.16),
            "white" => Colour::WHITE,
            "grey" => Colour::grey(0.6),
            "black" => Colour::BLACK,
            _ => return None,
        })
    }
}
