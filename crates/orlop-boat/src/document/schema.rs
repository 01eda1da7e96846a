//! The JSON Schema of the boat file, from the same field lists.

use super::check::FEEDS;
use super::fields::{Field, Need, Section, What};
use super::sections::SECTIONS;
use super::value::READINGS;
use orlop_units::Kind;
use serde_json::{Map, Value, json};

const ID: &str = "^[A-Za-z][A-Za-z0-9_-]{0,63}$";

/// The JSON Schema (draft 2020-12) of a boat file, for editors that complete and check while you type.
///
/// It holds the shape of the file: sections, keys, choices. Ranges, units and everything between sections is checked by
/// [`read`](super::read()) alone.
///
/// ```
/// let schema = orlop_boat::document::schema();
/// assert_eq!(schema["properties"]["boat"]["properties"]["nominal"]["$ref"], "#/$defs/voltage");
/// ```
#[must_use]
pub fn schema() -> Value {
    let mut properties = Map::new();
    properties.insert("format".into(), json!({ "const": 1, "description": "Format of the file." }));
    for section in SECTIONS {
        properties.insert(section.name.into(), of_section(section));
    }
    let mut required = vec!["format"];
    required.extend(SECTIONS.iter().filter(|s| s.required).map(|s| s.name));
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "orlop boat file",
        "description": "A boat and its direct-current system. Every physical value is text with its unit.",
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
        "$defs": definitions(),
    })
}

fn of_section(section: &Section) -> Value {
    let mut properties = Map::new();
    for field in section.fields {
        properties.insert(field.key.into(), of_field(field));
    }
    let required: Vec<_> =
        section.fields.iter().filter(|f| matches!(f.need, Need::Required)).map(|f| f.key).collect();
    let mut one = json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    });
    // Keys that another key may stand for: that one, or all of them.
    let unless = |f: &Field| match f.need {
        Need::Unless(other) => Some(other),
        _ => None,
    };
    if let Some(other) = section.fields.iter().find_map(unless) {
        let all: Vec<_> = section.fields.iter().filter(|f| unless(f) == Some(other)).map(|f| f.key).collect();
        one["anyOf"] = json!([{ "required": [other] }, { "required": all }]);
    }
    if section.name == "circuit" {
        one["oneOf"] = FEEDS.iter().map(|key| json!({ "required": [key] })).collect();
    }
    if !section.many {
        one["description"] = section.doc.into();
        return one;
    }
    json!({
        "description": section.doc,
        "type": "object",
        "patternProperties": { (ID): one },
        "additionalProperties": false,
    })
}

fn of_field(field: &Field) -> Value {
    let text = |value: &str| json!({ "type": "string", "pattern": value });
    let list = |of: Value| json!({ "type": "array", "items": of });
    let mut value = match field.what {
        What::Text => json!({ "type": "string" }),
        What::Day => json!({ "type": "string", "format": "date" }),
        What::Flag => json!({ "type": "boolean" }),
        What::Count(least) => json!({ "type": "integer", "minimum": least, "maximum": 10_000 }),
        What::Quantity(kind, _) => json!({ "$ref": reference(kind) }),
        What::Demand => {
            let kinds = [Kind::Power, Kind::Current, Kind::Resistance];
            json!({ "anyOf": kinds.map(|k| json!({ "$ref": reference(k) })) })
        }
        What::Reading => {
            let kinds = READINGS.iter().map(|k| json!({ "$ref": reference(*k) })).collect::<Vec<_>>();
            json!({ "anyOf": kinds })
        }
        What::About => text("^(boat|[a-z]+\\.[A-Za-z][A-Za-z0-9_-]{0,63})$"),
        What::Size => json!({ "type": "string", "examples": ["16 mm2", "6 AWG", "SAE 6"] }),
        What::Device => json!({ "anyOf": [
            { "$ref": reference(Kind::Current) },
            {
                "type": "object",
                "properties": { "family": { "type": "string" }, "rating": { "type": "string" } },
                "required": ["rating"],
                "additionalProperties": false,
            },
        ] }),
        What::Choice(words) => json!({ "enum": words }),
        What::Id(_) => text(ID),
        What::Ids(_) => list(text(ID)),
        What::Words(words) => list(json!({ "enum": words })),
        What::Families => list(json!({ "type": "string" })),
        What::Point => json!({ "$ref": "#/$defs/point" }),
        What::Corners => json!({ "type": "array", "items": { "type": "string" }, "minItems": 2 }),
        What::Boxes => list(
            json!({ "type": "array", "items": { "$ref": "#/$defs/point" }, "minItems": 2, "maxItems": 2 }),
        ),
        What::Hours => json!({
            "type": "object",
            "patternProperties": { (ID): { "type": "string" } },
            "additionalProperties": false,
        }),
        What::Ends(_) => json!({
            "type": "object",
            "properties": { "low": { "type": "string" }, "high": { "type": "string" } },
            "additionalProperties": false,
        }),
    };
    value["description"] = field.doc.into();
    match field.need {
        Need::Default(_) => value["default"] = example(field),
        Need::Optional | Need::Required | Need::Unless(_) => value["examples"] = json!([example(field)]),
    }
    value
}

/// The example or default of a field as JSON.
fn example(field: &Field) -> Value {
    let text = format!("x = {}", field.in_file(field.example));
    toml::from_str::<Value>(&text).map_or(Value::Null, |mut v| v["x"].take())
}

fn definition_name(kind: Kind) -> String {
    kind.word().replace(' ', "-")
}

fn reference(kind: Kind) -> String {
    format!("#/$defs/{}", definition_name(kind))
}

fn definitions() -> Value {
    let mut all = Map::new();
    all.insert(
        "point".into(),
        json!({ "type": "string", "description": "x, y, z with one unit or three.", "examples": ["4.35, 0.95, 0.15 m"] }),
    );
    for kind in kinds() {
        let text = json!({
            "type": "string",
            "pattern": r"^\s*[+-]?[0-9.]",
            "description": format!("{}, as text with its unit.", kind.with_units()),
        });
        all.insert(
            definition_name(kind),
            json!({ "anyOf": [text, {
                "type": "object",
                "properties": {
                    "value": text,
                    "known": { "enum": ["label", "measured", "guess"] },
                    "low": text,
                    "high": text,
                },
                "required": ["value"],
                "additionalProperties": false,
            }] }),
        );
    }
    Value::Object(all)
}

/// Kinds that occur in the field lists, each once, in the order of the kinds.
fn kinds() -> Vec<Kind> {
    let fields = || SECTIONS.iter().flat_map(|s| s.fields);
    let used = |kind: Kind| {
        fields().any(|f| match f.what {
            What::Quantity(k, _) => k == kind,
            What::Demand => matches!(kind, Kind::Power | Kind::Current | Kind::Resistance),
            What::Device => kind == Kind::Current,
            _ => false,
        })
    };
    Kind::ALL.iter().copied().filter(|k| used(*k)).collect()
}
