//! Draws both sides of a card at one size. Knows neither what they say nor what they are printed on.

use super::frame::same_size;
use crate::book::Problem;
use crate::cards::{Card, Label, OtherSide, does_not_fit, draw, finished};
use crate::drawing::Drawing;
use crate::length::Length;
use crate::size::{NamedSize, next_size_up};
use crate::wrong::Wrong;
use kurbo::Size;

/// Draws a card and its back, if it has one. `label` is that of the whole card; each side gets it with the name of the
/// other.
///
/// Each side is tried by itself first, and both take the larger of the two sizes, or the other one if that is the only
/// one they can agree on. They lie alike if both can be read well so, else a quarter turn apart. Sides of two sizes are
/// reported, as is whatever [`draw`] reports of one side.
pub fn draw_sides(card: &Card, label: &Label, problems: &mut Vec<Problem>) -> Option<(Drawing, Option<Drawing>)> {
    let Some(back) = &card.back else {
        return draw(card, label, problems).map(|drawing| (drawing, None));
    };
    match both(card, back, label) {
        Ok((front, behind)) => {
            Some((finished(card, front, label, problems), Some(finished(back, behind, label, problems))))
        }
        Err(problem) => {
            problems.push(problem);
            None
        }
    }
}

fn both(front: &Card, back: &Card, label: &Label) -> Result<(Drawing, Drawing), Problem> {
    let draw_front = |size: Option<Size>| side(front, back, true, size.map(NamedSize::of), label);
    let draw_back = |size: Option<Size>| side(back, front, false, size.map(NamedSize::of), label);
    let cramped = |side: &Card, wrong: Wrong| does_not_fit(front, side, wrong);

    let first = draw_front(None).map_err(|wrong| cramped(front, wrong))?;
    let behind = draw_back(None).map_err(|wrong| cramped(back, wrong))?;
    let of_front = (first.size.area() >= behind.size.area()) || same_size(first.size, behind.size);
    let sizes = if of_front { [first.size, behind.size] } else { [behind.size, first.size] };
    let agreed = sizes.into_iter().find_map(|size| {
        let pair = (draw_front(Some(size)).ok()?, draw_back(Some(size)).ok()?);
        (same_size(pair.0.size, size) && same_size(pair.1.size, size)).then_some(pair)
    });
    agreed.ok_or_else(|| two_sizes(front, back, first.size, behind.size, label))
}

/// One side, of the size of the other if that is given.
fn side(card: &Card, other: &Card, is_back: bool, size: Option<NamedSize>, label: &Label) -> Result<Drawing, Wrong> {
    drawn(card, OtherSide { id: other.id.clone(), is_back, size, insists: false }, label)
}

fn drawn(card: &Card, other_side: OtherSide, label: &Label) -> Result<Drawing, Wrong> {
    card.content.layout(&Label { other_side: Some(other_side), ..label.clone() })
}

/// The smallest size that both sides would have room on if they asked for it, and that can be printed.
fn for_both(front: &Card, back: &Card, larger: Size, label: &Label) -> Option<NamedSize> {
    let larger = NamedSize::of(larger).portrait();
    let next = |size: &NamedSize| next_size_up(size.size + Size::new(1.0, 1.0), size);
    let holds = |card: &Card, other: &Card, is_back: bool, size: &NamedSize| {
        let other_side = OtherSide { id: other.id.clone(), is_back, size: Some(size.clone()), insists: true };
        drawn(card, other_side, label).is_ok()
    };
    std::iter::successors(Some(larger), next)
        .filter(|size| label.sizes.holds(size.size))
        .find(|size| holds(front, back, true, size) && holds(back, front, false, size))
}

fn two_sizes(front: &Card, back: &Card, of_front: Size, of_back: Size, label: &Label) -> Problem {
    let words = |size: Size| {
        let [width, height] = [size.width, size.height].map(Length::mm);
        format!("{width} by {height}")
    };
    let larger = if of_front.area() < of_back.area() { of_back } else { of_front };
    Problem::error(
        front.back_place.clone(),
        format!(
            "card `{}` takes {}, and its back `{}` takes {}: two sides of one card are of one size",
            front.id,
            words(of_front),
            back.id,
            words(of_back)
        ),
        match for_both(front, back, larger, label) {
            Some(size) => format!("give both the same size, such as `size: {}`", size.name),
            None => "give both the same size, or put less on them".to_owned(),
        },
    )
}
