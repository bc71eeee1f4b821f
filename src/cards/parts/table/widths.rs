//! How the columns of a table share its width. Lays out no words.

use std::ops::Range;

use super::content::Column;
use super::look::Look;
use super::measured::{Breadth, Measured, MeasuredHead, Part, head_cap};
use crate::cards::parts::frame::HEAVY_RULE;
use crate::drawing::Anchor;

/// More white between words that end at the right of a column and words that begin at the left of the next, in capital
/// heights: nothing else parts them.
const BETWEEN_ENDS: f64 = 0.7;
/// White between the tails of a head that stands on end and the line beside its column, millimetres.
const HANG_CLEAR: f64 = 0.3;

/// The columns of a table at one size of its letters, millimetres.
pub(crate) struct Widths {
    /// Where each column begins, from the left edge of the table.
    pub lefts: Vec<f64>,
    /// How wide each column is, without the gap beside it.
    pub widths: Vec<f64>,
    /// Between two columns.
    pub gap: f64,
}

impl Widths {
    /// From the left of the first column of a range to the right of its last, millimetres.
    pub fn across(&self, range: Range<usize>) -> f64 {
        let last = range.end.min(self.widths.len()).saturating_sub(1);
        let right = self.lefts.get(last).zip(self.widths.get(last)).map_or(0.0, |(left, width)| left + width);
        right - self.lefts.get(range.start).copied().unwrap_or(right)
    }

    /// `None` if a word would stick out.
    pub fn of(measured: &Measured, part: &Part, room: f64, cap: f64) -> Option<Widths> {
        let (columns, look) = (measured.grid.columns, measured.grid.look);
        let between = columns.len().saturating_sub(1) as f64;
        let (mut gap, outside) = (cap * look.gap, if look.outer_gaps { 1.0 } else { 0.0 });
        let whites: Vec<f64> = (0..columns.len()).map(|index| white_after(columns, index) * cap).collect();
        let room = room - gap * (between + outside) - whites.iter().sum::<f64>();
        let needs = part.breadths.iter().zip(&measured.heads).zip(columns);
        let needs = needs.map(|((cells, head), column)| need(cells, head, (look, column.least_mm), cap));
        let (mut least, mut wanted): (Vec<f64>, Vec<f64>) = needs.unzip();
        let overs = measured.overs.iter().map(|(range, words)| (range, words.widths(&look, head_cap(cap))));
        let joint = part.joint.iter().map(|(range, of)| (range, of.widths(&look, cap)));
        for (range, (at_least, at_most)) in joint.chain(overs) {
            widen(&mut least, range.clone(), at_least, gap);
            widen(&mut wanted, range.clone(), at_most, gap);
        }
        let all_least: f64 = least.iter().sum();
        if all_least > room {
            return None;
        }
        let widths = match look.gap_most {
            Some(most) => {
                gap += ((room - all_least) / between.max(1.0)).min(cap * (most - look.gap));
                least
            }
            None => {
                let shares: Vec<f64> = columns.iter().map(|column| column.share).collect();
                if look.even { evened(least, &shares, room) } else { shared(least, wanted, &shares, room) }
            }
        };
        let mut next = gap * outside / 2.0;
        let lefts = widths.iter().zip(&whites).map(|(width, white)| {
            let left = next;
            next += width + white + gap;
            left
        });
        let lefts = lefts.collect();
        Some(Widths { lefts, widths, gap })
    }
}

/// The white that a column needs after it besides the gap, in capital heights.
fn white_after(columns: &[Column], index: usize) -> f64 {
    match (columns.get(index), columns.get(index + 1)) {
        (Some(column), Some(next)) if column.anchor == Anchor::End && next.anchor == Anchor::Start => BETWEEN_ENDS,
        _ => 0.0,
    }
}

/// What a column needs at least and wants at most, millimetres.
fn need(cells: &Breadth, head: &MeasuredHead, (look, least_mm): (Look, f64), cap: f64) -> (f64, f64) {
    let (head_least, head_wanted) = head.widths(&look, head_cap(cap));
    let (least, wanted) = cells.widths(&look, cap);
    // A head stands in the middle of its column.
    let clear = match head.hang(&look, head_cap(cap)) {
        hang if hang > 0.0 => 2.0 * (hang + HEAVY_RULE / 2.0 + HANG_CLEAR - cap * look.gap / 2.0).max(0.0),
        _ => 0.0,
    };
    let with = |cells: f64, head: f64| cells.max(head + clear).max(least_mm);
    (with(least, head_least), with(wanted, head_wanted))
}

/// Columns that are `needed` wide together, each wider by the same.
fn widen(widths: &mut [f64], range: Range<usize>, needed: f64, gap: f64) {
    let Some(columns) = widths.get_mut(range) else { return };
    let between = columns.len().saturating_sub(1) as f64 * gap;
    let missing = needed - between - columns.iter().sum::<f64>();
    let each = missing.max(0.0) / columns.len().max(1) as f64;
    columns.iter_mut().for_each(|width| *width += each);
}

/// The whole `room` among the columns that ask for a share, each as wide as its share says but for those that need more.
fn evened(least: Vec<f64>, shares: &[f64], room: f64) -> Vec<f64> {
    let asks = |index: usize| shares.get(index).copied().unwrap_or_default();
    let mut held: Vec<bool> = (0..least.len()).map(|index| asks(index) <= 0.0).collect();
    loop {
        let taken: f64 = least.iter().zip(&held).filter(|(_, held)| **held).map(|(least, _)| least).sum();
        let all: f64 = (0..least.len()).filter(|index| !held[*index]).map(asks).sum();
        let each = if all > 0.0 { (room - taken) / all } else { 0.0 };
        let more = (0..least.len()).find(|index| !held[*index] && least[*index] > each * asks(*index));
        match more {
            Some(index) => held[index] = true,
            None => {
                let width = |(index, least): (usize, f64)| if held[index] { least } else { each * asks(index) };
                return least.into_iter().enumerate().map(width).collect();
            }
        }
    }
}

/// The whole `room` among the columns: by their shares if any asks for one, else as much as they want.
fn shared(least: Vec<f64>, wanted: Vec<f64>, shares: &[f64], room: f64) -> Vec<f64> {
    let (all_least, all_wanted): (f64, f64) = (least.iter().sum(), wanted.iter().sum());
    let all_shares: f64 = shares.iter().sum();
    if all_shares > 0.0 {
        let more = |(width, share): (f64, &f64)| width + (room - all_least) * share / all_shares;
        least.into_iter().zip(shares).map(more).collect()
    } else if all_wanted > room {
        let part = (room - all_least) / (all_wanted - all_least);
        least.into_iter().zip(wanted).map(|(least, wanted)| least + (wanted - least) * part).collect()
    } else {
        let more = (room - all_wanted) / wanted.len().max(1) as f64;
        wanted.into_iter().map(|width| width + more).collect()
    }
}
