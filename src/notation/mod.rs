//! Written rounds to rounds and back.
