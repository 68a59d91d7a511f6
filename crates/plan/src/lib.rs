//! From things to names, the wiring graph, every computed value, and the findings.
//!
//! [`Plan::of`] is the whole way: each step is one function with one value out, and everything an
//! editor feature or a paper needs hangs on the result. Nothing here reads a disk or knows a protocol.

pub mod finding;
pub mod findings;
pub mod model;
pub mod nearest;
pub mod say;
pub mod site;
pub mod sources;
pub mod study;
pub mod wiring;

mod wording;

pub use finding::{Finding, Fix, Related, Severity};
pub use findings::registry::{self, Code};
pub use model::{Facts, Model, PartId};
pub use site::{Site, ThingRef};
pub use sources::Sources;
pub use study::{Circuit, Study};
pub use wiring::Wiring;

/// A plan with everything computed.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The files.
    pub sources: Sources,
    /// The names.
    pub model: Model,
    /// The wiring.
    pub wiring: Wiring,
    /// The computed values.
    pub study: Study,
    /// The findings, in the order of the text.
    pub findings: Vec<Finding>,
}

impl Plan {
    /// Reads, wires, computes and judges a plan.
    pub fn of(sources: Sources) -> Self {
        let model = Model::of(&sources);
        let (wiring, wrong) = wiring::build(&sources, &model);
        let study = Study::of(&sources, &model, &wiring);
        let mut plan = Self {
            sources,
            model,
            wiring,
            study,
            findings: Vec::new(),
        };
        plan.findings = findings::all(&plan, wrong);
        plan
    }

    /// A plan of one text, for tests and tools.
    pub fn of_text(text: &str) -> Self {
        Self::of(Sources::single("plan.boat", text))
    }

    /// The plan's parts at hand, for asking.
    pub fn circuit(&self) -> Circuit<'_> {
        Circuit {
            sources: &self.sources,
            model: &self.model,
            wiring: &self.wiring,
            base: &self.study.base,
        }
    }
}
