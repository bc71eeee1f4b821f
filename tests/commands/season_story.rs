//! A season of an invented boat, from the first card to the one that is reissued.
#![cfg(unix)]
