//! The question to sail round a reading: which readings, in which order, and what it would show. Knows no trial that was sailed.

use super::Control;

/// Where a leg's reading stands among the readings of a trial.
const L: usize = 0;
const M: usize = 1;
const H: usize = 2;
/// Orders of three readings, in turn: the mirror cancels what drifts steadily, and over three trials each pair is as sharp
/// as the others.
const OF_THREE: [[usize; 6]; 3] = [[L, M, H, H, M, L], [M, H, L, L, H, M], [H, L, M, M, L, H]];
/// Orders of two readings, in turn.
const OF_TWO: [[usize; 4]; 2] = [[L, M, M, L], [M, L, L, M]];

/// A question that could be sailed: two or three readings of one control.
#[derive(Clone, Debug, PartialEq)]
pub struct Asking {
    /// Its readings, in rising order.
    pub readings: Vec<f64>,
    /// Which of them is the book's.
    pub middle: usize,
}

impl Asking {
    /// One mark below the book's reading, the book's, and one mark above; two where a limit forbids one side. `None` where
    /// it forbids both.
    pub fn round(control: &Control, book: f64) -> Option<Self> {
        let mark = control.scale.whole_mark();
        let readings: Vec<f64> = [book - mark, book, book + mark]
            .into_iter()
            .filter(|reading| *reading == book || control.allows(*reading))
            .collect();
        let middle = readings.iter().position(|reading| *reading == book)?;
        (readings.len() > 1).then_some(Asking { readings, middle })
    }

    /// The readings of the legs of the trial that comes after so many.
    pub fn legs(&self, after: usize) -> Vec<f64> {
        let order: &[usize] = match self.readings.len() {
            2 => &OF_TWO[after % OF_TWO.len()],
            _ => &OF_THREE[after % OF_THREE.len()],
        };
        order.iter().map(|at| self.readings[*at]).collect()
    }
}
