//! Canonical spacing.
