//! Which nodes hang together.

/// Sets of nodes that grow together.
#[derive(Clone, Debug)]
pub struct Sets {
    parent: Vec<u32>,
}

impl Sets {
    pub fn new(n: usize) -> Self {
        Self { parent: (0..n as u32).collect() }
    }
    /// The name of the set that a node is in: its smallest node.
    pub fn find(&mut self, node: usize) -> usize {
        let mut v = node as u32;
        while self.parent[v as usize] != v {
            let above = self.parent[self.parent[v as usize] as usize];
            self.parent[v as usize] = above;
            v = above;
        }
        v as usize
    }
    pub fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.parent[a.max(b)] = a.min(b) as u32;
    }
}

/// Sets of nodes whose voltages differ by fixed amounts: what ideal sources tie together.
#[derive(Clone, Debug)]
pub struct Ties {
    /// The node above, and how far this node is above that one in volts.
    parent: Vec<(u32, f64)>,
}

impl Ties {
    pub fn new(n: usize) -> Self {
        Self { parent: (0..n as u32).map(|v| (v, 0.0)).collect() }
    }
    /// The root of a node and how many volts the node stands above it. Node 0 is always a root.
    pub fn find(&self, node: usize) -> (usize, f64) {
        let (mut v, mut volts) = (node, 0.0);
        loop {
            let (above, step) = self.parent[v];
            if above as usize == v {
                return (v, volts);
            }
            volts += step;
            v = above as usize;
        }
    }
    /// Ties `from` to stand `volts` above `to`. When the two are tied already, says by how many volts.
    pub fn tie(&mut self, from: usize, to: usize, volts: f64) -> Result<(), f64> {
        let ((a, above_a), (b, above_b)) = (self.find(from), self.find(to));
        if a == b {
            return Err(above_a - above_b);
        }
        // V_from - V_to = (V_a + above_a) - (V_b + above_b) = volts
        let apart = volts + above_b - above_a;
        if a == 0 {
            self.parent[b] = (a as u32, -apart);
        } else {
            self.parent[a] = (b as u32, apart);
        }
        Ok(())
    }
}
