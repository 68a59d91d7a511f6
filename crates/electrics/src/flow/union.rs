//! Union-find over node indices, plain and with a potential between the members of a set.

/// Disjoint sets whose members keep a fixed difference of potential (volts) to their
/// representative.
#[derive(Debug, Clone)]
pub(crate) struct Union {
    parent: Vec<u32>,
    size: Vec<u32>,
    /// Volts of a member above its parent.
    above: Vec<f64>,
}

impl Union {
    pub(crate) fn new(len: usize) -> Union {
        Union {
            parent: (0..len as u32).collect(),
            size: vec![1; len],
            above: vec![0.0; len],
        }
    }

    /// The representative of a member and the member's volts above it. Halves the path as it goes.
    pub(crate) fn find(&mut self, member: u32) -> (u32, f64) {
        let (mut at, mut volts) = (member as usize, 0.0);
        loop {
            let up = self.parent[at] as usize;
            if up == at {
                return (at as u32, volts);
            }
            let over = self.parent[up] as usize;
            if over != up {
                self.above[at] += self.above[up];
                self.parent[at] = over as u32;
            }
            volts += self.above[at];
            at = self.parent[at] as usize;
        }
    }

    pub(crate) fn root(&mut self, member: u32) -> u32 {
        self.find(member).0
    }

    /// Joins the sets of `a` and `b` so that `v(a) - v(b) = volts`. Where they are joined already,
    /// returns the difference that stands.
    pub(crate) fn join(&mut self, a: u32, b: u32, volts: f64) -> Option<f64> {
        let ((ra, va), (rb, vb)) = (self.find(a), self.find(b));
        if ra == rb {
            return Some(va - vb);
        }
        let (low, high, above) = if self.size[ra as usize] < self.size[rb as usize] {
            (ra, rb, volts + vb - va)
        } else {
            (rb, ra, va - vb - volts)
        };
        self.parent[low as usize] = high;
        self.above[low as usize] = above;
        self.size[high as usize] += self.size[low as usize];
        None
    }
}
