//! The symbols of the diagram.

use crate::svg::Canvas;
use crate::svg::canvas::{Anchor, Type, ink};
use crate::view::{Device, SourceSymbol};

/// Thickness of wires.
pub(super) const WIRE: f64 = 0.3;
/// Length of a device with its leads.
pub(super) const DEVICE: f64 = 6.4;

/// A device on a wire that begins at `x`.
pub(super) fn device(c: &mut Canvas, x: f64, y: f64, device: &Device) {
    match device {
        Device::Fuse(_) => {
            c.wire((x, y), (x + DEVICE, y), WIRE);
            c.rect([x + 1.1, y - 0.95, 4.2, 1.9], "none", ink::DARK, WIRE);
        }
        Device::Breaker(_) => {
            c.wire((x, y), (x + 1.5, y), WIRE);
            c.wire((x + 4.9, y), (x + DEVICE, y), WIRE);
            c.line((x + 1.5, y), (x + 4.7, y - 1.7), 0.4, ink::DARK);
            c.line((x + 4.3, y - 0.6), (x + 5.5, y + 0.6), 0.3, ink::DARK);
            c.line((x + 4.3, y + 0.6), (x + 5.5, y - 0.6), 0.3, ink::DARK);
        }
        Device::Missing | Device::None => c.wire((x, y), (x + DEVICE, y), WIRE),
    }
}

/// A load: an open ring, filled when it is needed for safety.
pub(super) fn load(c: &mut Canvas, x: f64, y: f64, essential: bool) {
    c.circle(x, y, 1.15, if essential { ink::DARK } else { "#ffffff" }, ink::DARK, WIRE);
}

/// A bus that is drawn elsewhere.
pub(super) fn bus_end(c: &mut Canvas, x: f64, y: f64) {
    c.rect([x - 0.5, y - 1.8, 1.0, 3.6], ink::DARK, "", 0.0);
}

/// A charging source.
pub(super) fn source(c: &mut Canvas, x: f64, y: f64, symbol: SourceSymbol) {
    match symbol {
        SourceSymbol::Alternator => {
            c.circle(x, y, 1.9, "#ffffff", ink::DARK, WIRE);
            c.text(x, y + 0.95, Type::plain(7.0).bold().anchor(Anchor::Middle), "G");
        }
        SourceSymbol::Solar => {
            c.rect([x - 2.0, y - 1.6, 4.0, 3.2], "#ffffff", ink::DARK, WIRE);
            c.path(&[(x - 2.0, y - 1.6), (x, y), (x - 2.0, y + 1.6)], false, "none", ink::DARK, WIRE);
        }
        SourceSymbol::Charger => {
            c.rect([x - 1.8, y - 1.8, 3.6, 3.6], "#ffffff", ink::DARK, WIRE);
            c.line((x - 1.8, y + 1.8), (x + 1.8, y - 1.8), 0.25, ink::DARK);
            c.path(
                &[(x - 1.3, y - 0.8), (x - 0.9, y - 1.2), (x - 0.5, y - 0.8), (x - 0.1, y - 1.2)],
                false,
                "none",
                ink::DARK,
                0.2,
            );
            c.line((x + 0.2, y + 1.0), (x + 1.4, y + 1.0), 0.25, ink::DARK);
        }
    }
}

/// An arrow head on a wire that points to the left: current comes in here.
pub(super) fn inward(c: &mut Canvas, x: f64, y: f64) {
    c.path(&[(x, y), (x + 1.8, y - 0.9), (x + 1.8, y + 0.9)], true, ink::DARK, ink::DARK, 0.1);
}

/// A battery above the top of a bus.
pub(super) fn battery(c: &mut Canvas, x: f64, y: f64) {
    for (dy, half, thick) in [(0.0, 2.4, 0.35), (1.1, 1.2, 0.8), (2.4, 2.4, 0.35), (3.5, 1.2, 0.8)] {
        c.line((x - half, y + dy), (x + half, y + dy), thick, ink::DARK);
    }
}

/// A converter from one direct voltage to another at the top of a bus.
pub(super) fn converter(c: &mut Canvas, x: f64, y: f64) {
    c.rect([x - 2.0, y - 2.0, 4.0, 4.0], "#ffffff", ink::DARK, WIRE);
    c.line((x - 2.0, y + 2.0), (x + 2.0, y - 2.0), 0.25, ink::DARK);
    c.line((x - 1.5, y - 1.1), (x - 0.2, y - 1.1), 0.25, ink::DARK);
    c.line((x + 0.2, y + 1.1), (x + 1.5, y + 1.1), 0.25, ink::DARK);
}

/// The bar of a bus; two thin lines when it stays live with the master off.
pub(super) fn bus(c: &mut Canvas, x: f64, from: f64, to: f64, always_on: bool) {
    if always_on {
        c.rect([x - 0.7, from, 1.4, to - from], "#ffffff", ink::DARK, 0.35);
    } else {
        c.rect([x - 0.55, from, 1.1, to - from], ink::DARK, "", 0.0);
    }
}

/// The letter of a finding: a full square for A, an open square for B, a ring for C.
pub(in crate::svg) fn mark(c: &mut Canvas, x: f64, y: f64, letter: char) {
    let (square, fill, text) = match letter {
        'A' => (true, ink::ALERT, "#ffffff"),
        'B' => (true, "#ffffff", ink::ALERT),
        _ => (false, "#ffffff", ink::DARK),
    };
    if square {
        c.rect([x - 2.0, y - 2.0, 4.0, 4.0], fill, ink::ALERT, 0.3);
    } else {
        c.circle(x, y, 2.0, fill, ink::DARK, 0.3);
    }
    c.text(x, y + 1.0, Type::plain(8.0).bold().fill(text).anchor(Anchor::Middle), &letter.to_string());
}
