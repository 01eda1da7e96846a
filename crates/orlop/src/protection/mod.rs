//! Fuses and circuit breakers: what a device does, which one fits, where it stands.
//!
//! | question | where |
//! |---|---|
//! | which families there are, with their sources | [`families`], [`family`] |
//! | when does this device open, what does it let through | [`Device`] |
//! | between which ratings must the device lie | [`Need::window`] |
//! | which device fits | [`choose`], [`fitting`] without the reasons |
//! | does this given device fit | [`judge`] |
//! | does it hold an inrush | [`holds`] |
//! | does the nearer one of two open alone | [`coordinate`] |
//! | does it open on a motor that cannot turn | [`judge_stall`] |
//! | does it break the fault current, clear it in time | [`judge_breaking`], [`judge_clearing`] |
//! | every device against every one upstream of it | [`selectivity_matrix`] |
//! | can this circuit be protected at all | [`ProtectableWindow`] |
//! | what would help, in numbers | [`remedies_in_numbers`] |
//! | its band as lines to draw | [`Device::band_points`] |
//! | is it near enough to the source | [`placement`] |
//! | may it stand in that space | [`ignition`] |
//! | what breaking capacity follows from the battery | [`battery`] |
//!
//! Families are those of standards, held as data. A family whose standard states no breaking capacity for direct
//! current has none, and none counts as zero; what a maker declares for one device is added with
//! [`Device::declared`].

mod band;
pub mod battery;
mod choose;
mod coordination;
mod curves;
mod device;
mod drawing;
mod effect;
mod family;
mod fits;
pub mod ignition;
mod judge;
mod need;
pub mod placement;
mod protectable;
mod refusal;
mod selectivity;
mod stall;
mod tabulate;

pub use choose::{Choice, choose, choose_recorded};
pub(crate) use coordination::PRELOAD;
pub use coordination::{Coordination, coordinate, coordinate_shared};
pub use device::Device;
pub use drawing::BandPoints;
pub use effect::{FarEnd, remedies_in_numbers};
pub use family::{DeviceKind, Family, families, family, standards};
pub use fits::fitting;
pub use judge::{holds, judge, judge_breaking, judge_clearing};
pub(crate) use need::LOAD_PRACTICE;
pub use need::{LOAD_FACTOR, Need, Window};
pub use protectable::{Crossing, Edge, Mark, ProtectableWindow};
pub use refusal::{NoDevice, Refusal, Remedy};
pub use selectivity::{InSeries, Placed, Selectivity, SelectivityMatrix, selectivity_matrix};
pub use stall::{Stall, judge_stall};
pub use tabulate::SELECTIVITY;
