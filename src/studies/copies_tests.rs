//! Copies studied.
