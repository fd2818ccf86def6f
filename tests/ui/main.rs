//! The window, driven by the labels of its widgets.

mod flows;
mod labels;
mod random;
mod solid_view;
mod window;
