//! How far off a crew is that sets what a card prints for a band, on a boat whose right marks are known.

use cockpit_cards::length::Length;
use cockpit_cards::limits::DEFAULT_BAND_EDGES_KN;
use cockpit_cards::tuning::{Band, Between, Column, Fineness, Ground, Known, Scale, ScaleKind, Wind};

/// What a backstay or a halyard moves as the wind builds: from 0 to 8 marks over the 14 to 15 kn of two headsails. Common
/// practice; a boat of our own invention.
const MARKS_PER_KNOT: f64 = 0.55;
/// From one sailed wind to the next, knots at least and at most: common practice, a few afternoons in a season.
const APART_KN: (f64, f64) = (3.0, 5.0);
const BOATS: usize = 4_000;

/// Numbers from 0 to 1: the linear congruential generator of Knuth's MMIX (The Art of Computer Programming, 2, 3.3.4; from
/// memory), its upper bits.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, (low, high): (f64, f64)) -> f64 {
        low + (high - low) * self.next()
    }
}

/// A boat's right mark at a wind: a straight line from somewhere between two marks.
#[derive(Clone, Copy)]
struct Boat {
    at_calm: f64,
}

impl Boat {
    fn right(self, wind: f64) -> f64 {
        self.at_calm + MARKS_PER_KNOT * wind
    }

    /// What was sailed in some winds, written down to halves.
    fn column(self, chance: &mut Chance) -> Column {
        let mut wind = chance.between((4.0, 7.0));
        let mut known = Vec::new();
        while wind < 30.0 {
            let reading = (self.right(wind) * 2.0).round() / 2.0;
            known.push(Known { at: Wind::knots(wind), reading, ground: Ground::Sailed });
            wind += chance.between(APART_KN);
        }
        let kind = ScaleKind::Even { first: 0, last: 40, spacing: Length::mm(20.0), purchase: 1.0 };
        Column::new(Scale { kind, fineness: Fineness::Halves }, known, Between::Monotone).expect("rows that rise")
    }
}

/// Root mean square of the errors at the middle of each band that holds a row and lies within the known winds: of what a card
/// prints large, and of the row nearest the middle.
fn errors(edges: &[f64]) -> (f64, f64) {
    let mut chance = Chance(14_071_927);
    let (mut figure_squares, mut row_squares, mut count) = (0.0, 0.0, 0.0);
    for _ in 0..BOATS {
        let boat = Boat { at_calm: chance.next() };
        let column = boat.column(&mut chance);
        let (first, last) = (column.known()[0].at, column.known()[column.known().len() - 1].at);
        for pair in edges.windows(2) {
            let band = Band::new(Wind::knots(pair[0]), Wind::knots(pair[1]));
            let found = column.in_band(band);
            let off_middle = |row: &&Known| (row.at.to_knots() - band.middle().to_knots()).abs();
            let nearest = found.rows.iter().min_by(|a, b| off_middle(a).total_cmp(&off_middle(b)));
            let Some(row) = nearest.filter(|_| first <= band.low && band.high <= last) else { continue };
            let right = boat.right(band.middle().to_knots());
            let (one, other) = found.figure.ends();
            figure_squares += ((one + other) / 2.0 - right).powi(2);
            row_squares += (row.reading - right).powi(2);
            count += 1.0;
        }
    }
    assert!(count > BOATS as f64, "{count} bands");
    ((figure_squares / count).sqrt(), (row_squares / count).sqrt())
}

#[test]
fn what_to_set_in_a_band_is_three_times_nearer_than_the_row_in_it() {
    let (figure, row) = errors(&DEFAULT_BAND_EDGES_KN);
    println!("{figure:.3} of a mark, the row {row:.3}");
    assert!(figure * 3.0 <= row, "{figure:.3} of a mark beside {row:.3}");
    // On the bands of force 2 to 8 (WMO), which are wider, the row is worse and the curve no worse.
    let (wide_figure, wide_row) = errors(&[4.0, 7.0, 11.0, 17.0, 22.0, 28.0, 34.0]);
    assert!(wide_row > row && wide_figure * 3.0 <= wide_row, "{wide_figure:.3} beside {wide_row:.3}");
}

#[test]
fn bands_where_a_book_names_none_are_no_wider_than_four_knots_up_to_22() {
    let pairs = || DEFAULT_BAND_EDGES_KN.windows(2);
    assert!(pairs().all(|pair| pair[0] < pair[1]));
    assert!(pairs().filter(|pair| pair[0] < 22.0).all(|pair| pair[1] - pair[0] <= 4.0));
    // Half a mark a knot over half a band: within a mark of the middle.
    assert!(pairs().filter(|pair| pair[0] < 22.0).all(|pair| 0.5 * (pair[1] - pair[0]) / 2.0 <= 1.0));
}
