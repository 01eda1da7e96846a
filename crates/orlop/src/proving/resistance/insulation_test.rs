//! Insulation of circuits without current, by a tester with its own voltage.

use crate::error::{Error, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::{Citation, Confidence};
use orlop_units::{Quantity, Resistance, Voltage, ohms, show, volts};

pub(crate) static TESTER: Citation = Citation::fixed(
    "insulation-tester",
    "IEC 60364-6",
    "2016",
    "Table 6.1 (6A of 2006)",
    "nominal voltage of the circuit, direct test voltage, least insulation resistance",
    Confidence::Published,
    "read in a rail authority's copy of the rows; the number of the table recalled",
);

/// Highest nominal voltage, test voltage and least resistance of each row of the table.
const ROWS: [(f64, f64, f64); 3] = [(50.0, 250.0, 0.5e6), (500.0, 500.0, 1e6), (f64::INFINITY, 1000.0, 1e6)];

/// How a circuit's insulation is tested and what it must have.
///
/// Electronics do not stand the test voltage: what is connected is taken off first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InsulationTest {
    /// Direct voltage of the tester.
    pub test_voltage: Voltage,
    /// Least insulation resistance.
    pub least: Resistance,
}

impl InsulationTest {
    /// By the nominal voltage of the circuit: extra-low voltage up to 50 V, up to 500 V, and above.
    ///
    /// # Errors
    /// [`Error::Input`] for a nominal voltage that is not above zero.
    ///
    /// ```
    /// use orlop::{proving::resistance::InsulationTest, units::{show, volts}};
    /// let test = InsulationTest::of(volts(24.0))?;
    /// assert_eq!((show(test.test_voltage), show(test.least)), ("250 V".into(), "500 kohm".into()));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn of(nominal: Voltage) -> Result<Self, Error> {
        let nominal = positive(nominal, "nominal")?.si();
        let row = ROWS.iter().find(|row| nominal <= row.0).unwrap_or(&ROWS[ROWS.len() - 1]);
        Ok(Self { test_voltage: volts(row.1), least: ohms(row.2) })
    }

    /// A reading against the least; undecided where it was taken with a lower voltage and would pass.
    ///
    /// # Errors
    /// [`Error::Input`] for a reading that is negative or no number, or a voltage that is not above zero.
    pub fn judge(&self, subject: &str, reading: Resistance, tested_at: Voltage) -> Result<Judgement, Error> {
        let reading = crate::error::not_negative(reading, "reading")?;
        let tested_at = positive(tested_at, "tested_at")?;
        let mut j =
            Judgement::compare("insulation", subject, Severity::B, reading, Sense::AtLeast, self.least)
                .clause(TESTER.short(), TESTER.confidence);
        let mut what = format!("{} at {}", show(reading), show(tested_at));
        if tested_at.si() < self.test_voltage.si() && j.verdict == Verdict::Pass {
            j.verdict = Verdict::Undecided;
            what += &format!(": insulation that holds there may not hold at {}", show(self.test_voltage));
        }
        Ok(j.what(what)
            .to_do("take electronics off, then test each circuit by itself to find the one that leaks"))
    }
}
