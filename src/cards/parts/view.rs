//! How a strip looks to the person reading it: which way is the bow, which way do the numbers grow. Pure geometry.
//!
//! The reader looks down on the deck facing away from where they stand. Whatever lies ahead of them is up on the
//! strip; the rest follows. For a reader standing inboard the bow is to the right on the port side and to the left on
//! the starboard side, so a pair of strips is mirrored and each is right where it lies.

use crate::book::{Direction, Sides, Stands, StripPlan, TickEdge};
pub use crate::tuning::Side;

/// A direction on the strip as the reader sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Screen {
    Right,
    Left,
    Up,
    Down,
}

impl Screen {
    /// Whether the numbers of a strip that grows this way stand beside each other and not above.
    pub const fn is_horizontal(self) -> bool {
        matches!(self, Screen::Right | Screen::Left)
    }

    /// Unit vector, y down.
    pub const fn vector(self) -> (f64, f64) {
        match self {
            Screen::Right => (1.0, 0.0),
            Screen::Left => (-1.0, 0.0),
            Screen::Up => (0.0, -1.0),
            Screen::Down => (0.0, 1.0),
        }
    }
}

/// A strip as its reader sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct View {
    /// The way the numbers grow.
    pub along: Screen,
    /// The edge of the strip that the pointer runs along.
    pub ticks: Screen,
    /// Where the bow is, if the strip lies on a level surface.
    pub bow: Option<Screen>,
}

/// What keeps a strip from being drawn the way it was asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unclear {
    /// `inboard` or `outboard` was said of a strip on no particular side.
    SideNeeded,
    /// The pointer's edge does not exist on a strip that lies this way.
    EdgeOfOtherKind { horizontal: bool },
    /// An upright strip of one side does not say which edge the pointer runs along. `inboard` and `outboard` lie to the
    /// reader's left and right only if they face the bow or the stern.
    EdgeNeeded { faces_bow_or_stern: bool },
}

/// Forward and starboard parts of a level direction.
type Level = (i8, i8);

/// The sides that a plan asks strips for.
pub fn sides(plan: Option<&StripPlan>) -> Vec<Option<Side>> {
    match plan.map_or(Sides::One, |plan| plan.sides) {
        Sides::One => vec![None],
        Sides::Port => vec![Some(Side::Port)],
        Sides::Starboard => vec![Some(Side::Starboard)],
        Sides::Both => vec![Some(Side::Port), Some(Side::Starboard)],
    }
}

/// How a strip on `side` looks to its reader. A plan that says nothing is read left to right, pointer at the far edge.
pub fn view(plan: Option<&StripPlan>, side: Option<Side>) -> Result<View, Unclear> {
    let Some(plan) = plan else {
        return Ok(View { along: Screen::Right, ticks: Screen::Up, bow: None });
    };
    let facing = reader(plan, side)?;
    let along = match (plan.grows, facing) {
        (Some(Direction::Up), _) => Screen::Up,
        (Some(Direction::Down), _) => Screen::Down,
        (Some(grows), Some(facing)) => on_screen(level(grows, side)?, facing),
        (None, _) | (_, None) => Screen::Right,
    };
    let upright_surface = matches!(plan.grows, Some(Direction::Up | Direction::Down));
    let bow = facing.filter(|_| !upright_surface).map(|facing| on_screen((1, 0), facing));
    let ticks = match plan.ticks.as_ref().map(|edge| edge.value) {
        None if along.is_horizontal() => Screen::Up,
        None if side.is_some() => {
            let faces_bow_or_stern = facing.is_some_and(|(forward, _)| forward != 0);
            return Err(Unclear::EdgeNeeded { faces_bow_or_stern });
        }
        None => Screen::Left,
        Some(edge) => edge_on_screen(edge, side, facing)?,
    };
    if ticks.is_horizontal() == along.is_horizontal() {
        return Err(Unclear::EdgeOfOtherKind { horizontal: along.is_horizontal() });
    }
    Ok(View { along, ticks, bow })
}

/// Whether the middle of a curved strip's circle lies on the side of the edge the pointer runs along. A plan that does
/// not say where it lies means the far edge, or the left one.
pub fn middle_at_ticks(plan: &StripPlan, side: Option<Side>, view: View) -> Result<bool, Unclear> {
    let usual = if view.along.is_horizontal() { TickEdge::Far } else { TickEdge::Left };
    let edge = plan.arc.as_ref().and_then(|arc| arc.middle.as_ref()).map_or(usual, |edge| edge.value);
    let middle = edge_on_screen(edge, side, reader(plan, side)?)?;
    if middle.is_horizontal() == view.along.is_horizontal() {
        return Err(Unclear::EdgeOfOtherKind { horizontal: view.along.is_horizontal() });
    }
    Ok(middle == view.ticks)
}

/// The way the reader of a strip faces, if the plan says anything from which it follows.
fn reader(plan: &StripPlan, side: Option<Side>) -> Result<Option<Level>, Unclear> {
    Ok(match plan.reader_stands {
        Some(stands) => Some(facing(stands, side)?),
        // Without a word, a strip of one side is read from amidships, any other from aft.
        None if plan.grows.is_none() => None,
        None if side.is_some() => Some(facing(Stands::Inboard, side)?),
        None => Some((1, 0)),
    })
}

fn edge_on_screen(edge: TickEdge, side: Option<Side>, facing: Option<Level>) -> Result<Screen, Unclear> {
    let level_edge = |direction| Ok(on_screen(level(direction, side)?, facing.unwrap_or((1, 0))));
    match edge {
        TickEdge::Far => Ok(Screen::Up),
        TickEdge::Near => Ok(Screen::Down),
        TickEdge::Left => Ok(Screen::Left),
        TickEdge::Right => Ok(Screen::Right),
        TickEdge::Inboard => level_edge(Direction::Inboard),
        TickEdge::Outboard => level_edge(Direction::Outboard),
    }
}

/// The way a reader faces who stands on that side of the strip.
fn facing(stands: Stands, side: Option<Side>) -> Result<Level, Unclear> {
    level(
        match stands {
            Stands::Inboard => Direction::Outboard,
            Stands::Outboard => Direction::Inboard,
            Stands::Aft => Direction::Forward,
            Stands::Forward => Direction::Aft,
        },
        side,
    )
}

fn level(direction: Direction, side: Option<Side>) -> Result<Level, Unclear> {
    let outboard = || match side {
        Some(Side::Port) => Ok((0, -1)),
        Some(Side::Starboard) => Ok((0, 1)),
        None => Err(Unclear::SideNeeded),
    };
    Ok(match direction {
        Direction::Forward => (1, 0),
        Direction::Aft => (-1, 0),
        Direction::Port => (0, -1),
        Direction::Starboard => (0, 1),
        Direction::Outboard => outboard()?,
        Direction::Inboard => {
            let (forward, starboard) = outboard()?;
            (-forward, -starboard)
        }
        Direction::Up | Direction::Down => (0, 0),
    })
}

/// A level direction as seen by a reader who faces `facing`: ahead is up, and their right hand is right.
fn on_screen(direction: Level, facing: Level) -> Screen {
    let ahead = direction.0 * facing.0 + direction.1 * facing.1;
    let right = direction.1 * facing.0 - direction.0 * facing.1;
    match (right, ahead) {
        (1.., _) => Screen::Right,
        (..=-1, _) => Screen::Left,
        (_, 0..) => Screen::Up,
        _ => Screen::Down,
    }
}
