//! The requests, one file per group, and the one table of them.
//!
//! A handler is a plain function of a snapshot, its params and a token. It may compute and block;
//! it may not write to anything but the client. It is answered for at once when it is cancelled,
//! and asks its token wherever it works long.

mod actions;
mod completion;
mod findings;
mod formatting;
mod hierarchy;
mod hints;
mod hover;
mod lens;
mod moves;
mod navigation;
mod outline;
mod place;
mod rename;
mod tokens;
mod writing;

pub(crate) use moves::moved_files;
pub(crate) use tokens::Painted;

use crate::{state::Snapshot, transport::Table};

/// Every request that is answered, with what it lets the server advertise.
pub(crate) fn table() -> Table<Snapshot> {
    let groups = [
        findings::register,
        hover::register,
        navigation::register,
        rename::register,
        moves::register,
        outline::register,
        formatting::register,
        completion::register,
        tokens::register,
        actions::register,
        hints::register,
        lens::register,
        writing::register,
        hierarchy::register,
    ];
    groups
        .into_iter()
        .fold(Table::default(), |table, register| register(table))
}
