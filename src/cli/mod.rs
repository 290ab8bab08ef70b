//! The command line program. The library cannot see it.

mod args;
mod compare;
mod cross_validate;
mod draw;
mod examples;
mod exit;
mod explain;
mod form;
mod gather;
pub(crate) mod handles;
pub(crate) mod memory;
mod over_rounds;
mod overrides;
mod printed;
mod progress;
mod record;
mod refused;
mod render;
mod results;
mod say;
mod schema;
mod shell;
pub(crate) mod signals;
mod start;
mod tables;
mod toward;
mod values;
mod verify;
mod version;

pub(crate) use args::Args;
use args::{Check, Command, How};
pub(crate) use exit::Exit;
use headfall::run;
use refused::refused;
use say::End;

/// Made of what the program is built of; `tests/licences.rs` makes it and holds it against that.
const LICENCES: &str = include_str!("../../docs/licences.txt");

/// Carries out one command and says how it ended.
pub(crate) fn run(args: &Args) -> Exit {
    if args.command.asks_for_all_units() {
        say::aside("--aquifer-unit all is for draw: name one unit; nothing was written\n");
        return Exit::Usage;
    }
    match &args.command {
        Command::Draw(args) if args.is_of_one() => with_threads(&args.how, || draw::one(args)),
        Command::Draw(args) => draw::many(args),
        Command::Check(check) => with_threads(&check.source, || self::check(check)),
        Command::Toward(toward) => with_threads(&toward.source, || toward::run(toward)),
        Command::CrossValidate(args) => with_threads(&args.source, || cross_validate::run(args)),
        Command::Record(args) => with_threads(&args.source, || record::run(args)),
        Command::Compare(args) => with_threads(&args.how, || compare::run(args)),
        Command::Form(args) => with_threads(&args.how, || form::run(args)),
        Command::Verify(args) => verify::run(args),
        Command::Gather(args) => gather::run(args),
        Command::Schema { name } => {
            say::out(&schema::of(name), End { said: Exit::Done, has_files: false })
        }
        Command::Explain { codes } => explain::run(codes),
        Command::Completions { shell } => shell::completions(*shell),
        Command::Man { dir } => shell::man(dir),
        Command::Start(args) => start::run(args),
        Command::Licences => say::out(LICENCES, End { said: Exit::Done, has_files: false }),
    }
}

/// Runs on the asked number of threads, or on as many as there are processors.
fn with_threads(how: &How, job: impl FnOnce() -> Exit + Send) -> Exit {
    let count = how.threads.map_or(0, Into::into);
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

fn check(args: &Check) -> Exit {
    let mut findings = Vec::new();
    let checked = progress::shown(&args.source, || {
        let heads = run::heads(&args.source.path, &args.source.overrides(None), &mut findings)?;
        let control = run::control(&heads, &mut findings);
        Ok((heads, control))
    });
    let (heads, control) = match checked {
        Ok(checked) => checked,
        Err(error) => return refused(&args.source, &findings, &error),
    };
    let (control, error) = match control {
        Ok(control) => (Some(control), None),
        Err(error) => (None, Some(error)),
    };
    let said = say::result(
        &args.source,
        || render::json(&render::checked(&heads, control.as_ref(), &findings, error.as_ref())),
        || render::heads(&heads, control.as_ref(), &findings),
        End { said: Exit::done(&findings, args.source.fail_on), has_files: false },
    );
    if let Some(error) = error {
        return refused::told(&findings, &error);
    }
    render::findings(&findings);
    said
}
