//! Drawings, written as SVG by our own hand: no fonts, pictures or scripts from elsewhere.

pub mod canvas;
mod drops;
mod glyphs;
mod ground;
mod joints;
mod log;
pub mod oneline;
mod pack;
mod plan;
mod shares;
mod thresholds;
mod time_current;
mod waterfall;
mod windows;

use canvas::{Anchor, POINT, Type, ink};
pub use canvas::{Canvas, TextBox, escape};
pub use drops::drops;
pub use glyphs::{width, wrap};
pub use ground::ground;
pub use joints::joints;
pub use pack::pack;
pub use plan::plan;
pub use shares::shares;
pub use thresholds::thresholds;
pub use time_current::time_current;
pub use waterfall::waterfall;
pub use windows::windows;

/// Width of what is drawn or printed on a page, in millimetres.
pub const PAGE_WIDTH: f64 = 186.0;
/// Height of what is drawn or printed on a page, in millimetres.
pub const PAGE_HEIGHT: f64 = 258.0;
/// An A4 page, upright.
pub const A4: (f64, f64) = (210.0, 297.0);

/// A sheet that leaves the report: with the boat and what it shows above, and a caution below.
#[must_use]
pub fn headed(sheet: &Canvas, boat: &str, what: &str, caution: &str) -> Canvas {
    const HEAD: f64 = 9.0;
    let (name, plain, small) = (Type::plain(12.0).bold(), Type::plain(9.0), Type::plain(7.0).fill(ink::SOFT));
    let foot = wrap(caution, PAGE_WIDTH, small.points * POINT, false, 3);
    let below = HEAD + sheet.height + 4.0;
    let mut c = Canvas::new(PAGE_WIDTH, below + 3.0 * foot.len() as f64);
    let cut = |text: &str, room: f64, style: Type| {
        wrap(text, room, style.points * POINT, style.bold, 1).first().cloned().unwrap_or_default()
    };
    let what = cut(what, PAGE_WIDTH / 2.0, plain);
    c.text(0.0, 5.0, name, &cut(boat, PAGE_WIDTH - plain.width(&what) - 5.0, name));
    c.text(PAGE_WIDTH, 5.0, plain.anchor(Anchor::End), &what);
    c.line((0.0, 7.0), (PAGE_WIDTH, 7.0), 0.6, ink::DARK);
    c.place(sheet, HEAD);
    for (line, text) in foot.iter().enumerate() {
        c.text(0.0, below + 3.0 * line as f64 + 2.0, small, text);
    }
    c
}

/// Between small drawings on one sheet.
const APART: f64 = 3.0;

/// Puts small drawings below each other on as few sheets as hold them, in their order.
#[must_use]
pub fn pile(drawings: &[Canvas]) -> Vec<Canvas> {
    let mut sheets: Vec<Canvas> = Vec::new();
    for drawing in drawings {
        match sheets.last_mut().filter(|s| s.height + APART + drawing.height <= PAGE_HEIGHT) {
            Some(sheet) => {
                sheet.place(drawing, sheet.height + APART);
                sheet.height += APART + drawing.height;
            }
            None => sheets.push(drawing.clone()),
        }
    }
    sheets
}
