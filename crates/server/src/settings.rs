//! Settings and limits of the server.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};

/// Settings of the server.
#[derive(Debug, Clone)]
pub struct ServerSettings {
    /// Address to listen on.
    pub address: SocketAddr,
    /// Host names, besides the address, by which browsers may reach it.
    pub names: Vec<String>,
    /// Hash of the owner's password (argon2, PHC text); `None`: no password.
    pub password: Option<String>,
    /// Host name (with its port unless 443) of a TLS proxy in front of this server; `None`: no proxy. With a proxy, session
    /// cookies are `Secure` and a password is needed.
    pub tls_name: Option<String>,
}

impl Default for ServerSettings {
    fn default() -> Self {
        let address = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 7878);
        ServerSettings { address, names: Vec::new(), password: None, tls_name: None }
    }
}

/// Longest photo of a survey, bytes, and of all photos of a job together: an archive of the job takes 100 MB.
pub const LONGEST_PHOTO: usize = 24 << 20;
/// See [`LONGEST_PHOTO`].
pub const LONGEST_PHOTOS: usize = 80 << 20;

/// Most photos of a job.
pub const MOST_PHOTOS: usize = 40;

/// Longest JSON body, bytes.
pub const LONGEST_BODY: usize = 2 << 20;

/// Longest body of a mesh or archive, bytes.
pub const LONGEST_MESH: usize = 100 << 20;

/// Most triangles of a mesh, and of all meshes of a job.
pub const MOST_TRIANGLES: usize = 1_000_000;
