//! Points, corners and boxes as they are written.

use super::row::Corner;
use super::tree::{Item, Node, Span, short};
use super::value::{Reader, is_id};
use crate::model::{Block, Point};
use orlop_units::{Length, Quantity, parse, parse_number};

/// Coordinates beyond this are slips of the pen.
const FARTHEST: f64 = 200.0;

pub(super) fn point(reader: &mut Reader<'_>, node: &Node) -> Option<Point> {
    let text = reader.text(node)?;
    match read_point(text) {
        Ok(point) => Some(point),
        Err(why) => {
            let what = format!("{}: '{}' is no point: {why}", reader.field.key, short(text));
            reader.note(node, what, "x, y, z with one unit: '4.35, 0.95, 0.15 m'".into(), String::new())
        }
    }
}

fn read_point(text: &str) -> Result<Point, String> {
    let parts: Vec<_> = text.split(',').map(str::trim).collect();
    let [x, y, z] = parts[..] else {
        return Err(format!("it has {} numbers where it needs 3", parts.len()));
    };
    let bare = |part: &str| parse_number(part, "").is_ok();
    if bare(z) {
        return Err("the unit is missing".into());
    }
    let unit = unit_of(z);
    let one = |part: &str| {
        let whole = if bare(part) { format!("{part} {unit}") } else { part.to_string() };
        let metres = parse::<Length>(&whole, "").map_err(|_| format!("'{}' is no length", short(part)))?.si();
        if metres.abs() > FARTHEST {
            return Err(format!("'{}' is farther than {FARTHEST} m", short(part)));
        }
        Ok(metres)
    };
    if bare(x) != bare(y) {
        return Err("give one unit at the end, or one to each number".into());
    }
    Ok(Point { x: one(x)?, y: one(y)?, z: one(z)? })
}

/// The unit behind the last number.
fn unit_of(text: &str) -> &str {
    let after_blank = text.rsplit(char::is_whitespace).next().unwrap_or(text);
    after_blank.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-'))
}

pub(super) fn corners(reader: &mut Reader<'_>, node: &Node) -> Option<Vec<(Corner, Span)>> {
    let Item::List(list) = &node.item else { return reader.wrong(node) };
    if list.len() < 2 {
        let what = format!(
            "{} has {}",
            reader.field.key,
            if list.is_empty() { "no corner" } else { "only one corner" }
        );
        return reader.note(node, what, "two or more corners".into(), String::new());
    }
    let mut out = Vec::new();
    for item in list {
        let corner = match &item.item {
            Item::Text(text) if is_id(text) => Corner::Place(text.clone()),
            Item::Text(_) => Corner::Point(point(reader, item)?),
            _ => return reader.wrong(item),
        };
        out.push((corner, item.at.clone()));
    }
    Some(out)
}

pub(super) fn boxes(reader: &mut Reader<'_>, node: &Node) -> Option<Vec<Block>> {
    let Item::List(list) = &node.item else { return reader.wrong(node) };
    let mut out = Vec::new();
    for item in list {
        let Item::List(pair) = &item.item else { return reader.wrong(item) };
        let [a, b] = pair.as_slice() else {
            let what = format!("a box has {} corners", pair.len());
            return reader.note(item, what, "two opposite corners".into(), String::new());
        };
        let (a, b) = (point(reader, a)?, point(reader, b)?);
        let low = Point { x: a.x.min(b.x), y: a.y.min(b.y), z: a.z.min(b.z) };
        let high = Point { x: a.x.max(b.x), y: a.y.max(b.y), z: a.z.max(b.z) };
        if low.x == high.x || low.y == high.y || low.z == high.z {
            let what = "a box has no volume: both corners lie in one plane".into();
            return reader.note(item, what, "two opposite corners".into(), String::new());
        }
        out.push(Block { low, high });
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_with_one_unit_or_three() {
        let p = read_point("4.35, -0.95, 0.15 m").unwrap();
        assert_eq!((p.x, p.y, p.z), (4.35, -0.95, 0.15));
        let p = read_point("435, 95, 15cm").unwrap();
        assert!((p.x - 4.35).abs() < 1e-12 && (p.z - 0.15).abs() < 1e-12);
        let p = read_point("1 m, 10 ft, 2 in").unwrap();
        assert!((p.y - 3.048).abs() < 1e-12 && (p.z - 0.0508).abs() < 1e-12);
    }

    #[test]
    fn no_points() {
        for text in
            ["", "1, 2 m", "1, 2, 3", "1, 2, 3 V", "1 m, 2, 3 m", "nan, 1, 2 m", "inf, 1, 2 m", "1, 2, 900 m"]
        {
            assert!(read_point(text).is_err(), "{text}");
        }
    }
}
