//! The one-line diagram: banks, panels and converters as buses, circuits as rows, on as many sheets as it takes.
//!
//! Every circuit is one row of its bus: device, rating, conductor with its one-way length, what it feeds, current.
//! A bus that hangs on another is set in by one step below it. Rows have a fixed pitch and type of 8 points, so
//! that it can be read on the printed page; what does not fit goes on further sheets, panel by panel.

mod blocks;
mod columns;
mod frame;
mod row;
pub(super) mod symbols;

use super::{Canvas, PAGE_HEIGHT, PAGE_WIDTH};
use crate::view::{End, Tree};
use blocks::{Block, Row};
use columns::Columns;

/// What stands at the head and foot of every sheet.
#[derive(Clone, Debug, Default)]
pub struct Title {
    /// Name of the boat.
    pub boat: String,
    /// State, rule set, version, date: one line.
    pub line: String,
    /// What is not covered, and the caution: at the foot.
    pub notes: Vec<String>,
}

/// Draws the tree; one canvas for each sheet, at least one.
#[must_use]
pub fn oneline(tree: &Tree, title: &Title) -> Vec<Canvas> {
    let heat = tree.nodes.iter().flat_map(|n| &n.branches).any(|b| b.heat.is_some());
    let foot = frame::foot_height(title, heat);
    let (top, bottom) = (frame::HEAD, PAGE_HEIGHT - foot);
    let blocks = blocks::split(tree, bottom - top);
    let columns = Columns::of(tree, &blocks);
    let sheets = arrange(tree, &blocks, &columns, top, bottom);
    let sheets_of = Sheets(&sheets);
    sheets
        .iter()
        .enumerate()
        .map(|(at, placed)| {
            let mut canvas = Canvas::new(PAGE_WIDTH, PAGE_HEIGHT);
            frame::draw(&mut canvas, title, (at + 1, sheets.len()), heat);
            row::draw(&mut canvas, tree, &columns, placed, &sheets_of);
            canvas
        })
        .collect()
}

/// Looks up on which sheet, from 1, something is.
struct Sheets<'a>(&'a [Vec<Placed>]);

impl Sheets<'_> {
    fn find(&self, is: impl Fn(&Row) -> bool) -> usize {
        self.0.iter().position(|s| s.iter().any(|p| is(&p.row))).map_or(1, |at| at + 1)
    }
    /// The sheet on which a bus begins.
    fn bus(&self, bus: usize) -> usize {
        self.find(|r| matches!(r, Row::Head { node, continued: false, .. } if *node == bus))
    }
    /// The sheet that shows the circuit feeding a bus that heads a block.
    fn feed(&self, tree: &Tree, bus: usize) -> usize {
        self.find(|r| match r {
            Row::Branch { node, branch, .. } => {
                matches!(tree.nodes[*node].branches[*branch].end, End::Node(n) if n == bus)
            }
            Row::Head { .. } => false,
        })
    }
}

/// A row with its place on a sheet.
#[derive(Clone, Debug)]
struct Placed {
    row: Row,
    /// Top and height, in millimetres.
    y: f64,
    h: f64,
}

/// Puts blocks on sheets in order; a block that is too high for a sheet goes on with its head repeated.
fn arrange(tree: &Tree, blocks: &[Block], columns: &Columns, top: f64, bottom: f64) -> Vec<Vec<Placed>> {
    const GAP: f64 = 5.0;
    let mut sheets: Vec<Vec<Placed>> = vec![Vec::new()];
    let mut y = top;
    for block in blocks {
        let height: f64 = block.rows.iter().map(|r| columns.height(tree, r)).sum();
        let empty = sheets.last().is_none_or(Vec::is_empty);
        if !empty && y + GAP + height > bottom {
            sheets.push(Vec::new());
            y = top;
        } else if !empty {
            y += GAP;
        }
        for (at, row) in block.rows.iter().enumerate() {
            let h = columns.height(tree, row);
            if y + h > bottom && at > 0 {
                sheets.push(Vec::new());
                y = top;
                if !matches!(row, Row::Head { .. }) {
                    let again = Row::Head { node: row.owner(), depth: row.depth(), continued: true };
                    let h = columns.height(tree, &again);
                    sheets.last_mut().expect("one").push(Placed { row: again, y, h });
                    y += h;
                }
            }
            sheets.last_mut().expect("one").push(Placed { row: row.clone(), y, h });
            y += h;
        }
    }
    sheets
}
