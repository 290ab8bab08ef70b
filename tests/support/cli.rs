//! The program as a user runs it.

use std::path::Path;
use std::process::{Command, Output};

/// Where the program is, for a shell that runs it.
pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_headfall");

/// The program, to be told more.
pub(crate) fn program() -> Command {
    Command::new(PROGRAM)
}

/// Runs the program: what is asked, then the folders and files.
pub(crate) fn headfall(arguments: &[&str], paths: &[&Path]) -> Output {
    program().args(arguments).args(paths).output().expect("the program runs")
}

/// The same; fails unless the program ends with exit code 0.
#[track_caller]
pub(crate) fn runs(arguments: &[&str], paths: &[&Path]) -> Output {
    let output = headfall(arguments, paths);
    ends(&output, 0);
    output
}

/// Runs the program under a limit of the shell, such as `-n 10`.
pub(crate) fn limited(limit: &str, arguments: &[&str]) -> Output {
    Command::new("sh")
        .args(["-c", &format!("ulimit {limit} && exec \"$0\" \"$@\""), PROGRAM])
        .args(arguments)
        .output()
        .expect("a shell")
}

/// Fails unless a run ended with this exit code.
#[track_caller]
pub(crate) fn ends(output: &Output, code: i32) {
    let (out, err) = (stdout(output), stderr(output));
    assert_eq!(output.status.code(), Some(code), "stdout: {out}\nstderr: {err}");
}

/// What a run wrote on standard output.
pub(crate) fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

/// What a run wrote on standard error.
pub(crate) fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}
