//! The window, driven by the labels of its widgets.

mod export;
mod files;
mod flows;
mod keyboard;
mod labels;
mod mending;
mod odd_text;
mod making;
mod outline;
mod pictures;
mod random;
mod screens;
mod solid_view;
mod window;
mod yarn;
