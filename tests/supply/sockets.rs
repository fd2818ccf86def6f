//! Every command without a window, run under `strace`: no socket of the internet is opened.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Lines of a trace that have to do with the internet: addresses of version 4 or 6, raw packets, or the kernel's lists
/// of network devices. Local sockets (`AF_UNIX`) are the desktop's own.
fn of_the_internet(trace: &str) -> Vec<&str> {
    let families = ["AF_INET", "AF_INET6", "AF_PACKET", "AF_NETLINK", "AF_VSOCK"];
    trace.lines().filter(|l| families.iter().any(|f| l.contains(f))).collect()
}

/// A trace of `program`, or why none can be made here.
fn trace(program: &str, arguments: &[&str], folder: &Path) -> Result<String, String> {
    let file = folder.join("trace");
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-e", "trace=network,execve", "-o"]).arg(&file).arg(program).args(arguments);
    // No setting of this machine decides what happens.
    strace.current_dir(folder).env("HOME", folder).env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
    let output = strace.output().map_err(|e| format!("strace cannot be started: {e}"))?;
    let text = fs::read_to_string(&file).unwrap_or_default();
    if !text.contains("execve(") {
        return Err(format!("strace does not run here: {}", String::from_utf8_lossy(&output.stderr).trim()));
    }
    if !output.status.success() {
        panic!("{arguments:?} failed: {}", String::from_utf8_lossy(&output.stderr));
    }
    Ok(text)
}

fn install_strace() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    // Where it cannot be installed the test says below that it did not run.
    let _ = Command::new("sh").arg(root.join("tests/system-packages")).arg("strace").output();
}

const OUTLINE: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="90mm" viewBox="0 0 60 90">
<path d="M30 0 C55 0 60 30 55 50 C50 80 40 90 30 90 C20 90 10 80 5 50 C0 30 5 0 30 0 Z"/></svg>"#;

#[test]
fn no_command_opens_a_socket_of_the_internet() {
    install_strace();
    let folder = std::env::temp_dir().join(format!("toppleknot-sockets-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder for what is written");
    let outline = folder.join("outline.svg");
    fs::write(&outline, OUTLINE).expect("an outline");

    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let sample = |name: &str| -> PathBuf { samples.join(name) };
    let toy = sample("puppet-booth-crier.toy.ron");
    let text = sample("tide-pool-seal.txt");
    let (toy, text, outline) = (toy.to_string_lossy(), text.to_string_lossy(), outline.to_string_lossy());
    let runs: [&[&str]; 12] = [
        &["check", &toy],
        &["check", &text, "--json"],
        &["read", &text],
        &["write", &toy],
        &["advise", &toy],
        &["outline", &outline],
        &["sketch", &toy, "--output", "sketch.pdf"],
        &["sketch", &toy, "--output", "sketch.png"],
        &["sheet", &toy, "--output", "sheet.pdf"],
        &["mesh", &toy, "--output", "toy.glb"],
        &["mesh", &toy, "--output", "toy.stl"],
        &["--help"],
    ];
    for arguments in runs {
        match trace(env!("CARGO_BIN_EXE_toppleknot"), arguments, &folder) {
            Ok(trace) => assert_eq!(of_the_internet(&trace), Vec::<&str>::new(), "{arguments:?}"),
            Err(why) => {
                println!("skipped: {why}");
                break;
            }
        }
    }
    let _ = fs::remove_dir_all(&folder);
}

/// The same on lines as strace prints them (strace 6.1).
#[test]
fn a_socket_of_the_internet_is_seen() {
    let trace = "\
71 execve(\"/usr/bin/x\", [\"x\"], 0x7ffd /* 9 vars */) = 0
71 socket(AF_UNIX, SOCK_STREAM|SOCK_CLOEXEC, 0) = 3
71 socket(AF_INET, SOCK_STREAM|SOCK_CLOEXEC, IPPROTO_IP) = 4
71 connect(4, {sa_family=AF_INET6, sin6_port=htons(80)}, 28) = 0
71 +++ exited with 0 +++";
    assert_eq!(of_the_internet(trace).len(), 2);
    assert_eq!(of_the_internet("71 socket(AF_UNIX, SOCK_STREAM, 0) = 3"), Vec::<&str>::new());
}

/// A real socket, opened by this test's own program in a second run of itself, is in a real trace.
#[test]
fn a_real_socket_is_in_a_real_trace() {
    install_strace();
    let folder = std::env::temp_dir().join(format!("toppleknot-own-socket-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder for the trace");
    let own = std::env::current_exe().expect("this program");
    let arguments = ["--ignored", "--exact", "sockets::opens_a_local_socket"];
    match trace(&own.to_string_lossy(), &arguments, &folder) {
        Ok(trace) => assert!(!of_the_internet(&trace).is_empty(), "the socket is not in:\n{trace}"),
        Err(why) => println!("skipped: {why}"),
    }
    let _ = fs::remove_dir_all(&folder);
}

/// Only for the test above, which runs it under `strace`.
#[test]
#[ignore = "run by a_real_socket_is_in_a_real_trace"]
fn opens_a_local_socket() {
    let socket = std::net::UdpSocket::bind("127.0.0.1:0").expect("a socket on this machine");
    assert!(socket.local_addr().is_ok());
}
