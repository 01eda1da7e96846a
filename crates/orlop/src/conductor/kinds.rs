//! The few choices a conductor question needs: material, kind of space, duty.

use crate::Error;
use orlop_units::Time;

macro_rules! choice {
    ($(#[$meta:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal),* $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum $name { $($(#[$doc])* $variant),* }

        impl $name {
            /// All choices.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// The words of all choices.
            pub const WORDS: &'static [&'static str] = &[$($word),*];
            /// The word in boat files and arguments.
            #[must_use]
            pub fn word(self) -> &'static str { match self { $(Self::$variant => $word),* } }
            /// Reads the word.
            ///
            /// # Errors
            /// [`Error::Input`] with the choices.
            pub fn parse(text: &str, field: &str) -> Result<Self, Error> {
                Self::ALL.iter().copied().find(|c| c.word() == text.trim()).ok_or_else(|| {
                    Error::input(field, format!("'{}'", text.trim()), format!("one of {}", Self::WORDS.join(", ")))
                })
            }
        }
    };
}
pub(crate) use choice;

choice! {
    /// What a conductor is made of.
    Material {
        /// Copper.
        Copper = "copper",
        /// Aluminium; the United States rule set has no ampacity for it.
        Aluminium = "aluminium",
    }
}

choice! {
    /// Whether a rule set's engine-space factors apply.
    SpaceKind {
        /// Anywhere but an engine space.
        Outside = "outside",
        /// An engine space.
        Engine = "engine",
    }
}

/// How long a current flows at a stretch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Duty {
    /// Long enough for the conductor to reach its final temperature.
    #[default]
    Continuous,
    /// On for at most `on`, then off for at least `off` (or until cold).
    Intermittent {
        /// Longest time on.
        on: Time,
        /// Shortest time off; none means until cold.
        off: Option<Time>,
    },
}
