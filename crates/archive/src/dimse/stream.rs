//! The bytes of a connection, in the clear or encrypted.

use std::{
    fmt,
    io::{self, Read, Write},
    net::TcpStream,
    sync::Arc,
};

use rustls::{
    ClientConfig, ClientConnection, ServerConfig, ServerConnection, StreamOwned,
    pki_types::ServerName,
};

use crate::error::ArchiveError;

/// A connection's bytes.
pub(crate) enum Stream {
    /// In the clear.
    Plain(TcpStream),
    /// By TLS, which takes a good deal of memory of its own.
    Encrypted(Box<StreamOwned<ClientConnection, TcpStream>>),
    /// The same, from somebody who called here.
    Received(Box<StreamOwned<ServerConnection, TcpStream>>),
}

impl fmt::Debug for Stream {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Plain(_) => "Plain",
            Self::Encrypted(_) => "Encrypted",
            Self::Received(_) => "Received",
        })
    }
}

impl Stream {
    /// The same, encrypted towards a host. What is wrong with its certificate shows with the first bytes.
    ///
    /// # Errors
    /// When the host has no name that a certificate can bear.
    pub(crate) fn encrypted(
        self,
        config: Arc<ClientConfig>,
        host: &str,
    ) -> Result<Self, ArchiveError> {
        let Self::Plain(socket) = self else {
            return Ok(self);
        };
        let insecure = |reason: String| ArchiveError::Insecure { reason };
        let name =
            ServerName::try_from(host.to_owned()).map_err(|error| insecure(error.to_string()))?;
        let connection =
            ClientConnection::new(config, name).map_err(|error| insecure(error.to_string()))?;
        Ok(Self::Encrypted(Box::new(StreamOwned::new(
            connection, socket,
        ))))
    }

    /// The same from somebody who called here, encrypted by our certificate.
    ///
    /// # Errors
    /// When the certificate cannot be used.
    pub(crate) fn received(self, config: Arc<ServerConfig>) -> Result<Self, ArchiveError> {
        let Self::Plain(socket) = self else {
            return Ok(self);
        };
        let connection = ServerConnection::new(config).map_err(|error| ArchiveError::Insecure {
            reason: error.to_string(),
        })?;
        Ok(Self::Received(Box::new(StreamOwned::new(
            connection, socket,
        ))))
    }

    /// The socket, whose waits can be set.
    pub(crate) fn socket(&self) -> &TcpStream {
        match self {
            Self::Plain(socket) => socket,
            Self::Encrypted(stream) => &stream.sock,
            Self::Received(stream) => &stream.sock,
        }
    }
}

impl Read for Stream {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Plain(stream) => stream.read(buffer),
            Self::Encrypted(stream) => stream.read(buffer),
            Self::Received(stream) => stream.read(buffer),
        }
    }
}

impl Write for Stream {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Plain(stream) => stream.write(bytes),
            Self::Encrypted(stream) => stream.write(bytes),
            Self::Received(stream) => stream.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Plain(stream) => stream.flush(),
            Self::Encrypted(stream) => stream.flush(),
            Self::Received(stream) => stream.flush(),
        }
    }
}
