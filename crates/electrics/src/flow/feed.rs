//! What reaches a node: how much, and by which widest way.

/// What can be drawn at a node from one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Feed {
    /// Amperes.
    pub(super) amps: f64,
    /// The widest single way.
    pub(super) way: Way,
}

/// One way from a source: how wide it is and the smallest device on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    pub(super) width: f64,
    /// Its rating and its edge.
    pub(super) device: Option<(f64, u32)>,
}

impl Feed {
    pub(super) const NONE: Feed = Feed {
        amps: 0.0,
        way: Way {
            width: 0.0,
            device: None,
        },
    };

    pub(super) fn source(amps: f64) -> Feed {
        Feed {
            amps,
            way: Way {
                width: amps,
                device: None,
            },
        }
    }

    /// Both feeds at one node.
    pub(super) fn and(self, other: Feed) -> Feed {
        Feed {
            amps: self.amps + other.amps,
            way: self.way.better(other.way),
        }
    }
}

impl Way {
    /// The wider of two; then the one whose smallest device is larger; then the lower edge, so that
    /// it is definite.
    pub(super) fn better(self, other: Way) -> Way {
        if self.rank(&other).is_lt() {
            other
        } else {
            self
        }
    }

    pub(super) fn rank(&self, other: &Way) -> std::cmp::Ordering {
        let rating = |w: &Way| w.device.map_or(f64::INFINITY, |d| d.0);
        let edge = |w: &Way| w.device.map_or(0, |d| d.1);
        let by_width = self.width.total_cmp(&other.width);
        by_width
            .then(rating(self).total_cmp(&rating(other)))
            .then(edge(other).cmp(&edge(self)))
    }

    /// The way continued through an edge.
    pub(super) fn through(self, cap: f64, edge: u32) -> Way {
        let own = (cap < f64::INFINITY).then_some((cap, edge));
        let smaller = |a: (f64, u32), b: (f64, u32)| {
            let order = b.0.total_cmp(&a.0).then(b.1.cmp(&a.1));
            if order.is_lt() { b } else { a }
        };
        let device = match (self.device, own) {
            (Some(a), Some(b)) => Some(smaller(a, b)),
            (a, b) => a.or(b),
        };
        Way {
            width: self.width.min(cap),
            device,
        }
    }
}

/// For each of a list of feeds all the others together, without subtracting: infinities and digits
/// stay right.
pub(super) fn all_but_each(feeds: &[Feed]) -> Vec<Feed> {
    let mut after = vec![Feed::NONE; feeds.len() + 1];
    for k in (0..feeds.len()).rev() {
        after[k] = after[k + 1].and(feeds[k]);
    }
    let mut before = Feed::NONE;
    let mut rest = Vec::with_capacity(feeds.len());
    for (k, &feed) in feeds.iter().enumerate() {
        rest.push(before.and(after[k + 1]));
        before = before.and(feed);
    }
    rest
}
