//! Many sites and rounds in one go.
//!
//! | file | what it does |
//! |---|---|
//! | `types` | what is asked for, and what became of it |
//! | `plan` | the rounds of a site, what their maps share, where each goes |
//! | `spread` | work on as many threads as there are |
//!
//! A unit of the work is one round of one site, or of one of its aquifer units: [`super::draw`] with the options that its results keep. Units know
//! nothing of each other, so that one that fails stops no other.

mod plan;
mod spread;
mod types;

use plan::{Job, Planned};

use crate::report::{Results, Statement};
use crate::run::files::draw;

pub use plan::folder_of;
pub use types::{Asked, Batch, Event, State, Unit, UnitSummary};

/// Draws every round that is asked for of every site. What is found goes to `heard` as it comes, from any thread; the
/// units come back in the order of the sites and of their rounds. Several rounds of a site share the nodes of the grid,
/// the contour interval and the frame of the sheet. What would become the same again is not drawn.
///
/// # Errors
/// None: what happens to a unit is in the unit.
pub fn draw_all(batch: &Batch, heard: &(dyn Fn(Event) + Sync)) -> Vec<Unit> {
    let sites: Vec<usize> = (0..batch.sites.len()).collect();
    let planned = spread::each(batch.threads, &sites, |site| {
        let jobs = plan::of(batch, *site);
        heard(Event::Read);
        jobs
    });
    let jobs: Vec<Planned> = planned.into_iter().flatten().collect();
    let count = jobs.len();
    heard(Event::Units(count));
    spread::each(batch.threads, &jobs, |job| {
        let unit = job.as_ref().map_or_else(|unit| Unit::clone(unit), |job| done(batch, job));
        heard(Event::Done(&unit));
        unit
    })
}

/// Draws one round, if it has changed.
fn done(batch: &Batch, job: &Job) -> Unit {
    let source = &batch.sites[job.site];
    let mut unit = Unit::of(source, Some(job.site_name.clone()), &job.overrides);
    unit.folder = Some(job.folder.clone());
    if job.is_current {
        unit.state = State::Unchanged;
        return unit;
    }
    match draw(source, &job.overrides, Some(&job.folder), &mut unit.findings) {
        Ok(drawn) => {
            let results = Results::of(&drawn.map, &unit.findings);
            let statement = Statement::of(&results);
            unit.control_points = Some(drawn.map.control.points().len());
            unit.gradient = Some(statement.mean_gradient);
            unit.direction = statement.mean_direction;
            unit.state = State::Drawn;
            unit.told = drawn.told;
        }
        Err(error) => unit.ended(&error),
    }
    unit
}
