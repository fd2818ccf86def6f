//! Toppleknot works out, from the written rounds of a crocheted stuffed toy, how it comes out before
//! hours of work are spent on it: stuffed shape, size, balance, neck, yarn.
//!
//! The modules stand in layer order: each imports only from those above it (`tests/layering` checks it).
#![forbid(unsafe_code)]

pub mod figure;
pub mod rounds;
pub mod notation;
pub mod yarn;
pub mod part;
pub mod stuffing;
pub mod solid;
pub mod toy;
pub mod measure;
pub mod document;
pub mod advise;
pub mod view;
pub mod export;
#[cfg(feature = "gui")]
pub mod ui;
pub mod command;
