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

/// Does something when the run is interrupted from the terminal, in place of its sudden end; interrupted once more, the run ends all the
/// same. To be asked for before any thread is started.
#[cfg(unix)]
pub fn on_interrupt(tell: impl Fn() + Send + 'static) {
    use nix::sys::signal::{SigSet, Signal};
    let mut interrupt = SigSet::empty();
    interrupt.add(Signal::SIGINT);
    if interrupt.thread_block().is_err() {
        return;
    }
    std::thread::spawn(move || {
        if interrupt.wait().is_ok() {
            tell();
        }
        if interrupt.wait().is_ok() {
            std::process::exit(0);
        }
    });
}

/// Other systems end the run.
#[cfg(not(unix))]
pub fn on_interrupt(_tell: impl Fn() + Send + 'static) {}

/// Other systems send no signals of this kind.
#[cfg(not(unix))]
pub fn prepare() {}
