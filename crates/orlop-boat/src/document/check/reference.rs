//! Every id that is named must exist, and be of the right sort.

use crate::document::fields::{Target, What};
use crate::document::nearest::suggest;
use crate::document::problem::Problems;
use crate::document::row::{Cell, Corner, Row, Rows};
use crate::document::sections::SECTIONS;
use crate::document::tree::{Span, short};

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.all() {
        for field in row.section.fields {
            let Some(found) = row.cells.get(field.key) else { continue };
            match (&found.cell, field.what) {
                (Cell::Id(id), What::Id(target)) => {
                    one(rows, row, field.key, id, &found.at, target, problems)
                }
                (Cell::Ids(ids), What::Ids(target)) => {
                    for (id, at) in ids {
                        one(rows, row, field.key, id, at, target, problems);
                    }
                }
                (Cell::Corners(corners), _) => {
                    for (corner, at) in corners {
                        if let Corner::Place(id) = corner {
                            one(rows, row, field.key, id, at, Target::Place, problems);
                        }
                    }
                }
                _ => {}
            }
        }
    }
}

/// Whether a row is what a target wants; a source whose kind cannot be read counts.
fn fits(row: &Row, target: Target) -> bool {
    let kind = row.text("kind");
    match target {
        Target::Converter => kind.is_none_or(|k| k == "converter"),
        Target::Charging => kind.is_none_or(|k| k != "converter"),
        Target::Feeder => row.section.name != "source" || kind.is_none_or(|k| k == "converter"),
        _ => true,
    }
}

fn one(rows: &Rows, row: &Row, key: &str, id: &str, at: &Span, target: Target, problems: &mut Problems) {
    let mut found = target.sections().iter().filter_map(|s| rows.find(s, id)).peekable();
    if found.peek().is_some() {
        if found.any(|r| fits(r, target)) {
            return;
        }
        let kind = rows.find("source", id).and_then(|r| r.text("kind")).unwrap_or("source");
        let hint = match target {
            Target::Converter => format!("'{id}' charges: write source = \"{id}\""),
            Target::Charging => format!("'{id}' is a converter: write converter = \"{id}\""),
            _ => "circuits start from a bank, a panel or a converter".to_string(),
        };
        let what = format!("{key} cannot be '{}': it is a source of the kind {kind}", short(id));
        problems.add(at, row.address(key), what, target.words(), hint);
        return;
    }
    let elsewhere = SECTIONS.iter().find(|s| s.many && rows.find(s.name, id).is_some());
    let (what, hint) = match elsewhere {
        Some(section) => (
            format!("{key} cannot be '{id}': it is a {}", section.name),
            if target == Target::Feeder {
                "circuits start from a bank, a panel or a converter".into()
            } else {
                String::new()
            },
        ),
        None => {
            let known: Vec<_> = target
                .sections()
                .iter()
                .flat_map(|s| rows.of(s))
                .filter(|r| fits(r, target))
                .map(|r| r.id.as_str())
                .collect();
            let what = if target == Target::Feeder {
                format!("{} is fed from nowhere: there is no '{}'", row.title(), short(id))
            } else {
                format!("{key}: there is no {} '{}'", target.sections()[0], short(id))
            };
            (what, suggest(id, known.iter().copied()))
        }
    };
    problems.add(at, row.address(key), what, format!("the id of {}", target.words()), hint);
}
