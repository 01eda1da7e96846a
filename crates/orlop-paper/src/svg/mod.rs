//! Drawings, written as SVG by our own hand: no fonts, pictures or scripts from elsewhere.

pub mod canvas;
mod drops;
mod glyphs;
mod ground;
pub mod oneline;
mod plan;

pub use canvas::{Canvas, TextBox, escape};
pub use drops::drops;
pub use glyphs::{width, wrap};
pub use ground::ground;
pub use plan::plan;

/// Width of what is drawn or printed on a page, in millimetres.
pub const PAGE_WIDTH: f64 = 186.0;
/// Height of what is drawn or printed on a page, in millimetres.
pub const PAGE_HEIGHT: f64 = 258.0;
/// An A4 page, upright.
pub const A4: (f64, f64) = (210.0, 297.0);
