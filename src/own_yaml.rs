//! The small files that the program writes for itself, read back: YAML in which nothing refers to anything. Knows no file.

use serde::de::DeserializeOwned;
use serde_saphyr::Error;

use crate::wrong::shown;

/// Reads a text of one document.
///
/// What is written here repeats a text rather than refer to it, so a reference was put in by another hand; a few of them,
/// one inside the other, would stand for millions of values.
///
/// # Errors
/// In one line and in our own words, what does not fit and where.
pub(crate) fn read<Of: DeserializeOwned>(text: &str) -> Result<Of, String> {
    let alias_limits = serde_saphyr::alias_limits! { max_total_replayed_events: 0 };
    serde_saphyr::from_str_with_options(text, serde_saphyr::options! { alias_limits: alias_limits })
        .map_err(|error| words(error.without_snippet()))
}

/// What is wrong, for somebody who has the file open and does not know what it is read with.
fn words(error: &Error) -> String {
    let what = match error {
        Error::Eof { .. } => "it ends too early".to_owned(),
        Error::MultipleDocuments { .. } => "there is a second document in it".to_owned(),
        Error::AliasReplayLimitExceeded { .. } | Error::AliasExpansionLimitExceeded { .. } => {
            "it refers to another place by `*`, and no file of ours does".to_owned()
        }
        Error::SerdeUnknownField { field, .. } => format!("{} is no field here", shown(field)),
        Error::SerdeMissingField { field, .. } => format!("the field {} is missing", shown(field)),
        Error::DuplicateMappingKey { key: Some(key), .. } => format!("{} stands twice", shown(key)),
        Error::InvalidScalar { .. } => "this is not the kind of number or word that belongs here".to_owned(),
        Error::NonFiniteFloat { .. } => "this is no number that could be measured".to_owned(),
        _ => "this does not belong here".to_owned(),
    };
    match error.location() {
        Some(place) if place.line() > 0 => format!("line {}, column {}: {what}", place.line(), place.column()),
        _ => what,
    }
}
