//! Cells in a box: every rectangular arrangement that the cell allows, and the nearest where none fits.

use crate::cell::Size;
use crate::choice::choice;
use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Severity, Verdict};
use crate::source::Confidence;
use orlop_units::{Length, Quantity, Volume, metres, show};

choice! {
    /// How a cell stands; ask its data sheet which it allows.
    Stance {
        /// On its base, terminals up.
        Upright = "upright",
        /// On its narrow side, terminals to one side.
        OnSide = "on-side",
        /// On its wide face, terminals to one side.
        OnFace = "on-face",
    }
}

/// The inside of a box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inside {
    /// Along the boat.
    pub length: Length,
    /// Across the boat.
    pub width: Length,
    /// Up.
    pub height: Length,
}

impl Inside {
    /// From three lengths.
    ///
    /// # Errors
    /// [`Error::Input`] for a length not above zero.
    pub fn new(length: Length, width: Length, height: Length) -> Result<Self, Error> {
        Ok(Self {
            length: positive(length, "length")?,
            width: positive(width, "width")?,
            height: positive(height, "height")?,
        })
    }

    fn sides(&self) -> [f64; 3] {
        [self.length.si(), self.width.si(), self.height.si()]
    }
}

/// Free space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gaps {
    /// Between neighbours, in every direction.
    pub between: Length,
    /// From the cells to each wall, floor and lid.
    pub wall: Length,
    /// In front of every row of terminals.
    pub terminals: Length,
}

impl Gaps {
    /// From three lengths of zero or more.
    ///
    /// # Errors
    /// [`Error::Input`] for a negative length.
    pub fn new(between: Length, wall: Length, terminals: Length) -> Result<Self, Error> {
        Ok(Self {
            between: not_negative(between, "between")?,
            wall: not_negative(wall, "wall")?,
            terminals: not_negative(terminals, "terminals")?,
        })
    }
}

/// Which side of a cell lies along an axis of the box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// Cells along the axis.
    pub count: u32,
    /// The side of the cell: 0 thickness, 1 width, 2 height.
    pub side: usize,
}

/// One arrangement: rows along, across and up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrangement {
    /// How the cells stand.
    pub stance: Stance,
    /// Rows along the length, across the width, and layers.
    pub rows: [Row; 3],
    /// The inside that it needs.
    pub needs: Inside,
}

impl Arrangement {
    fn new(cell: Size, stance: Stance, rows: [Row; 3], gaps: &Gaps) -> Self {
        let sides = [cell.thickness, cell.width, cell.height].map(Quantity::si);
        let need = |row: Row| {
            let n = f64::from(row.count);
            // Every row of lids needs its own free space before it.
            let lids = if row.side == 2 { n * gaps.terminals.si() } else { 0.0 };
            metres(n * sides[row.side] + (n - 1.0) * gaps.between.si() + 2.0 * gaps.wall.si() + lids)
        };
        let needs = Inside { length: need(rows[0]), width: need(rows[1]), height: need(rows[2]) };
        Self { stance, rows, needs }
    }

    /// Volume of the inside that it needs.
    #[must_use]
    pub fn volume(&self) -> Volume {
        self.needs.length * self.needs.width * self.needs.height
    }

    /// What each side of a box lacks for it.
    #[must_use]
    pub fn lacks(&self, inside: &Inside) -> [Length; 3] {
        let (need, have) = (self.needs.sides(), inside.sides());
        std::array::from_fn(|i| {
            let short = need[i] - have[i];
            metres(if short > 1e-9 * have[i] { short } else { 0.0 })
        })
    }

    /// Whether it fits into a box.
    #[must_use]
    pub fn fits(&self, inside: &Inside) -> bool {
        self.lacks(inside).iter().all(|l| l.si() == 0.0)
    }

    fn text(&self) -> String {
        let [a, b, c] = self.rows.map(|r| r.count);
        format!(
            "{a} x {b} x {c} {}, {} x {} x {}",
            self.stance.word(),
            show(self.needs.length),
            show(self.needs.width),
            show(self.needs.height)
        )
    }
}

/// Every rectangular arrangement of so many cells in the stances allowed, in up to so many layers; smallest first.
///
/// All cells stand alike; rows may have empty places at the end, but no row is empty.
///
/// # Errors
/// [`Error::Input`] for no cell, more than 10,000, no stance or no layer.
pub fn arrangements(
    cell: Size,
    count: u32,
    stances: &[Stance],
    layers: u32,
    gaps: &Gaps,
) -> Result<Vec<Arrangement>, Error> {
    if count == 0 || count > 10_000 {
        return Err(Error::input("cells", count.to_string(), "1 to 10,000"));
    }
    if stances.is_empty() {
        return Err(Error::input("stances", "none", format!("some of {}", Stance::WORDS.join(", "))));
    }
    if layers == 0 {
        return Err(Error::input("layers", "0", "one or more"));
    }
    let mut all = Vec::new();
    for &stance in stances {
        // The two sides that lie flat, and the one that stands.
        let (flat, up) = match stance {
            Stance::Upright => ([0, 1], 2),
            Stance::OnSide => ([0, 2], 1),
            Stance::OnFace => ([1, 2], 0),
        };
        for sides in [flat, [flat[1], flat[0]]] {
            for high in 1..=layers.min(count) {
                let floor = count.div_ceil(high);
                for along in 1..=floor {
                    let across = floor.div_ceil(along);
                    let spare = (along - 1) * across >= floor || along * across * (high - 1) >= count;
                    if !spare {
                        let rows = [(along, sides[0]), (across, sides[1]), (high, up)];
                        let rows = rows.map(|(count, side)| Row { count, side });
                        all.push(Arrangement::new(cell, stance, rows, gaps));
                    }
                }
            }
        }
    }
    all.sort_by(|a, b| a.volume().si().total_cmp(&b.volume().si()).then(a.stance.cmp(&b.stance)));
    Ok(all)
}

/// Whether any arrangement fits: rule `box-fits`, with the nearest where none does, the one that lacks least in sum.
///
/// # Errors
/// As [`arrangements`].
pub fn judge_fit(
    inside: &Inside,
    cell: Size,
    count: u32,
    stances: &[Stance],
    layers: u32,
    gaps: &Gaps,
) -> Result<(Judgement, Arrangement), Error> {
    let all = arrangements(cell, count, stances, layers, gaps)?;
    let verdict =
        |v| Judgement::bare("box-fits", "bank.box", Severity::B, v).clause("geometry", Confidence::Published);
    if let Some(fits) = all.iter().find(|a| a.fits(inside)) {
        return Ok((verdict(Verdict::Pass).what(format!("{count} cells fit: {}", fits.text())), *fits));
    }
    let lack = |a: &Arrangement| a.lacks(inside).iter().map(|l| l.si()).sum::<f64>();
    let nearest = all.iter().min_by(|a, b| lack(a).total_cmp(&lack(b))).expect("one row of all at least");
    let named = ["length", "width", "height"];
    let short: Vec<String> = nearest
        .lacks(inside)
        .iter()
        .zip(named)
        .filter(|(l, _)| l.si() > 0.0)
        .map(|(l, name)| format!("{} more {name}", show(*l)))
        .collect();
    let judgement = verdict(Verdict::Fail)
        .what(format!(
            "{count} cells of {cell} do not fit into {} x {} x {}",
            show(inside.length),
            show(inside.width),
            show(inside.height)
        ))
        .to_do(format!("nearest is {}: {}", nearest.text(), short.join(", ")));
    Ok((judgement, *nearest))
}
