//! Resistances of cells, joints and conductors from readings, resting drain, and leakage to the hull.
//!
//! | question | where |
//! |---|---|
//! | what is the resistance of a battery or cell, from two loads | [`Pulse`] |
//! | what is a resistance from volts and amperes read together several times | [`from_pairs`] |
//! | how bad is a joint, how warm does it get | [`Joint`] |
//! | which joint or piece of cable of a run is bad, from a few drops | [`Run`] |
//! | what does the boat draw at rest, how long does it last | [`Drain`] |
//! | how well is the system insulated from the hull, by readings at its own voltage | [`Leakage`]; from three voltages [`ThreeVoltages`] |
//! | is a dead circuit insulated well enough, by a tester with its own voltage | [`InsulationTest`] |

mod answer;
mod drain;
mod insulation;
mod insulation_test;
mod joint;
mod leakage;
mod pairs;
mod pulse;
mod run;
mod suspects;

pub use answer::{Answer, Found};
pub use drain::Drain;
pub(crate) use drain::RESTING;
pub(crate) use insulation::RATIO_INTERVAL;
pub use insulation::{Insulation, ThreeVoltages};
pub use insulation_test::InsulationTest;
pub(crate) use insulation_test::TESTER;
pub use joint::{Cable, Joint, JointHeat};
pub(crate) use joint::{FIN, JOINT_PRACTICE};
pub(crate) use leakage::{INSULATION, RESISTOR_METHOD};
pub use leakage::{Leakage, LeakageReadings, least_insulation, usual_meter};
pub use pairs::from_pairs;
pub(crate) use pulse::TWO_STEP;
pub use pulse::{Pulse, Step};
pub use run::{Drop, Part, PartKind, Run};
