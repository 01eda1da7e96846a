//! The protectable window of each circuit: one row of marks on an axis of current that all share.

use super::canvas::{Anchor, POINT, Type, ink};
use super::log::{Log, flag};
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::pretty;
use crate::view::Bar;
use orlop_units::amperes;

const TEXT: Type = Type::plain(7.5);
const SMALL: Type = Type::plain(7.0).fill(ink::SOFT);
/// Height of a row; rows on a sheet.
const PITCH: f64 = 5.2;
const ROWS: usize = 43;
/// Top of the first row.
const TOP: f64 = 20.0;
/// Left and right end of the axis.
const FROM: f64 = 48.0;
const TO: f64 = 147.0;
const FITS: &str = "#c07f1e";
const FAULT: &str = "#14506e";

/// Draws every circuit; one canvas for 43 of them.
#[must_use]
pub fn windows(bars: &[Bar]) -> Vec<Canvas> {
    let axis = axis(bars);
    bars.chunks(ROWS).map(|rows| sheet(rows, axis)).collect()
}

fn values(bar: &Bar) -> impl Iterator<Item = f64> + '_ {
    let fits = bar.fits.into_iter().flat_map(|(a, b)| [a, b]);
    let one = [bar.design, bar.rating, bar.opens, bar.low, bar.high, bar.breaking];
    let all = one.into_iter().flatten().chain(fits).chain(bar.held.iter().copied());
    all.filter(|a| *a > 0.0 && a.is_finite())
}

fn axis(bars: &[Bar]) -> Log {
    let all = || bars.iter().flat_map(values);
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
    let (low, high) = if low.is_finite() { (low / 1.3, high * 1.3) } else { (1.0, 100.0) };
    Log::new(low, high, FROM, TO)
}

fn sheet(rows: &[Bar], axis: Log) -> Canvas {
    let bottom = TOP + PITCH * rows.len() as f64;
    let mut c = Canvas::new(PAGE_WIDTH, bottom + 5.5);
    key(&mut c);
    for (value, decade) in axis.lines() {
        let (thick, stroke) = if decade { (0.2, ink::FINE) } else { (0.08, "#d5dfe4") };
        c.line((axis.at(value), TOP), (axis.at(value), bottom), thick, stroke);
    }
    for value in axis.labels(16.0) {
        for y in [TOP - 1.0, bottom + 3.4] {
            flag(&mut c, axis.at(value), y, [FROM - 6.0, TO + 6.0], SMALL, &pretty::show(amperes(value)));
        }
    }
    for (at, bar) in rows.iter().enumerate() {
        let y = TOP + PITCH * at as f64;
        if at % 2 == 1 {
            c.line((0.0, y), (PAGE_WIDTH, y), 0.08, ink::FINE);
            c.line((0.0, y + PITCH), (PAGE_WIDTH, y + PITCH), 0.08, ink::FINE);
        }
        row(&mut c, y, bar, axis);
    }
    c
}

fn row(c: &mut Canvas, y: f64, bar: &Bar, axis: Log) {
    let style = if bar.wrong.is_empty() { TEXT } else { TEXT.bold().fill(ink::ALERT) };
    let cut = |text: &str, room: f64| {
        wrap(text, room, style.points * POINT, style.bold, 1).first().cloned().unwrap_or_default()
    };
    c.text(0.0, y + 3.4, style, &cut(&format!("{} {}", bar.id, bar.name), FROM - 2.0));
    c.text(PAGE_WIDTH, y + 3.4, style.anchor(Anchor::End), &cut(&bar.device, PAGE_WIDTH - TO - 3.0));
    let y = y + PITCH / 2.0;
    let at = |amps: f64| axis.at(amps);
    if let Some((low, high)) = bar.fits {
        fits(c, at(low.min(high)), at(low.max(high)), y, low > high);
    }
    match (bar.low, bar.high) {
        (Some(low), Some(high)) => faults(c, at(low), at(high), y),
        (Some(one), None) | (None, Some(one)) => faults(c, at(one), at(one), y),
        (None, None) => {}
    }
    let marks: [(Option<f64>, Draw); 4] =
        [(bar.breaking, breaking), (bar.opens, opens), (bar.rating, rating), (bar.design, design)];
    for (value, draw) in marks {
        if let Some(amps) = value {
            draw(c, at(amps), y);
        }
    }
    for amps in &bar.held {
        held(c, at(*amps), y);
    }
}

type Draw = fn(&mut Canvas, f64, f64);

fn fits(c: &mut Canvas, from: f64, to: f64, y: f64, none: bool) {
    let (fill, stroke) = if none { ("#ffffff", ink::ALERT) } else { (FITS, FITS) };
    c.rect([from, y - 1.3, (to - from).max(0.3), 2.6], fill, stroke, 0.2);
}

fn faults(c: &mut Canvas, from: f64, to: f64, y: f64) {
    let (middle, half) = ((from + to) / 2.0, ((to - from) / 2.0).max(0.6));
    c.rect([middle - half, y - 0.6, 2.0 * half, 1.2], FAULT, "", 0.0);
}

fn design(c: &mut Canvas, x: f64, y: f64) {
    c.circle(x, y, 0.9, "#ffffff", ink::DARK, 0.3);
}

fn rating(c: &mut Canvas, x: f64, y: f64) {
    c.path(&[(x - 1.2, y), (x, y - 1.7), (x + 1.2, y), (x, y + 1.7)], true, ink::DARK, "#ffffff", 0.2);
}

fn held(c: &mut Canvas, x: f64, y: f64) {
    c.path(&[(x - 1.2, y + 1.1), (x, y - 1.3), (x + 1.2, y + 1.1)], true, "#ffffff", ink::DARK, 0.3);
}

fn opens(c: &mut Canvas, x: f64, y: f64) {
    c.rect([x - 0.9, y - 0.9, 1.8, 1.8], "#ffffff", ink::DARK, 0.3);
}

fn breaking(c: &mut Canvas, x: f64, y: f64) {
    c.line((x, y - 2.0), (x, y + 2.0), 0.7, ink::DARK);
}

/// What the marks mean, in two lines.
fn key(c: &mut Canvas) {
    let first: [(Draw, f64, &str); 3] = [
        (design, 1.0, "design current"),
        (|c, x, y| fits(c, x - 2.5, x + 2.5, y, false), 2.6, "ratings that fit"),
        (rating, 1.2, "rating of the device"),
    ];
    let second: [(Draw, f64, &str); 4] = [
        (held, 1.2, "start to hold"),
        (opens, 0.9, "opens in time from here on"),
        (|c, x, y| faults(c, x - 2.5, x + 2.5, y), 2.6, "fault currents"),
        (breaking, 0.5, "breaking capacity"),
    ];
    key_line(c, 2.8, &first);
    key_line(c, 7.6, &second);
    let told =
        "In order from left to right, a circuit is protected; in bold it is not, and the report says why.";
    c.text(0.0, 12.8, SMALL, told);
}

fn key_line(c: &mut Canvas, y: f64, entries: &[(Draw, f64, &str)]) {
    let mut x = 0.5;
    for (draw, half, text) in entries {
        draw(c, x + half, y);
        x += 2.0 * half + 1.2;
        c.text(x, y + 0.9, TEXT, text);
        x += TEXT.width(text) + 5.0;
    }
}
