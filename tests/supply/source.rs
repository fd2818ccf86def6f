//! Our own code: nothing unsafe, no sockets.

use std::fs;
use std::path::{Path, PathBuf};

#[path = "../common/rust_files.rs"]
mod rust_files;
use rust_files::rust_files;

/// Words that have no business in code, comments and texts left out.
const WORDS: [&str; 7] =
    ["unsafe", "std::net", "TcpStream", "TcpListener", "UdpSocket", "ToSocketAddrs", "os::unix::net"];

/// The words of the list that stand in a line of code by themselves (`unsafe_code` is another word).
fn words_in(line: &str) -> Vec<&'static str> {
    let code = line.split("//").next().unwrap_or("");
    let part_of_word = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    let alone = |word: &str| {
        code.match_indices(word).any(|(at, _)| {
            !part_of_word(code[..at].chars().next_back()) && !part_of_word(code[at + word.len()..].chars().next())
        })
    };
    WORDS.into_iter().filter(|w| alone(w)).collect()
}

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

#[test]
fn the_compiler_forbids_unsafe_code() {
    let text = fs::read_to_string(source().join("lib.rs")).expect("lib.rs is there");
    assert!(text.lines().any(|l| l.trim() == "#![forbid(unsafe_code)]"), "src/lib.rs forbids unsafe code");
}

#[test]
fn no_code_is_unsafe_or_opens_a_socket() {
    let files = rust_files(&source());
    assert!(files.len() > 50, "the source is read");
    let mut wrong = Vec::new();
    for file in files {
        let text = fs::read_to_string(&file).expect("a source file");
        for (number, line) in text.lines().enumerate() {
            wrong.extend(words_in(line).into_iter().map(|w| format!("{}:{}: {w}", file.display(), number + 1)));
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn such_code_is_seen() {
    assert_eq!(words_in("    let x = unsafe { *p };"), ["unsafe"]);
    assert_eq!(words_in("use std::net::TcpStream;"), ["std::net", "TcpStream"]);
    assert_eq!(words_in("#![forbid(unsafe_code)]"), Vec::<&str>::new());
    assert_eq!(words_in("let unsafe_parts = 3; // unsafe"), Vec::<&str>::new());
}
