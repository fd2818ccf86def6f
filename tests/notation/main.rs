//! The reader and writer of written rounds against the corpus in this folder.
