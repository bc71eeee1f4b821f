//! Where cards and strips go on the paper.
