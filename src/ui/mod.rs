//! The window: everything that knows the toolkit.

pub mod solid_view;
