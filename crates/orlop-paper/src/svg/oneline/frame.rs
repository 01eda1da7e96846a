//! Head and foot of a sheet: what it is, what the symbols mean, what to beware of.

use super::Title;
use super::symbols;
use crate::svg::canvas::{Anchor, POINT, Type, ink};
use crate::svg::joints::SCALE;
use crate::svg::{Canvas, PAGE_HEIGHT, PAGE_WIDTH, wrap};
use crate::view::{Device, SourceSymbol};

/// Height of the head.
pub(super) const HEAD: f64 = 20.0;
const NOTE: Type = Type::plain(7.0).fill(ink::SOFT);
const KEY: Type = Type::plain(7.0);
const NOTE_LINE: f64 = 3.0;
const KEY_HEIGHT: f64 = 17.6;
/// What the tints of heat need below the key.
const HEAT_HEIGHT: f64 = 5.0;

fn notes(title: &Title) -> Vec<String> {
    title.notes.iter().flat_map(|n| wrap(n, PAGE_WIDTH, NOTE.points * POINT, false, 4)).collect()
}

/// Height of the foot.
pub(super) fn foot_height(title: &Title, heat: bool) -> f64 {
    key_height(heat) + 3.0 + NOTE_LINE * notes(title).len() as f64
}

fn key_height(heat: bool) -> f64 {
    KEY_HEIGHT + if heat { HEAT_HEIGHT } else { 0.0 }
}

pub(super) fn draw(c: &mut Canvas, title: &Title, (sheet, of): (usize, usize), heat: bool) {
    let right = if of > 1 { format!("sheet {sheet} of {of}") } else { String::new() };
    let what = Type::plain(10.0);
    let name = Type::plain(14.0).bold();
    let room = PAGE_WIDTH - what.width("One-line diagram, sheet 99 of 99") - 6.0;
    let boat = wrap(&title.boat, room, name.points * POINT, true, 1);
    c.text(0.0, 6.0, name, boat.first().map_or("", String::as_str));
    let right =
        if right.is_empty() { "One-line diagram".into() } else { format!("One-line diagram, {right}") };
    c.text(PAGE_WIDTH, 6.0, what.anchor(Anchor::End), &right);
    let small = Type::plain(8.0).fill(ink::SOFT);
    let line = wrap(&title.line, PAGE_WIDTH, small.points * POINT, false, 1);
    c.text(0.0, 10.8, small, line.first().map_or("", String::as_str));
    c.line((0.0, 13.0), (PAGE_WIDTH, 13.0), 0.6, ink::DARK);
    c.line((0.0, 13.9), (PAGE_WIDTH, 13.9), 0.2, ink::DARK);

    let top = PAGE_HEIGHT - foot_height(title, heat);
    c.line((0.0, top + 1.0), (PAGE_WIDTH, top + 1.0), 0.2, ink::DARK);
    key(c, top + 4.4);
    if heat {
        scale(c, top + 4.4 + 15.4);
    }
    let mut y = top + key_height(heat) + 2.6;
    for line in notes(title) {
        c.text(0.0, y, NOTE, &line);
        y += NOTE_LINE;
    }
}

/// What the tints under wires mean.
fn scale(c: &mut Canvas, y: f64) {
    let mut x = 0.5;
    for (_, colour, words) in SCALE {
        c.rect([x, y - 0.6, 9.0, 1.2], colour, ink::DARK, 0.2);
        x += 10.2;
        c.text(x, y + 0.9, KEY, words);
        x += KEY.width(words) + 3.0;
    }
    c.text(x, y + 0.9, NOTE, "hottest part read, at full load");
}

/// What the symbols mean, in three lines.
fn key(c: &mut Canvas, y: f64) {
    type Draw = fn(&mut Canvas, f64, f64);
    let first: [(Draw, f64, &str); 5] = [
        (|c, x, y| symbols::device(c, x, y, &Device::Fuse(String::new())), 6.4, "fuse"),
        (|c, x, y| symbols::device(c, x, y, &Device::Breaker(String::new())), 6.4, "breaker"),
        (|c, x, y| symbols::bus(c, x + 1.0, y - 2.0, y + 2.0, false), 2.0, "bus or panel"),
        (|c, x, y| symbols::bus(c, x + 1.0, y - 2.0, y + 2.0, true), 2.0, "stays live with the master off"),
        (|c, x, y| symbols::converter(c, x + 2.0, y), 4.0, "converter"),
    ];
    let second: [(Draw, f64, &str); 5] = [
        (|c, x, y| symbols::load(c, x + 1.2, y, false), 2.4, "load"),
        (|c, x, y| symbols::load(c, x + 1.2, y, true), 2.4, "load needed for safety"),
        (|c, x, y| symbols::source(c, x + 1.9, y, SourceSymbol::Alternator), 3.8, "alternator"),
        (|c, x, y| symbols::source(c, x + 2.0, y, SourceSymbol::Solar), 4.0, "solar"),
        (|c, x, y| symbols::source(c, x + 1.8, y, SourceSymbol::Charger), 3.6, "charger"),
    ];
    for (y, entries) in [(y, first), (y + 5.2, second)] {
        let mut x = 0.5;
        for (draw, w, text) in entries {
            draw(c, x, y);
            x += w + 1.2;
            c.text(x, y + 0.9, KEY, text);
            x += KEY.width(text) + 5.0;
        }
    }
    let mut x = 0.5;
    for (letter, text) in [('A', "act before use"), ('B', "act soon"), ('C', "good practice")] {
        symbols::mark(c, x + 2.0, y + 10.4, letter);
        x += 5.2;
        c.text(x, y + 11.3, KEY, text);
        x += KEY.width(text) + 5.0;
    }
}
