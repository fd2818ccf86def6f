//! Documents, samples and the command line, as files on disk.

mod advice;
mod command_line;
mod contract;
mod documents;
mod plan;
mod extremes;
mod hostile;
mod meshes;
mod outline;
mod samples;
mod strangers;
mod unknown;
mod whole;

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

/// A file of the samples folder.
fn sample_path(file: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("samples").join(file)
}

/// Runs the program with this on its standard input.
fn run(args: &[&str], input: &str) -> Output {
    fed(Command::new(env!("CARGO_BIN_EXE_toppleknot")).args(args), input)
}

/// Runs a command without a display, with this on its standard input.
fn fed(command: &mut Command, input: &str) -> Output {
    let mut child = command
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut pipe = child.stdin.take().expect("a pipe");
    let input = input.to_owned();
    let writer = std::thread::spawn(move || {
        // A program that refuses its arguments or has seen enough closes its end.
        let _ = pipe.write_all(input.as_bytes());
    });
    let output = child.wait_with_output().expect("the program ends");
    writer.join().expect("the writer ends");
    output
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// The JSON report of a text with these options.
fn report(options: &[&str], input: &str) -> serde_json::Value {
    let args: Vec<&str> = ["check", "-", "--json"].into_iter().chain(options.iter().copied()).collect();
    let output = run(&args, input);
    assert!(output.status.success(), "{}", err(&output));
    serde_json::from_str(&out(&output)).expect("standard output is JSON alone")
}
