//! The command line program. The library cannot see it.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "this is what a program is for")]

mod args;
mod compare;
mod exit;
pub(crate) mod memory;
mod render;
mod toward;

pub(crate) use args::Args;
use args::{Check, Command, Draw, Paper, Source, Surface, Unit};
pub(crate) use exit::Exit;
use headfall::Error;
use headfall::diag::Diagnostic;
use headfall::read::{Method, Overrides, Page, SheetOverrides};
use headfall::units::LengthUnit;
use headfall::{check, read, run, write};

/// Carries out one command and says how it ended.
pub(crate) fn run(args: &Args) -> Exit {
    match &args.command {
        Command::Draw(draw) => with_threads(&draw.source, || self::draw(draw)),
        Command::Check(check) => with_threads(&check.source, || self::check(check)),
        Command::Toward(toward) => with_threads(&toward.source, || toward::run(toward)),
        Command::Compare(compare) => with_threads(&compare.source, || compare::run(compare)),
        Command::Start { dir } => start(dir),
    }
}

/// Runs on the asked number of threads.
fn with_threads(source: &Source, job: impl FnOnce() -> Exit + Send) -> Exit {
    let Some(threads) = source.threads else { return job() };
    match rayon::ThreadPoolBuilder::new().num_threads(threads.into()).build() {
        Ok(pool) => pool.install(job),
        Err(e) => {
            eprintln!("{threads} threads cannot be started: {e}");
            Exit::Refused
        }
    }
}

fn draw(args: &Draw) -> Exit {
    let mut overrides = overrides(&args.source);
    overrides.cell = args.cell;
    overrides.interval = args.interval;
    overrides.sheet = SheetOverrides {
        data_only: args.data_only,
        page: args.page.map(|page| match page {
            Paper::A4 => Page::A4,
            Paper::A3 => Page::A3,
            Paper::Letter => Page::Letter,
            Paper::Tabloid => Page::Tabloid,
        }),
        shading: args.shade,
        dpi: args.dpi,
    };
    overrides.formats = args.format.iter().map(|f| f.as_read()).collect();
    overrides.rasters = args.rasters;
    let mut findings = Vec::new();
    let drawn = run::draw(&args.source.path, &overrides, args.out.as_deref(), &mut findings);
    match drawn {
        Ok(drawn) => {
            render::findings(&findings);
            if args.source.json {
                println!("{}", render::json(&write::summary(&drawn.map.results(&findings))));
            } else if !args.source.quiet {
                print!("{}", render::summary(&drawn));
            }
            // The end of the program gives a large map's memory back sooner than piece by piece.
            std::mem::forget(drawn);
            Exit::done(&findings, args.source.fail_on)
        }
        Err(error) => refused(&findings, &error),
    }
}

fn check(args: &Check) -> Exit {
    let mut findings = Vec::new();
    let heads = match run::heads(&args.source.path, &overrides(&args.source), &mut findings) {
        Ok(heads) => heads,
        Err(error) => return refused(&findings, &error),
    };
    let control = check::control(&heads.site, &heads.reduced);
    let (control, error) = match control {
        Ok(control) => (Some(control.drain_into(&mut findings)), None),
        Err(error) => (None, Some(error)),
    };
    if args.source.json {
        println!(
            "{}",
            render::json(&render::checked(&heads, control.as_ref(), &findings, error.as_ref()))
        );
    } else if !args.source.quiet {
        print!("{}", render::heads(&heads, control.as_ref()));
    }
    if let Some(error) = error {
        return refused(&findings, &error);
    }
    render::findings(&findings);
    Exit::done(&findings, args.source.fail_on)
}

fn start(dir: &std::path::Path) -> Exit {
    match read::start(dir) {
        Ok(files) => {
            println!("made {}:", dir.display());
            for file in files {
                println!("  {}", file.display());
            }
            println!("fill them in, then: headfall draw {}", dir.display());
            Exit::Done
        }
        Err(error) => refused(&[], &error),
    }
}

/// Tells all findings, then why there is no map.
fn refused(findings: &[Diagnostic], error: &Error) -> Exit {
    render::findings(findings);
    render::findings(error.diagnostics());
    render::refusal(error);
    Exit::Refused
}

fn overrides(source: &Source) -> Overrides {
    Overrides {
        crs: source.crs.clone(),
        round: source.round.clone(),
        elevation_unit: source.unit.map(|u| match u {
            Unit::M => LengthUnit::Metre,
            Unit::Ft => LengthUnit::Foot,
            Unit::FtUs => LengthUnit::UsSurveyFoot,
        }),
        surface: source.surface.map(|s| match s {
            Surface::Linear => Method::Linear,
            Surface::NaturalNeighbour => Method::NaturalNeighbour,
            Surface::SmoothNaturalNeighbour => Method::SmoothNaturalNeighbour,
            Surface::Kriging => Method::Kriging,
            Surface::ThinPlate => Method::ThinPlate,
            Surface::InverseDistance => Method::InverseDistance,
        }),
        ..Overrides::default()
    }
}
