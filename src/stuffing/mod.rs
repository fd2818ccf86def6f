//! The stuffed shape of one part: an axisymmetric membrane under the pressure of its stuffing.
