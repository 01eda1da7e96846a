//! Addresses, cases and devices in words.

use crate::pretty;
use orlop::{Severity, Verdict};
use orlop_boat::Design;
use orlop_boat::model::{Boat, Circuit, Feeds};

/// `name`, led by its id where that says something else.
pub(super) fn named(id: &str, name: &str) -> String {
    if name.is_empty() || name.eq_ignore_ascii_case(id) { id.to_string() } else { format!("{id}, {name}") }
}

/// An address in words: `circuit.F5` is "Circuit F5, Toilet macerator".
pub(super) fn place(boat: &Boat, address: &str) -> String {
    let mut parts = address.splitn(3, '.');
    let (section, id) = (parts.next().unwrap_or_default(), parts.next().unwrap_or_default());
    let fed = boat.circuit(id).map(|c| circuit_name(boat, c));
    let name = match section {
        "circuit" => fed.as_deref(),
        "load" => boat.load(id).map(|x| x.name.as_str()),
        "trunk" => boat.trunk(id).map(|x| x.name.as_str()),
        "panel" => boat.panel(id).map(|x| x.name.as_str()),
        "bank" => boat.bank(id).map(|x| x.name.as_str()),
        "source" => boat.source(id).map(|x| x.name.as_str()),
        "space" => boat.space(id).map(|x| x.name.as_str()),
        "place" => boat.place(id).map(|x| x.name.as_str()),
        "ground" => boat.ground(id).map(|x| x.name.as_str()),
        "bond" => boat.bond(id).map(|x| x.name.as_str()),
        _ => None,
    };
    let mut letters = section.chars();
    let section: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    let field = parts.next().map(|f| format!(": {}", f.replace('_', " "))).unwrap_or_default();
    if section == "Rules" {
        return format!("For the whole boat: {}", id.replace('_', " "));
    }
    match name {
        Some(name) => format!("{section} {}{field}", named(id, name)),
        None if id.is_empty() => address.to_string(),
        None => format!("{section} {id}{field}"),
    }
}

/// A text with each circuit named in words: `against circuit.AFT: ...` is "against circuit AFT, Aft panel: ...".
pub(super) fn with_names(boat: &Boat, text: &str) -> String {
    const CIRCUIT: &str = "circuit.";
    let mut parts = text.split(CIRCUIT);
    let mut out = parts.next().unwrap_or_default().to_string();
    for part in parts {
        let end =
            part.find(|c: char| !c.is_ascii_alphanumeric() && c != '_' && c != '-').unwrap_or(part.len());
        let (id, rest) = part.split_at(end);
        match boat.circuit(id) {
            Some(circuit) => {
                let name = named(id, &circuit_name(boat, circuit));
                out = format!("{out}circuit {name}{rest}");
            }
            None => out = format!("{out}{CIRCUIT}{part}"),
        }
    }
    out
}

/// The name of a bank, panel or source.
pub(super) fn node_name<'a>(boat: &'a Boat, id: &'a str) -> &'a str {
    let name = boat
        .bank(id)
        .map(|x| x.name.as_str())
        .or_else(|| boat.panel(id).map(|x| x.name.as_str()))
        .or_else(|| boat.source(id).map(|x| x.name.as_str()));
    name.filter(|n| !n.is_empty()).unwrap_or(id)
}

/// The name of a point of the ground graph, by its address.
pub(super) fn ground_name<'a>(boat: &'a Boat, address: &'a str) -> &'a str {
    let (section, id) = address.split_once('.').unwrap_or(("", address));
    match section {
        "ground" => boat.ground(id).map_or(id, |x| x.name.as_str()),
        "load" => boat.load(id).map_or(id, |x| x.name.as_str()),
        _ => node_name(boat, id),
    }
}

/// The name of a circuit, or of what it feeds when it has none of its own.
pub(super) fn circuit_name(boat: &Boat, circuit: &Circuit) -> String {
    let own = !circuit.name.is_empty() && circuit.name != circuit.id;
    if own { circuit.name.clone() } else { feeds(boat, &circuit.feeds) }
}

/// What a circuit feeds, by names.
pub(super) fn feeds(boat: &Boat, feeds: &Feeds) -> String {
    match feeds {
        Feeds::Loads(ids) => {
            let name = |id: &String| boat.load(id).map_or(id.clone(), |l| l.name.clone());
            ids.iter().map(name).collect::<Vec<_>>().join(", ")
        }
        Feeds::Panel(id) | Feeds::Converter(id) | Feeds::Source(id) => node_name(boat, id).to_string(),
    }
}

/// A text with units as printed and families of devices by their names.
pub(super) fn plain(text: &str) -> String {
    let mut families: Vec<_> = orlop::protection::families().iter().collect();
    families.sort_by_key(|f| std::cmp::Reverse(f.id.len()));
    let named = families.iter().fold(text.trim().to_string(), |text, f| text.replace(&f.id, &f.name));
    pretty::units(&named)
}

/// A remark as a sentence: a capital at the head, a full stop at the end.
pub(super) fn sentence(text: &str) -> String {
    let text = plain(text);
    let mut letters = text.chars();
    let Some(first) = letters.next() else { return String::new() };
    let stop = if text.ends_with(['.', '!', '?', ':']) { "" } else { "." };
    if letters.clone().next().is_some_and(char::is_uppercase) {
        return text + stop; // "gG" stays "gG"
    }
    format!("{}{}{stop}", first.to_uppercase(), letters.as_str())
}

/// A long remark in several lines, broken where it has semicolons; a short one in one.
pub(super) fn lines(text: &str) -> Vec<String> {
    if text.len() <= 200 {
        return Some(sentence(text)).filter(|s| !s.is_empty()).into_iter().collect();
    }
    let mut out: Vec<String> = Vec::new();
    for part in text.split("; ").filter(|p| !p.trim().is_empty()) {
        match out.last_mut() {
            Some(last) if part.starts_with("it ") => *last = format!("{last}; {part}"),
            _ => out.push(part.strip_prefix("or ").unwrap_or(part).to_string()),
        }
    }
    out.iter().map(|p| sentence(p)).collect()
}

/// A case in words: `evening@low` is "Evening (low)".
pub(super) fn case(design: &Design, case: &str) -> String {
    let (id, corner) = case.split_once('@').unwrap_or((case, ""));
    let name = design.demand.case(id).map_or(id, |c| c.name.as_str());
    if corner.is_empty() { name.to_string() } else { format!("{name} ({corner})") }
}

/// The worst severity among failed and undecided judgements on any of these addresses.
pub(super) fn mark(design: &Design, is: &dyn Fn(&str) -> bool) -> Option<char> {
    design
        .judgements
        .iter()
        .filter(|j| j.is_finding() && is(&j.subject))
        .map(|j| j.severity)
        .min()
        .map(letter)
}

/// The worst severity found on a circuit or the loads it feeds.
pub(super) fn circuit_mark(design: &Design, circuit: &Circuit) -> Option<char> {
    let on = |address: &str| {
        let mut parts = address.splitn(3, '.');
        match (parts.next(), parts.next(), &circuit.feeds) {
            (Some("circuit"), Some(id), _) => id == circuit.id,
            (Some("load"), Some(id), Feeds::Loads(loads)) => loads.iter().any(|l| l == id),
            _ => false,
        }
    };
    mark(design, &on)
}

/// The letter of a severity.
pub(super) fn letter(severity: Severity) -> char {
    match severity {
        Severity::A => 'A',
        Severity::B => 'B',
        Severity::C => 'C',
    }
}

/// Number of findings of a severity.
pub(super) fn count(design: &Design, severity: Severity) -> usize {
    design
        .judgements
        .iter()
        .filter(|j| matches!(j.verdict, Verdict::Fail | Verdict::Undecided) && j.severity == severity)
        .count()
}

/// Conductor of a circuit: size, and the number of runs when there are several.
pub(super) fn wire(size: orlop_units::ConductorSize, runs: u32) -> String {
    let size = pretty::size(size);
    if runs > 1 { format!("{runs}\u{a0}×\u{a0}{size}") } else { size }
}
