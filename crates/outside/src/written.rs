//! Hands what the writers write to validators.
