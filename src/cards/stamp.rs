//! The short hash that tells one content from another. Knows data, not what it means.

use serde::Serialize;

/// Letters and digits that cannot be taken for one another on a wet card: no 0 or O, 1, I or L, 8 or B.
pub const ALPHABET: &[u8; 29] = b"ACDEFGHJKMNPQRSTUVWXYZ2345679";
/// Characters in a stamp.
pub const STAMP_LENGTH: usize = 5;
/// Lengths enter a stamp to a ten-thousandth of a millimetre, so that 1 in and 25.4 mm are the same length.
pub const LENGTH_STEPS_PER_MM: f64 = 10_000.0;

/// The stamp of a card's content: five characters of the BLAKE3 hash of its JSON form.
///
/// Two contents of one kind have the same stamp by chance once in 29⁵, about 20 million.
pub fn stamp(kind: &str, content: &impl Serialize) -> String {
    // Content is plain data made here; a content that will not serialize still gets a stamp of its debug-free name.
    let json = serde_json::to_vec(content).unwrap_or_default();
    let mut hasher = blake3::Hasher::new();
    hasher.update(kind.as_bytes());
    hasher.update(&[0]);
    hasher.update(&json);
    let mut wide = u128::from_le_bytes(first_half(hasher.finalize().as_bytes()));
    let base = ALPHABET.len() as u128;
    (0..STAMP_LENGTH)
        .map(|_| {
            let digit = (wide % base) as usize;
            wide /= base;
            char::from(ALPHABET[digit])
        })
        .collect()
}

/// A length as it enters content: millimetres, without the noise of unit conversions.
pub fn settled_mm(millimetres: f64) -> f64 {
    // Adding 0 turns −0 into 0, which JSON would write differently.
    (millimetres * LENGTH_STEPS_PER_MM).round() / LENGTH_STEPS_PER_MM + 0.0
}

fn first_half(hash: &[u8; 32]) -> [u8; 16] {
    std::array::from_fn(|index| hash[index])
}
