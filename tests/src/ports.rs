//! Ports of this machine.

use std::net::TcpListener;

/// A port of this machine that nobody listens on just now.
///
/// # Panics
/// When there is none.
#[must_use]
pub fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("an address").port()
}
