#![no_main]

use cockpit_cards_fuzz::attempt;
use cockpit_cards_fuzz::inputs::Sort;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| attempt(Sort::Workbook, bytes));
