//! Which row of a dock tune is for which expected wind. A rig is set before leaving, whole rows at a time: nothing is read
//! between two rows. Knows no control and no card.

use super::{Axis, Wind, WindUnit};

/// The winds that a row stands for: from this one on, up to where the next row begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RowRange {
    /// `None`: from a calm on.
    pub from: Option<Wind>,
    /// `None`: to any wind.
    pub to: Option<Wind>,
}

impl RowRange {
    /// Whether a wind is in it; where two rows meet it is of the stronger one.
    pub fn holds(&self, wind: Wind) -> bool {
        self.from.is_none_or(|from| !wind.is_below(from)) && self.to.is_none_or(|to| wind.is_below(to))
    }

    /// As a card prints it: `up to 9 kn`, `9 to 15 kn`, `from 15 kn`; a row that is alone is for `any wind`.
    pub fn print(&self, unit: WindUnit) -> String {
        match (self.from, self.to) {
            (None, None) => "any wind".to_owned(),
            (None, Some(to)) => format!("up to {}", to.print_with_unit(unit)),
            (Some(from), None) => format!("from {}", from.print_with_unit(unit)),
            (Some(from), Some(to)) => format!("{} to {}", from.print(unit), to.print_with_unit(unit)),
        }
    }
}

/// The range of each row, given the winds of the rows as they rise: they meet midway, at a wind that can be printed, so that
/// what a card says is what is reckoned with.
///
/// ```
/// use cockpit_cards::tuning::dock_ranges::ranges;
/// use cockpit_cards::tuning::{Wind, WindUnit};
///
/// let rows = [6.0, 12.0, 19.0].map(Wind::knots);
/// let printed: Vec<String> = ranges(&rows, WindUnit::Knot).iter().map(|range| range.print(WindUnit::Knot)).collect();
/// assert_eq!(printed, ["up to 9 kn", "9 to 15½ kn", "from 15½ kn"]);
/// ```
pub fn ranges(rows: &[Wind], unit: WindUnit) -> Vec<RowRange> {
    let meet = |index: usize| {
        let (low, high) = rows.get(index).zip(rows.get(index + 1))?;
        Some(Wind::from_steps(low.midway(*high).steps(unit), unit))
    };
    (0..rows.len()).map(|index| RowRange { from: index.checked_sub(1).and_then(meet), to: meet(index) }).collect()
}
