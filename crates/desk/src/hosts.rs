//! The hosts that the page may be asked for under, and requests from elsewhere.

use axum::http::{HeaderMap, HeaderValue, header};
use std::net::SocketAddr;

/// The hosts that the page may be asked for under.
#[derive(Debug, Clone)]
pub struct Hosts(Vec<String>);

impl Hosts {
    /// This machine under each of its names, and `others` (the address on the
    /// local network).
    #[must_use]
    pub fn new(port: u16, others: &[SocketAddr]) -> Self {
        let mut hosts = vec![format!("127.0.0.1:{port}"), format!("localhost:{port}")];
        hosts.extend(others.iter().map(SocketAddr::to_string));
        Self(hosts)
    }

    /// Whether a request to a path comes from our own page under one of our names.
    pub(crate) fn allow(&self, path: &str, headers: &HeaderMap) -> bool {
        let text = |name: header::HeaderName| headers.get(name).map(HeaderValue::to_str);
        let host = match text(header::HOST) {
            Some(Ok(host)) => self.0.iter().any(|ours| ours.eq_ignore_ascii_case(host)),
            _ => false,
        };
        let origin = match text(header::ORIGIN) {
            None => true,
            Some(Ok(origin)) => origin
                .strip_prefix("http://")
                .is_some_and(|from| self.0.iter().any(|ours| ours.eq_ignore_ascii_case(from))),
            Some(Err(_)) => false,
        };
        let site = match headers.get("sec-fetch-site").map(HeaderValue::as_bytes) {
            None | Some(b"same-origin" | b"none") => true,
            // A link from elsewhere may lead to the front page, which is empty without a key.
            Some(_) => {
                path == "/"
                    && headers.get("sec-fetch-mode").map(HeaderValue::as_bytes) == Some(b"navigate")
            }
        };
        host && origin && site
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn allowed(pairs: &[(&'static str, &'static str)]) -> bool {
        allowed_at("/", pairs)
    }

    fn allowed_at(path: &str, pairs: &[(&'static str, &'static str)]) -> bool {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.insert(*name, HeaderValue::from_static(value));
        }
        Hosts::new(4000, &[]).allow(path, &headers)
    }

    #[test]
    fn only_our_own_host_and_origin_are_let_in() {
        assert!(allowed(&[("host", "127.0.0.1:4000")]));
        assert!(allowed(&[
            ("host", "LOCALHOST:4000"),
            ("origin", "http://localhost:4000")
        ]));
        assert!(!allowed(&[]));
        assert!(!allowed(&[("host", "127.0.0.1")]));
        assert!(!allowed(&[("host", "127.0.0.1:4001")]));
        assert!(!allowed(&[("host", "stump.example:4000")]));
        assert!(!allowed(&[
            ("host", "127.0.0.1:4000"),
            ("origin", "http://stump.example")
        ]));
        assert!(!allowed(&[("host", "127.0.0.1:4000"), ("origin", "null")]));
        assert!(!allowed(&[
            ("host", "127.0.0.1:4000"),
            ("sec-fetch-site", "cross-site")
        ]));
    }

    #[test]
    fn a_link_from_elsewhere_leads_to_the_front_page_alone() {
        let link = [
            ("host", "127.0.0.1:4000"),
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", "navigate"),
        ];
        assert!(allowed_at("/", &link));
        for path in ["/api/folder", "/made/0123/oak.pdf", "/desk.js"] {
            assert!(!allowed_at(path, &link), "{path}");
        }
    }
}
