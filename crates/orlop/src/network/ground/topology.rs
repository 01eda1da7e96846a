//! Kernels on bare graphs: components, blocks, edge-disjoint ways. Edges are pairs of point numbers.

/// Sets that are joined one by one.
#[derive(Clone, Debug)]
pub(super) struct Sets(Vec<usize>);

impl Sets {
    pub fn new(n: usize) -> Self {
        Self((0..n).collect())
    }
    /// The number that stands for the set of `x`.
    pub fn of(&mut self, mut x: usize) -> usize {
        while self.0[x] != x {
            self.0[x] = self.0[self.0[x]];
            x = self.0[x];
        }
        x
    }
    /// Joins two sets; whether they were two.
    pub fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.of(a), self.of(b));
        // The lowest number stands for the set: the same whatever the order of joining.
        self.0[a.max(b)] = a.min(b);
        a != b
    }
}

/// For each point the lowest point of its component.
pub(super) fn components(n: usize, edges: impl Iterator<Item = (usize, usize)>) -> Vec<usize> {
    let mut sets = Sets::new(n);
    for (a, b) in edges {
        sets.join(a, b);
    }
    (0..n).map(|x| sets.of(x)).collect()
}

/// The edges at each point: edge and far end.
fn neighbours(n: usize, edges: &[(usize, usize)]) -> Vec<Vec<(usize, usize)>> {
    let mut at = vec![Vec::new(); n];
    for (e, &(a, b)) in edges.iter().enumerate() {
        at[a].push((e, b));
        at[b].push((e, a));
    }
    at
}

/// The blocks: two edges are in one block when they lie on a common cycle; a bridge is a block of its own.
///
/// Depth-first search with low points (Hopcroft and Tarjan), without recursion. Linear in the edges.
pub(super) fn blocks(n: usize, edges: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let at = neighbours(n, edges);
    let (mut seen, mut low) = (vec![0usize; n], vec![0usize; n]);
    let mut next = vec![0usize; n];
    let (mut clock, mut open, mut out) = (0, Vec::new(), Vec::new());
    for root in 0..n {
        if seen[root] > 0 {
            continue;
        }
        clock += 1;
        (seen[root], low[root]) = (clock, clock);
        // Point, and the edge by which it was entered.
        let mut way: Vec<(usize, usize)> = vec![(root, usize::MAX)];
        while let Some(&(here, by)) = way.last() {
            if let Some(&(e, there)) = at[here].get(next[here]) {
                next[here] += 1;
                if e == by {
                    continue;
                }
                if seen[there] == 0 {
                    clock += 1;
                    (seen[there], low[there]) = (clock, clock);
                    open.push(e);
                    way.push((there, e));
                } else if seen[there] < seen[here] {
                    open.push(e);
                    low[here] = low[here].min(seen[there]);
                }
                continue;
            }
            way.pop();
            let Some(&(above, _)) = way.last() else { continue };
            low[above] = low[above].min(low[here]);
            if low[here] >= seen[above] {
                let from = open.iter().rposition(|e| *e == by).unwrap_or(0);
                let mut block = open.split_off(from);
                block.sort_unstable();
                out.push(block);
            }
        }
    }
    out.sort_unstable();
    out
}

/// The most ways from `s` to `t` that share no edge, each as its edges in order (Menger; unit flow by shortest
/// augmenting ways).
pub(super) fn disjoint_ways(n: usize, edges: &[(usize, usize)], s: usize, t: usize) -> Vec<Vec<usize>> {
    if s == t {
        return Vec::new();
    }
    let at = neighbours(n, edges);
    // +1 from first to second end, -1 the other way.
    let mut flow = vec![0i8; edges.len()];
    let sign = |e: usize, from: usize| if edges[e].0 == from { 1i8 } else { -1 };
    loop {
        let mut by: Vec<Option<(usize, usize)>> = vec![None; n];
        let mut queue = std::collections::VecDeque::from([s]);
        while let Some(here) = queue.pop_front() {
            for &(e, there) in &at[here] {
                if there != s && by[there].is_none() && flow[e] * sign(e, here) < 1 {
                    by[there] = Some((e, here));
                    queue.push_back(there);
                }
            }
        }
        let mut here = t;
        while let Some((e, from)) = by[here] {
            flow[e] += sign(e, from);
            here = from;
        }
        if here == t {
            break;
        }
    }
    let mut ways = Vec::new();
    loop {
        let (mut here, mut way) = (s, Vec::new());
        while here != t {
            let Some(&(e, there)) = at[here].iter().find(|(e, _)| flow[*e] == sign(*e, here)) else { break };
            flow[e] = 0;
            way.push(e);
            here = there;
        }
        if here != t {
            break;
        }
        ways.push(way);
    }
    ways
}

/// The way from `s` to `t` in a forest of some of the edges, as its edges in order.
pub(super) fn way_in_forest(
    n: usize,
    edges: &[(usize, usize)],
    forest: &[usize],
    s: usize,
    t: usize,
) -> Option<Vec<usize>> {
    let mut at = vec![Vec::new(); n];
    for &e in forest {
        let (a, b) = edges[e];
        at[a].push((e, b));
        at[b].push((e, a));
    }
    let mut by: Vec<Option<(usize, usize)>> = vec![None; n];
    let mut queue = vec![s];
    while let Some(here) = queue.pop() {
        for &(e, there) in &at[here] {
            if there != s && by[there].is_none() {
                by[there] = Some((e, here));
                queue.push(there);
            }
        }
    }
    let (mut here, mut way) = (t, Vec::new());
    while here != s {
        let (e, from) = by[here]?;
        way.push(e);
        here = from;
    }
    way.reverse();
    Some(way)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bridge_two_triangles_and_a_double_edge() {
        // 0-1-2-0, 2-3 bridge, 3-4 twice, 5 alone.
        let edges = [(0, 1), (1, 2), (2, 0), (2, 3), (3, 4), (4, 3)];
        assert_eq!(blocks(6, &edges), [vec![0, 1, 2], vec![3], vec![4, 5]]);
        assert_eq!(components(6, edges.iter().copied()), [0, 0, 0, 0, 0, 5]);
        assert_eq!(disjoint_ways(6, &edges, 0, 2).len(), 2);
        assert_eq!(disjoint_ways(6, &edges, 0, 4).len(), 1);
        assert_eq!(disjoint_ways(6, &edges, 3, 4), [vec![4], vec![5]]);
        assert!(disjoint_ways(6, &edges, 0, 5).is_empty());
        assert_eq!(way_in_forest(6, &edges, &[0, 1, 3, 4], 0, 4), Some(vec![0, 1, 3, 4]));
    }

    #[test]
    fn an_augmenting_way_that_goes_back() {
        // The shortest way 0-1-4-5 blocks both others until it is turned back.
        let edges = [(0, 1), (1, 4), (4, 5), (0, 2), (2, 4), (1, 3), (3, 5)];
        let ways = disjoint_ways(6, &edges, 0, 5);
        assert_eq!(ways.len(), 2);
        let mut used: Vec<_> = ways.concat();
        used.sort_unstable();
        used.dedup();
        assert_eq!(used.len(), ways.concat().len());
    }
}
