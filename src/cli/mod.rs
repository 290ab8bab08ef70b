//! The command line program. The library cannot see it.

use std::fmt::Write as _;

mod args;
mod cross_validate;
mod exit;
pub(crate) mod handles;
pub(crate) mod memory;
mod over_rounds;
mod progress;
mod record;
mod refused;
mod render;
mod say;
mod toward;

pub(crate) use args::Args;
use args::{Check, Command, Draw, Source};
pub(crate) use exit::Exit;
use headfall::{read, run, write};
use refused::refused;
use say::End;

/// Made of what the program is built of; `tests/licences.rs` makes it and holds it against that.
const LICENCES: &str = include_str!("../../docs/licences.txt");

/// Carries out one command and says how it ended.
pub(crate) fn run(args: &Args) -> Exit {
    match &args.command {
        Command::Draw(draw) => with_threads(&draw.source, || self::draw(draw)),
        Command::Check(check) => with_threads(&check.source, || self::check(check)),
        Command::Toward(toward) => with_threads(&toward.source, || toward::run(toward)),
        Command::CrossValidate(args) => with_threads(&args.source, || cross_validate::run(args)),
        Command::Record(args) => with_threads(&args.source, || record::run(args)),
        Command::Start { dir } => start(dir),
        Command::Licences => say::out(LICENCES, End { said: Exit::Done, unsaid: Exit::Unsaid }),
    }
}

/// Runs on the asked number of threads, or on as many as there are processors.
fn with_threads(source: &Source, job: impl FnOnce() -> Exit + Send) -> Exit {
    let count = source.threads.map_or(0, Into::into);
    match rayon::ThreadPoolBuilder::new().num_threads(count).build() {
        Ok(pool) => pool.install(job),
        Err(e) => {
            let threads =
                if count == 0 { "threads".to_owned() } else { format!("{count} threads") };
            say::aside(&format!("{threads} cannot be started: {e}; nothing was written\n"));
            Exit::Refused
        }
    }
}

fn draw(args: &Draw) -> Exit {
    let overrides = args.making.overrides(&args.source);
    let mut findings = Vec::new();
    let out = args.out.as_deref();
    let drawn = progress::shown(&args.source, || {
        run::draw(&args.source.path, &overrides, out, &mut findings)
    });
    match drawn {
        Ok(drawn) => {
            render::findings(&findings);
            say::kept(&drawn.told);
            let said = Exit::done(&findings, args.source.fail_on);
            let exit = say::result(
                &args.source,
                || render::json(&write::summary(&drawn.results(&findings))),
                || render::summary(&drawn, &findings),
                End { said, unsaid: Exit::Unsaid },
            );
            // The end of the program gives a large map's memory back sooner than piece by piece.
            std::mem::forget(drawn);
            exit
        }
        Err(error) => refused(&findings, &error),
    }
}

fn check(args: &Check) -> Exit {
    let mut findings = Vec::new();
    let checked = progress::shown(&args.source, || {
        let heads = run::heads(&args.source.path, &args.source.overrides(None), &mut findings)?;
        let control = run::control(&heads, &mut findings);
        Ok((heads, control))
    });
    let (heads, control) = match checked {
        Ok(checked) => checked,
        Err(error) => return refused(&findings, &error),
    };
    let (control, error) = match control {
        Ok(control) => (Some(control), None),
        Err(error) => (None, Some(error)),
    };
    let said = say::result(
        &args.source,
        || render::json(&render::checked(&heads, control.as_ref(), &findings, error.as_ref())),
        || render::heads(&heads, control.as_ref(), &findings),
        End { said: Exit::done(&findings, args.source.fail_on), unsaid: Exit::Refused },
    );
    if let Some(error) = error {
        return refused(&findings, &error);
    }
    render::findings(&findings);
    said
}

fn start(dir: &std::path::Path) -> Exit {
    match read::start(dir) {
        Ok(files) => {
            let mut text = format!("made {}:\n", dir.display());
            for file in files {
                let _ = writeln!(text, "  {}", file.display());
            }
            let _ = writeln!(text, "fill them in, then: headfall draw {}", dir.display());
            say::out(&text, End { said: Exit::Done, unsaid: Exit::Unsaid })
        }
        Err(error) => refused(&[], &error),
    }
}
