//! What depends on the pattern alone.

use super::NONE;
use super::order::order;
use super::peel::{Peeled, peel};

/// Order of elimination and pattern of the factor.
#[derive(Clone, Debug)]
pub struct Symbolic {
    /// Unknown to place.
    place: Vec<u32>,
    /// Place to unknown.
    unknown: Vec<u32>,
    /// Input pair to slot of its value.
    slot: Vec<u32>,
    slots: usize,
    pub(super) shape: Shape,
}

/// The pattern of the factor.
#[derive(Clone, Debug)]
pub(super) enum Shape {
    /// No loops: every place is coupled to one later place at most; the value of a slot couples it with that.
    Forest {
        /// The later place, or [`NONE`].
        up: Vec<u32>,
    },
    /// Anything else.
    General(General),
}

/// Patterns by columns and by rows.
#[derive(Clone, Debug, Default)]
pub(super) struct General {
    /// `A` above the diagonal, by columns: slot ranges and rows.
    pub a_start: Vec<usize>,
    pub a_row: Vec<u32>,
    /// `L` below the diagonal, by columns, rows ascending.
    pub l_start: Vec<usize>,
    pub l_row: Vec<u32>,
    /// `L` by rows: the columns of each row, ascending.
    pub r_start: Vec<usize>,
    pub r_column: Vec<u32>,
    /// Where each slot of `A` lies in `L`.
    pub a_in_l: Vec<u32>,
}

impl Symbolic {
    /// Orders `n` unknowns that are coupled in `pairs`; a pair may come more than once, its values then share a slot.
    ///
    /// # Panics
    /// When a pair names an unknown that does not exist, or twice the same.
    #[must_use]
    pub fn new(n: usize, pairs: &[(u32, u32)]) -> Self {
        Self::make(n, pairs, true)
    }

    /// The same, but a forest is treated like anything else: for comparison.
    #[must_use]
    pub fn general(n: usize, pairs: &[(u32, u32)]) -> Self {
        Self::make(n, pairs, false)
    }

    fn make(n: usize, pairs: &[(u32, u32)], forests: bool) -> Self {
        assert!(
            pairs.iter().all(|&(a, b)| a != b && (a as usize) < n && (b as usize) < n),
            "a pair couples two different unknowns"
        );
        let (edges, edge_of) = distinct(n, pairs);
        let peeled = peel(n, &edges);
        if forests && peeled.core.is_empty() {
            return Self::forest(n, &peeled, &edges, &edge_of);
        }
        let mut sequence = peeled.order.clone();
        sequence.extend(core_order(n, &peeled, &edges));
        let parent = elimination_tree(n, &edges, &inverse_of(&sequence));
        let unknown: Vec<u32> = postorder(&parent).into_iter().map(|p| sequence[p as usize]).collect();
        let place = inverse_of(&unknown);
        let (general, slot_of_edge) = General::new(n, &edges, &place);
        let slot = edge_of.iter().map(|&e| slot_of_edge[e as usize]).collect();
        Self { place, unknown, slot, slots: edges.len(), shape: Shape::General(general) }
    }

    fn forest(n: usize, peeled: &Peeled, edges: &[(u32, u32)], edge_of: &[u32]) -> Self {
        let unknown = peeled.order.clone();
        let place = inverse_of(&unknown);
        let up = unknown
            .iter()
            .map(|&v| match peeled.parent[v as usize] {
                NONE => NONE,
                parent => place[parent as usize],
            })
            .collect();
        // An edge belongs to the end that was peeled first: the child.
        let slot_of_edge = |(a, b): (u32, u32)| place[a as usize].min(place[b as usize]);
        let slot = edge_of.iter().map(|&e| slot_of_edge(edges[e as usize])).collect();
        Self { place, unknown, slot, slots: n, shape: Shape::Forest { up } }
    }

    /// Number of unknowns.
    #[must_use]
    pub fn len(&self) -> usize {
        self.place.len()
    }
    /// Whether there is no unknown.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.place.is_empty()
    }
    /// Where an unknown stands in the order of elimination.
    #[must_use]
    pub fn place(&self, unknown: usize) -> usize {
        self.place[unknown] as usize
    }
    /// The unknown at a place.
    #[must_use]
    pub fn unknown(&self, place: usize) -> usize {
        self.unknown[place] as usize
    }
    /// Where the value of the pair that came `k`-th stands; values of equal pairs are added up there.
    #[must_use]
    pub fn slot(&self, k: usize) -> usize {
        self.slot[k] as usize
    }
    /// Number of slots.
    #[must_use]
    pub fn slots(&self) -> usize {
        self.slots
    }
    /// Whether the pattern has no loops.
    #[must_use]
    pub fn is_forest(&self) -> bool {
        matches!(self.shape, Shape::Forest { .. })
    }
    /// Entries of the factor below the diagonal.
    #[must_use]
    pub fn entries(&self) -> usize {
        match &self.shape {
            Shape::Forest { up } => up.len(),
            Shape::General(g) => g.l_row.len(),
        }
    }
}

/// Each pair once, and which of them each input pair is.
fn distinct(n: usize, pairs: &[(u32, u32)]) -> (Vec<(u32, u32)>, Vec<u32>) {
    let mut start = vec![0_usize; n + 1];
    for &(a, b) in pairs {
        start[a.min(b) as usize + 1] += 1;
    }
    for v in 0..n {
        start[v + 1] += start[v];
    }
    let mut at = start.clone();
    let mut by_low = vec![0_u32; pairs.len()];
    for (k, &(a, b)) in pairs.iter().enumerate() {
        let low = a.min(b) as usize;
        by_low[at[low]] = k as u32;
        at[low] += 1;
    }
    let mut edges = Vec::with_capacity(pairs.len());
    let mut edge_of = vec![0_u32; pairs.len()];
    let mut seen = vec![(NONE, 0_u32); n];
    for low in 0..n {
        for &k in &by_low[start[low]..start[low + 1]] {
            let (a, b) = pairs[k as usize];
            let high = a.max(b) as usize;
            if seen[high].0 != low as u32 {
                seen[high] = (low as u32, edges.len() as u32);
                edges.push((low as u32, high as u32));
            }
            edge_of[k as usize] = seen[high].1;
        }
    }
    (edges, edge_of)
}

fn inverse_of(order: &[u32]) -> Vec<u32> {
    let mut place = vec![0; order.len()];
    for (k, &v) in order.iter().enumerate() {
        place[v as usize] = k as u32;
    }
    place
}

/// The order of the vertices that peeling left.
fn core_order(n: usize, peeled: &Peeled, edges: &[(u32, u32)]) -> Vec<u32> {
    let mut number = vec![NONE; n];
    for (k, &v) in peeled.core.iter().enumerate() {
        number[v as usize] = k as u32;
    }
    let inner: Vec<(u32, u32)> = edges
        .iter()
        .map(|&(a, b)| (number[a as usize], number[b as usize]))
        .filter(|&(a, b)| a != NONE && b != NONE)
        .collect();
    order(peeled.core.len(), &inner).into_iter().map(|k| peeled.core[k as usize]).collect()
}

/// Edges by their later place: for each place, the earlier places it is coupled with, and the edge.
fn columns(n: usize, edges: &[(u32, u32)], place: &[u32]) -> (Vec<usize>, Vec<(u32, u32)>) {
    let mut start = vec![0_usize; n + 1];
    let ends = |&(a, b): &(u32, u32)| {
        let (p, q) = (place[a as usize], place[b as usize]);
        (p.min(q), p.max(q))
    };
    for edge in edges {
        start[ends(edge).1 as usize + 1] += 1;
    }
    for k in 0..n {
        start[k + 1] += start[k];
    }
    let mut at = start.clone();
    let mut rows = vec![(0, 0); edges.len()];
    for (k, edge) in edges.iter().enumerate() {
        let (early, late) = ends(edge);
        rows[at[late as usize]] = (early, k as u32);
        at[late as usize] += 1;
    }
    (start, rows)
}

/// The elimination tree: the first later place that each place reaches (Liu 1990).
fn elimination_tree(n: usize, edges: &[(u32, u32)], place: &[u32]) -> Vec<u32> {
    let (start, rows) = columns(n, edges, place);
    let mut parent = vec![NONE; n];
    let mut ancestor = vec![NONE; n];
    for k in 0..n {
        for &(early, _) in &rows[start[k]..start[k + 1]] {
            let mut i = early;
            while i != NONE && (i as usize) < k {
                let next = ancestor[i as usize];
                ancestor[i as usize] = k as u32;
                if next == NONE {
                    parent[i as usize] = k as u32;
                }
                i = next;
            }
        }
    }
    parent
}

/// Children before parents, each subtree in one piece.
fn postorder(parent: &[u32]) -> Vec<u32> {
    let n = parent.len();
    let mut child = vec![NONE; n];
    let mut sibling = vec![NONE; n];
    for v in (0..n).rev() {
        if parent[v] != NONE {
            let p = parent[v] as usize;
            sibling[v] = child[p];
            child[p] = v as u32;
        }
    }
    let mut order = Vec::with_capacity(n);
    for root in (0..n).filter(|&v| parent[v] == NONE) {
        let mut stack = vec![root as u32];
        while let Some(&v) = stack.last() {
            let next = child[v as usize];
            if next == NONE {
                order.push(v);
                stack.pop();
            } else {
                child[v as usize] = sibling[next as usize];
                stack.push(next);
            }
        }
    }
    order
}

impl General {
    fn new(n: usize, edges: &[(u32, u32)], place: &[u32]) -> (Self, Vec<u32>) {
        let parent = elimination_tree(n, edges, place);
        let (a_start, rows) = columns(n, edges, place);
        let mut slot_of_edge = vec![0_u32; edges.len()];
        let mut a_row = Vec::with_capacity(edges.len());
        for (slot, &(row, edge)) in rows.iter().enumerate() {
            slot_of_edge[edge as usize] = slot as u32;
            a_row.push(row);
        }
        // Row k of L: what the entries of column k of A reach in the tree below k.
        let mut r_start = Vec::with_capacity(n + 1);
        r_start.push(0);
        let mut r_column: Vec<u32> = Vec::with_capacity(2 * edges.len());
        let mut seen = vec![NONE; n];
        let mut count = vec![0_usize; n + 1];
        for k in 0..n {
            let from = r_column.len();
            seen[k] = k as u32;
            for &row in &a_row[a_start[k]..a_start[k + 1]] {
                let mut i = row as usize;
                while seen[i] != k as u32 {
                    seen[i] = k as u32;
                    r_column.push(i as u32);
                    count[i + 1] += 1;
                    i = parent[i] as usize;
                }
            }
            r_column[from..].sort_unstable();
            r_start.push(r_column.len());
        }
        for k in 0..n {
            count[k + 1] += count[k];
        }
        let l_start = count;
        let mut l_row = vec![0_u32; r_column.len()];
        let mut at = l_start.clone();
        for k in 0..n {
            for &j in &r_column[r_start[k]..r_start[k + 1]] {
                l_row[at[j as usize]] = k as u32;
                at[j as usize] += 1;
            }
        }
        let mut a_in_l = vec![0_u32; a_row.len()];
        for k in 0..n {
            for slot in a_start[k]..a_start[k + 1] {
                let j = a_row[slot] as usize;
                let column = &l_row[l_start[j]..l_start[j + 1]];
                let found = column.binary_search(&(k as u32)).expect("L holds the pattern of A");
                a_in_l[slot] = (l_start[j] + found) as u32;
            }
        }
        (Self { a_start, a_row, l_start, l_row, r_start, r_column, a_in_l }, slot_of_edge)
    }
}
