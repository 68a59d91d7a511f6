//! What the system says of a process, and a fixed piece of work to compare machines by.

use std::{fs, hint::black_box, time::Duration};

use crate::measure::timed;

/// Memory that a process holds now, MiB.
pub(crate) fn memory(process: u32) -> f64 {
    status(process, "VmRSS:")
}

/// The most memory that it ever held, MiB.
pub(crate) fn peak(process: u32) -> f64 {
    status(process, "VmHWM:")
}

fn status(process: u32, field: &str) -> f64 {
    let text = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = text.lines().find_map(|line| line.strip_prefix(field));
    let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
    kib.map_or(f64::NAN, |kib| kib / 1024.0)
}

/// Processor time of every thread that a process has now, in the scheduler's own nanoseconds: the
/// ticks of `stat` are too coarse for an idle process.
pub(crate) fn processor_time(process: u32) -> Duration {
    let threads = fs::read_dir(format!("/proc/{process}/task"));
    let of_thread = |thread: fs::DirEntry| -> Option<u64> {
        let text = fs::read_to_string(thread.path().join("schedstat")).ok()?;
        text.split_whitespace().next()?.parse().ok()
    };
    let nanoseconds = threads
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(of_thread);
    Duration::from_nanos(nanoseconds.sum())
}

/// How long a fixed loop takes here, ms: no figure means anything on another machine without it.
pub(crate) fn calibration() -> f64 {
    let turn = || {
        let mut state: u64 = 0x9e37_79b9_7f4a_7c15;
        for _ in 0..10_000_000 {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
        }
        black_box(state);
    };
    let mut turns: Vec<f64> = (0..5).map(|_| timed(turn)).collect();
    turns.sort_by(f64::total_cmp);
    turns[2]
}
