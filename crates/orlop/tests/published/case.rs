//! Published cases as data: what a file holds, and what counts as agreement.

use crate::report;
use orlop::units::{AnyQuantity, ConductorSize, Kind, Quantity};
use orlop::{Sense, meets};
use std::cell::RefCell;
use std::collections::BTreeSet;

/// What our code answers to a case.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A physical value.
    Quantity(AnyQuantity),
    /// A plain number.
    Number(f64),
    /// A conductor size, or none that fits.
    Size(Option<ConductorSize>),
}

impl Answer {
    pub fn of<Q: Quantity>(q: Q) -> Self {
        Self::Quantity(q.into())
    }
}

/// The inputs of one case; asking for one marks it as used.
pub struct Inputs<'a> {
    table: &'a toml::Table,
    used: RefCell<BTreeSet<String>>,
}

impl<'a> Inputs<'a> {
    fn value(&self, name: &str) -> Option<&'a toml::Value> {
        self.used.borrow_mut().insert(name.into());
        self.table.get(name)
    }
    /// Text, where there is one.
    pub fn text(&self, name: &str) -> Option<&'a str> {
        self.value(name).map(|v| v.as_str().unwrap_or_else(|| panic!("{name}: text expected")))
    }
    /// A physical value, where there is one.
    pub fn optional<Q: Quantity>(&self, name: &str) -> Option<Q> {
        self.text(name).map(|t| orlop::units::parse(t, name).unwrap_or_else(|e| panic!("{e}")))
    }
    /// A physical value that must be there.
    pub fn get<Q: Quantity>(&self, name: &str) -> Q {
        self.optional(name).unwrap_or_else(|| panic!("no input '{name}'"))
    }
    /// A whole number, 1 when it is not there.
    #[allow(dead_code, reason = "not every runner asks for counts")]
    pub fn count(&self, name: &str) -> u32 {
        let number = self.value(name).map(|v| v.as_integer().expect("a whole number"));
        u32::try_from(number.unwrap_or(1)).expect("a count")
    }
}

/// Reads the file and asks `question` for every case.
///
/// # Panics
/// When a case disagrees, or one said to differ does not.
pub fn run(file: &str, question: impl Fn(&str, &Inputs) -> Result<Answer, orlop::Error>) {
    let path = format!("{}/../../tests/published/{file}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let head: toml::Table = text.parse().unwrap_or_else(|e| panic!("{file}: {e}"));
    let word =
        |key: &str| head.get(key).and_then(toml::Value::as_str).unwrap_or_else(|| panic!("{file}: no {key}"));
    let mut wrong = Vec::new();
    let mut errors = Vec::new();
    let (mut sizes, mut sizes_off) = (0, 0);
    let mut differences = 0;
    let cases = head["case"].as_array().expect("cases");
    for case in cases {
        let case = case.as_table().expect("a table");
        let inputs = Inputs { table: case["inputs"].as_table().expect("a table"), used: RefCell::default() };
        let ours =
            question(word("question"), &inputs).unwrap_or_else(|e| panic!("{file}: {}: {e}", inputs.table));
        let unused: Vec<_> = inputs.table.keys().filter(|k| !inputs.used.borrow().contains(*k)).collect();
        assert!(unused.is_empty(), "{file}: inputs {unused:?} mean nothing here");
        let expected = read(&case["expected"], &ours);
        let key = |key: &str| case.get(key).or_else(|| head.get(key));
        let Some(tolerance) = key("tolerance") else {
            errors.push(relative(&ours, &expected));
            continue;
        };
        assert!(key("tolerance_reason").is_some(), "{file}: a tolerance needs its reason");
        let agrees = within(&ours, &expected, tolerance);
        if let Some(reason) = case.get("difference") {
            differences += 1;
            let stated = read(&case["ours"], &ours);
            if agrees || !within(&ours, &stated, tolerance) {
                wrong.push(format!("{}: {ours:?} should differ from {expected:?} as {reason}", inputs.table));
            }
        } else {
            if !agrees {
                wrong.push(format!("{}: ours {ours:?}, printed {expected:?}", inputs.table));
            }
            if let Answer::Size(_) = ours {
                sizes += 1;
                sizes_off += usize::from(!agrees);
            } else {
                errors.push(relative(&ours, &expected));
            }
        }
    }
    let mut note = match differences {
        0 => String::new(),
        n => format!("{n} printed cells differ for stated reasons"),
    };
    if let Some(limits) = head.get("quantiles") {
        note += &quantiles(file, &errors, limits.as_table().expect("a table"));
    }
    if let Some(signed) = head.get("signed") {
        let bounds: Vec<f64> =
            signed.as_array().expect("two").iter().map(|x| x.as_float().unwrap()).collect();
        for e in &errors {
            assert!(*e >= bounds[0] && *e <= bounds[1], "{file}: {e} is not in {bounds:?}");
        }
        let low = errors.iter().copied().fold(f64::INFINITY, f64::min);
        let high = errors.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        note += &format!("ours is {:+.1} to {:+.1} % of the printed value", 100.0 * low, 100.0 * high);
    }
    let worst = errors.iter().fold(0.0_f64, |w, e| w.max(e.abs()));
    let worst = match (errors.is_empty(), sizes) {
        (true, 0) => "-".into(),
        (true, _) => format!("{sizes_off} sizes off"),
        _ if worst < 1e-12 => "0 %".into(),
        _ => format!("{} %", orlop::units::significant(100.0 * worst, 2)),
    };
    report::line(file, word("source"), cases.len(), &worst, &note);
    assert!(wrong.is_empty(), "{file}: {} of {} cases:\n{}", wrong.len(), cases.len(), wrong.join("\n"));
}

/// Asserts quantiles of the size of the relative error.
fn quantiles(file: &str, errors: &[f64], limits: &toml::Table) -> String {
    let mut sizes: Vec<f64> = errors.iter().map(|e| e.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let at = |q: f64| sizes[((q * sizes.len() as f64).ceil() as usize).clamp(1, sizes.len()) - 1];
    let mut shown = Vec::new();
    for (name, q) in [("q50", 0.5), ("q90", 0.9), ("max", 1.0)] {
        let limit = limits[name].as_float().expect("a number");
        assert!(at(q) <= limit, "{file}: {name} of the error is {:.4}, limit {limit}: {errors:.4?}", at(q));
        shown.push(format!("{name} {:.1} %", 100.0 * at(q)));
    }
    format!("error {}", shown.join(", "))
}

/// A printed value in the form of our answer.
fn read(value: &toml::Value, like: &Answer) -> Answer {
    match (like, value) {
        (Answer::Size(_), toml::Value::String(t)) if t == "none" => Answer::Size(None),
        (Answer::Size(_), toml::Value::String(t)) => {
            Answer::Size(Some(ConductorSize::parse(t, "expected").unwrap_or_else(|e| panic!("{e}"))))
        }
        (Answer::Quantity(q), toml::Value::String(t)) => {
            Answer::Quantity(AnyQuantity::parse_kind(t, "expected", q.kind).unwrap_or_else(|e| panic!("{e}")))
        }
        (Answer::Number(_), toml::Value::Float(x)) => Answer::Number(*x),
        (like, value) => panic!("{value} is not of the form of {like:?}"),
    }
}

fn numbers(a: &Answer, b: &Answer) -> (f64, f64) {
    match (a, b) {
        (Answer::Quantity(a), Answer::Quantity(b)) => (a.si, b.si),
        (Answer::Number(a), Answer::Number(b)) => (*a, *b),
        (a, b) => panic!("{a:?} against {b:?}"),
    }
}

fn relative(ours: &Answer, expected: &Answer) -> f64 {
    let (ours, expected) = numbers(ours, expected);
    (ours - expected) / expected.abs()
}

/// Agreement: equal sizes, or a difference of at most the tolerance ("1 %" of the printed value, or an amount of the
/// same kind, or a plain number).
fn within(ours: &Answer, expected: &Answer, tolerance: &toml::Value) -> bool {
    if let Answer::Size(size) = ours {
        assert_eq!(tolerance.as_str(), Some("exact"));
        return Answer::Size(*size) == *expected;
    }
    let (a, b) = numbers(ours, expected);
    let allowed = match tolerance {
        toml::Value::Float(x) => *x,
        toml::Value::String(t) => {
            let t = AnyQuantity::parse(t, "tolerance").unwrap_or_else(|e| panic!("{e}"));
            if t.kind == Kind::Fraction { t.si * b.abs() } else { t.si }
        }
        other => panic!("tolerance {other}"),
    };
    // The slack of `meets` is relative to the values compared, so that rounding never decides.
    meets(a, Sense::AtMost, b + allowed) && meets(a, Sense::AtLeast, b - allowed)
}
