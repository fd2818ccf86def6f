//! The window, driven by the labels of its widgets.

mod flows;
mod labels;
mod pictures;
mod random;
mod solid_view;
mod window;
