//! The short hash that tells one content from another. Knows data, not what it means.
//!
//! **What is hashed** is the content in its canonical form: fields in alphabetical order, and none that is empty. So a
//! release that lets cards say one thing more leaves the stamp of every card that does not say it; only a field that is
//! renamed, or a value that is written otherwise, makes a laminated card look stale.
//!
//! **How often two contents share a stamp by chance.** A stamp is five of 29 characters: N = 29⁵ = 20,511,149. Among n
//! contents the odds that some two agree are 1 − exp(−n(n−1)/2N): 2.4 % for 1,000, one in 11,600 for the 60 cards of a
//! full boat; see [`odds_of_a_shared_stamp`]. When two do agree, the later one gets one character more, or as many as it
//! takes: [`shortest`]. What is compared is always the [`digest`], never the stamp.

use serde_json::{Map, Value};

/// Letters and digits that cannot be taken for one another on a wet card: no 0 or O, 1, I or L, 8 or B.
pub const ALPHABET: &[u8; 29] = b"ACDEFGHJKMNPQRSTUVWXYZ2345679";
/// Characters in a stamp, unless two contents would share it.
pub const STAMP_LENGTH: usize = 5;
/// Characters in a digest: 97 bits, so that no two contents of any boat share one.
pub const DIGEST_LENGTH: usize = 20;
/// Lengths enter a stamp to a ten-thousandth of a millimetre, so that 1 in and 25.4 mm are the same length.
pub const LENGTH_STEPS_PER_MM: f64 = 10_000.0;

/// The BLAKE3 hash of a content's canonical form, in the stamp's own alphabet. A stamp is the start of it.
pub fn digest(kind: &str, content: Value) -> String {
    let canonical = canonical(content);
    let mut hasher = blake3::Hasher::new();
    hasher.update(kind.as_bytes());
    hasher.update(&[0]);
    hasher.update(canonical.to_string().as_bytes());
    let mut wide = u128::from_le_bytes(first_half(hasher.finalize().as_bytes()));
    let base = ALPHABET.len() as u128;
    (0..DIGEST_LENGTH)
        .map(|_| {
            let digit = (wide % base) as usize;
            wide /= base;
            char::from(ALPHABET[digit])
        })
        .collect()
}

/// The shortest start of a digest, of five characters or more, that no other digest among `others` has.
///
/// ```
/// use cockpit_cards::cards::parts::stamp::shortest;
///
/// assert_eq!(shortest("7FK2MACDEF", ["AAAAAACDEF"]), "7FK2M");
/// assert_eq!(shortest("7FK2MACDEF", ["7FK2MAXXXX"]), "7FK2MAC");
/// // The same content twice is no clash.
/// assert_eq!(shortest("7FK2MACDEF", ["7FK2MACDEF"]), "7FK2M");
/// ```
pub fn shortest<'a>(digest: &str, others: impl IntoIterator<Item = &'a str>) -> String {
    let shared = |other: &str| digest.bytes().zip(other.bytes()).take_while(|(a, b)| a == b).count();
    let others = others.into_iter().filter(|other| *other != digest);
    let length = others.map(|other| shared(other) + 1).fold(STAMP_LENGTH, usize::max);
    digest.chars().take(length).collect()
}

/// The odds, from 0 to 1, that among `contents` different contents some two have the same five characters: the birthday
/// problem, by its usual approximation 1 − exp(−n(n−1)/2N).
///
/// ```
/// use cockpit_cards::cards::parts::stamp::odds_of_a_shared_stamp;
///
/// assert!((odds_of_a_shared_stamp(1_000) - 0.024).abs() < 0.001);
/// ```
pub fn odds_of_a_shared_stamp(contents: u32) -> f64 {
    let stamps = (ALPHABET.len() as f64).powf(STAMP_LENGTH as f64);
    let pairs = f64::from(contents) * (f64::from(contents) - 1.0) / 2.0;
    -(-pairs / stamps).exp_m1()
}

/// A length as it enters content: millimetres, without the noise of unit conversions.
pub fn settled_mm(millimetres: f64) -> f64 {
    // Adding 0 turns −0 into 0, which JSON would write differently.
    (millimetres * LENGTH_STEPS_PER_MM).round() / LENGTH_STEPS_PER_MM + 0.0
}

/// Fields in alphabetical order, none empty. Items of a list keep their places, empty or not.
pub fn canonical(value: Value) -> Value {
    match value {
        Value::Object(fields) => {
            let kept = fields.into_iter().map(|(name, value)| (name, canonical(value)));
            let mut kept: Vec<(String, Value)> = kept.filter(|(_, value)| !is_nothing(value)).collect();
            kept.sort_by(|a, b| a.0.cmp(&b.0));
            Value::Object(Map::from_iter(kept))
        }
        Value::Array(items) => Value::Array(items.into_iter().map(canonical).collect()),
        other => other,
    }
}

/// Whether a value says nothing: such fields are no part of a stamp.
pub(crate) fn is_nothing(value: &Value) -> bool {
    match value {
        Value::Null | Value::Bool(false) => true,
        Value::String(text) => text.is_empty(),
        Value::Array(items) => items.is_empty(),
        Value::Object(fields) => fields.is_empty(),
        Value::Bool(true) | Value::Number(_) => false,
    }
}

fn first_half(hash: &[u8; 32]) -> [u8; 16] {
    std::array::from_fn(|index| hash[index])
}
