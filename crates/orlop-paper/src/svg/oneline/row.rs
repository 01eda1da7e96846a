//! Drawing the rows of a sheet.

use super::blocks::{PITCH, Row, feed};
use super::columns::{Columns, LINE, NAME, RATING, TEXT, bus_x, rating};
use super::symbols::{self, DEVICE, WIRE};
use super::{Placed, Sheets};
use crate::svg::canvas::{Anchor, POINT, ink};
use crate::svg::joints::tint;
use crate::svg::{Canvas, PAGE_WIDTH, wrap};
use crate::view::{Branch, Device, End, NodeKind, Tree};
use std::collections::BTreeMap;

/// From the middle of a row to the baseline of its text.
const BASE: f64 = 1.0;
/// Room left between a text and the wire that it interrupts.
const AIR: f64 = 0.9;

pub(super) fn draw(c: &mut Canvas, tree: &Tree, columns: &Columns, placed: &[Placed], sheets: &Sheets<'_>) {
    bands(c, placed);
    for (&(node, depth), &(from, to)) in &extents(tree, placed) {
        symbols::bus(c, bus_x(depth), from, to, tree.nodes[node].always_on);
    }
    for p in placed {
        match p.row {
            Row::Head { .. } => head(c, tree, columns, p, sheets),
            Row::Branch { node, depth, branch } => {
                let branch = &tree.nodes[node].branches[branch];
                circuit(c, tree, columns, branch, (bus_x(depth), p.y + PITCH / 2.0), sheets);
            }
        }
    }
}

/// Tints behind the heads of buses.
fn bands(c: &mut Canvas, placed: &[Placed]) {
    for p in placed {
        if matches!(p.row, Row::Head { .. }) {
            let x = bus_x(p.row.depth());
            c.rect([x, p.y + 0.6, PAGE_WIDTH - x, p.h - 1.4], ink::SAND, "", 0.0);
        }
    }
}

/// How far the bar of each bus reaches on this sheet.
fn extents(tree: &Tree, placed: &[Placed]) -> BTreeMap<(usize, usize), (f64, f64)> {
    let mut out = BTreeMap::new();
    let mut reach = |node: usize, depth: usize, from: f64, to: f64| {
        let e = out.entry((node, depth)).or_insert((from, to));
        *e = (e.0.min(from), e.1.max(to));
    };
    for p in placed {
        let (node, depth) = (p.row.owner(), p.row.depth());
        match p.row {
            Row::Head { .. } => {
                reach(node, depth, p.y + 0.6, p.y + p.h - 0.8);
                if let Some(parent) = tree.nodes[node].parent.filter(|_| depth > 0) {
                    let y = middle(p);
                    reach(parent, depth - 1, y, y + 0.8);
                }
            }
            Row::Branch { .. } => reach(node, depth, p.y, p.y + PITCH / 2.0 + 0.8),
        }
    }
    out
}

/// Where the wire comes in at the head of a bus.
fn middle(p: &Placed) -> f64 {
    p.y + p.h / 2.0 - 0.1
}

fn head(c: &mut Canvas, tree: &Tree, columns: &Columns, p: &Placed, sheets: &Sheets<'_>) {
    let Row::Head { node: index, depth, continued } = p.row else { return };
    let node = &tree.nodes[index];
    let (x, y) = (bus_x(depth), middle(p));
    let (names, details) = columns.head(tree, &p.row, sheets.feed(tree, index));
    let mut line = p.y + 1.9 + 2.9;
    for name in &names {
        c.text(x + 5.0, line, NAME, name);
        line += 3.9;
    }
    line -= 0.3;
    for detail in &details {
        c.text(x + 5.0, line, TEXT.fill(ink::SOFT), detail);
        line += LINE;
    }
    match node.kind {
        NodeKind::Bank if !continued => symbols::battery(c, x, p.y - 3.4 + 0.2),
        NodeKind::Converter if !continued => symbols::converter(c, x, y),
        _ => {}
    }
    let Some(feed) = feed(tree, index).filter(|_| !continued) else { return };
    if depth > 0 {
        let from = bus_x(depth - 1);
        heat(c, feed, (from + 0.55, x - 0.55), y);
        c.wire((from + 0.55, y), (from + 2.2, y), WIRE);
        symbols::device(c, from + 2.2, y, &feed.device);
        let edge = if node.kind == NodeKind::Converter { x - 2.0 } else { x - 0.55 };
        c.wire((from + 2.2 + DEVICE, y), (edge, y), WIRE);
    } else {
        c.wire((0.0, y), (x - 0.55, y), WIRE);
        c.path(&[(x - 0.8, y), (x - 2.8, y - 1.0), (x - 2.8, y + 1.0)], true, ink::DARK, ink::DARK, 0.1);
    }
    current(c, columns, feed, y);
}

/// The current and the mark of a finding, at the right.
fn current(c: &mut Canvas, columns: &Columns, branch: &Branch, y: f64) {
    let text = wrap(&branch.current, columns.current_room, TEXT.points * POINT, false, 1);
    if let Some(text) = text.first() {
        c.text(columns.current, y + BASE, TEXT.anchor(Anchor::End), text);
    }
    if let Some(letter) = branch.mark {
        symbols::mark(c, PAGE_WIDTH - 2.6, y, letter);
    }
}

/// Under a wire the tint of its hottest segment or joint.
fn heat(c: &mut Canvas, branch: &Branch, (from, to): (f64, f64), y: f64) {
    if let Some(hot) = &branch.heat {
        c.rect([from, y + 1.55, to - from, 1.2], tint(hot.watts), ink::DARK, 0.2);
    }
}

/// A wire between two texts; none when they leave no room.
fn between(c: &mut Canvas, from: f64, to: f64, y: f64) {
    if to - from > 0.5 {
        c.wire((from, y), (to, y), WIRE);
    }
}

fn circuit(
    c: &mut Canvas,
    tree: &Tree,
    columns: &Columns,
    branch: &Branch,
    (bus, y): (f64, f64),
    sheets: &Sheets<'_>,
) {
    let start = bus + 0.55;
    heat(c, branch, (start, columns.name - 5.0), y);
    between(c, start, bus + 2.2, y);
    symbols::device(c, bus + 2.2, y, &branch.device);
    let mut pen = bus + 2.2 + DEVICE;

    // Rating and conductor interrupt the wire, as soundings do a depth line.
    let style = if branch.device == Device::Missing { TEXT.bold().fill(ink::ALERT) } else { TEXT };
    let room = columns.rating_room * if branch.device == Device::Missing { 1.2 } else { 1.0 };
    for (x, room, style, text) in [
        (bus + RATING, room, style, rating(&branch.device)),
        (columns.wire, columns.wire_room, TEXT, branch.wire.as_str()),
    ] {
        let lines = wrap(text, room, style.points * POINT, style.bold, 1);
        let Some(text) = lines.first() else { continue };
        between(c, pen, x - AIR, y);
        c.text(x, y + BASE, style, text);
        pen = x + style.width(text) + AIR;
    }

    let at = columns.name - 3.0;
    let sheet = match branch.end {
        End::Node(n) | End::Again(n) => sheets.bus(n),
        _ => 1,
    };
    let names = columns.names(tree, branch, sheet);
    match &branch.end {
        End::Load { essential, .. } => {
            between(c, pen, at - 1.15, y);
            symbols::load(c, at, y, *essential);
        }
        End::Source { symbol, .. } => {
            between(c, pen, at - 1.9, y);
            symbols::source(c, at, y, *symbol);
            symbols::inward(c, start + 0.1, y);
        }
        End::Node(_) | End::Again(_) => {
            between(c, pen, at, y);
            symbols::bus_end(c, at, y);
        }
    }
    let mut line = y + BASE;
    for name in &names {
        c.text(columns.name, line, TEXT, name);
        line += LINE;
    }
    if let (Some(hot), Some(last)) = (&branch.heat, names.last()) {
        let style = if hot.bad { TEXT.bold().fill(ink::ALERT) } else { TEXT };
        let x = columns.name + TEXT.width(last) + 3.0;
        if x + style.width(&hot.label) < columns.current - columns.current_room {
            c.text(x, line - LINE, style, &hot.label);
        }
    }
    current(c, columns, branch, y);
}
