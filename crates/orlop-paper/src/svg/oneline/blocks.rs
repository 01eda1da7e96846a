//! Cutting the feed tree into pieces that fit a sheet.

use crate::view::{Branch, End, Tree};

/// Greatest number of buses set in below one another on a sheet.
const DEEPEST: usize = 4;
/// Height of a row of one line, in millimetres.
pub(super) const PITCH: f64 = 5.8;
/// Height that the head of a bus takes at most in the estimate that cutting goes by.
const HEAD: f64 = 13.0;

/// A row of the diagram.
#[derive(Clone, Debug)]
pub(super) enum Row {
    /// The head of a bus.
    Head { node: usize, depth: usize, continued: bool },
    /// A circuit that ends in a load, a source, or a bus on another sheet.
    Branch { node: usize, depth: usize, branch: usize },
}

impl Row {
    /// The bus it belongs to.
    pub(super) fn owner(&self) -> usize {
        match *self {
            Self::Head { node, .. } | Self::Branch { node, .. } => node,
        }
    }
    /// How far its bus is set in.
    pub(super) fn depth(&self) -> usize {
        match *self {
            Self::Head { depth, .. } | Self::Branch { depth, .. } => depth,
        }
    }
}

/// A piece of the tree that is drawn in one go.
pub(super) struct Block {
    pub(super) rows: Vec<Row>,
}

/// The circuit that feeds a node.
pub(super) fn feed(tree: &Tree, node: usize) -> Option<&Branch> {
    let parent = tree.nodes.get(tree.nodes[node].parent?)?;
    parent.branches.iter().find(|b| matches!(b.end, End::Node(n) if n == node))
}

/// Cuts the tree so that each piece is at most `room` high, where cutting between panels can do that.
pub(super) fn split(tree: &Tree, room: f64) -> Vec<Block> {
    let n = tree.nodes.len();
    let mut cut: Vec<bool> = tree.nodes.iter().map(|node| node.parent.is_none()).collect();
    let mut depth = vec![0_usize; n];
    for node in 0..n {
        if let Some(parent) = tree.nodes[node].parent {
            depth[node] = depth[parent] + 1;
            if depth[node] > DEEPEST {
                cut[node] = true;
                depth[node] = 0;
            }
        }
    }
    let mut hopeless = vec![false; n];
    loop {
        let (height, root) = measure(tree, &cut);
        let Some(high) = (0..n).find(|&i| cut[i] && !hopeless[i] && height[i] > room) else { break };
        let inside: Vec<usize> = (0..n).filter(|&i| !cut[i] && root[i] == high).collect();
        // The smallest piece that helps enough; else the largest that still fits a sheet; else any.
        let over = height[high] - room + PITCH;
        let by_height = |a: &usize, b: &usize| height[*a].total_cmp(&height[*b]).then(b.cmp(a));
        let fitting = || inside.iter().copied().filter(|&i| height[i] <= room);
        let choice = fitting()
            .filter(|&i| height[i] >= over)
            .min_by(by_height)
            .or_else(|| fitting().max_by(by_height))
            .or_else(|| inside.iter().copied().max_by(by_height));
        match choice {
            Some(node) => cut[node] = true,
            None => hopeless[high] = true,
        }
    }
    (0..n).filter(|&i| cut[i]).map(|root| Block { rows: rows(tree, &cut, root) }).collect()
}

/// Height of each node's subtree, and the root of the piece it is in.
fn measure(tree: &Tree, cut: &[bool]) -> (Vec<f64>, Vec<usize>) {
    let n = tree.nodes.len();
    let mut height = vec![0.0; n];
    let mut root: Vec<usize> = (0..n).collect();
    for node in (0..n).rev() {
        height[node] = HEAD
            + tree.nodes[node]
                .branches
                .iter()
                .map(|b| match b.end {
                    End::Node(child) if !cut[child] => height[child],
                    _ => PITCH,
                })
                .sum::<f64>();
    }
    for node in 0..n {
        if let Some(parent) = tree.nodes[node].parent.filter(|_| !cut[node]) {
            root[node] = root[parent];
        }
    }
    (height, root)
}

fn rows(tree: &Tree, cut: &[bool], root: usize) -> Vec<Row> {
    let mut out = Vec::new();
    let mut stack = vec![(root, 0)];
    while let Some((node, depth)) = stack.pop() {
        out.push(Row::Head { node, depth, continued: false });
        let branches = &tree.nodes[node].branches;
        let order = |b: &Branch| match b.end {
            End::Source { .. } => 0,
            End::Load { .. } => 1,
            End::Node(_) | End::Again(_) => 2,
        };
        let mut at: Vec<usize> = (0..branches.len()).collect();
        at.sort_by_key(|&i| order(&branches[i]));
        let mut below = Vec::new();
        for branch in at {
            match branches[branch].end {
                End::Node(child) if !cut[child] => below.push((child, depth + 1)),
                _ => out.push(Row::Branch { node, depth, branch }),
            }
        }
        stack.extend(below.into_iter().rev());
    }
    out
}
