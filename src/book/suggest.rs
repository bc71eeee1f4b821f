//! "Did you mean": the name nearest to what was written. Knows names as text and nothing else.

use strsim::damerau_levenshtein;

/// One slip of the fingers for each three letters of a name is still that name.
const LETTERS_PER_SLIP: usize = 3;
/// Longer words are no slip of a name here, and comparing them takes time.
const MAX_COMPARED_CHARACTERS: usize = 60;

/// The one of `names` that `written` was probably meant to be.
pub fn nearest<'a>(written: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if written.chars().nth(MAX_COMPARED_CHARACTERS).is_some() {
        return None;
    }
    let wanted = plain(written);
    let slips = |name: &&str| damerau_levenshtein(&wanted, &plain(name));
    let near = |name: &&str| slips(name) <= allowed(name).min(allowed(&wanted)) || starts_alike(&wanted, &plain(name));
    let short = |name: &&str| name.chars().nth(MAX_COMPARED_CHARACTERS).is_none();
    names.into_iter().filter(short).filter(near).min_by_key(slips)
}

/// What to write instead: the nearest name, or all of them.
pub fn advice<'a>(written: &str, names: impl IntoIterator<Item = &'a str> + Clone) -> String {
    match nearest(written, names.clone()) {
        Some(name) => format!("did you mean `{name}`?"),
        None => one_of(names),
    }
}

/// Names shown in a message before it says that there are more.
const SHOWN_NAMES: usize = 12;

/// ``write `a`, `b` or `c` ``.
pub fn one_of<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let all: Vec<String> = names.into_iter().map(|name| format!("`{name}`")).collect();
    match all.as_slice() {
        [] => "take it out".to_owned(),
        [only] => format!("write {only}"),
        [first @ .., last] if all.len() <= SHOWN_NAMES => format!("write {} or {last}", first.join(", ")),
        _ => format!("write one of {} …", all[..SHOWN_NAMES].join(", ")),
    }
}

fn allowed(name: &str) -> usize {
    (name.chars().count() / LETTERS_PER_SLIP).max(1)
}

/// `main` for `mainsail`, `reach` for no one in particular: a start of three letters or more.
fn starts_alike(written: &str, name: &str) -> bool {
    written.chars().count() >= LETTERS_PER_SLIP && (name.starts_with(written) || written.starts_with(name))
}

fn plain(name: &str) -> String {
    name.to_lowercase().replace(['-', ' '], "_")
}
