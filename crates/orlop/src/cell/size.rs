//! Three lengths of a cell or a box, as people write them.

use crate::error::{Error, positive};
use orlop_units::{Length, Quantity, Volume, exact, parse, significant};

/// Thickness, width and height of a cell, without its terminals.
///
/// ```
/// use orlop::cell::Size;
/// let size = Size::parse("54 x 174 x 207 mm", "size")?;
/// assert_eq!(size.to_string(), "54 x 174 x 207 mm");
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// The side that swells.
    pub thickness: Length,
    /// The wide side.
    pub width: Length,
    /// From the base to the lid.
    pub height: Length,
}

impl Size {
    /// From three lengths.
    ///
    /// # Errors
    /// [`Error::Input`] for a length not above zero.
    pub fn new(thickness: Length, width: Length, height: Length) -> Result<Self, Error> {
        Ok(Self {
            thickness: positive(thickness, "thickness")?,
            width: positive(width, "width")?,
            height: positive(height, "height")?,
        })
    }

    /// Reads three lengths with an `x` between them; a unit at the end holds for those that have none.
    ///
    /// # Errors
    /// [`Error::Input`] for anything else.
    pub fn parse(text: &str, field: &str) -> Result<Self, Error> {
        let refuse = || {
            let got: String = text.trim().chars().take(60).collect();
            Error::input(field, format!("'{got}'"), "thickness x width x height, such as '54 x 174 x 207 mm'")
        };
        let sides: Vec<&str> = text.split(['x', '\u{d7}']).map(str::trim).collect();
        let [first, second, last] = sides.as_slice() else { return Err(refuse()) };
        let unit = last.trim_start_matches(|c: char| c.is_ascii_digit() || ".+-eE ".contains(c));
        let read = |side: &str| -> Result<Length, Error> {
            let bare = side.parse::<f64>().is_ok();
            let side = if bare { format!("{side} {unit}") } else { side.to_string() };
            Ok(parse(&side, field)?)
        };
        if unit.is_empty() {
            return Err(refuse());
        }
        Self::new(read(first)?, read(second)?, read(last)?).map_err(|_| refuse())
    }

    /// Volume of the body.
    #[must_use]
    pub fn volume(self) -> Volume {
        self.thickness * self.width * self.height
    }

    /// Text that reads back to the same bits.
    #[must_use]
    pub fn exact(self) -> String {
        [self.thickness, self.width, self.height].map(|l| exact(Length::KIND, l.si())).join(" x ")
    }
}

impl std::fmt::Display for Size {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mm = |l: Length| significant(l.si() * 1e3, 4);
        write!(f, "{} x {} x {} mm", mm(self.thickness), mm(self.width), mm(self.height))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_ways_people_write_sizes_and_refuses_the_rest() {
        let wanted = Size::parse("54 x 174 x 207 mm", "size").unwrap();
        for text in [
            "54x174x207mm",
            "54 mm x 174 mm x 207 mm",
            "5.4 cm x 17.4 cm x 207 mm",
            "54 \u{d7} 174 \u{d7} 207 mm",
        ] {
            let size = Size::parse(text, "size").unwrap();
            assert!((size.volume().si() / wanted.volume().si() - 1.0).abs() < 1e-12, "{text}");
        }
        assert_eq!(Size::parse(&wanted.exact(), "size").unwrap(), wanted);
        for text in [
            "",
            "54 x 174 x 207",
            "54 x 174 mm",
            "54 x 0 x 207 mm",
            "54 x -1 x 207 mm",
            "54 x 174 x 207 V",
            "a x b x c mm",
            "NaN x 1 x 1 mm",
        ] {
            assert!(Size::parse(text, "size").is_err(), "{text}");
        }
    }
}
