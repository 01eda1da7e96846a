//! Leaves first: everything that hangs on the rest by one thread is eliminated without any fill.

use super::NONE;

/// What peeling leaves of a graph.
pub struct Peeled {
    /// Vertices in the order of peeling.
    pub order: Vec<u32>,
    /// The neighbour that each peeled vertex hung on, [`NONE`] for the last of its tree.
    pub parent: Vec<u32>,
    /// The rest: vertices on loops or between them, ascending.
    pub core: Vec<u32>,
}

/// Takes away vertices of degree one or less until none is left; linear in vertices and edges.
///
/// The exclusive-or of all neighbours that remain is kept for each vertex: at degree one it *is* the neighbour, so no list
/// is ever searched. Work follows the last vertex freed, which runs along paths and keeps memory access local.
pub fn peel(n: usize, edges: &[(u32, u32)]) -> Peeled {
    let mut degree = vec![0_u32; n];
    let mut others = vec![0_u32; n];
    for &(a, b) in edges {
        degree[a as usize] += 1;
        degree[b as usize] += 1;
        others[a as usize] ^= b;
        others[b as usize] ^= a;
    }
    let mut order = Vec::with_capacity(n);
    let mut parent = vec![NONE; n];
    let mut gone = vec![false; n];
    for first in 0..n {
        let mut v = first;
        while degree[v] <= 1 && !gone[v] {
            gone[v] = true;
            order.push(v as u32);
            if degree[v] == 0 {
                break;
            }
            let next = others[v] as usize;
            parent[v] = next as u32;
            degree[next] -= 1;
            others[next] ^= v as u32;
            v = next;
        }
    }
    let core = (0..n as u32).filter(|&v| !gone[v as usize]).collect();
    Peeled { order, parent, core }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tree_peels_away_and_a_loop_stays() {
        let tree = peel(4, &[(0, 1), (1, 2), (1, 3)]);
        assert_eq!((tree.order.len(), tree.core.len()), (4, 0));
        // A loop of three with a tail, and a vertex alone.
        let tailed = peel(6, &[(0, 1), (1, 2), (2, 0), (2, 3), (3, 4)]);
        assert_eq!(tailed.core, [0, 1, 2]);
        assert_eq!(tailed.order, [4, 3, 5]);
        assert_eq!(tailed.parent[3], 2);
        assert_eq!(tailed.parent[5], NONE);
    }
}
