//! What comes in from outside, and that nothing goes out: no crate of network clients or servers, no unsafe code, no
//! socket of the internet opened by any command.

mod crates;
mod sockets;
mod source;
