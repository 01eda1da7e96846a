//! What was wrong with a log and how it was dealt with: reported, never hidden.

/// How often something happened, and where first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Counted {
    /// How many rows.
    pub rows: u64,
    /// The first of them, counted from 1.
    pub first: Option<u64>,
    /// Length of the longest run of such rows.
    pub longest_run: u64,
    #[serde(skip)]
    run: u64,
    #[serde(skip)]
    last: u64,
}

impl Counted {
    pub(super) fn add(&mut self, row: u64) {
        self.run = if self.rows > 0 && row == self.last + 1 { self.run + 1 } else { 1 };
        self.last = row;
        self.rows += 1;
        self.first.get_or_insert(row);
        self.longest_run = self.longest_run.max(self.run);
    }

    /// Without what only counting needed.
    fn settled(self) -> Self {
        Self { run: 0, last: 0, ..self }
    }

    fn text(self, what: &str) -> Option<String> {
        let first = self.first?;
        let run = if self.longest_run > 1 {
            format!(", the longest run {} rows", self.longest_run)
        } else {
            String::new()
        };
        let rows = if self.rows == 1 { "1 row".into() } else { format!("{} rows", self.rows) };
        Some(format!("{rows} {what} (the first is row {first}{run})"))
    }
}

/// What was wrong with a log.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Care {
    /// Rows that were read.
    pub rows: u64,
    /// Rows left out because their time or current is missing.
    pub missing: Counted,
    /// Rows without the bank's volts where the log has them; the volts before serve for the energy.
    pub missing_voltage: Counted,
    /// Rows left out because they repeat another row.
    pub repeated: Counted,
    /// Rows that carry the time of another row with other values; the mean was taken.
    pub same_time: Counted,
    /// Rows that came after a later one; they were put in their place.
    pub out_of_order: Counted,
}

impl Care {
    pub(super) fn settled(self) -> Self {
        Self {
            rows: self.rows,
            missing: self.missing.settled(),
            missing_voltage: self.missing_voltage.settled(),
            repeated: self.repeated.settled(),
            same_time: self.same_time.settled(),
            out_of_order: self.out_of_order.settled(),
        }
    }

    /// One sentence for each thing that was found.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        [
            self.missing.text("left out for want of a time or a current"),
            self.missing_voltage.text("without volts; the volts before serve for the energy"),
            self.repeated.text("left out as they repeat another row"),
            self.same_time.text("carry the time of another row; the mean was taken"),
            self.out_of_order.text("out of order were put in their place"),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}
