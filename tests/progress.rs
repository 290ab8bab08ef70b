//! How far a run has come, as a program that uses the library hears it.

use std::sync::{Arc, Mutex};

use headfall::progress::{self, Event, Stage};
use headfall::read::Overrides;
use headfall::run;

use crate::support::{Folder, sample};

/// What is heard of a job.
fn heard(job: impl FnOnce()) -> Vec<Event> {
    let events = Arc::new(Mutex::new(Vec::new()));
    let kept = Arc::clone(&events);
    let listening = progress::listen(move |event| kept.lock().expect("events").push(event));
    job();
    drop(listening);
    let events = events.lock().expect("events");
    events.clone()
}

fn stages(events: &[Event]) -> Vec<Stage> {
    let stage = |event: &Event| match event {
        Event::Begun(stage) => Some(*stage),
        _ => None,
    };
    events.iter().filter_map(stage).collect()
}

#[test]
fn the_stages_of_a_run_are_heard_in_their_order_and_every_step_is_done() {
    let site = sample("closed-landfill");
    let out = Folder::new();
    let follow = |name: &str| {
        let out = out.path().join(name);
        run::toward(&site, &Overrides::default(), Some(&out), &mut Vec::new()).expect("a map");
        std::fs::read(out.join("summary.json")).expect("a summary")
    };
    let alone = follow("alone");
    let events = heard(|| assert_eq!(follow("heard"), alone, "listening changes no byte"));
    assert_eq!(
        stages(&events),
        [
            Stage::Reading,
            Stage::Checking,
            Stage::Surface,
            Stage::Uncertainty,
            Stage::Paths,
            Stage::Files
        ]
    );
    let count = |event: &Event| match event {
        Event::Steps(count) => *count,
        _ => 0,
    };
    let asked: usize = events.iter().map(count).sum();
    let done = events.iter().filter(|e| **e == Event::Step).count();
    // Each of the 1000 realizations at least.
    assert!(asked >= 1000 && done == asked, "{done} of {asked}");
    let after = heard(|| ());
    assert!(after.is_empty());
}

#[test]
fn a_comparison_is_heard_method_by_method() {
    let site = sample("closed-landfill");
    let events = heard(|| {
        run::cross_validate(&site, &Overrides::default(), &mut Vec::new()).expect("a comparison");
    });
    assert_eq!(stages(&events), [Stage::Reading, Stage::Checking, Stage::Comparison]);
    assert!(events.iter().any(|e| matches!(e, Event::Steps(count) if *count > 3)), "{events:?}");
}
