//! What a run of a pack over time came to.

use super::Links;
use crate::cell::CircuitState;
use orlop_units::{Energy, Time, joules};

/// What a run came to. Samples are taken at an instant, under the current of the step that ends there.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Times of the samples, s.
    pub time_s: Vec<f64>,
    /// Voltage between the terminals at each sample, V.
    pub voltage_v: Vec<f64>,
    /// Current of each branch at each sample, A: the cells group by group, or the strings.
    pub branch_current_a: Vec<Vec<f64>>,
    /// Share of charge of each cell at each sample.
    pub charge: Vec<Vec<f64>>,
    /// The cells at the end.
    pub states: Vec<CircuitState>,
    /// Energy given at the terminals; negative when more went in.
    pub delivered: Energy,
    /// Heat in the resistances of each cell, J.
    pub cell_heat_j: Vec<f64>,
    /// Heat in links and managers together.
    pub link_heat: Energy,
    /// Heat in each of them, J.
    pub link_heat_j: Links,
    /// Managers that opened.
    pub opened: Vec<Opened>,
    /// When the run had to stop.
    pub stopped: Option<Time>,
}

impl Course {
    /// Nothing yet.
    pub(super) fn empty() -> Self {
        Self {
            time_s: Vec::new(),
            voltage_v: Vec::new(),
            branch_current_a: Vec::new(),
            charge: Vec::new(),
            states: Vec::new(),
            delivered: joules(0.0),
            cell_heat_j: Vec::new(),
            link_heat: joules(0.0),
            link_heat_j: Links::default(),
            opened: Vec::new(),
            stopped: None,
        }
    }
}

/// A manager that opened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opened {
    /// When.
    pub at: Time,
    /// The string, counted from 1; 1 where one manager sees all.
    pub manager: usize,
    /// The cell or group that made it open, counted from 1 as the cells were given.
    pub cell: usize,
    /// Why.
    pub why: Why,
}

/// Why a manager opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// A voltage would have fallen below the window.
    Low,
    /// A voltage would have risen above the window.
    High,
    /// A cell would have been emptied.
    Empty,
    /// A cell would have been filled beyond its capacity.
    Full,
}

impl Why {
    /// The word for tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Low => "low voltage",
            Self::High => "high voltage",
            Self::Empty => "empty",
            Self::Full => "full",
        }
    }
}
