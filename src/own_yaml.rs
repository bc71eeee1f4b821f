//! The small files that the program writes for itself, read back: YAML in which nothing refers to anything. Knows no file.

use serde::de::DeserializeOwned;

/// Reads a text of one document.
///
/// What is written here repeats a text rather than refer to it, so a reference was put in by another hand; a few of them,
/// one inside the other, would stand for millions of values.
///
/// # Errors
/// In one line, what does not fit and where.
pub(crate) fn read<Of: DeserializeOwned>(text: &str) -> Result<Of, String> {
    let alias_limits = serde_saphyr::alias_limits! { max_total_replayed_events: 0 };
    serde_saphyr::from_str_with_options(text, serde_saphyr::options! { alias_limits: alias_limits }).map_err(|error| {
        // What follows the first line repeats the text.
        error.without_snippet().to_string().lines().next().unwrap_or_default().trim().to_owned()
    })
}
