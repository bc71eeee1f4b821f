//! Files onto the disk: written beside their place and renamed.
