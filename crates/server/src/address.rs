//! Client addresses, as they are counted.

use std::net::{IpAddr, Ipv6Addr};

/// The address under which a client is counted: an IPv6 /64 network counts as one, since whoever has one address there has
/// them all; an IPv4-mapped IPv6 address counts as IPv4.
pub fn counted(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(v6) if !v6.is_loopback() => {
            let [a, b, c, d, ..] = v6.segments();
            IpAddr::V6(Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0))
        }
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_network_of_ipv6_is_one_caller() {
        let counted = |text: &str| counted(text.parse().unwrap()).to_string();
        assert_eq!(counted("2001:db8:1:2:3:4:5:6"), "2001:db8:1:2::");
        assert_eq!(counted("2001:db8:1:2:ffff::1"), counted("2001:db8:1:2::9"));
        assert_eq!(counted("::ffff:192.0.2.7"), "192.0.2.7");
        assert_eq!((counted("::1"), counted("192.0.2.7")), ("::1".into(), "192.0.2.7".into()));
    }
}
