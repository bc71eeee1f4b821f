//! Where a strip may be cut in two: at a mark that carries its number.

use super::Strip;
use super::lie::Frame;
use crate::drawing::Joint;

/// The joints of a strip whose marks of these indices carry their numbers. The first and the last are none: beyond them there
/// are only words.
pub(super) fn joints(strip: &Strip, frame: &Frame, shown: &[usize]) -> Vec<Joint> {
    let inner = shown.iter().copied().filter(|index| *index > 0 && *index + 1 < strip.marks.len());
    let joint = |index: usize| {
        let mark = &strip.marks[index];
        let (before, after) = (strip.marks[index - 1].at_mm, strip.marks[index + 1].at_mm);
        Joint {
            at: frame.place_along(mark.at_mm),
            name: format!("mark {}", mark.label),
            clear: (mark.at_mm - before).min(after - mark.at_mm),
        }
    };
    inner.map(joint).collect()
}
