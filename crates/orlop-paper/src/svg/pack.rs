//! Cells as they are tied: which stands in which string or group, and which way round.

use super::canvas::{Anchor, POINT, Type, ink};
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::view::{PackDrawing, Slot};

const HEAD: Type = Type::plain(9.0).bold();
const SMALL: Type = Type::plain(7.0).fill(ink::SOFT);
/// Room for the poles and managers on the left and for what a string holds on the right.
const LEFT: f64 = 22.0;
const RIGHT: f64 = 24.0;
/// Greatest width of a cell, and between cells.
const WIDEST: f64 = 18.0;
const GAP: f64 = 3.0;
const HIGH: f64 = 11.0;
/// From one row to the next.
const PITCH: f64 = 16.0;
const TOP: f64 = 8.0;

/// Draws one order.
#[must_use]
pub fn pack(p: &PackDrawing) -> Canvas {
    let across = if p.groups_first { p.groups.len() } else { p.groups.first().map_or(0, Vec::len) };
    let down = if p.groups_first { p.groups.first().map_or(0, Vec::len) } else { p.groups.len() };
    let below = if p.groups_first && !p.holds.is_empty() { 6.0 } else { 0.0 };
    let mut c = Canvas::new(PAGE_WIDTH, TOP + PITCH * down as f64 + below);
    cut(&mut c, 0.0, 4.0, HEAD, &p.title, PAGE_WIDTH);
    if across == 0 || down == 0 {
        return c;
    }
    let room = PAGE_WIDTH - LEFT - RIGHT;
    let step = (room / across as f64).min(WIDEST + GAP);
    let wide = (step - GAP.min(step / 4.0)).max(1.0);
    let x = |at: usize| LEFT + step * at as f64;
    let middle = |row: usize| TOP + PITCH * row as f64 + HIGH / 2.0;
    let end = x(across - 1) + wide;
    // Wires first, so that the cells and managers stand on them.
    let rail = |at: usize| [x(at) - (step - wide) / 2.0, x(at) + wide + (step - wide) / 2.0];
    let mut wire = |from: (f64, f64), to: (f64, f64)| c.line(from, to, 0.8, ink::DARK);
    for row in 0..down {
        let (from, to) = match row {
            _ if !p.groups_first => (1.0, end + 3.0),
            0 => (1.0, rail(across - 1)[1] + 3.0),
            _ => (rail(0)[0], rail(across - 1)[1]),
        };
        wire((from, middle(row)), (to, middle(row)));
    }
    let rails = if p.groups_first { (0..across).flat_map(rail).collect() } else { vec![1.0, end + 3.0] };
    for at in rails {
        wire((at, middle(0)), (at, middle(down - 1)));
    }
    // One manager for all, or one for each string.
    for row in 0..(if p.groups_first { 1 } else { down }) {
        c.rect([5.0, middle(row) - 3.0, 8.0, 6.0], "#ffffff", ink::DARK, 0.4);
        c.text(9.0, middle(row) + 1.0, SMALL.anchor(Anchor::Middle), "M");
    }
    for row in 0..down {
        for at in 0..across {
            let slot = if p.groups_first { p.groups[at].get(row) } else { p.groups[row].get(at) };
            let Some(slot) = slot else { continue };
            cell(&mut c, [x(at), TOP + PITCH * row as f64, wide, HIGH], slot);
        }
        if !p.groups_first
            && let Some(holds) = p.holds.get(row)
        {
            cut(
                &mut c,
                end + 5.0,
                middle(row) + 1.0,
                SMALL,
                &format!("{}: {holds}", row + 1),
                PAGE_WIDTH - end - 5.0,
            );
        }
    }
    if p.groups_first {
        for (at, holds) in p.holds.iter().enumerate() {
            let y = TOP + PITCH * down as f64 + 1.0;
            cut(
                &mut c,
                x(at),
                y,
                Type::plain(7.0).fill(ink::SOFT),
                &format!("{}: {holds}", at + 1),
                step - 0.5,
            );
        }
    }
    c
}

fn cell(c: &mut Canvas, [x, y, w, h]: [f64; 4], slot: &Slot) {
    let (fill, line, thick) =
        if slot.flagged { (ink::SAND, ink::ALERT, 0.6) } else { (ink::WATER, ink::DARK, 0.3) };
    c.rect([x, y, w, h], fill, line, thick);
    let small = Type::plain(7.0);
    if w >= 5.0 {
        // Plus to the left, where the manager is.
        c.text(x + 0.5, y + h - 0.8, small, "+");
        c.text(x + w - 0.5, y + h - 0.8, small.anchor(Anchor::End), "\u{2212}");
    }
    if w >= 8.0 {
        cut(c, x + 0.6, y + 3.0, Type::plain(7.0).bold(), &slot.serial, w - 1.2);
        cut(c, x + 0.6, y + 6.4, small, &slot.capacity, w - 1.2);
    }
}

fn cut(c: &mut Canvas, x: f64, y: f64, style: Type, text: &str, room: f64) {
    let cut = wrap(text, room, style.points * POINT, style.bold, 1);
    c.text(x, y, style, cut.first().map_or("", String::as_str));
}
