//! A drawing as an SVG document.
