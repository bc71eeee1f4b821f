//! Which way a strip's numbers run for its reader, written out by hand from a drawing of a boat. Uses none of our code.
//!
//! The reader looks down on a level surface and faces away from where they stand relative to the strip: someone inboard of
//! it faces outboard. What lies ahead is up on the strip, what lies to their right hand is right.

/// A way on a strip as its reader sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    Right,
    Left,
    Up,
    Down,
}

impl Way {
    pub fn is_level(self) -> bool {
        matches!(self, Way::Right | Way::Left)
    }

    /// As seen in a mirror held beside the strip.
    pub fn mirrored(self) -> Way {
        match self {
            Way::Right => Way::Left,
            Way::Left => Way::Right,
            upright => upright,
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Way::Right => "right",
            Way::Left => "left",
            Way::Up => "up",
            Way::Down => "down",
        }
    }
}

/// What a book says of how a strip lies; `None` where it says nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lie {
    pub grows: Option<&'static str>,
    pub reader_stands: Option<&'static str>,
    pub side: Option<&'static str>,
    pub ticks: Option<&'static str>,
}

/// How its reader sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seen {
    pub along: Way,
    pub ticks: Way,
    pub bow: Option<Way>,
}

pub const GROWS: [Option<&str>; 9] = [
    None,
    Some("forward"),
    Some("aft"),
    Some("outboard"),
    Some("inboard"),
    Some("port"),
    Some("starboard"),
    Some("up"),
    Some("down"),
];
pub const READERS: [Option<&str>; 5] = [None, Some("inboard"), Some("outboard"), Some("aft"), Some("forward")];
pub const SIDES: [Option<&str>; 3] = [None, Some("port"), Some("starboard")];
pub const TICKS: [Option<&str>; 7] =
    [None, Some("far"), Some("near"), Some("left"), Some("right"), Some("inboard"), Some("outboard")];

const NONE: Option<&str> = None;
const PORT: Option<&str> = Some("port");
const STARBOARD: Option<&str> = Some("starboard");

/// For a reader who stands there, on that side: where forward, aft, outboard, inboard, port and starboard lie on the
/// strip (Right, Left, Up, Down; `-`: nobody can tell without a side).
const COMPASS: [(&str, Option<&str>, &str); 12] = [
    // On the port side, back to the centreline: the sea is ahead, the bow on the right hand.
    ("inboard", PORT, "R L U D U D"),
    // On the starboard side, back to the centreline: the sea is ahead, the bow on the left hand.
    ("inboard", STARBOARD, "L R U D D U"),
    ("inboard", NONE, "- - - - - -"),
    // On the port rail, back to the sea: the boat is ahead, the bow on the left hand.
    ("outboard", PORT, "L R D U D U"),
    // On the starboard rail, back to the sea: the boat is ahead, the bow on the right hand.
    ("outboard", STARBOARD, "R L D U U D"),
    ("outboard", NONE, "- - - - - -"),
    // Standing aft of it, face to the bow: port on the left hand.
    ("aft", PORT, "U D L R L R"),
    ("aft", STARBOARD, "U D R L L R"),
    ("aft", NONE, "U D - - L R"),
    // Standing forward of it, face to the stern: port on the right hand.
    ("forward", PORT, "D U R L R L"),
    ("forward", STARBOARD, "D U L R R L"),
    ("forward", NONE, "D U - - R L"),
];

/// Every lie a book can ask for.
pub fn all() -> impl Iterator<Item = Lie> {
    GROWS.into_iter().flat_map(|grows| {
        READERS.into_iter().flat_map(move |reader_stands| {
            SIDES
                .into_iter()
                .flat_map(move |side| TICKS.into_iter().map(move |ticks| Lie { grows, reader_stands, side, ticks }))
        })
    })
}

impl Lie {
    /// How its reader sees it; `None` where the book has to say more.
    pub fn seen(self) -> Option<Seen> {
        // A strip that says nothing of its lie reads left to right; without a reader, someone stands inboard of a strip
        // that has a side, and aft of any other.
        let usual = if self.grows.is_some() && self.side.is_some() { "inboard" } else { "aft" };
        let says_nothing = self.grows.is_none() && self.reader_stands.is_none();
        let reader = self.reader_stands.unwrap_or(usual);
        if reader_needs_side(reader) && self.side.is_none() {
            return None;
        }
        let along = match self.grows {
            None => Way::Right,
            Some("up") => Way::Up,
            Some("down") => Way::Down,
            Some(direction) => lies(direction, reader, self.side)?,
        };
        let on_a_wall = matches!(self.grows, Some("up" | "down"));
        let bow = if says_nothing || on_a_wall { None } else { lies("forward", reader, self.side) };
        let ticks = match self.ticks {
            None if along.is_level() => Way::Up,
            // Left or right of an upright strip is inboard on one side of the boat and outboard on the other.
            None if self.side.is_some() => return None,
            None => Way::Left,
            Some("far") => Way::Up,
            Some("near") => Way::Down,
            Some("left") => Way::Left,
            Some("right") => Way::Right,
            Some(edge) => lies(edge, reader, self.side)?,
        };
        (ticks.is_level() != along.is_level()).then_some(Seen { along, ticks, bow })
    }

    /// As the fields of a `strip:`.
    pub fn fields(self) -> String {
        let fields =
            [("grows", self.grows), ("reader_stands", self.reader_stands), ("sides", self.side), ("ticks", self.ticks)];
        let given = fields.into_iter().filter_map(|(name, value)| Some(format!("{name}: {}", value?)));
        given.collect::<Vec<_>>().join(", ")
    }
}

fn reader_needs_side(reader: &str) -> bool {
    matches!(reader, "inboard" | "outboard")
}

/// Where a direction on the boat lies on the strip.
pub fn lies(direction: &str, reader: &str, side: Option<&str>) -> Option<Way> {
    let column = ["forward", "aft", "outboard", "inboard", "port", "starboard"].iter().position(|d| *d == direction)?;
    let (_, _, row) = COMPASS.iter().find(|(stands, on, _)| *stands == reader && *on == side)?;
    match row.split(' ').nth(column)? {
        "R" => Some(Way::Right),
        "L" => Some(Way::Left),
        "U" => Some(Way::Up),
        "D" => Some(Way::Down),
        _ => None,
    }
}
