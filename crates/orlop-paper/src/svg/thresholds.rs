//! Every threshold of a bank on one axis of volts per cell: who acts first, and where ranges overlap.

use super::canvas::{Anchor, POINT, Type, ink};
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::view::Bank;

const SMALL: Type = Type::plain(7.0).fill(ink::SOFT);
const TEXT: Type = Type::plain(8.0);
const PITCH: f64 = 7.4;
const TOP: f64 = 6.0;
const FROM: f64 = 66.0;
const TO: f64 = 168.0;

/// Draws the ladder; nothing where there is no threshold.
#[must_use]
pub fn thresholds(bank: &Bank) -> Option<Canvas> {
    let ends = bank.rungs.iter().flat_map(|r| [r.ends.0, r.ends.1, r.cell]).filter(|v| v.is_finite());
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    if low > high {
        return None;
    }
    let room = ((high - low) * 0.04).max(1e-3);
    let (low, high) = (low - room, high + room);
    let at = |volts: f64| FROM + (volts - low) / (high - low) * (TO - FROM);
    let bottom = TOP + PITCH * bank.rungs.len() as f64;
    let mut c = Canvas::new(PAGE_WIDTH, bottom + 9.0);
    for (limit, outer) in [(bank.harm.0, FROM), (bank.harm.1, TO)] {
        let Some(limit) = limit.filter(|v| v.is_finite()) else { continue };
        let (left, right) = (at(limit).min(outer), at(limit).max(outer));
        c.rect([left, TOP - 2.0, right - left, bottom - TOP + 2.0], ink::SAND, "", 0.0);
    }
    for tick in ticks(low, high) {
        c.line((at(tick), TOP - 2.0), (at(tick), bottom), 0.2, ink::FINE);
        c.text(at(tick), bottom + 3.6, SMALL.anchor(Anchor::Middle), &format!("{tick:.2}"));
    }
    c.line((FROM, bottom), (TO, bottom), 0.3, ink::DARK);
    c.text(
        FROM,
        bottom + 7.4,
        SMALL,
        "volts per cell; bar: where a cell can stand when it acts; line: its setting",
    );
    for (row, rung) in bank.rungs.iter().enumerate() {
        let y = TOP + PITCH * row as f64;
        let colour = if rung.mark.is_some() { ink::ALERT } else { ink::DARK };
        let label = if rung.name.is_empty() { rung.id.clone() } else { rung.name.clone() };
        cut(&mut c, 0.0, y + 2.4, TEXT.fill(colour), &label, FROM - 3.0);
        cut(&mut c, 0.0, y + 5.4, SMALL, &format!("{}, {}", rung.role, rung.id), FROM - 3.0);
        if [rung.ends.0, rung.ends.1, rung.cell].iter().all(|v| v.is_finite()) {
            let (left, right) = (at(rung.ends.0), at(rung.ends.1));
            c.rect([left, y + 0.6, (right - left).max(0.4), 4.4], ink::FINE, colour, 0.3);
            c.line((at(rung.cell), y), (at(rung.cell), y + 5.6), 0.8, colour);
        }
        c.text(PAGE_WIDTH, y + 3.8, TEXT.fill(colour).anchor(Anchor::End), &rung.setting);
    }
    Some(c)
}

/// Round values on the axis, five to ten of them.
fn ticks(low: f64, high: f64) -> Vec<f64> {
    let step = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 50.0, 200.0, 1000.0]
        .into_iter()
        .find(|s| (high - low) / s <= 10.0)
        .unwrap_or(high - low);
    let first = (low / step).ceil();
    (0..=10).map(|n| (first + f64::from(n)) * step).take_while(|v| *v <= high).collect()
}

fn cut(c: &mut Canvas, x: f64, y: f64, style: Type, text: &str, room: f64) {
    let cut = wrap(text, room, style.points * POINT, style.bold, 1);
    c.text(x, y, style, cut.first().map_or("", String::as_str));
}
