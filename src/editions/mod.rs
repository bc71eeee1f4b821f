//! Beside the five stages: which content of each card was released when, and so which laminated card is stale.
//!
//! [`record`] is the editions file as data, [`changes`] says in words what differs between two contents (`said` knows what
//! each kind of card says), [`due`] compares
//! a book's cards with what was released, [`slip`] draws the page that tells what to bin. All of these are pure; only
//! [`store`] touches the disk.

#[cfg_attr(doc, doc(hidden))]
pub mod changes;
pub mod due;
pub mod record;
#[cfg_attr(doc, doc(hidden))]
pub mod slip;
pub mod store;

pub use due::{Due, Holding, Item, Why};
pub use record::{Back, Editions, Record, Release};

// The cards that are compared and their edition, shown here because they are met here.
#[doc(inline)]
pub use crate::cards::{Card, Content, Edition, Mark, Stock};
