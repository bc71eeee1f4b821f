//! Work shared among the processor's cores; results come back in order, so nothing that is printed depends on how many
//! cores there are. Knows nothing of what is done.

use rayon::prelude::*;

/// Starting the threads takes about as long as drawing this many cards or pages.
const FEW: usize = 4;

/// What `work` makes of each item, in their order. `cards` is how much there is to do in all, in cards or pages: few are
/// done on the spot.
pub(crate) fn each<Item: Sync, Made: Send>(
    items: &[Item],
    cards: usize,
    work: impl Fn(&Item) -> Made + Send + Sync,
) -> Vec<Made> {
    if cards < FEW { items.iter().map(work).collect() } else { items.par_iter().map(work).collect() }
}

/// Two different things at once, if they are about more than a few `cards`.
pub(crate) fn both<One: Send, Other: Send>(
    cards: usize,
    one: impl FnOnce() -> One + Send,
    other: impl FnOnce() -> Other + Send,
) -> (One, Other) {
    if cards < FEW { (one(), other()) } else { rayon::join(one, other) }
}
