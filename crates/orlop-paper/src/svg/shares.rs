//! Who carries how much of a current: one bar for each bus or group, parted by its members.

use super::canvas::{POINT, Type, ink};
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::pretty;
use crate::view::ShareRow;

const TEXT: Type = Type::plain(8.0);
const PITCH: f64 = 6.6;
const FROM: f64 = 40.0;
const TO: f64 = 186.0;
/// Alternating fills, told apart without colour too.
const FILLS: [&str; 2] = [ink::WATER, ink::SAND];

/// Draws the bars; nothing where there is none.
#[must_use]
pub fn shares(rows: &[ShareRow]) -> Option<Canvas> {
    if rows.is_empty() {
        return None;
    }
    let mut c = Canvas::new(PAGE_WIDTH, PITCH * rows.len() as f64 + 1.0);
    for (row, share) in rows.iter().enumerate() {
        let y = PITCH * row as f64;
        cut(&mut c, 0.0, y + 4.0, TEXT, &share.label, FROM - 2.0);
        let mut left = FROM;
        for (n, (name, part)) in share.members.iter().enumerate() {
            let wide = if part.is_finite() { part.clamp(0.0, 1.0) * (TO - FROM) } else { 0.0 };
            let wide = wide.min(TO - left);
            c.rect([left, y + 0.6, wide, PITCH - 1.4], FILLS[n % 2], ink::DARK, 0.3);
            if wide > 14.0 {
                let style = Type::plain(7.0);
                cut(
                    &mut c,
                    left + 1.0,
                    y + 4.0,
                    style,
                    &format!("{name} {}", pretty::percent(*part)),
                    wide - 2.0,
                );
            }
            left += wide;
        }
    }
    Some(c)
}

fn cut(c: &mut Canvas, x: f64, y: f64, style: Type, text: &str, room: f64) {
    let cut = wrap(text, room, style.points * POINT, style.bold, 1);
    c.text(x, y, style, cut.first().map_or("", String::as_str));
}
