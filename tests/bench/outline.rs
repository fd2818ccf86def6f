//! Rounds from outlines.

fn main() {
    divan::main();
}
