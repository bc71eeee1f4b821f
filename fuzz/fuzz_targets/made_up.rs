#![no_main]

use cockpit_cards_fuzz::attempt_made_up;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| attempt_made_up(bytes));
