//! What the picture alone says, before marks are put on it: kept, so that a
//! mark need not wait for it again.

use crate::candidates::candidates;
use crate::path::{Node, best_and_chances};
use crate::signals::signals;
use crate::{Boundaries, Request, put_marks, spacing_by_course};
use wood::WoodClass;

/// The evidence of a profile for year's ends; marks are not in it.
#[derive(Debug, Clone)]
pub struct Evidence {
    spacing: Vec<f32>,
    last: usize,
    nodes: Vec<Node>,
    class: WoodClass,
    reach: (f64, Option<f64>, f64),
}

/// The evidence for year's ends. Marks in the request are not looked at.
#[must_use]
pub fn evidence(request: &Request<'_>) -> Evidence {
    let (spacing, last) = spacing_by_course(request);
    let found = signals(request.profile, request.class, &spacing, last);
    let nodes = candidates(
        &found,
        request.profile,
        &spacing,
        request.from,
        last as f64,
        request.bark.is_some(),
    )
    .iter()
    .map(|candidate| Node::from_candidate(candidate, request.class))
    .collect();
    Evidence {
        spacing,
        last,
        nodes,
        class: request.class,
        reach: reach(request),
    }
}

fn reach(request: &Request<'_>) -> (f64, Option<f64>, f64) {
    (request.from, request.bark, request.to)
}

impl Evidence {
    /// Whether this is the evidence for a request on the same profile: class
    /// and reach are those it was gathered for.
    #[must_use]
    pub fn fits(&self, request: &Request<'_>) -> bool {
        self.class == request.class && self.reach == reach(request)
    }

    /// Where the years end, the request's marks obeyed. It must fit.
    #[must_use]
    pub fn decide(&self, request: &Request<'_>) -> Boundaries {
        let mut nodes = self.nodes.clone();
        put_marks(&mut nodes, request, &self.spacing);
        best_and_chances(
            &nodes,
            &self.spacing,
            request.from,
            self.last as f64,
            request.bark,
            request.class,
        )
    }
}
