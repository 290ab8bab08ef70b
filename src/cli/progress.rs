//! The bar that shows how far long work has come.

#![expect(clippy::disallowed_methods, reason = "the bar is for people, who wait by the clock")]

use std::io::IsTerminal as _;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use headfall::diag::printable;
use headfall::progress::{self, Event, Stage};
use headfall::run::{self, State, Unit};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::args::How;
use super::say;

/// Work that takes less than this shows nothing.
const SHOWN_AFTER: Duration = Duration::from_secs(2);

/// A stage that takes longer than this is told what would make it quicker.
const TOLD_AFTER: Duration = Duration::from_secs(10);

/// How often the bar is looked after.
const EVERY: Duration = Duration::from_millis(100);

/// Does some work; where it takes long and standard error is a terminal that may be written to, a bar
/// there shows how far it has come. It is gone when the work is done.
pub(super) fn shown<T>(how: &How, work: impl FnOnce() -> T) -> T {
    if how.quiet || !std::io::stderr().is_terminal() {
        return work();
    }
    let bar = Arc::new(Mutex::new(Bar::new(ProgressDrawTarget::stderr())));
    let (heard, looked_after) = (Arc::clone(&bar), Arc::clone(&bar));
    let (done, at_work) = channel::<()>();
    let started = Instant::now();
    let look = move || {
        while at_work.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
            with(&looked_after, |bar| bar.look(started.elapsed()));
        }
    };
    // Where no thread can be had for it, there is no bar.
    let Ok(looking) = std::thread::Builder::new().spawn(look) else { return work() };
    let listening = progress::listen(move |event| {
        with(&heard, |bar| bar.hear(event, started.elapsed()));
    });
    let found = work();
    drop((listening, done));
    let _ = looking.join();
    with(&bar, Bar::end);
    found
}

/// Draws many maps; a bar shows how many are done and how long the others take. Where standard error is no terminal there
/// is a line for each that was drawn or could not be.
pub(super) fn of_units(
    how: &How,
    sites: usize,
    work: impl FnOnce(&(dyn Fn(run::Event) + Sync)) -> Vec<Unit>,
) -> Vec<Unit> {
    if how.quiet {
        return work(&|_| {});
    }
    if !std::io::stderr().is_terminal() {
        return work(&|event| {
            if let run::Event::Done(unit) = event
                && unit.state != State::Unchanged
            {
                say::aside(&format!("{}\n", line(unit)));
            }
        });
    }
    let bar = ProgressBar::with_draw_target(Some(sites as u64), ProgressDrawTarget::stderr());
    bar.set_style(style("{spinner} reading sites {pos} of {len} [{bar:30}] {eta} left"));
    let units = work(&|event| match event {
        run::Event::Units(count) => {
            bar.set_style(style("{spinner} maps {pos} of {len} [{bar:30}] {eta} left"));
            bar.set_length(count as u64);
            bar.set_position(0);
            bar.reset_eta();
        }
        run::Event::Read | run::Event::Done(_) => bar.inc(1),
    });
    bar.finish_and_clear();
    units
}

/// What became of a unit.
fn line(unit: &Unit) -> String {
    let why = unit.state.why().map_or_else(String::new, |why| format!(": {why}"));
    printable(&format!("{}: {}{why}", unit.name(), unit.state.word())).into_owned()
}

fn with(bar: &Mutex<Bar>, act: impl FnOnce(&mut Bar)) {
    act(&mut bar.lock().unwrap_or_else(PoisonError::into_inner));
}

/// What is shown. Times are since the work began.
struct Bar {
    shown: ProgressBar,
    /// Where it is drawn once it is.
    target: Option<ProgressDrawTarget>,
    stage: Option<(Stage, Duration)>,
    told: bool,
}

impl Bar {
    fn new(target: ProgressDrawTarget) -> Self {
        let shown = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        Self { shown, target: Some(target), stage: None, told: false }
    }

    fn hear(&mut self, event: Event, at: Duration) {
        match event {
            Event::Begun(stage) => {
                self.stage = Some((stage, at));
                self.told = false;
                self.shown.set_style(style("{spinner} {msg}, {elapsed}"));
                self.shown.set_message(stage.words());
            }
            Event::Steps(count) => {
                self.shown.set_style(style("{spinner} {msg}, {elapsed} [{bar:30}] {percent} %"));
                self.shown.set_position(0);
                self.shown.set_length(count as u64);
            }
            Event::Step => self.shown.inc(1),
        }
    }

    fn look(&mut self, at: Duration) {
        if at < SHOWN_AFTER {
            return;
        }
        if let Some(target) = self.target.take() {
            self.shown.set_draw_target(target);
        }
        self.shown.tick();
        let Some((stage, since)) = self.stage else { return };
        if let Some(quicker) = stage.quicker()
            && !self.told
            && at.saturating_sub(since) >= TOLD_AFTER
        {
            self.told = true;
            self.shown.println(format!("{} takes long; quicker with {quicker}", stage.words()));
        }
    }

    fn end(&mut self) {
        self.shown.finish_and_clear();
    }
}

fn style(template: &str) -> ProgressStyle {
    let style = ProgressStyle::with_template(template);
    let style = style.expect("this is a bug in headfall: the template of the bar");
    style.tick_chars("-\\|/ ").progress_chars("=> ")
}

#[cfg(test)]
mod tests {
    use std::io;

    use indicatif::TermLike;

    use super::*;

    /// A terminal that keeps what is written.
    #[derive(Debug, Clone, Default)]
    struct Paper(Arc<Mutex<String>>);

    impl Paper {
        fn text(&self) -> String {
            self.0.lock().expect("text").clone()
        }
    }

    impl TermLike for Paper {
        fn width(&self) -> u16 {
            100
        }
        fn move_cursor_up(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_down(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_right(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_left(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn write_line(&self, text: &str) -> io::Result<()> {
            self.write_str(&format!("{text}\n"))
        }
        fn write_str(&self, text: &str) -> io::Result<()> {
            self.0.lock().expect("text").push_str(text);
            Ok(())
        }
        fn clear_line(&self) -> io::Result<()> {
            Ok(())
        }
        fn flush(&self) -> io::Result<()> {
            Ok(())
        }
    }

    fn bar() -> (Paper, Bar) {
        let paper = Paper::default();
        let target = ProgressDrawTarget::term_like(Box::new(paper.clone()));
        (paper, Bar::new(target))
    }

    const fn seconds(s: u64) -> Duration {
        Duration::from_secs(s)
    }

    #[test]
    fn short_work_shows_nothing() {
        let (paper, mut bar) = bar();
        bar.hear(Event::Begun(Stage::Surface), seconds(0));
        bar.look(seconds(1));
        bar.hear(Event::Begun(Stage::Files), seconds(1));
        bar.hear(Event::Steps(4), seconds(1));
        bar.hear(Event::Step, seconds(1));
        bar.end();
        assert_eq!(paper.text(), "");
    }

    #[test]
    fn long_work_shows_what_it_is_at_and_says_once_what_is_quicker() {
        let (paper, mut bar) = bar();
        bar.hear(Event::Begun(Stage::Paths), seconds(1));
        bar.hear(Event::Steps(4), seconds(1));
        bar.hear(Event::Step, seconds(2));
        bar.look(seconds(3));
        let text = paper.text();
        assert!(text.contains("tracing flow paths") && text.contains("25 %"), "{text}");
        assert!(!text.contains("quicker"), "{text}");
        for s in [11, 12, 30] {
            bar.look(seconds(s));
        }
        let told = "tracing flow paths takes long; quicker with a larger --cell";
        assert_eq!(paper.text().matches(told).count(), 1, "{}", paper.text());
        // Nothing makes reading quicker.
        bar.hear(Event::Begun(Stage::Reading), seconds(31));
        bar.look(seconds(60));
        assert_eq!(paper.text().matches("quicker").count(), 1, "{}", paper.text());
        bar.end();
    }
}
