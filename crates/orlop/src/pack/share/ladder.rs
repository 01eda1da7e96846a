//! A row of parallel cells between two rails: who carries how much.
//!
//! Around each mesh between neighbours, with `i` the currents of the cells and `P`, `N` those of the links,
//!
//! `(E_k - R_k i_k) - (E_(k+1) - R_(k+1) i_(k+1)) = p_k P_k - n_k N_k`
//!
//! exact, for any resistances, in time proportional to the number of cells.

use super::mesh::{Mesh, Rails};
use super::{Sharing, TakeOff};
use crate::error::{Error, not_negative, positive};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Current, Fraction, Quantity, Resistance, Voltage, amperes, ohms, show, volts, watts};

pub(crate) static KIRCHHOFF: Citation = Citation::fixed(
    "parallel-cells-ladder",
    "laws of Kirchhoff and Ohm on cells between two rails",
    "",
    "sum of currents at each node, sum of voltages around each mesh",
    "sharing of a current among parallel cells with links of their own",
    Confidence::Published,
    "exact; check values solved apart from this code",
);

/// A place where two pieces of metal meet, or a piece with a resistance of its own. Counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Contact {
    /// At either post of a cell.
    Cell(usize),
    /// In the positive link between this cell and the next.
    PositiveLink(usize),
    /// In the negative link between this cell and the next.
    NegativeLink(usize),
}

/// A row of parallel cells between two rails.
///
/// ```
/// use orlop::pack::{Ladder, TakeOff};
/// use orlop::units::{amperes, ohms, show};
/// // Four cells of 0.55 mohm, links of 0.08 mohm on each rail, both leads at the first cell.
/// let row = Ladder::even(4, ohms(0.55e-3), ohms(0.08e-3))?;
/// let shared = row.share(TakeOff::SameEnd, amperes(100.0))?;
/// let shown: Vec<String> = shared.currents.iter().map(|i| show(*i)).collect();
/// assert_eq!(shown, ["42.9 A", "26.3 A", "17.3 A", "13.4 A"]);
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    pub(super) cells: Vec<f64>,
    pub(super) cell_joints: Vec<f64>,
    pub(super) voltages: Option<Vec<f64>>,
    pub(super) links: [Vec<f64>; 2],
    pub(super) link_joints: [Vec<f64>; 2],
    pub(super) open: Vec<bool>,
}

impl Ladder {
    /// Cells and the links of each rail, one less than cells; the resistance of a link holds its joints.
    ///
    /// # Errors
    /// [`Error::Input`] for no cell, a cell not above zero, a link below zero, or a wrong number of links.
    pub fn new(
        cells: &[Resistance],
        positive_links: &[Resistance],
        negative_links: &[Resistance],
    ) -> Result<Self, Error> {
        if cells.is_empty() {
            return Err(Error::input("cells", "0", "one cell or more"));
        }
        let gaps = cells.len() - 1;
        let links = |links: &[Resistance], field: &str| {
            if links.len() != gaps {
                let wanted = format!("{gaps} links for {} cells", cells.len());
                return Err(Error::input(field, format!("{} links", links.len()), wanted));
            }
            links.iter().map(|r| Ok(not_negative(*r, field)?.si())).collect::<Result<Vec<f64>, Error>>()
        };
        Ok(Self {
            cells: cells.iter().map(|r| Ok(positive(*r, "cells")?.si())).collect::<Result<_, Error>>()?,
            cell_joints: vec![0.0; cells.len()],
            voltages: None,
            links: [links(positive_links, "positive_links")?, links(negative_links, "negative_links")?],
            link_joints: [vec![0.0; gaps], vec![0.0; gaps]],
            open: vec![false; cells.len()],
        })
    }

    /// Equal cells with equal links, `link` for each link of each rail.
    ///
    /// # Errors
    /// As [`Ladder::new`].
    pub fn even(cells: usize, cell: Resistance, link: Resistance) -> Result<Self, Error> {
        let links = vec![link; cells.saturating_sub(1)];
        Self::new(&vec![cell; cells], &links, &links)
    }

    /// The same with the voltages of the cells at no current; without them all are equal.
    ///
    /// # Errors
    /// [`Error::Input`] for another number of voltages than cells, or one that is not above zero.
    pub fn with_voltages(self, voltages: &[Voltage]) -> Result<Self, Error> {
        if voltages.len() != self.cells.len() {
            let wanted = format!("{} voltages, one for each cell", self.cells.len());
            return Err(Error::input("voltages", voltages.len().to_string(), wanted));
        }
        let checked = voltages.iter().map(|v| Ok(positive(*v, "voltages")?.si()));
        Ok(Self { voltages: Some(checked.collect::<Result<_, Error>>()?), ..self })
    }

    /// The same with a bad joint: a resistance more at a contact.
    ///
    /// # Errors
    /// [`Error::Input`] for a contact that is not there or a resistance below zero.
    pub fn with_joint(mut self, contact: Contact, extra: Resistance) -> Result<Self, Error> {
        let extra = not_negative(extra, "extra")?.si();
        let (list, at) = match contact {
            Contact::Cell(at) => (&mut self.cell_joints, at),
            Contact::PositiveLink(at) => (&mut self.link_joints[0], at),
            Contact::NegativeLink(at) => (&mut self.link_joints[1], at),
        };
        let count = list.len();
        let Some(place) = at.checked_sub(1).and_then(|at| list.get_mut(at)) else {
            return Err(Error::input(
                "contact",
                format!("{contact:?}"),
                format!("a place from 1 to {count}"),
            ));
        };
        *place += extra;
        Ok(self)
    }

    /// The same after a cell has failed open or was taken out, its posts still linked. Counted from 1.
    ///
    /// # Errors
    /// [`Error::Input`] for a cell that is not there; [`Error::NoSolution`] when none would be left.
    pub fn without(mut self, cell: usize) -> Result<Self, Error> {
        let count = self.open.len();
        let Some(place) = cell.checked_sub(1).and_then(|at| self.open.get_mut(at)) else {
            return Err(Error::input("cell", cell.to_string(), format!("a cell from 1 to {count}")));
        };
        *place = true;
        if self.open.iter().all(|open| *open) {
            return Err(Error::NoSolution { what: "no cell of the row is left".into(), hint: String::new() });
        }
        Ok(self)
    }

    /// Number of cells.
    #[must_use]
    pub fn len(&self) -> usize {
        self.cells.len()
    }
    /// Never: a row has a cell.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    pub(super) fn rails(&self, take_off: TakeOff) -> Result<Rails, Error> {
        let (positive, negative) = take_off.cells(self.cells.len())?;
        let whole = |rail: usize| {
            self.links[rail].iter().zip(&self.link_joints[rail]).map(|(link, joint)| link + joint).collect()
        };
        Ok(Rails {
            positive: whole(0),
            negative: whole(1),
            take_positive: positive - 1,
            take_negative: negative - 1,
        })
    }

    pub(super) fn live(&self) -> Vec<usize> {
        (0..self.cells.len()).filter(|k| !self.open[*k]).collect()
    }

    /// Resistance of a branch: the cell with its joints.
    pub(super) fn branch(&self, cell: usize) -> f64 {
        self.cells[cell] + self.cell_joints[cell]
    }

    pub(super) fn emf(&self, cell: usize) -> f64 {
        self.voltages.as_ref().map_or(0.0, |v| v[cell])
    }

    /// How a current is shared; discharge is positive, zero shows what flows between the cells.
    ///
    /// # Errors
    /// [`Error::Input`] for a take-off at a cell that is not there, or a current that is no number.
    pub fn share(&self, take_off: TakeOff, current: Current) -> Result<Sharing, Error> {
        self.share_recorded(take_off, current, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Ladder::share`].
    pub fn share_recorded(
        &self,
        take_off: TakeOff,
        current: Current,
        rec: &mut impl Recorder,
    ) -> Result<Sharing, Error> {
        let load = finite(current)?;
        let rails = self.rails(take_off)?;
        let mut mesh = Mesh::new(&rails, self.live());
        let first = mesh.live[0];
        let branches: Vec<f64> = (0..self.cells.len()).map(|k| self.branch(k)).collect();
        mesh.factor(&branches);
        let mut currents = vec![0.0; self.cells.len()];
        // Volts at the take-off per ampere, with all cells alike.
        mesh.solve(&vec![0.0; self.cells.len()], 1.0);
        mesh.currents(1.0, &mut currents);
        let resistance = -mesh.voltage(-branches[first] * currents[first], 1.0);
        let emf: Vec<f64> = (0..self.cells.len()).map(|k| self.emf(k)).collect();
        mesh.solve(&emf, load);
        mesh.currents(load, &mut currents);
        let voltage = mesh.voltage(emf[first] - branches[first] * currents[first], load);
        let mut links = [Vec::new(), Vec::new()];
        mesh.links(&rails, load, |_, p, n| {
            links[0].push(p);
            links[1].push(n);
        });
        let heat = |i: &[f64], r: &[f64]| i.iter().zip(r).map(|(i, r)| watts(i * i * r)).collect::<Vec<_>>();
        let sharing = Sharing {
            take_off: (rails.take_positive + 1, rails.take_negative + 1),
            load: current,
            shares: currents.iter().map(|i| (load != 0.0).then(|| Fraction::new(i / load))).collect(),
            cell_heat: heat(&currents, &branches),
            positive_link_heat: heat(&links[0], &rails.positive),
            negative_link_heat: heat(&links[1], &rails.negative),
            positive_links: links[0].iter().copied().map(amperes).collect(),
            negative_links: links[1].iter().copied().map(amperes).collect(),
            currents: currents.iter().copied().map(amperes).collect(),
            voltage: self.voltages.as_ref().map(|_| volts(voltage)),
            resistance: ohms(resistance),
        };
        rec.step(|| {
            Step::new("currents of the cells", "i", list(&sharing.currents))
                .formula("around each mesh (E - R i) - (E' - R' i') = p P - n N; sum of i = I")
                .input("I", current)
                .input("take-off", take_off.to_string())
                .input("R", list(&branches.iter().copied().map(ohms).collect::<Vec<_>>()))
                .input("p", list(&rails.positive.iter().copied().map(ohms).collect::<Vec<_>>()))
                .input("n", list(&rails.negative.iter().copied().map(ohms).collect::<Vec<_>>()))
                .source(&KIRCHHOFF)
        });
        rec.step(|| {
            Step::new("resistance between the leads", "R", sharing.resistance)
                .formula("volts lost at the take-off over the current, all cells alike")
        });
        Ok(sharing)
    }
}

pub(super) fn finite(current: Current) -> Result<f64, Error> {
    if current.si().is_finite() {
        return Ok(current.si());
    }
    Err(Error::input("current", show(current), "a current"))
}

/// At most eight values, as text.
fn list<Q: Quantity>(values: &[Q]) -> String {
    let mut shown: Vec<String> = values.iter().take(8).map(|v| show(*v)).collect();
    if values.len() > 8 {
        shown.push(format!("... {} in all", values.len()));
    }
    shown.join(", ")
}
