//! The signs of the ground graph, and what they mean.

use super::{HALF, carries};
use crate::svg::Canvas;
use crate::svg::canvas::{Type, ink};
use crate::view::{GroundKind, GroundLine, GroundPath};

const WHITE: &str = "#ffffff";

/// Thickness of a line.
pub(super) fn thickness(line: GroundLine) -> f64 {
    if carries(line) { 0.7 } else { 0.25 }
}

/// A point.
pub(super) fn point(c: &mut Canvas, x: f64, y: f64, kind: GroundKind) {
    match kind {
        GroundKind::Battery => {
            c.rect([x - HALF, y - HALF, 2.0 * HALF, 2.0 * HALF], WHITE, "", 0.0);
            c.line((x - HALF, y - 0.6), (x + HALF, y - 0.6), 0.3, ink::DARK);
            c.line((x - 0.7, y + 0.6), (x + 0.7, y + 0.6), 0.8, ink::DARK);
        }
        GroundKind::Bus => c.rect([x - 0.6, y - HALF, 1.2, 2.0 * HALF], ink::DARK, "", 0.0),
        GroundKind::Negative => c.circle(x, y, 1.15, WHITE, ink::DARK, 0.3),
        GroundKind::Metal => c.rect([x - 1.2, y - 1.2, 2.4, 2.4], WHITE, ink::DARK, 0.45),
        GroundKind::Earth => {
            for (dy, half) in [(-0.9, HALF), (0.0, 0.9), (0.9, 0.4)] {
                c.line((x - half, y + dy), (x + half, y + dy), 0.4, ink::DARK);
            }
        }
        GroundKind::Radio => {
            c.path(&[(x - HALF, y + 1.1), (x + HALF, y + 1.1), (x, y - 1.3)], true, WHITE, ink::DARK, 0.35);
        }
    }
}

/// What sits on a line: the box of a shunt, the diamond of the one bond, the second line of a shore earth.
pub(super) fn on_line(c: &mut Canvas, x: f64, y: f64, room: f64, path: &GroundPath) {
    let half = (room / 2.0).min(1.4);
    if path.the_bond {
        c.path(&[(x - half, y), (x, y - 1.3), (x + half, y), (x, y + 1.3)], true, ink::ALERT, ink::DARK, 0.3);
    } else if path.line == GroundLine::Shunt {
        c.rect([x - half, y - 0.9, 2.0 * half, 1.8], WHITE, ink::DARK, 0.35);
    } else if path.line == GroundLine::Earth {
        c.line((x - half, y + 0.7), (x + half, y + 0.7), 0.25, ink::DARK);
    }
}

/// What the signs mean, in two lines.
pub(super) fn key(c: &mut Canvas, y: f64) {
    const KEY: Type = Type::plain(7.0);
    let points = [
        (GroundKind::Battery, "battery"),
        (GroundKind::Bus, "negative bus"),
        (GroundKind::Negative, "load or source"),
        (GroundKind::Metal, "engine, hull, bonding"),
        (GroundKind::Earth, "shore earth"),
        (GroundKind::Radio, "radio ground"),
    ];
    let mut x = 0.5;
    for (kind, text) in points {
        point(c, x + HALF, y, kind);
        x += 2.0 * HALF + 1.2;
        c.text(x, y + 0.9, KEY, text);
        x += KEY.width(text) + 4.0;
    }
    let lines = [
        (GroundLine::Cable, false, "may carry current"),
        (GroundLine::Shunt, false, "shunt"),
        (GroundLine::Bond, false, "bond, strap: no current"),
        (GroundLine::Bond, true, "the one bond"),
        (GroundLine::Earth, false, "shore earth: never cut"),
    ];
    let (y, mut x) = (y + 5.0, 0.5);
    for (line, the_bond, text) in lines {
        c.line((x, y), (x + 6.0, y), thickness(line), ink::DARK);
        let path = GroundPath {
            id: String::new(),
            what: String::new(),
            current: String::new(),
            line,
            the_bond,
            cut: false,
            mark: None,
        };
        on_line(c, x + 3.0, y, 6.0, &path);
        x += 7.2;
        c.text(x, y + 0.9, KEY, text);
        x += KEY.width(text) + 4.0;
    }
}
