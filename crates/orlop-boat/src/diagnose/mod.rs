//! From symptoms and readings to causes, the most probable first, and the measurement that tells most next.
//!
//! Every cause that the ways from the bank to what is complained of can have is put into the boat's network and solved: a joint, a
//! blown fuse, an empty bank, a seized motor, over a grid of how bad it is. What the network then shows at each place is what that
//! cause predicts; symptoms and readings turn prior odds into probabilities (see [`orlop::proving::diagnose`]). Prior odds and the
//! chances of symptoms are from memory; the asker may replace the odds.
//!
//! Validity: one cause at a time. Steady direct currents: nothing that only shows as noise or in a moment.

mod answer;
mod ask;
mod bench;
mod cause;
mod causes;
mod next;
mod predict;
mod rank;
mod read;
mod reading;
mod scene;
mod sign;
mod symptom;
mod table;

pub use answer::{DECIDED, Diagnosis, NextMeasurement, OutcomeMeans, RankedCause, UNEXPLAINED};
pub use ask::METERS;
pub use cause::{CauseKind, FAULT_ODDS};
pub use reading::{FaultReading, Spot, Told, What, When, Where};
pub use sign::SIGNS;
pub use symptom::{Sign, Symptom};
pub use table::{SCHEMAS, table};

use crate::design::Design;
use orlop::{Citation, Error};

/// Sources of the judgements in this room.
pub const SOURCES: &[&Citation] = &[&METERS, &FAULT_ODDS, &SIGNS];

/// What somebody saw and read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// What was noticed.
    pub symptoms: Vec<Symptom>,
    /// What was read or tried.
    pub readings: Vec<FaultReading>,
    /// Factors of the odds of kinds of causes, where the asker knows better; 1 where nothing is said.
    pub odds: Vec<(CauseKind, f64)>,
}

impl Asked {
    /// Reads symptoms, readings, and odds by the words of their kinds.
    ///
    /// # Errors
    /// Those of [`Symptom::parse`] and [`FaultReading::parse`]; [`Error::Input`] for a kind that does not exist and for a factor that
    /// is not above zero.
    pub fn parse<S: AsRef<str>>(symptoms: &[S], readings: &[S], odds: &[(S, f64)]) -> Result<Self, Error> {
        let kind = |(word, factor): &(S, f64)| {
            let word = word.as_ref();
            let Some(kind) = CauseKind::ALL.iter().copied().find(|k| k.word() == word) else {
                let words: Vec<&str> = CauseKind::ALL.iter().map(|k| k.word()).collect();
                let expected = format!("one of {}", words.join(", "));
                return Err(Error::input("odds", format!("'{word}'"), expected));
            };
            if !(factor.is_finite() && *factor > 0.0) {
                let expected = "a factor above zero, 1 for the usual odds";
                return Err(Error::input("odds", format!("{factor} for {word}"), expected));
            }
            Ok((kind, *factor))
        };
        Ok(Self {
            symptoms: symptoms.iter().map(|s| Symptom::parse(s.as_ref())).collect::<Result<_, _>>()?,
            readings: readings.iter().map(|r| FaultReading::parse(r.as_ref())).collect::<Result<_, _>>()?,
            odds: odds.iter().map(kind).collect::<Result<_, _>>()?,
        })
    }
}

/// Looks for the cause of what was seen and read. Without a symptom, what was read says what it is about; with neither, it is about
/// the house bank, and the answer holds the prior probabilities and the first measurement.
///
/// # Errors
/// [`Error::Input`] for an address that the boat does not have, a place that is not on the way of what is complained of, and two
/// readings of one thing that contradict each other.
pub fn find_fault(design: &Design, asked: &Asked) -> Result<Diagnosis, Error> {
    rank::rank(design, asked)
}
