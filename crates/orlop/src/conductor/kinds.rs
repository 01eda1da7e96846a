//! The few choices a conductor question needs: material, kind of space, duty.

use crate::choice::choice;
use orlop_units::Time;

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
