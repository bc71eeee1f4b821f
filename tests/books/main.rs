//! What a book may say, how it is read, and what is told of one that cannot be.

#[path = "../common/mod.rs"]
mod common;
#[path = "../reading/mod.rs"]
mod reading;
#[path = "../common/swap.rs"]
mod swap;

mod alike;
mod bad_books;
mod bad_files;
mod by_angle;
mod changes_in_words;
mod example_log;
mod found;
mod good_books;
mod handbook;
mod large_boat;
mod licences;
mod limits;
mod logs_sentences;
mod logs_tables;
mod new_book;
mod not_used;
mod notes;
mod offsets;
mod one_card;
mod one_fault;
mod open_quotes;
mod order_of_cause;
mod readme;
mod schema;
mod spreadsheets;
mod start_that_asks;
mod tapes_meet;
mod two_sides;
mod what_is_left;
mod workbooks_counted;
