//! `headfall form`.

use std::fmt::Write as _;

use headfall::diag::{Diagnostic, printable};
use headfall::report::{Form as Sheet, counted};
use headfall::run;
use headfall::units::fixed;
use headfall::write::{self, Written};

use super::args::Form;
use super::exit::Exit;
use super::progress;
use super::refused;
use super::render;
use super::say;
use super::say::End;

/// Makes the field sheet, writes its files and says what to do with them.
pub(super) fn run(args: &Form) -> Exit {
    let mut findings = Vec::new();
    let overrides = args.how.overrides(None, None);
    let found = progress::shown(&args.how, || {
        let form = run::form(&args.path, &overrides, args.date, &mut findings)?;
        let out = args.out.as_deref();
        let (folder, written) = run::write_form(&args.path, &form, &findings, out)?;
        Ok((form, folder, written))
    });
    match found {
        Ok((form, folder, written)) => {
            render::findings(&findings);
            say::kept(&written.told);
            say::result(
                &args.how,
                || render::json(&write::form_summary(&form, &findings)),
                || told(&form, &findings, &render::path(&folder), &written),
                End { said: Exit::done(&findings, args.how.fail_on), has_files: true },
            )
        }
        Err(error) => refused::refused_to(&args.how, "there is no field sheet", &findings, &error),
    }
}

fn told(form: &Sheet, findings: &[Diagnostic], folder: &str, written: &Written) -> String {
    let way = form.round_trip.map_or_else(String::new, |trip| {
        format!(", {} {} around and back in straight lines", fixed(trip, 0), form.round_trip_unit)
    });
    let name = printable(&form.site.settings.name);
    let mut text = format!("{name}: field sheet for {}{way}\n", counted(form.wells.len(), "well"));
    for well in form.wells.iter().filter(|w| !w.remarks.is_empty()) {
        let line = format!("  {}: {}", well.well, well.remarks.join("; "));
        let _ = writeln!(text, "{}", printable(&line));
    }
    text.push_str(&render::counts(findings));
    let _ = writeln!(text, "in {folder}:");
    for file in &written.files {
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        let _ = writeln!(text, "  {}", printable(&name));
    }
    text.push_str(
        "print form.html; fill in form.csv and put it into rounds/ under the name of the round\n",
    );
    text
}
