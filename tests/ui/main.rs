//! The window, driven by the labels of its widgets.

mod solid_view;
