//! What cannot be compared.

use crate::day::Day;
use crate::design::Design;
use crate::model::Boat;
use orlop::Error;

/// The days of two visits that can be compared.
pub(super) fn dates(earlier: &Design, later: &Design) -> Result<(Day, Day), Error> {
    let (old, new) = (&earlier.boat, &later.boat);
    one_vessel(old, new)?;
    if old.rules != new.rules {
        let got = format!("'{}' by {}, '{}' by {}", old.name, old.rules.word(), new.name, new.rules.word());
        return Err(Error::input("rules", got, "both surveys judged by one rule set"));
    }
    for (boat, which) in [(old, "earlier"), (new, "later")] {
        if boat.found.is_empty() {
            let got = format!("'{}' without any [found.ID]", boat.name);
            return Err(Error::input(
                which,
                got,
                "a survey: at least one reading or statement of what was found",
            ));
        }
    }
    let (before, now) = (day(old, "earlier")?, day(new, "later")?);
    if old == new {
        let got = format!("'{}' of {now} twice", new.name);
        return Err(Error::input("earlier", got, "the survey of another visit"));
    }
    if now < before {
        let got = format!("visits on {before} and then {now}");
        return Err(Error::input(
            "earlier",
            got,
            "the earlier visit as the earlier one; try them the other way round",
        ));
    }
    Ok((before, now))
}

fn day(boat: &Boat, which: &str) -> Result<Day, Error> {
    let missing = || {
        let got = format!("'{}' without the date of the visit", boat.name);
        Error::input(which, got, "a survey with its day: [survey] date = \"2026-11-25\"")
    };
    boat.visit.date.ok_or_else(missing)
}

/// By the hull number where both state it, by the name otherwise. A dash or a question mark states nothing.
fn one_vessel(old: &Boat, new: &Boat) -> Result<(), Error> {
    let same = |a: &str, b: &str| plain(a) == plain(b) && (!plain(a).is_empty() || a == b);
    let stated = |boat: &Boat| !plain(&boat.hull).is_empty();
    let (by, a, b) = if !(stated(old) && stated(new)) {
        ("name", &old.name, &new.name)
    } else {
        ("hull", &old.hull, &new.hull)
    };
    if same(a, b) {
        return Ok(());
    }
    let expected = if by == "name" {
        "one vessel; where her name was written differently, state the same [boat] hull = \"...\" in both files"
    } else {
        "one vessel, with the same hull number in both files"
    };
    Err(Error::input(by, format!("'{a}' and '{b}'"), expected))
}

/// Letters and digits alone: spelling and case do not matter.
fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}
