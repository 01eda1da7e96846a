//! From the tree to rows: sections and keys checked against the field lists.

use super::fields::{Need, Section};
use super::nearest::{nearest, suggest};
use super::problem::Problems;
use super::row::{Found, Row, Rows};
use super::sections::{FORMAT, NODES, NOT_READ_YET, SECTIONS, section};
use super::tree::{self, Entry, Item, Span, short};
use super::value::{Reader, is_id};

/// Reads every section.
pub(super) fn rows(entries: &[Entry], problems: &mut Problems) -> Rows {
    let mut rows = Rows::default();
    format(entries, problems);
    for entry in entries.iter().filter(|e| e.key != "format") {
        match section(&entry.key) {
            Some(section) if section.many => many(section, entry, &mut rows, problems),
            Some(section) => match &entry.node.item {
                Item::Table(fields) => rows.push(row(section, "", &entry.at, fields, problems)),
                other => not_a_section(entry, section.name, other, problems),
            },
            None => unknown(entry, problems),
        }
    }
    for section in SECTIONS.iter().filter(|s| !s.many && !s.required) {
        if !entries.iter().any(|e| e.key == section.name) {
            rows.push(row(section, "", &(0..0), &[], problems));
        }
    }
    for section in SECTIONS.iter().filter(|s| s.required && rows.of(s.name).next().is_none()) {
        if entries.iter().any(|e| e.key == section.name) {
            continue;
        }
        let header =
            if section.many { format!("[{}.ID]", section.name) } else { format!("[{}]", section.name) };
        problems.add(
            &(0..0),
            section.name,
            format!("there is no section {header}"),
            "",
            format!("{} Add {header}.", section.doc),
        );
    }
    rows
}

fn format(entries: &[Entry], problems: &mut Problems) {
    let Some(entry) = entries.iter().find(|e| e.key == "format") else {
        let hint = format!("write format = {FORMAT} as the first line");
        problems.add(&(0..0), "format", "the file does not say its format", "", hint);
        return;
    };
    if !matches!(&entry.node.item, Item::Number(n) if n == FORMAT) {
        let what = match &entry.node.item {
            Item::Number(n) => format!("format {} is not known", short(n)),
            other => format!("format cannot be {}", other.words()),
        };
        problems.add(
            &entry.node.at,
            "format",
            what,
            FORMAT,
            format!("this version reads format {FORMAT} only"),
        );
    }
}

fn unknown(entry: &Entry, problems: &mut Problems) {
    let key = short(&entry.key);
    if NOT_READ_YET.contains(&entry.key.as_str()) {
        let what = format!("the section [{key}] is not read yet by this version");
        let hint = "take it out, or keep it in a file of its own until then";
        problems.add(&entry.at, entry.key.clone(), what, "", hint);
        return;
    }
    let names = SECTIONS.iter().map(|s| s.name);
    let (what, hint) = if matches!(entry.node.item, Item::Table(_) | Item::List(_)) {
        (format!("there is no section [{key}]"), suggest(&entry.key, names))
    } else {
        let owner = SECTIONS.iter().find(|s| s.field(&entry.key).is_some());
        let hint = owner
            .map_or_else(|| suggest(&entry.key, names), |s| format!("'{key}' belongs under [{}]", s.name));
        (format!("'{key}' stands outside every section"), hint)
    };
    problems.add(&entry.at, "", what, "", hint);
}

fn not_a_section(entry: &Entry, name: &str, item: &Item, problems: &mut Problems) {
    let what = format!("[{name}] is a section, not {}", item.words());
    problems.add(&entry.node.at, name, what, format!("a header [{name}] with keys below it"), "");
}

fn many(section: &'static Section, entry: &Entry, rows: &mut Rows, problems: &mut Problems) {
    let Item::Table(things) = &entry.node.item else {
        let what = format!("[{}.ID] is a section, not {}", section.name, entry.node.item.words());
        problems.add(
            &entry.node.at,
            section.name,
            what,
            format!("a header such as [{}.A]", section.name),
            "",
        );
        return;
    };
    for thing in things {
        let id = &thing.key;
        let Item::Table(fields) = &thing.node.item else {
            let known = section.field(id).is_some() || nearest(id, section.keys()).is_some();
            let hint = if known {
                format!(
                    "each {0} has an id of its own: [{0}.A], with '{1}' below it",
                    section.name,
                    short(id)
                )
            } else {
                String::new()
            };
            let what =
                format!("[{}] needs ids: '{}' is {}", section.name, short(id), thing.node.item.words());
            problems.add(
                &thing.at,
                section.name,
                what,
                format!("a header such as [{}.A]", section.name),
                hint,
            );
            return;
        };
        if !is_id(id) {
            let what = format!("'{}' cannot be an id", short(id));
            let expected = "a letter, then letters, digits, '_' or '-', at most 64";
            problems.add(&thing.at, section.name, what, expected, "");
        }
        if NODES.contains(&section.name)
            && let Some(other) = NODES.iter().find_map(|s| rows.find(s, id))
        {
            let what = format!("'{}' is already the id of a {}", short(id), other.section.name);
            let hint = "banks, sources, panels, loads and grounds share their ids: rename one of them";
            problems.add(&thing.at, format!("{}.{id}", section.name), what, "an id of its own", hint);
        }
        rows.push(row(section, id, &thing.at, fields, problems));
    }
}

fn row(section: &'static Section, id: &str, at: &Span, entries: &[Entry], problems: &mut Problems) -> Row {
    let mut row =
        Row { section, id: id.to_string(), at: at.clone(), cells: Default::default(), broken: Vec::new() };
    for entry in entries {
        let Some(field) = section.field(&entry.key) else {
            let what = format!("{} does not know the key '{}'", row.title(), short(&entry.key));
            let hint = suggest(&entry.key, section.keys());
            problems.add(&entry.at, row.address(&short(&entry.key)), what, "", hint);
            // What it probably should be counts as there, so that nobody asks for it as well.
            row.broken.extend(nearest(&entry.key, section.keys()));
            continue;
        };
        let address = row.address(field.key);
        match (Reader { problems, address, field }).read(&entry.node) {
            Some(cell) => {
                row.cells.insert(field.key, Found { cell, at: entry.node.at.clone(), given: true });
            }
            None => row.broken.push(field.key),
        }
    }
    for field in section.fields {
        if row.given(field.key) {
            continue;
        }
        match field.need {
            Need::Optional => {}
            Need::Unless(other) if row.given(other) => {}
            Need::Required | Need::Unless(_) => {
                let what = format!("{} has no {}", row.title(), field.key);
                let mut hint = format!("add {} = {}", field.key, field.in_file(field.example));
                if let Need::Unless(other) = field.need {
                    hint.push_str(&format!(", or give its {other}"));
                }
                problems.add(
                    at,
                    row.address(field.key),
                    what,
                    format!("{}: {}", field.key, field.expected()),
                    hint,
                );
            }
            Need::Default(text) => {
                let address = row.address(field.key);
                if let Some(node) = tree::value(&field.in_file(text))
                    && let Some(cell) = (Reader { problems, address, field }).read(&node)
                {
                    row.cells.insert(field.key, Found { cell, at: at.clone(), given: false });
                }
            }
        }
    }
    row
}
