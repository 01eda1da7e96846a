//! The few choices of a ground graph: what a point is, what a path is, what it may carry.

use crate::choice::choice;

choice! {
    /// What a point of the ground graph is.
    Role {
        /// Negative terminal of a battery or bank.
        BatteryNegative = "battery-negative",
        /// A post or bar on the battery's side of the shunt, where strings join.
        BatteryBus = "battery-bus",
        /// A bus or panel where negatives of loads come together.
        NegativeBus = "negative-bus",
        /// The negative of a load.
        LoadNegative = "load-negative",
        /// The negative of an alternator, charger, solar controller or converter.
        SourceNegative = "source-negative",
        /// An engine block, with its gearbox and shaft.
        Engine = "engine",
        /// A metal hull, or metal structure.
        Hull = "hull",
        /// Metal below the water: through-hulls, shaft bracket, rudder, anode.
        UnderwaterMetal = "underwater-metal",
        /// Where bonding conductors come together.
        BondingBus = "bonding-bus",
        /// Where the shore earth, the safety conductor, comes aboard.
        ShoreEarth = "shore-earth",
        /// A counterpoise or aerial ground of a radio.
        RadioGround = "radio-ground",
    }
}

impl Role {
    /// Whether it belongs to the negative conductors; all others are metal that carries no current in service.
    #[must_use]
    pub fn is_negative(self) -> bool {
        matches!(
            self,
            Self::BatteryNegative
                | Self::BatteryBus
                | Self::NegativeBus
                | Self::LoadNegative
                | Self::SourceNegative
        )
    }

    /// Whether it stands on the battery's side of a shunt by its nature.
    #[must_use]
    pub fn is_battery(self) -> bool {
        matches!(self, Self::BatteryNegative | Self::BatteryBus)
    }

    /// Whether it must hang on the one system unless stated otherwise: everything but a radio's ground.
    #[must_use]
    pub fn hangs(self) -> bool {
        self != Self::RadioGround
    }
}

choice! {
    /// What a path of the ground graph is.
    PathKind {
        /// A conductor made to carry return current.
        NegativeCable = "negative-cable",
        /// A current-measuring shunt.
        Shunt = "shunt",
        /// A conductor that holds metal at the potential of negative; no current in service.
        Bond = "bond",
        /// A strap or braid: between metal parts, or to a radio's ground.
        Strap = "strap",
        /// A protective conductor of the shore supply: never to be cut.
        ShoreEarth = "shore-earth",
        /// A connection that nobody made on purpose: a case-bonded source, an aerial's braid.
        Incidental = "incidental",
    }
}

impl PathKind {
    /// Whether it may be taken out unless stated otherwise: bonds, straps and incidental paths.
    #[must_use]
    pub fn may_cut(self) -> bool {
        matches!(self, Self::Bond | Self::Strap | Self::Incidental)
    }

    /// What it may carry unless stated otherwise: cables and shunts return current, the others nothing.
    #[must_use]
    pub fn carries(self) -> Carries {
        match self {
            Self::NegativeCable | Self::Shunt => Carries::Return,
            Self::Bond | Self::Strap | Self::ShoreEarth | Self::Incidental => Carries::Nothing,
        }
    }

    /// Of two paths that are equally easy to take out, the one with the higher number stays.
    pub(super) fn worth(self) -> u8 {
        match self {
            Self::Incidental => 0,
            Self::Strap => 1,
            Self::Bond => 2,
            Self::NegativeCable => 3,
            Self::Shunt => 4,
            Self::ShoreEarth => 5,
        }
    }
}

choice! {
    /// Which current a path may carry in service.
    Carries {
        /// None: only a fault puts current through it.
        Nothing = "nothing",
        /// Return current of loads and sources, but no starter current.
        Return = "return",
        /// Starter current as well as return current.
        Starter = "starter",
    }
}

choice! {
    /// How negative and metal shall be joined.
    ReturnSystem {
        /// Each negative system is bonded to engine and metal at one place.
        OneBond = "one-bond",
        /// Fully insulated return: negative meets metal nowhere.
        Insulated = "insulated",
    }
}

choice! {
    /// What sort of current a flow is.
    FlowKind {
        /// A starter motor cranking.
        Starter = "starter",
        /// Loads and sources in service.
        Return = "return",
    }
}

impl FlowKind {
    /// Whether a path with this permission may carry it.
    #[must_use]
    pub fn permitted(self, carries: Carries) -> bool {
        match self {
            Self::Starter => carries == Carries::Starter,
            Self::Return => carries != Carries::Nothing,
        }
    }
}
