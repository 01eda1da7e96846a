//! Where the two leads leave a row of cells.

use crate::error::Error;

/// Where the two leads leave a row of parallel cells. Cells are counted from 1, as on a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TakeOff {
    /// Both at the first cell.
    SameEnd,
    /// Positive at the first, negative at the last cell.
    Diagonal,
    /// Both at the middle; with an even number of cells positive at the one before and negative at the one after it.
    Middle,
    /// Anywhere.
    At {
        /// Cell whose positive post the lead leaves from.
        positive: usize,
        /// Cell whose negative post the lead leaves from.
        negative: usize,
    },
}

impl TakeOff {
    /// The take-offs that have a name.
    pub const NAMED: [Self; 3] = [Self::SameEnd, Self::Diagonal, Self::Middle];

    /// Its word; none for arbitrary cells.
    #[must_use]
    pub fn word(self) -> Option<&'static str> {
        match self {
            Self::SameEnd => Some("same-end"),
            Self::Diagonal => Some("diagonal"),
            Self::Middle => Some("middle"),
            Self::At { .. } => None,
        }
    }

    /// Reads a word.
    ///
    /// # Errors
    /// [`Error::Input`] with the choices.
    pub fn parse(text: &str, field: &str) -> Result<Self, Error> {
        Self::NAMED.into_iter().find(|t| t.word() == Some(text.trim())).ok_or_else(|| {
            Error::input(field, format!("'{}'", text.trim()), "one of same-end, diagonal, middle")
        })
    }

    /// The cells of the positive and of the negative lead in a row of so many, counted from 1.
    ///
    /// # Errors
    /// [`Error::Input`] for a row without cells or a cell that is not in it.
    ///
    /// ```
    /// use orlop::pack::TakeOff;
    /// assert_eq!(TakeOff::Diagonal.cells(4)?, (1, 4));
    /// assert_eq!(TakeOff::Middle.cells(4)?, (2, 3));
    /// assert_eq!(TakeOff::Middle.cells(5)?, (3, 3));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn cells(self, count: usize) -> Result<(usize, usize), Error> {
        if count == 0 {
            return Err(Error::input("cells", "0", "one cell or more"));
        }
        Ok(match self {
            Self::SameEnd => (1, 1),
            Self::Diagonal => (1, count),
            Self::Middle => (count.div_ceil(2), count / 2 + 1),
            Self::At { positive, negative } => {
                for (field, cell) in [("positive", positive), ("negative", negative)] {
                    if cell == 0 || cell > count {
                        return Err(Error::input(
                            field,
                            format!("cell {cell}"),
                            format!("a cell from 1 to {count}"),
                        ));
                    }
                }
                (positive, negative)
            }
        })
    }
}

impl std::fmt::Display for TakeOff {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::At { positive, negative } => write!(f, "+ at cell {positive}, - at cell {negative}"),
            named => f.write_str(named.word().unwrap_or_default()),
        }
    }
}
