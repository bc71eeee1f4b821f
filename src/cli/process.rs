//! What the process asks of the system before it does anything.

/// A file that grows past what this user may write is then an error of writing, with words and an exit code, and not the sudden
/// end of the process.
#[cfg(unix)]
pub fn prepare() {
    use nix::sys::signal::{SigSet, Signal};
    let mut too_large = SigSet::empty();
    too_large.add(Signal::SIGXFSZ);
    // Threads are started later and have it from this one. Where it cannot be, the system ends the run as it always would.
    let _ = too_large.thread_block();
}

/// Other systems send no signals of this kind.
#[cfg(not(unix))]
pub fn prepare() {}
