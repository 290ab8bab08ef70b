//! The command line: seal, parse, run, exit code.

mod cli;

use std::process::ExitCode;

use clap::Parser;

#[global_allocator]
static MEMORY: cli::memory::OrEnd = cli::memory::OrEnd;

fn main() -> ExitCode {
    #[expect(unsafe_code, reason = "there is no safe way to change the environment")]
    // SAFETY: this is the first thing the program does, and no other thread runs.
    unsafe {
        headfall::sealed::drop_environment();
    }
    #[cfg(unix)]
    large_files_are_errors();
    cli::handles::as_many_as_allowed();
    faults_of_workbooks_are_refusals();
    cli::signals::end_cleanly();
    match cli::Args::try_parse() {
        Ok(args) => cli::run(&args).into(),
        Err(error) => {
            let is_asked_for = error.exit_code() == 0;
            let said = error.print().is_ok();
            let end = if is_asked_for { cli::Exit::Done } else { cli::Exit::Usage };
            if said { end } else { cli::Exit::NotWritten }.into()
        }
    }
}

/// Has a panic of the reader of workbooks print nothing: the file is refused, and the refusal says so.
fn faults_of_workbooks_are_refusals() {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if std::thread::current().name() != Some(headfall::read::WORKBOOK_THREAD) {
            usual(panic);
        }
    }));
}

/// Has a file that grows beyond what the system allows be an error, as a full disk is one, and not
/// the end of the program.
#[cfg(unix)]
#[expect(unsafe_code, reason = "the standard library does not know signals")]
fn large_files_are_errors() {
    // SAFETY: the signal is passed over, and no handler is involved.
    unsafe {
        libc::signal(libc::SIGXFSZ, libc::SIG_IGN);
    }
}
