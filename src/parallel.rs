//! Work shared among the processor's cores; results come back in order, so nothing that is printed depends on how many
//! cores there are, or on whether the machine gives any threads. Knows nothing of what is done.

use std::error::Error as _;
use std::sync::{Condvar, Mutex, MutexGuard, OnceLock, PoisonError};

use rayon::ThreadPoolBuilder;
use rayon::prelude::*;

/// Starting the threads takes about as long as drawing this many cards or pages.
const FEW: usize = 4;

/// What `work` makes of each item, in their order. `cards` is how much there is to do in all, in cards or pages: few are
/// done on the spot.
pub fn each<Item: Sync, Made: Send>(
    items: &[Item],
    cards: usize,
    work: impl Fn(&Item) -> Made + Send + Sync,
) -> Vec<Made> {
    if cards < FEW || !has_threads() {
        return items.iter().map(work).collect();
    }
    // One item takes a hundred times as long as another, so none waits in a row behind others.
    items.par_iter().with_max_len(1).map(work).collect()
}

/// Two different things at once, if they are about more than a few `cards`.
pub fn both<One: Send, Other: Send>(
    cards: usize,
    one: impl FnOnce() -> One + Send,
    other: impl FnOnce() -> Other + Send,
) -> (One, Other) {
    if cards < FEW || !has_threads() { (one(), other()) } else { rayon::join(one, other) }
}

/// Whether there are threads to share the work among. Where the machine gives none, this one does it all.
fn has_threads() -> bool {
    static THREADS: OnceLock<bool> = OnceLock::new();
    // Threads that somebody started before are as good; that is the error without a cause.
    *THREADS.get_or_init(|| {
        ThreadPoolBuilder::new().build_global().map_or_else(|error| error.source().is_none(), |()| true)
    })
}

/// Room that is shared by what is done at once, and of which there is only so much, in whatever it is counted: memory, for the
/// most part. What takes it must not share work among the cores itself: it could wait for what waits for it.
#[derive(Debug)]
pub(crate) struct Room {
    most: u64,
    taken: Mutex<u64>,
    given_back: Condvar,
}

/// Some room for as long as this is held.
#[derive(Debug)]
pub(crate) struct Taken<'a> {
    room: &'a Room,
    much: u64,
}

impl Room {
    /// So much of it.
    pub const fn of(most: u64) -> Room {
        Room { most, taken: Mutex::new(0), given_back: Condvar::new() }
    }

    /// Takes as much, once there is so much; what is more than there is of it gets it all.
    pub fn take(&self, much: u64) -> Taken<'_> {
        let much = much.min(self.most);
        let is_full = |taken: &mut u64| *taken + much > self.most;
        let waited = self.given_back.wait_while(self.lock(), is_full);
        *waited.unwrap_or_else(PoisonError::into_inner) += much;
        Taken { room: self, much }
    }

    fn lock(&self) -> MutexGuard<'_, u64> {
        self.taken.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Taken<'_> {
    fn drop(&mut self) {
        *self.room.lock() -= self.much;
        self.room.given_back.notify_all();
    }
}
