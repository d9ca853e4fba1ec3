//! Showing the desk to a phone: this machine's address on the local network,
//! and the code that a phone's camera reads.

use qrcode::render::unicode::Dense1x2;
use qrcode::{EcLevel, QrCode};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};

/// This machine's address on the local network; `None` when it has none.
///
/// The system is asked which of its addresses would be used for a far one (a
/// documentation address); nothing is sent.
#[must_use]
pub fn address() -> Option<IpAddr> {
    let socket = UdpSocket::bind(SocketAddr::from((Ipv4Addr::UNSPECIFIED, 0))).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let own = socket.local_addr().ok()?.ip();
    (!own.is_loopback() && !own.is_unspecified()).then_some(own)
}

/// A QR code of an address in letters, two squares a letter, dark on light
/// whatever the terminal's colors; `None` when the address is too long.
#[must_use]
pub fn code(address: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(address, EcLevel::L).ok()?;
    Some(
        code.render::<Dense1x2>()
            .dark_color(Dense1x2::Light)
            .light_color(Dense1x2::Dark)
            .quiet_zone(true)
            .build(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_square_and_fits_a_terminal() {
        let code =
            code("http://192.168.178.123:54321/#key=0123456789abcdef0123456789abcdef").unwrap();
        let lines: Vec<&str> = code.lines().collect();
        let wide = lines[0].chars().count();
        assert!(wide <= 60, "{wide} letters");
        assert!(lines.iter().all(|line| line.chars().count() == wide));
        assert_eq!(lines.len(), wide.div_ceil(2));
    }
}
