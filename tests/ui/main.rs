//! The window, driven by the labels of its widgets.
