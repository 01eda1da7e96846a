//! A value against its limit: the one form in which every rule answers.

use crate::source::Confidence;
use orlop_units::{AnyQuantity, Quantity};

/// What came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The limit is kept.
    Pass,
    /// The limit is not kept.
    Fail,
    /// The value is nearer to the limit than it is known, or cannot be computed.
    Undecided,
    /// What the rule needs was not stated or measured.
    NotTested,
    /// The rule does not concern this subject.
    NotApplicable,
}

/// Which side of the limit is good.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// The value should be at most the limit.
    AtMost,
    /// The value should be at least the limit.
    AtLeast,
}

/// How soon something must be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub enum Severity {
    /// Act before use.
    A,
    /// Act soon.
    B,
    /// Good practice.
    C,
}

macro_rules! words {
    ($($type:ident { $($variant:ident = $word:literal),* })*) => {$(
        impl $type {
            /// The word used in tables.
            #[must_use]
            pub fn word(self) -> &'static str { match self { $(Self::$variant => $word),* } }
        }
        impl std::fmt::Display for $type {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { f.write_str(self.word()) }
        }
    )*};
}
words! {
    Verdict { Pass = "pass", Fail = "fail", Undecided = "undecided", NotTested = "not-tested", NotApplicable = "not-applicable" }
    Sense { AtMost = "at most", AtLeast = "at least" }
    Severity { A = "A", B = "B", C = "C" }
}

/// Relative width within which a value still meets its limit.
pub const TOLERANCE: f64 = 1e-9;

/// Whether a value keeps its limit: the one comparison of the house.
///
/// ```
/// use orlop::{meets, Sense};
/// assert!(meets(10.0, Sense::AtMost, 10.0));
/// assert!(meets(10.000000001, Sense::AtMost, 10.0));
/// assert!(!meets(10.0001, Sense::AtMost, 10.0));
/// assert!(!meets(f64::NAN, Sense::AtLeast, 10.0));
/// ```
#[must_use]
pub fn meets(value: f64, sense: Sense, limit: f64) -> bool {
    let slack = TOLERANCE * value.abs().max(limit.abs());
    match sense {
        Sense::AtMost => value <= limit + slack,
        Sense::AtLeast => value >= limit - slack,
    }
}

/// What one rule says about one subject in one case.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Judgement {
    /// The rule's id: `drop-physical`.
    pub rule: &'static str,
    /// The address of the subject: `circuit.F5`.
    pub subject: String,
    /// The worst case, `scenario@corner`, or empty.
    pub case: String,
    /// What came out.
    pub verdict: Verdict,
    /// The value.
    pub value: Option<AnyQuantity>,
    /// Its limit.
    pub limit: Option<AnyQuantity>,
    /// Which side is good.
    pub sense: Sense,
    /// Room left over the limit, as a share of it; positive is good.
    pub margin: Option<f64>,
    /// Standard uncertainty of the value, in the unit of the value.
    pub uncertainty: Option<AnyQuantity>,
    /// Clause or practice that sets the limit.
    pub clause: String,
    /// How soon to act when it fails.
    pub severity: Severity,
    /// What is the matter, in one sentence.
    pub what: String,
    /// What to do about it; empty when nothing.
    pub to_do: String,
    /// The weakest source it rests on.
    pub confidence: Confidence,
}

impl Judgement {
    /// A comparison of a value with its limit.
    #[must_use]
    pub fn compare<Q: Quantity>(
        rule: &'static str,
        subject: impl Into<String>,
        severity: Severity,
        value: Q,
        sense: Sense,
        limit: Q,
    ) -> Self {
        let (v, l) = (value.si(), limit.si());
        let room = match sense {
            Sense::AtMost => l - v,
            Sense::AtLeast => v - l,
        };
        let verdict = if v.is_nan() || l.is_nan() {
            Verdict::Undecided
        } else if meets(v, sense, l) {
            Verdict::Pass
        } else {
            Verdict::Fail
        };
        Self {
            value: Some(value.into()),
            limit: Some(limit.into()),
            sense,
            margin: (l != 0.0).then(|| room / l.abs()).filter(|m| m.is_finite()),
            ..Self::bare(rule, subject, severity, verdict)
        }
    }

    /// A verdict without numbers.
    #[must_use]
    pub fn bare(
        rule: &'static str,
        subject: impl Into<String>,
        severity: Severity,
        verdict: Verdict,
    ) -> Self {
        Self {
            rule,
            subject: subject.into(),
            case: String::new(),
            verdict,
            value: None,
            limit: None,
            sense: Sense::AtMost,
            margin: None,
            uncertainty: None,
            clause: String::new(),
            severity,
            what: String::new(),
            to_do: String::new(),
            confidence: Confidence::Published,
        }
    }

    /// The case.
    #[must_use]
    pub fn case(mut self, case: impl Into<String>) -> Self {
        self.case = case.into();
        self
    }
    /// The clause and the confidence in it.
    #[must_use]
    pub fn clause(mut self, clause: impl Into<String>, confidence: Confidence) -> Self {
        self.clause = clause.into();
        self.confidence = self.confidence.weaker(confidence);
        self
    }
    /// What is the matter.
    #[must_use]
    pub fn what(mut self, what: impl Into<String>) -> Self {
        self.what = what.into();
        self
    }
    /// What to do; kept only when the verdict is not a pass.
    #[must_use]
    pub fn to_do(mut self, to_do: impl Into<String>) -> Self {
        if !matches!(self.verdict, Verdict::Pass | Verdict::NotApplicable) {
            self.to_do = to_do.into();
        }
        self
    }

    /// Whether it belongs among the findings: failed or undecided.
    #[must_use]
    pub fn is_finding(&self) -> bool {
        matches!(self.verdict, Verdict::Fail | Verdict::Undecided)
    }
}
