//! Pages as a PDF document.
