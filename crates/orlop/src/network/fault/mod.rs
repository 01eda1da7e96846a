//! Fault currents on both sides: at every node, and through every conductor and device.
//!
//! | question | where |
//! |---|---|
//! | every node and every branch | [`Network::fault_levels`] |
//! | one node, with its working | [`Network::fault_at`], [`Network::fault_at_recorded`] |
//! | one branch, for a fault at one node | [`Network::fault_through`] |
//! | the form of IEC 61660-1 for a battery | [`BatteryForm`] |
//!
//! # The two bounds
//!
//! A bolted fault at a node is a short to [`RETURN`](super::RETURN). With `V` the voltage before the fault and `R` the
//! resistance to return, sources shorted, it draws `V/R`.
//!
//! * **Upper bound:** [`Corner::High`](super::Corner::High), all sources closed; added are the limit of every converter, charger and
//!   alternator, and the current of every running motor, that can reach the fault. The pulse of capacitors stands
//!   beside it. Through a device its own resistance is left out. Never more than what flows with each of these an ideal
//!   source of its highest voltage: behind a long thin cable that is less, and the lesser bound counts.
//! * **Lower bound:** [`Corner::Low`](super::Corner::Low), the least over every permitted state of the sources in which any current
//!   flows: those that may be open, in every combination with at least one left. A converter with an input adds its continuous
//!   limit as far as it reaches the fault and only where its voltage has collapsed, or nothing when it shuts down;
//!   a charging source may be off and adds nothing, unless it alone feeds its part of the network.
//!
//! Where something is not known, the worst end is taken for the bound in question (no resistance in the upper one, an open branch
//! in the lower one), and flagged; where that leaves nothing, the bound is `None`. Bounds are for bolted faults: an arcing
//! fault, or one through a resistance, draws less and may not be cleared.
//!
//! # Why the corners are bounds
//!
//! Let all sources of an island stand on the node of zero volts, and give each the largest electromotive force `E` among
//! them. Raising electromotive forces raises no voltage less than before (the inverse of a conductance matrix
//! has no negative entry), so neither the fault current. With one `E` the network in a fault at node `k` carries in each branch
//! `E u`, where `u` are the currents for one volt at `k` with the sources shorted. By Tellegen's theorem the change
//! of the fault current with the resistance of a branch is `-E u^2`: never positive. So least resistances and all sources
//! (an open one is an infinite resistance) give an upper bound, largest resistances and the fewest sources, with the
//! least `E`, a lower one; states between cannot be lower. With equal electromotive forces both are attained.
//!
//! Through a branch, for a fault at its own terminals, the same holds where the branch is a bridge, as all are in a radial network:
//! the current is the fault current of the part on its far side. In a ring the current through one side falls when the
//! other side conducts better, and so does that through one of two sources for a fault further on; there
//! the bounds are the least and most over both corners and the states tried, up to six openable sources of one
//! island in every combination, beyond that each alone and all together, flagged.
//!
//! Where sources stand in series or the return is drawn, each corner is taken as it is, flagged. Diodes conduct toward the fault
//! only; a diode in a ring counts as a resistance in the upper bound and as open in the lower one.
//!
//! # For those who build on it
//!
//! [`FaultLevel`] and [`Through`] are plain data in the order of [`Network::nodes`] and [`Network::branches`].
//! [`Through::through`] is what a device breaks at most and must open with at least for a fault at its own terminals;
//! for a fault at the far end of the conductor behind it ask [`Network::fault_through`], or take
//! [`FaultLevel::total`] there when the conductor is fed from this side only. A bound of zero means that nothing flows; `None` that it
//! is not known.

mod battery;
mod case;
mod forest;
mod inverse;
mod levels;
mod plan;
mod series;
mod stiff;
mod tabulate;
mod working;

pub(crate) use battery::IEC_61660;
pub use battery::{BatteryForm, BatteryShort};
pub(in crate::network) use series::in_series;
pub(crate) use working::THEVENIN;

use super::Network;
use crate::error::Error;
use crate::range::Range;
use levels::{Corners, branch_at, node_at};
use orlop_units::{Current, Resistance, Voltage};

/// Who feeds a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContributionKind {
    /// A source: an electromotive force behind a resistance.
    Source,
    /// A converter, charger or alternator: its limit.
    Limited,
    /// A running motor.
    Motor,
}

/// What one part adds to a fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// The part's id.
    pub id: String,
    /// What it is.
    pub kind: ContributionKind,
    /// Its current at the lower bound of the total; zero where it is open. It may be above that at the upper bound, where others
    /// share its way.
    pub lower: Option<Current>,
    /// Its current at the upper bound of the total.
    pub upper: Option<Current>,
}

/// The fault level of one node.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultLevel {
    /// The node.
    pub node: String,
    /// Current into a bolted fault to return.
    pub total: Range<Current>,
    /// What capacitors add in the first instant; none where there are none. Short: do not use it for clearing.
    pub pulse: Option<Current>,
    /// Who feeds it; empty for a node that nothing feeds and in very large networks, where [`Network::fault_at`] tells.
    pub contributions: Vec<Contribution>,
    /// Voltage before the fault, at the two bounds.
    pub voltage: Range<Voltage>,
    /// Resistance to return with the sources shorted: the lower one belongs to the upper bound.
    pub resistance: Range<Resistance>,
    /// Sources that are open or off at the lower bound.
    pub open: Vec<String>,
    /// Only sources that limit their own current feed it.
    pub limited: bool,
    /// What a reader must know.
    pub flags: Vec<String>,
}

/// Fault currents through one conductor or device.
#[derive(Clone, Debug, PartialEq)]
pub struct Through {
    /// The branch.
    pub branch: String,
    /// From its first end to its second, for a fault at the second.
    pub forward: Range<Current>,
    /// From its second end to its first, for a fault at the first: the back-feed.
    pub backward: Range<Current>,
    /// Least current with which it must open, where any flows, and most that it must break.
    pub through: Range<Current>,
    /// Sources that are open or off where the least current flows.
    pub open: Vec<String>,
    /// Only sources that limit their own current feed it: a device must open on that limit.
    pub limited: bool,
    /// What a reader must know.
    pub flags: Vec<String>,
}

/// Fault levels of a whole network.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FaultLevels {
    /// One for each node, in their order; the node of zero volts has none to itself.
    pub nodes: Vec<FaultLevel>,
    /// One for each branch, in their order.
    pub through: Vec<Through>,
}

impl FaultLevels {
    /// The level of a node.
    #[must_use]
    pub fn node(&self, name: &str) -> Option<&FaultLevel> {
        self.nodes.iter().find(|n| n.node == name)
    }
    /// The currents through a branch.
    #[must_use]
    pub fn through(&self, id: &str) -> Option<&Through> {
        self.through.iter().find(|t| t.branch == id)
    }
}

impl Network {
    /// Fault currents at every node and through every branch, on both sides.
    ///
    /// See the [module](self) for the two bounds. The work is one elimination for each state of the sources and corner, linear
    /// in the nodes of a radial network.
    ///
    /// ```
    /// use orlop::Range;
    /// use orlop::network::{Network, Part, RETURN, Source};
    /// use orlop::units::{ohms, show, volts};
    /// let string = Source {
    ///     emf: Range::new(volts(25.6), volts(26.8)),
    ///     resistance: Range::new(ohms(0.0025), ohms(0.0055)),
    ///     may_open: true,
    /// };
    /// let mut net = Network::new();
    /// let fuse = Part::Resistance(Range::exactly(ohms(0.0001)));
    /// for s in ["1", "2"] {
    ///     net.source(&format!("string {s}"), &format!("bank {s}"), RETURN, string)?;
    ///     net.branch(&format!("fuse {s}"), &format!("bank {s}"), "bus", fuse)?;
    /// }
    /// let levels = net.fault_levels();
    /// assert_eq!(levels.node("bus").unwrap().total.to_string(), "4.57 kA to 20.6 kA");
    /// // A fault inside string 1 draws the other one through the fuse of string 1.
    /// assert_eq!(show(levels.through("fuse 1").unwrap().backward.high().unwrap()), "10.3 kA");
    /// # Ok::<(), orlop::Error>(())
    /// ```
    #[must_use]
    pub fn fault_levels(&self) -> FaultLevels {
        Corners::new(self).all()
    }

    /// Fault current at one node, on both sides, with everyone who feeds it.
    ///
    /// # Errors
    /// [`Error::Input`] when there is no such node, or it is that of zero volts.
    pub fn fault_at(&self, node: &str) -> Result<FaultLevel, Error> {
        Ok(Corners::new(self).one(node_at(self, node)?))
    }

    /// Current through one branch for a fault at one node, on both sides.
    ///
    /// ```
    /// # use orlop::Range;
    /// # use orlop::network::{Network, Part, RETURN, Source};
    /// # use orlop::units::{ohms, volts};
    /// # let mut net = Network::new();
    /// # let source = Source { emf: Range::exactly(volts(24.0)), resistance: Range::exactly(ohms(0.003)), may_open: false };
    /// # net.source("bank", "bank", RETURN, source)?;
    /// net.branch("fuse", "bank", "bus", Part::Resistance(Range::exactly(ohms(0.001))))?;
    /// net.branch("lead", "bus", "lamp", Part::Resistance(Range::exactly(ohms(0.096))))?;
    /// assert_eq!(net.fault_through("fuse", "lamp")?.low().map(orlop::units::show), Some("240 A".into()));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] when there is no such branch or node.
    pub fn fault_through(&self, branch: &str, node: &str) -> Result<Range<Current>, Error> {
        let (branch, node) = (branch_at(self, branch)?, node_at(self, node)?);
        Ok(Corners::new(self).at_distance(branch, node))
    }
}
