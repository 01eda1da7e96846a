//! Drawings, written as SVG by our own hand: no fonts, pictures or scripts from elsewhere.

pub mod canvas;
mod drops;
mod glyphs;
mod ground;
mod log;
pub mod oneline;
mod plan;
mod time_current;
mod waterfall;
mod windows;

pub use canvas::{Canvas, TextBox, escape};
pub use drops::drops;
pub use glyphs::{width, wrap};
pub use ground::ground;
pub use plan::plan;
pub use time_current::time_current;
pub use waterfall::waterfall;
pub use windows::windows;

/// Width of what is drawn or printed on a page, in millimetres.
pub const PAGE_WIDTH: f64 = 186.0;
/// Height of what is drawn or printed on a page, in millimetres.
pub const PAGE_HEIGHT: f64 = 258.0;
/// An A4 page, upright.
pub const A4: (f64, f64) = (210.0, 297.0);

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
