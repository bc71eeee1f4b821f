//! The command line: parse, call, print, exit code. Everything else is in the library.

mod cli;

fn main() -> std::process::ExitCode {
    cli::run()
}
