//! Blocks: the parts of a graph that no single node divides (Hopcroft and Tarjan, 1973), as a tree
//! of blocks and nodes. A bridge is a block of two nodes; parallel edges lie in one block.

use super::NONE;
use super::ways::Ways;

/// The blocks of a graph, in an order in which every block comes after those that hang from it.
#[derive(Debug, Default)]
pub struct Blocks {
    /// Block of each edge; NONE for an edge from a node to itself.
    pub(crate) of_edge: Vec<u32>,
    /// For each block the node by which it hangs from the rest; a root where nothing is above.
    pub(crate) top: Vec<u32>,
    /// For each node the block it hangs in, NONE for roots.
    pub(crate) above: Vec<u32>,
    start: Vec<u32>,
    hanging: Vec<u32>,
    edge_start: Vec<u32>,
    edges: Vec<u32>,
}

impl Blocks {
    /// The blocks of a graph of `nodes` nodes; every edge's ends must lie in it.
    pub fn new(nodes: u32, edges: &[(u32, u32)]) -> Blocks {
        let mut search = Search::new(nodes, edges);
        for root in 0..nodes {
            if search.time[root as usize] == 0 {
                search.visit(root);
            }
        }
        search.blocks
    }

    /// How many there are.
    pub fn count(&self) -> u32 {
        self.top.len() as u32
    }

    /// The block of an edge; [`NONE`] for an edge from a node to itself, and for one not given.
    pub fn block(&self, edge: u32) -> u32 {
        self.of_edge.get(edge as usize).copied().unwrap_or(NONE)
    }

    /// The block that a node hangs in; [`NONE`] for the topmost of its piece, and for one not given.
    pub fn above(&self, node: u32) -> u32 {
        self.above.get(node as usize).copied().unwrap_or(NONE)
    }

    /// The node by which a block hangs from the rest.
    pub fn top(&self, block: u32) -> u32 {
        self.top[block as usize]
    }

    /// The nodes of a block but its top.
    pub fn hanging(&self, block: u32) -> &[u32] {
        span(&self.hanging, &self.start, block)
    }

    /// The edges of a block.
    pub fn edges(&self, block: u32) -> &[u32] {
        span(&self.edges, &self.edge_start, block)
    }
}

fn span<'a>(of: &'a [u32], start: &[u32], block: u32) -> &'a [u32] {
    &of[start[block as usize] as usize..start[block as usize + 1] as usize]
}

/// One depth-first search, without recursion: a chain of ten thousand joints must not overflow the
/// stack.
struct Search {
    ways: Ways,
    time: Vec<u32>,
    low: Vec<u32>,
    clock: u32,
    /// Edges not yet in a block, with the time at which their later end was entered.
    open_edges: Vec<(u32, u32)>,
    open_nodes: Vec<u32>,
    blocks: Blocks,
}

/// A node on the path of the search: itself, the edge it was entered by, the next way to try.
struct Step {
    node: u32,
    by: u32,
    next: usize,
}

impl Search {
    fn new(nodes: u32, edges: &[(u32, u32)]) -> Search {
        let ways = Ways::new(nodes, (0u32..).zip(edges).map(|(k, &(a, b))| (k, a, b)));
        let blocks = Blocks {
            of_edge: vec![NONE; edges.len()],
            above: vec![NONE; nodes as usize],
            start: vec![0],
            edge_start: vec![0],
            ..Blocks::default()
        };
        let (time, low) = (vec![0; nodes as usize], vec![0; nodes as usize]);
        Search {
            ways,
            time,
            low,
            clock: 0,
            open_edges: Vec::new(),
            open_nodes: Vec::new(),
            blocks,
        }
    }

    fn visit(&mut self, root: u32) {
        let mut path = vec![self.enter(root, NONE)];
        while let Some(step) = path.last_mut() {
            let node = step.node;
            let Some(&(far, edge)) = self.ways.at(node).get(step.next) else {
                path.pop();
                if let Some(up) = path.last() {
                    self.leave(up.node, node);
                }
                continue;
            };
            step.next += 1;
            if edge == step.by || far == node {
                continue;
            }
            if self.time[far as usize] == 0 {
                self.open_edges.push((edge, self.clock + 1));
                path.push(self.enter(far, edge));
            } else if self.time[far as usize] < self.time[node as usize] {
                self.open_edges.push((edge, self.time[node as usize]));
                self.low[node as usize] = self.low[node as usize].min(self.time[far as usize]);
            }
        }
        self.open_nodes.clear();
    }

    fn enter(&mut self, node: u32, by: u32) -> Step {
        self.clock += 1;
        self.time[node as usize] = self.clock;
        self.low[node as usize] = self.clock;
        self.open_nodes.push(node);
        Step { node, by, next: 0 }
    }

    fn leave(&mut self, up: u32, node: u32) {
        self.low[up as usize] = self.low[up as usize].min(self.low[node as usize]);
        if self.low[node as usize] >= self.time[up as usize] {
            self.close(up, node);
        }
    }

    /// Everything opened since `node` was entered, with the edge it was entered by, is a block
    /// hanging from `top`.
    fn close(&mut self, top: u32, node: u32) {
        let block = self.blocks.count();
        while let Some(member) = self.open_nodes.pop() {
            self.blocks.above[member as usize] = block;
            self.blocks.hanging.push(member);
            if member == node {
                break;
            }
        }
        let entered = self.time[node as usize];
        while let Some((edge, _)) = self.open_edges.pop_if(|&mut (_, time)| time >= entered) {
            self.blocks.of_edge[edge as usize] = block;
            self.blocks.edges.push(edge);
        }
        self.blocks.top.push(top);
        self.blocks.start.push(self.blocks.hanging.len() as u32);
        self.blocks.edge_start.push(self.blocks.edges.len() as u32);
    }
}
