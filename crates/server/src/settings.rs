//! How the server is started.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};

/// Settings of the server.
#[derive(Debug, Clone)]
pub struct ServerSettings {
    /// Where it listens.
    pub address: SocketAddr,
    /// Names beside the address by which browsers may call it.
    pub names: Vec<String>,
    /// Hash of the owner's password (argon2, PHC text); `None`: none was set.
    pub password: Option<String>,
    /// Name (with its port unless that is 443) by which browsers reach a proxy with TLS before this server; `None`: there
    /// is no such proxy. Session cookies are then `Secure`, and a password is needed.
    pub tls_name: Option<String>,
}

impl Default for ServerSettings {
    fn default() -> Self {
        let address = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 7878);
        ServerSettings { address, names: Vec::new(), password: None, tls_name: None }
    }
}

/// Longest JSON body, bytes.
pub const LONGEST_BODY: usize = 2 << 20;

/// Longest body of a mesh or archive, bytes.
pub const LONGEST_MESH: usize = 100 << 20;

/// Most triangles of a mesh, and of all meshes of a job.
pub const MOST_TRIANGLES: usize = 1_000_000;
