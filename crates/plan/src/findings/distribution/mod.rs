//! The family *distribution*: room and rating of bars, panels, posts and contacts.

mod loading;
mod posts;
mod ways;

use super::Desk;
use crate::finding::Finding;

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    posts::find(desk, found);
    ways::find(desk, found);
    loading::find(desk, found);
}
