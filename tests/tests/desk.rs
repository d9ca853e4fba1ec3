//! `stumpbook desk` as a command: what it says when it cannot start. What it
//! does when it can is tested in `tests/browser` and in the crate itself.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::stumpbook;
use std::net::TcpListener;

#[test]
fn a_port_that_is_taken_is_named_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let output = stumpbook()
        .args(["desk", "--no-open", "--port", &port])
        .arg(folder.path())
        .output()
        .unwrap();
    let talk = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{talk}");
    assert!(talk.contains(&format!("cannot use port {port}")), "{talk}");
    assert!(talk.contains("try: leave --port out"), "{talk}");
    assert!(output.stdout.is_empty());
}

#[test]
fn a_folder_that_is_not_there_is_named_with_what_to_do() {
    let output = stumpbook()
        .args(["desk", "--no-open", "no/such/folder"])
        .output()
        .unwrap();
    let talk = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{talk}");
    assert!(talk.contains("cannot open no/such/folder"), "{talk}");
    assert!(talk.contains("try: "), "{talk}");
}

#[test]
fn an_address_that_is_none_of_this_machine_is_named_and_not_the_port() {
    let folder = tempfile::tempdir().unwrap();
    for address in ["0.0.0.0", "10.99.99.99"] {
        let output = stumpbook()
            .args(["desk", "--no-open", &format!("--lan={address}")])
            .arg(folder.path())
            .output()
            .unwrap();
        let talk = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{talk}");
        assert!(
            talk.contains(&format!("cannot use the address {address}")),
            "{talk}"
        );
        assert!(talk.contains("--lan=192.168.1.20"), "{talk}");
        assert!(!talk.contains("--port"), "{talk}");
    }
}

#[test]
fn a_port_that_is_none_is_wrong_usage() {
    let output = stumpbook()
        .args(["desk", "--port", "99999"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
}
