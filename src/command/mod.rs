//! The command line.

mod advise;
mod args;
mod check;
mod plan_args;
mod mesh;
mod paper;
mod outline;
mod outline_args;
mod rounds;
mod scene_args;

use std::process::ExitCode;

use clap::Parser;

use args::{Args, Command};

/// Exit code for bad input.
const BAD_INPUT: u8 = 2;

/// Runs the program with the arguments of the process.
pub fn run() -> ExitCode {
    let args = Args::parse();
    let result = match args.command {
        Some(Command::Check(check)) => check::check(&check),
        Some(Command::Advise(advise)) => advise::run(&advise),
        Some(Command::Read(read)) => rounds::read(&read),
        Some(Command::Write(write)) => rounds::write(&write),
        Some(Command::Mesh(mesh)) => mesh::mesh(&mesh),
        Some(Command::Sketch(sketch)) => paper::sketch(&sketch),
        Some(Command::Sheet(sheet)) => paper::sheet(&sheet),
        Some(Command::Outline(outline)) => outline::outline(&outline),
        None => open_window(args.file.as_deref()),
    };
    match result {
        Ok(code) => code,
        Err(message) => {
            eprintln!("toppleknot: {message}");
            ExitCode::from(BAD_INPUT)
        }
    }
}

/// Opens the window; with no display, prints the report of the file after one sentence saying why.
fn open_window(file: Option<&std::path::Path>) -> Result<ExitCode, String> {
    #[cfg(feature = "gui")]
    let why = match crate::ui::run(file) {
        Ok(()) => return Ok(ExitCode::SUCCESS),
        Err(why) => why.to_string(),
    };
    #[cfg(not(feature = "gui"))]
    let why = "This toppleknot was built without its window.".to_owned();
    let Some(file) = file else {
        return Err(format!("{why} Name a file to print its report: toppleknot check FILE"));
    };
    eprintln!("{why} Here is the report instead.");
    check::check(&args::CheckArgs::of(file))
}

/// Writes to standard output; a reader that has gone away (`| head`) is no error.
fn print(text: &str) -> Result<(), String> {
    use std::io::Write;
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(format!("standard output cannot be written: {e}")),
        _ => Ok(()),
    }
}
