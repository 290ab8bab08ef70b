//! `headfall start`: a site folder to fill in.

use std::fmt::Write as _;

use headfall::diag::Warned;
use headfall::read::Overrides;
use headfall::{read, run};

use super::args::Start;
use super::exit::Exit;
use super::say::{self, End};
use super::{refused, render};

pub(super) fn run(args: &Start) -> Exit {
    let made = match &args.from {
        None => read::start(&args.dir).map(|files| Warned::new(files, Vec::new())),
        Some(table) => {
            let overrides = Overrides {
                crs: args.crs.clone(),
                worksheet: args.worksheet.clone(),
                layer: args.layer.clone(),
                elevation_unit: args.unit,
                ..Overrides::default()
            };
            run::start_from(&args.dir, table, &overrides)
        }
    };
    match made {
        Ok(Warned { value: files, findings }) => {
            render::findings(&findings);
            let dir = render::path(&args.dir);
            let mut text = format!("made {dir}:\n");
            for file in files {
                let _ = writeln!(text, "  {}", render::path(&file));
            }
            let _ = writeln!(text, "fill them in, then: headfall draw {dir}");
            say::out(&text, End { said: Exit::Done, has_files: true })
        }
        Err(error) => refused::told(&[], &error),
    }
}
