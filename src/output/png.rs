//! A drawing as a PNG picture.
