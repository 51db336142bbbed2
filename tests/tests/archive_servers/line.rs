//! A line to a server that is slow, or that is cut after so many bytes.

use std::{
    io::{Read, Write},
    net::{Shutdown, TcpListener, TcpStream},
    thread,
    time::Duration,
};

/// How a line is.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Line {
    /// It is cut when this many bytes have gone to the server.
    pub(crate) cut_after_sent: Option<u64>,
    /// It is cut when this many bytes have come from the server.
    pub(crate) cut_after_answered: Option<u64>,
    /// How long each 16 KiB towards the server take.
    pub(crate) slowness: Duration,
}

impl Line {
    /// Lays the line to a port of this machine, and gives the port at its other end. It lies until the test ends.
    pub(crate) fn laid_to(self, server: u16) -> u16 {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = listener.local_addr().expect("an address").port();
        thread::spawn(move || {
            for client in listener.incoming() {
                let Ok(client) = client else { return };
                let Ok(server) = TcpStream::connect(("127.0.0.1", server)) else {
                    continue;
                };
                self.join(client, server);
            }
        });
        port
    }

    fn join(self, client: TcpStream, server: TcpStream) {
        let (client_too, server_too) = (
            client.try_clone().expect("the same"),
            server.try_clone().expect("the same"),
        );
        thread::spawn(move || pump(client, server, self.cut_after_sent, self.slowness));
        thread::spawn(move || {
            pump(
                server_too,
                client_too,
                self.cut_after_answered,
                Duration::ZERO,
            );
        });
    }
}

/// Passes bytes on until there are no more, or so many have passed.
fn pump(mut from: TcpStream, mut to: TcpStream, cut_after: Option<u64>, slowness: Duration) {
    let mut left = cut_after.unwrap_or(u64::MAX);
    let mut buffer = [0; 16 << 10];
    while left > 0 {
        let Ok(count @ 1..) = from.read(&mut buffer) else {
            // One direction may end before the other.
            let _gone = to.shutdown(Shutdown::Write);
            return;
        };
        let passed = count.min(usize::try_from(left).unwrap_or(usize::MAX));
        thread::sleep(slowness);
        if to.write_all(&buffer[..passed]).is_err() {
            break;
        }
        left -= passed as u64;
    }
    let _gone = (from.shutdown(Shutdown::Both), to.shutdown(Shutdown::Both));
}
