//! The two sides of the boat, and what may be the same on both or not. Knows no control and no card.

/// A side of the boat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// On the left of who looks forward.
    Port,
    /// On the right of who looks forward.
    Starboard,
}

impl Side {
    /// Both, in the order that they are told in.
    pub const BOTH: [Side; 2] = [Side::Port, Side::Starboard];

    /// As a strip and its title print it, in capitals.
    pub const fn word(self) -> &'static str {
        match self {
            Side::Port => "PORT",
            Side::Starboard => "STARBOARD",
        }
    }

    /// As it is written after the name of a control: `jib_lead port`.
    pub const fn name(self) -> &'static str {
        match self {
            Side::Port => "port",
            Side::Starboard => "starboard",
        }
    }

    /// What stands after a mark: `2 P`.
    pub const fn letter(self) -> &'static str {
        match self {
            Side::Port => "P",
            Side::Starboard => "S",
        }
    }
}

/// Something of a control that has one of itself, or two that may differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sided<T> {
    /// There is one, or both are alike.
    Alike(T),
    /// One for each side.
    Each {
        /// On the port side.
        port: T,
        /// On the starboard side.
        starboard: T,
    },
}

impl<T> Sided<T> {
    /// The one of what is alike on both sides.
    pub fn alike(&self) -> Option<&T> {
        match self {
            Sided::Alike(both) => Some(both),
            Sided::Each { .. } => None,
        }
    }

    /// What there is on a side.
    pub fn on(&self, side: Side) -> &T {
        match (self, side) {
            (Sided::Alike(both), _) => both,
            (Sided::Each { port, .. }, Side::Port) => port,
            (Sided::Each { starboard, .. }, Side::Starboard) => starboard,
        }
    }

    /// Each with its side; of what is alike on both, one without.
    pub fn each(&self) -> impl Iterator<Item = (Option<Side>, &T)> {
        let (first, second) = match self {
            Sided::Alike(both) => ((None, both), None),
            Sided::Each { port, starboard } => ((Some(Side::Port), port), Some((Some(Side::Starboard), starboard))),
        };
        std::iter::once(first).chain(second)
    }

    /// The same with each told in another way.
    pub fn map<U>(&self, mut told: impl FnMut(&T) -> U) -> Sided<U> {
        match self {
            Sided::Alike(both) => Sided::Alike(told(both)),
            Sided::Each { port, starboard } => Sided::Each { port: told(port), starboard: told(starboard) },
        }
    }

    /// The same, told by side; what is alike on both has none.
    pub fn map_sides<U>(&self, mut told: impl FnMut(Option<Side>, &T) -> U) -> Sided<U> {
        match self {
            Sided::Alike(both) => Sided::Alike(told(None, both)),
            Sided::Each { port, starboard } => {
                Sided::Each { port: told(Some(Side::Port), port), starboard: told(Some(Side::Starboard), starboard) }
            }
        }
    }

    /// Each side of one with the same side of another.
    pub fn with<U, V>(&self, other: &Sided<U>, mut told: impl FnMut(&T, &U) -> V) -> Sided<V> {
        match (self, other) {
            (Sided::Alike(one), Sided::Alike(other)) => Sided::Alike(told(one, other)),
            _ => {
                let [port, starboard] = Side::BOTH.map(|side| told(self.on(side), other.on(side)));
                Sided::Each { port, starboard }
            }
        }
    }
}

impl<T> Sided<Option<T>> {
    /// All of it, if no side lacks it.
    pub fn all(self) -> Option<Sided<T>> {
        Some(match self {
            Sided::Alike(both) => Sided::Alike(both?),
            Sided::Each { port, starboard } => Sided::Each { port: port?, starboard: starboard? },
        })
    }
}

impl<T: PartialEq> Sided<T> {
    /// One for both sides where they do not differ.
    pub fn settled(self) -> Self {
        match self {
            Sided::Each { port, starboard } if port == starboard => Sided::Alike(port),
            other => other,
        }
    }
}

impl Sided<String> {
    /// `2 P, 2½ S` where the two differ, else `2`.
    ///
    /// ```
    /// use cockpit_cards::tuning::Sided;
    ///
    /// let lead = |starboard: &str| Sided::Each { port: "2".to_owned(), starboard: starboard.to_owned() };
    /// assert_eq!(lead("2½").words(), "2 P, 2½ S");
    /// assert_eq!(lead("2").words(), "2");
    /// ```
    pub fn words(&self) -> String {
        match self {
            Sided::Each { port, starboard } if port != starboard => {
                format!("{port} {}, {starboard} {}", Side::Port.letter(), Side::Starboard.letter())
            }
            Sided::Alike(words) | Sided::Each { port: words, .. } => words.clone(),
        }
    }
}
