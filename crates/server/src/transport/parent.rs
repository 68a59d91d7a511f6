//! Watching the client's process, so that the server does not outlive it.
//!
//! Without system calls of its own this module sees a process only where the system shows it as a
//! file (`/proc`). Elsewhere, and where the client lives in another process name space than the
//! server, the end of the input has to tell.

use std::{fs, time::Duration};

/// Ends when the process `id` has ended; never, where the process cannot be seen at the start.
pub(super) async fn gone(id: u32, every: Duration) {
    let Some(begun) = start_time(id) else {
        return std::future::pending().await;
    };
    loop {
        tokio::time::sleep(every).await;
        if start_time(id).as_ref() != Some(&begun) {
            return tracing::warn!("the client's process {id} has ended");
        }
    }
}

/// When the process started, which tells it from a later one with the same number; `None` for one
/// that has ended and is only not yet collected.
fn start_time(id: u32) -> Option<String> {
    let stat = fs::read_to_string(format!("/proc/{id}/stat")).ok()?;
    // The command's name stands in parentheses and may hold spaces and parentheses itself.
    let (_, rest) = stat.rsplit_once(')')?;
    let mut fields = rest.split_whitespace();
    let state = fields.next()?;
    // Field 22 of proc(5); the state is field 3.
    (!matches!(state, "Z" | "X")).then(|| fields.nth(18).map(str::to_owned))?
}
