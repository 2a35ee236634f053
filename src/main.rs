//! The `slatwright` command: everything it does is in the library.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    slatwright::cli::run(std::env::args_os())
}
