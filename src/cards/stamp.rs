//! The short hash that tells one content from another.
