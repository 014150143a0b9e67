//! Unit tests.
