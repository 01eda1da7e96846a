//! Where the volts on the way to one load go, step by step from the source.

use super::canvas::{Anchor, POINT, Type, ink};
use super::log::flag;
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::pretty;
use crate::view::Waterfall;

const HEAD: Type = Type::plain(9.0).bold();
const SMALL: Type = Type::plain(7.5).fill(ink::SOFT);
const TEXT: Type = Type::plain(8.0);
/// Height of a row.
const PITCH: f64 = 4.6;
/// Top of the first row.
const TOP: f64 = 19.0;
/// Left and right end of the axis.
const FROM: f64 = 52.0;
const TO: f64 = 162.0;
/// A minimum further below the rest than so many times what is lost is not drawn.
const FAR: f64 = 3.0;
/// Colours of steps by part.
const PARTS: [(&str, &str); 4] =
    [("conductor", "#7d8f98"), ("device", "#c07f1e"), ("joints", "#14506e"), ("switch", "#5f9e6e")];

/// Draws the way to one load.
#[must_use]
pub fn waterfall(w: &Waterfall) -> Canvas {
    let rows = w.steps.len() + 2;
    let mut c = Canvas::new(PAGE_WIDTH, TOP + PITCH * rows as f64 + 2.0);
    cut(&mut c, 4.0, HEAD, &format!("{} {}", w.load, w.name), PAGE_WIDTH);
    let lost = w.from - w.at_load;
    let told = format!("{}: {} lost on the way from {}", w.case, pretty::lost(lost), w.root_name);
    cut(&mut c, 8.0, SMALL, &told, PAGE_WIDTH);
    let floor = [Some(w.at_load), w.limit].into_iter().flatten().fold(w.from, f64::min);
    let room = (w.from - floor).max(1e-3);
    let drawn = w.minimum.filter(|m| *m > floor - FAR * room && *m < w.from);
    let low = drawn.map_or(floor, |m| m.min(floor)) - 0.12 * room;
    let at = |volts: f64| FROM + (volts - low) / (w.from - low) * (TO - FROM);
    let bottom = TOP + PITCH * rows as f64;
    // The bar of what is left begins where the axis does: an axis from zero would hide the steps.
    let whole = [(0, format!("at {}", w.root), w.from), (rows - 1, format!("at {}", w.load), w.at_load)];
    for (row, label, volts) in whole {
        let y = TOP + PITCH * row as f64;
        c.rect([FROM, y + 0.7, at(volts) - FROM, PITCH - 1.4], ink::FINE, "", 0.0);
        row_text(&mut c, y, TEXT.bold(), &label, &pretty::volts(volts));
    }
    for (n, step) in w.steps.iter().enumerate() {
        let y = TOP + PITCH * (n + 1) as f64;
        let (left, right) = (at(step.left), at(step.left + step.drop));
        let colour = PARTS.iter().find(|p| p.0 == step.part).map_or(ink::SOFT, |p| p.1);
        c.rect([left, y + 0.7, (right - left).max(0.15), PITCH - 1.4], colour, "", 0.0);
        c.line((left, y + 0.7), (left, y + PITCH + 0.7), 0.15, ink::SOFT);
        row_text(&mut c, y, TEXT, &format!("{} {}", step.circuit, step.part), &pretty::lost(step.drop));
    }
    let lines = [
        (
            w.limit,
            if w.minimum.is_some() { 12.6 } else { 16.4 },
            format!("limit of the drop {}", pretty::volts(w.limit.unwrap_or(0.0))),
            ink::DARK,
        ),
        (drawn, 16.4, format!("its minimum {}", pretty::volts(w.minimum.unwrap_or(0.0))), ink::ALERT),
    ];
    for (volts, y, text, colour) in lines {
        let Some(volts) = volts else { continue };
        flag(&mut c, at(volts), y, [FROM, PAGE_WIDTH], SMALL.fill(colour), &text);
        c.dashed((at(volts), 17.4), (at(volts), bottom), 0.5, colour);
    }
    if let (Some(minimum), None) = (w.minimum, drawn) {
        let text = format!("its minimum of {} is not on this axis", pretty::volts(minimum));
        flag(&mut c, FROM, 16.4, [FROM, PAGE_WIDTH], SMALL, &text);
    }
    c
}

fn cut(c: &mut Canvas, y: f64, style: Type, text: &str, room: f64) {
    let cut = wrap(text, room, style.points * POINT, style.bold, 1);
    c.text(0.0, y, style, cut.first().map_or("", String::as_str));
}

fn row_text(c: &mut Canvas, y: f64, style: Type, label: &str, value: &str) {
    cut(c, y + 3.2, style, label, FROM - 2.0);
    c.text(PAGE_WIDTH, y + 3.2, style.anchor(Anchor::End), value);
}
