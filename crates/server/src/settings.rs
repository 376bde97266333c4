//! How the server is started.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};

/// Settings of the server.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Where it listens.
    pub address: SocketAddr,
    /// Names beside the address by which browsers may call it.
    pub names: Vec<String>,
    /// Hash of the owner's password (argon2, PHC text); `None`: none was set.
    pub password: Option<String>,
}

impl Default for Settings {
    fn default() -> Self {
        Settings { address: SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 7878), names: Vec::new(), password: None }
    }
}

/// Longest JSON body, bytes.
pub const LONGEST_BODY: usize = 2 << 20;

/// Longest body of a mesh or archive, bytes.
pub const LONGEST_MESH: usize = 100 << 20;

/// Most triangles of a mesh, and of all meshes of a job.
pub const MOST_TRIANGLES: usize = 1_000_000;
