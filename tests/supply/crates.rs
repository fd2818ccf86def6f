//! `Cargo.lock` read for crates that talk to a network.

use std::fs;
use std::path::Path;

/// Crates that are clients, servers or the ciphers and event loops of such, and have no business here.
const NETWORK: [(&str, &str); 36] = [
    ("reqwest", "HTTP client"),
    ("hyper", "HTTP client and server"),
    ("hyper-util", "HTTP client and server"),
    ("http", "words of HTTP"),
    ("h2", "HTTP/2"),
    ("h3", "HTTP/3"),
    ("ureq", "HTTP client"),
    ("attohttpc", "HTTP client"),
    ("minreq", "HTTP client"),
    ("isahc", "HTTP client"),
    ("surf", "HTTP client"),
    ("ehttp", "HTTP client"),
    ("curl", "HTTP client"),
    ("curl-sys", "HTTP client"),
    ("native-tls", "ciphers of connections"),
    ("openssl", "ciphers of connections"),
    ("openssl-sys", "ciphers of connections"),
    ("rustls", "ciphers of connections"),
    ("webpki", "certificates"),
    ("webpki-roots", "certificates"),
    ("rustls-native-certs", "certificates"),
    ("quinn", "QUIC"),
    ("tungstenite", "web sockets"),
    ("actix-web", "HTTP server"),
    ("axum", "HTTP server"),
    ("warp", "HTTP server"),
    ("rocket", "HTTP server"),
    ("tiny_http", "HTTP server"),
    ("tonic", "remote calls"),
    ("mio", "sockets"),
    ("async-net", "sockets"),
    ("async-std", "sockets"),
    ("smol", "sockets"),
    ("socket2", "sockets"),
    ("hickory-resolver", "names of hosts"),
    ("sentry", "reports of crashes to a server"),
];

/// Crates that could open a socket or hand something to a program that does, and are here for a reason.
const NAMED: [(&str, &str); 13] = [
    ("zbus", "the desktop's own bus, a local socket: file dialog (portal) and screen readers"),
    ("atspi", "screen readers, over that bus"),
    ("accesskit_unix", "screen readers, over that bus"),
    ("async-io", "waits for that bus"),
    ("async-process", "part of that bus's crate"),
    ("polling", "waits for that bus"),
    ("x11rb", "the display, a local socket"),
    ("wayland-client", "the display, a local socket"),
    ("smithay-clipboard", "the clipboard, through the display"),
    ("tokio", "its tasks only, through the drawing crate, for programs of the web: in no program of a desktop"),
    ("url", "addresses as texts, for the crate below"),
    ("webbrowser", "hands an address to the browser where a link is clicked; the window has no link"),
    ("web-sys", "for programs of the web: in no program of a desktop"),
];

/// Names of the packages in the text of a lock file.
fn packages(lock: &str) -> Vec<&str> {
    lock.lines().filter_map(|l| l.strip_prefix("name = \"")?.strip_suffix('"')).collect()
}

/// Those that have no business here, each with what it is.
fn forbidden(lock: &str) -> Vec<String> {
    let found = packages(lock);
    NETWORK.iter().filter(|(name, _)| found.contains(name)).map(|(name, what)| format!("{name}: {what}")).collect()
}

fn lock() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.lock")).expect("Cargo.lock is there")
}

#[test]
fn no_crate_talks_to_a_network() {
    assert!(packages(&lock()).len() > 100, "the lock file is read");
    assert_eq!(forbidden(&lock()), Vec::<String>::new());
}

#[test]
fn a_client_in_the_lock_file_is_seen() {
    let lock = "[[package]]\nname = \"glam\"\n\n[[package]]\nname = \"hyper\"\nversion = \"1.0.0\"\n";
    assert_eq!(forbidden(lock), ["hyper: HTTP client and server"]);
}

#[test]
fn every_crate_named_with_a_reason_is_still_there() {
    let lock = lock();
    let found = packages(&lock);
    let gone: Vec<&str> = NAMED.iter().map(|(name, _)| *name).filter(|name| !found.contains(name)).collect();
    assert_eq!(gone, Vec::<&str>::new(), "strike these from the list");
    assert!(NAMED.iter().all(|(name, _)| !NETWORK.iter().any(|(other, _)| name == other)));
}

/// The tasks of tokio without its sockets: `net` would bring in `mio` and `socket2`.
#[test]
fn tokio_is_here_without_its_sockets() {
    let lock = lock();
    let entry = lock.split("[[package]]").find(|e| e.contains("name = \"tokio\"")).expect("named above");
    assert!(!entry.contains("\"mio\"") && !entry.contains("\"socket2\""), "{entry}");
}

/// Every crate is from crates.io, with its checksum, or our own.
#[test]
fn every_crate_is_from_the_registry() {
    let lock = lock();
    for entry in lock.split("[[package]]").skip(1) {
        let ours = entry.contains("name = \"toppleknot\"");
        let theirs = entry.contains("source = \"registry+https://github.com/rust-lang/crates.io-index\"")
            && entry.contains("checksum = \"");
        assert!(ours || theirs, "{entry}");
    }
}
