//! A sheet to draw on: writes SVG text and remembers where every text and wire is.

use super::glyphs::width;
use std::fmt::Write;

/// Points in a millimetre of type size.
pub const POINT: f64 = 25.4 / 72.0;

/// The colours of all drawings; they differ in lightness too, so that they tell apart without colour.
pub mod ink {
    /// Lines and text.
    pub const DARK: &str = "#14303d";
    /// Lesser text.
    pub const SOFT: &str = "#4d6570";
    /// Fine lines.
    pub const FINE: &str = "#9fb3bc";
    /// Land tint behind headings.
    pub const SAND: &str = "#f4ecd8";
    /// Water tint.
    pub const WATER: &str = "#e3eff5";
    /// What needs attention.
    pub const ALERT: &str = "#9b1b5a";
}

/// Where a text is: left, top, width, height in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct TextBox {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Greatest width.
    pub w: f64,
    /// Height.
    pub h: f64,
    /// Size of the type in points.
    pub points: f64,
    /// The text.
    pub text: String,
}

/// Where a text hangs on its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The point is its left end.
    Start,
    /// The point is its middle.
    Middle,
    /// The point is its right end.
    End,
}

/// How a text looks.
#[derive(Clone, Copy, Debug)]
pub struct Type {
    /// Size in points.
    pub points: f64,
    /// Bold.
    pub bold: bool,
    /// Colour.
    pub fill: &'static str,
    /// Where it hangs.
    pub anchor: Anchor,
}

impl Type {
    /// Plain text of a size.
    #[must_use]
    pub const fn plain(points: f64) -> Self {
        Self { points, bold: false, fill: ink::DARK, anchor: Anchor::Start }
    }
    /// The same in bold.
    #[must_use]
    pub const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
    /// The same in another colour.
    #[must_use]
    pub const fn fill(self, fill: &'static str) -> Self {
        Self { fill, ..self }
    }
    /// The same, hanging elsewhere.
    #[must_use]
    pub const fn anchor(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }
    /// Greatest width of a text in millimetres.
    #[must_use]
    pub fn width(self, text: &str) -> f64 {
        width(text, self.points * POINT, self.bold)
    }
}

/// A sheet, in millimetres.
#[derive(Clone, Debug)]
pub struct Canvas {
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// Every text on it.
    pub texts: Vec<TextBox>,
    /// Every wire on it, from end to end.
    pub wires: Vec<[f64; 4]>,
    body: String,
}

/// Escapes text for XML and drops characters that XML cannot hold.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// A coordinate, short and always the same.
fn n(x: f64) -> String {
    let text = format!("{x:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.to_string() }
}

impl Canvas {
    /// An empty sheet.
    #[must_use]
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, texts: Vec::new(), wires: Vec::new(), body: String::new() }
    }

    /// A text with its baseline at `y`.
    pub fn text(&mut self, x: f64, y: f64, style: Type, text: &str) {
        if text.trim().is_empty() {
            return;
        }
        let size = style.points * POINT;
        let w = style.width(text);
        let (left, anchor) = match style.anchor {
            Anchor::Start => (x, ""),
            Anchor::Middle => (x - w / 2.0, " text-anchor=\"middle\""),
            Anchor::End => (x - w, " text-anchor=\"end\""),
        };
        let weight = if style.bold { " font-weight=\"bold\"" } else { "" };
        let _ = writeln!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\"{weight}{anchor}>{}</text>",
            n(x),
            n(y),
            n(size),
            style.fill,
            escape(text)
        );
        self.texts.push(TextBox {
            x: left,
            y: y - 0.78 * size,
            w,
            h: size,
            points: style.points,
            text: text.to_string(),
        });
    }

    /// A wire: a line that must not run through a text.
    pub fn wire(&mut self, from: (f64, f64), to: (f64, f64), thick: f64) {
        self.wires.push([from.0, from.1, to.0, to.1]);
        self.line(from, to, thick, ink::DARK);
    }

    /// A line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), thick: f64, stroke: &str) {
        let _ = writeln!(
            self.body,
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{stroke}\" stroke-width=\"{}\"/>",
            n(from.0),
            n(from.1),
            n(to.0),
            n(to.1),
            n(thick)
        );
    }

    /// A rectangle by left, top, width and height; an empty stroke draws no edge.
    pub fn rect(&mut self, [x, y, w, h]: [f64; 4], fill: &str, stroke: &str, thick: f64) {
        let edge = if stroke.is_empty() {
            String::new()
        } else {
            format!(" stroke=\"{stroke}\" stroke-width=\"{}\"", n(thick))
        };
        let _ = writeln!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{fill}\"{edge}/>",
            n(x),
            n(y),
            n(w),
            n(h)
        );
    }

    /// A circle.
    pub fn circle(&mut self, x: f64, y: f64, r: f64, fill: &str, stroke: &str, thick: f64) {
        let _ = writeln!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{fill}\" stroke=\"{stroke}\" stroke-width=\"{}\"/>",
            n(x),
            n(y),
            n(r),
            n(thick)
        );
    }

    /// Straight lines from point to point.
    pub fn path(&mut self, points: &[(f64, f64)], closed: bool, fill: &str, stroke: &str, thick: f64) {
        let mut d = String::new();
        for (at, (x, y)) in points.iter().enumerate() {
            let _ = write!(d, "{}{} {}", if at == 0 { "M" } else { " L" }, n(*x), n(*y));
        }
        if closed {
            d += " Z";
        }
        let _ = writeln!(
            self.body,
            "<path d=\"{d}\" fill=\"{fill}\" stroke=\"{stroke}\" stroke-width=\"{}\" stroke-linejoin=\"round\"/>",
            n(thick)
        );
    }

    /// A broken line.
    pub fn dashed(&mut self, from: (f64, f64), to: (f64, f64), thick: f64, stroke: &str) {
        let _ = writeln!(
            self.body,
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{stroke}\" stroke-width=\"{}\" stroke-dasharray=\"1.6 1\"/>",
            n(from.0),
            n(from.1),
            n(to.0),
            n(to.1),
            n(thick)
        );
    }

    /// A closed shape that lets what is behind it show.
    pub fn tint(&mut self, points: &[(f64, f64)], fill: &str) {
        let corners: Vec<String> = points.iter().map(|(x, y)| format!("{},{}", n(*x), n(*y))).collect();
        let _ = writeln!(
            self.body,
            "<polygon points=\"{}\" fill=\"{fill}\" fill-opacity=\"0.35\"/>",
            corners.join(" ")
        );
    }

    /// Puts another sheet on this one, its top edge at `y`.
    pub fn place(&mut self, other: &Self, y: f64) {
        let _ = write!(self.body, "<g transform=\"translate(0 {})\">\n{}</g>\n", n(y), other.body);
        self.texts.extend(other.texts.iter().map(|t| TextBox { y: t.y + y, ..t.clone() }));
        self.wires.extend(other.wires.iter().map(|w| [w[0], w[1] + y, w[2], w[3] + y]));
    }

    /// The sheet as an SVG element for a page that already has its margins.
    #[must_use]
    pub fn inline(&self, title: &str) -> String {
        self.svg(title, 0.0, 0.0, self.width, self.height, "")
    }

    /// The sheet as a file of its own: centred on a page of the given size, in millimetres.
    #[must_use]
    pub fn file(&self, title: &str, page: (f64, f64)) -> String {
        let (dx, dy) = ((page.0 - self.width) / 2.0, (page.1 - self.height) / 2.0);
        let paper = format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#ffffff\"/>\n",
            n(-dx),
            n(-dy),
            n(page.0),
            n(page.1)
        );
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}",
            self.svg(title, -dx, -dy, page.0, page.1, &paper)
        )
    }

    fn svg(&self, title: &str, x: f64, y: f64, w: f64, h: f64, first: &str) -> String {
        let title = escape(title);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"{} {} {w} {h}\" \
             font-family=\"sans-serif\" role=\"img\" aria-label=\"{title}\">\n<title>{title}</title>\n{first}{}</svg>\n",
            n(x),
            n(y),
            self.body,
            w = n(w),
            h = n(h),
        )
    }
}
