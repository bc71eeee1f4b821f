//! The few inks a card may use. Colour is never the only signal.

/// An opaque colour, each channel 0 to 1, in the display's own RGB.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Colour {
    pub red: f32,
    pub green: f32,
    pub blue: f32,
}

impl Colour {
    pub const BLACK: Colour = Colour::grey(0.0);
    pub const WHITE: Colour = Colour::grey(1.0);

    /// A grey from 0 (black) to 1 (white).
    pub const fn grey(level: f32) -> Self {
        Colour { red: level, green: level, blue: level }
    }

    pub const fn rgb(red: f32, green: f32, blue: f32) -> Self {
        Colour { red, green, blue }
    }
}
