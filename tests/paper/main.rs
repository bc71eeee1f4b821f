//! Pages, printers and the files that hold them, judged by other people's readers.

#[path = "../common/mod.rs"]
mod common;
#[path = "../reading/mod.rs"]
mod reading;
#[path = "../common/swap.rs"]
mod swap;

mod agreement;
mod calendar;
mod card_pages;
mod checked_as_printed;
mod curved_pieces;
mod duplex;
mod long_strips;
mod packing;
mod paper;
mod pdf_about;
mod pdf_sound;
mod pdf_svg_agree;
mod printer;
mod proof_and_manifest;
mod strip_labels;
mod svg_read_back;
mod svg_sound;
mod tiling;
mod two_sided;
mod who_says_how;
