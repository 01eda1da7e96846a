//! Connectivity in linear time: components, and which edges are bridges with what stands on either side of them.

/// Sets of nodes that grow together.
pub(super) struct Sets(Vec<usize>);

impl Sets {
    pub fn new(count: usize) -> Self {
        Self((0..count).collect())
    }
    pub fn find(&mut self, at: usize) -> usize {
        let mut root = at;
        while self.0[root] != root {
            root = self.0[root];
        }
        let mut here = at;
        while self.0[here] != root {
            here = std::mem::replace(&mut self.0[here], root);
        }
        root
    }
    /// The lower root stays, so that the same network always gets the same names.
    pub fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.0[a.max(b)] = a.min(b);
    }
}

/// A depth-first forest over a multigraph: which edges are bridges, and the sums behind them.
pub(super) struct Forest {
    /// Nodes, parents before children.
    order: Vec<usize>,
    parent: Vec<Option<usize>>,
    root: Vec<usize>,
    /// Place in `order`, and how many nodes its subtree has.
    entered: Vec<usize>,
    below: Vec<usize>,
    /// For a bridge the node on its far side from the root.
    child: Vec<Option<usize>>,
}

impl Forest {
    /// `edges` may hold parallel ones; an edge that is `None` is absent.
    pub fn new(nodes: usize, edges: &[Option<(usize, usize)>]) -> Self {
        let mut near: Vec<Vec<(usize, usize)>> = vec![Vec::new(); nodes];
        for (e, ends) in edges.iter().enumerate() {
            if let Some((a, b)) = *ends {
                near[a].push((b, e));
                near[b].push((a, e));
            }
        }
        let mut forest = Self {
            order: Vec::with_capacity(nodes),
            parent: vec![None; nodes],
            root: (0..nodes).collect(),
            entered: Vec::new(),
            below: vec![1; nodes],
            child: vec![None; edges.len()],
        };
        let mut entered = vec![usize::MAX; nodes];
        let mut low = vec![usize::MAX; nodes];
        let mut by = vec![usize::MAX; nodes];
        for start in 0..nodes {
            if entered[start] != usize::MAX {
                continue;
            }
            let mut stack = vec![(start, 0)];
            entered[start] = forest.order.len();
            low[start] = entered[start];
            forest.order.push(start);
            while let Some((node, next)) = stack.pop() {
                if let Some((other, e)) = near[node].get(next).copied() {
                    stack.push((node, next + 1));
                    if e == by[node] {
                        continue;
                    }
                    if entered[other] == usize::MAX {
                        entered[other] = forest.order.len();
                        low[other] = entered[other];
                        by[other] = e;
                        forest.parent[other] = Some(node);
                        forest.root[other] = start;
                        forest.order.push(other);
                        stack.push((other, 0));
                    } else {
                        low[node] = low[node].min(entered[other]);
                    }
                } else if let Some(parent) = forest.parent[node] {
                    low[parent] = low[parent].min(low[node]);
                    if low[node] > entered[parent] {
                        forest.child[by[node]] = Some(node);
                    }
                }
            }
        }
        forest.entered = entered;
        for at in (0..forest.order.len()).rev() {
            let node = forest.order[at];
            if let Some(parent) = forest.parent[node] {
                forest.below[parent] += forest.below[node];
            }
        }
        forest
    }

    pub fn is_bridge(&self, edge: usize) -> bool {
        self.child[edge].is_some()
    }

    /// Sums of a weight over the subtree of each node.
    pub fn sums(&self, weight: &[f64]) -> Vec<f64> {
        let mut sums = weight.to_vec();
        for node in self.order.iter().rev() {
            if let Some(parent) = self.parent[*node] {
                sums[parent] += sums[*node];
            }
        }
        sums
    }

    /// What lies on the side of `end` of an edge, of sums made by [`sums`](Self::sums): all of the component when the
    /// edge is no bridge.
    pub fn beside(&self, edge: usize, end: usize, sums: &[f64]) -> f64 {
        let all = sums[self.root[end]];
        match self.child[edge] {
            None => all,
            Some(child) if child == end => sums[child],
            Some(child) => all - sums[child],
        }
    }

    /// Which end of a bridge stands away from a node of its component; `None` when the edge is no bridge.
    pub fn far_end(&self, edge: usize, (a, b): (usize, usize), node: usize) -> Option<usize> {
        let child = self.child[edge]?;
        let under =
            self.entered[node].checked_sub(self.entered[child]).is_some_and(|d| d < self.below[child]);
        Some(if under == (a == child) { b } else { a })
    }

    /// The first node of the component.
    pub fn root(&self, node: usize) -> usize {
        self.root[node]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bridges_of_a_ring_with_a_tail() {
        // 0-1-2-0 is a ring, 2-3 a tail, 3=4 two edges side by side, 5 alone.
        let edges =
            [Some((0, 1)), Some((1, 2)), Some((2, 0)), Some((2, 3)), Some((3, 4)), Some((4, 3)), None];
        let forest = Forest::new(6, &edges);
        let bridges: Vec<_> = (0..edges.len()).map(|e| forest.is_bridge(e)).collect();
        assert_eq!(bridges, [false, false, false, true, false, false, false]);
        let sums = forest.sums(&[1.0, 2.0, 4.0, 8.0, 16.0, 32.0]);
        assert_eq!((forest.beside(3, 2, &sums), forest.beside(3, 3, &sums)), (7.0, 24.0));
        assert_eq!(forest.beside(0, 1, &sums), 31.0);
        assert_eq!((forest.far_end(3, (2, 3), 4), forest.far_end(3, (2, 3), 0)), (Some(2), Some(3)));
        assert_eq!((forest.far_end(3, (2, 3), 3), forest.far_end(0, (0, 1), 4)), (Some(2), None));
        assert_eq!(forest.root(4), forest.root(0));
        assert_ne!(forest.root(5), forest.root(0));
    }

    #[test]
    fn sets_join() {
        let mut sets = Sets::new(4);
        sets.join(3, 1);
        sets.join(2, 3);
        assert_eq!((sets.find(2), sets.find(3), sets.find(0)), (1, 1, 0));
    }
}
