//! The program: arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(tarebook::shell::run(std::env::args_os()))
}
