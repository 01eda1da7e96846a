//! What somebody noticed, in a closed vocabulary of plain words.

use orlop::{Error, choice};

choice! {
    /// What was noticed.
    Sign {
        /// Does nothing.
        Dead = "dead",
        /// Works badly: dim, slow, tries and does not start.
        Weak = "weak",
        /// Its fuse blows or its breaker trips.
        Trips = "trips",
        /// Something in it gets hot.
        Hot = "hot",
        /// Works at times.
        Intermittent = "intermittent",
        /// The bank is empty after a night in which little was on.
        Drains = "drains",
        /// Dips when something else starts.
        Dims = "dims",
        /// The manager of the bank, or a low-voltage cut-out, switches off.
        CutsOff = "cuts-off",
        /// Is live although it was switched off.
        Live = "live",
        /// Works as it should: this helps as much as what does not.
        Works = "works",
    }
}

impl Sign {
    fn sections(self) -> &'static [&'static str] {
        match self {
            Self::Drains | Self::CutsOff => &["bank"],
            Self::Dims | Self::Works => &["load"],
            Self::Trips | Self::Hot | Self::Live => &["load", "circuit", "panel"],
            Self::Dead | Self::Weak | Self::Intermittent => &["load", "circuit", "panel", "bank"],
        }
    }
}

/// One symptom.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symptom {
    /// What was noticed.
    pub sign: Sign,
    /// At what: `load.F1`.
    pub at: String,
    /// For dims: the load whose start does it.
    pub when: Option<String>,
}

impl Symptom {
    /// Reads a symptom: its word and an address, `weak load.F1`, `dims load.F3 when load.F5`, `drains bank.BANK`.
    ///
    /// # Errors
    /// [`Error::Input`] with the words there are, and the sections each may be about.
    ///
    /// ```
    /// use orlop_boat::diagnose::{Sign, Symptom};
    /// assert_eq!(Symptom::parse("dims load.F3 when load.F5")?.sign, Sign::Dims);
    /// assert!(Symptom::parse("sad load.F3").unwrap_err().to_string().contains("dead, weak, trips"));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, Error> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let wrong = |got: &str, expected: String| Err(Error::input("symptom", format!("'{got}'"), expected));
        let Some(first) = words.first() else {
            let words = Sign::WORDS.join(", ");
            return wrong(text, format!("one of {words}, and the address of a thing: weak load.F1"));
        };
        let sign = Sign::parse(first, "symptom")?;
        let example = if sign == Sign::Dims {
            "dims load.F3 when load.F5".to_string()
        } else {
            format!("{} {}.ID", sign.word(), sign.sections()[0])
        };
        let section = |at: &str| at.split_once('.').map(|(s, _)| s.to_string()).unwrap_or_default();
        match (words.as_slice(), sign) {
            ([_, at, "when", cause], Sign::Dims) if section(at) == "load" && section(cause) == "load" => {
                if at == cause {
                    return wrong(text, "two different loads".into());
                }
                Ok(Self { sign, at: (*at).into(), when: Some((*cause).into()) })
            }
            ([_, at], _) if sign != Sign::Dims && sign.sections().contains(&section(at).as_str()) => {
                Ok(Self { sign, at: (*at).into(), when: None })
            }
            _ => {
                let expected = format!("'{example}', about a {}", sign.sections().join(", "));
                wrong(text, expected)
            }
        }
    }
}

impl std::fmt::Display for Symptom {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.sign.word(), self.at)?;
        self.when.as_ref().map_or(Ok(()), |when| write!(f, " when {when}"))
    }
}
