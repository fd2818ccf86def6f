//! The program: arguments, then one call.

fn main() -> std::process::ExitCode {
    toppleknot::command::run()
}
