//! The shape of a book for editors that complete and check while one writes: names and kinds of values, nothing that
//! takes arithmetic to know.

/// A JSON Schema, draft 2020-12, of a book. `tests/books/schema.rs` holds it to what the readers take.
pub const SCHEMA: &str = include_str!("schema.json");
