//! Fields of negative and bonding.

use super::CURRENT;
use crate::document::fields::{
    Bound::Positive,
    Field, Target,
    What::{Choice, Count, Flag, Id, Ids, Quantity, Size, Text},
    may, must, or,
};
use orlop::network::ground::{Carries, PathKind, Role};
use orlop_units::Kind;

pub(super) const GROUND: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("role", Choice(Role::WORDS), "engine", "What it is."),
    may("place", Id(Target::Place), "ENGINE", "Where it is."),
    may(
        "hangs",
        Flag,
        "true",
        "It must hang on the one negative and bonding system: usual for all but a radio's ground.",
    ),
    may("starter", CURRENT, "400 A", "Current of the starter of this engine ..."),
    may("starter_battery", Id(Target::Ground), "BANK", "... and the battery whose negative it returns to."),
];

pub(super) const BOND: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must(
        "from",
        Id(Target::Ground),
        "BANK",
        "One end: a ground, or the negative of a bank, panel, source or load.",
    ),
    must("to", Id(Target::Ground), "ENGINE", "The other end."),
    must("kind", Choice(PathKind::WORDS), "bond", "What it is."),
    may("size", Size, "16 mm2", "Its conductor ..."),
    may("piece", Quantity(Kind::Length, Positive), "1.5 m", "... and its length: it has one leg only."),
    may(
        "resistance",
        Quantity(Kind::Resistance, Positive),
        "0.05 mohm",
        "Or its resistance from end to end.",
    ),
    may(
        "carries",
        Choice(Carries::WORDS),
        "starter",
        "Which current it may carry: usual is return for cables and shunts, nothing for the others.",
    ),
    may("may_cut", Flag, "true", "It may be taken out: usual for bonds, straps and incidental paths."),
    or("effort", Count(1), "1", "How much work it is to take it out, against the others."),
    may("bypass", Ids(Target::Ground), r#"["MONITOR"]"#, "What need not pass this shunt."),
];
