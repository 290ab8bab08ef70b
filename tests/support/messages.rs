//! All messages that tests look at, in one file to be read through: `tests/data/messages.txt`.
//!
//! What a test looks at by code has to stand there as the terminal prints it, so that a change of wording shows
//! there and nowhere else. After one, `UPDATE_MESSAGES=1 cargo test --release --locked` makes the file anew; with
//! the name of a test behind it, it adds what that test provokes. The difference is reviewed like code.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::{LazyLock, Mutex};

use headfall::diag::{Code, Diagnostic, Severity, printable};
use headfall::read::Overrides;

use super::output::text;
use super::site::{SITES, sample};

const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/messages.txt");

const HEADING: &str = "\
Every message that a test looks at by its code, as the terminal prints it. Made by the tests; see
tests/support/messages.rs.
";

/// Messages by their code, and by what is left of them without numbers and places: of many that differ in these
/// alone the shortest stands for all.
type Messages = BTreeMap<String, BTreeMap<String, String>>;

static REVIEWED: LazyLock<Mutex<Messages>> = LazyLock::new(|| {
    let whole = update() && std::env::args().skip(1).all(|argument| argument.starts_with('-'));
    Mutex::new(if whole { Messages::new() } else { parsed(&text(FILE)) })
});

fn update() -> bool {
    std::env::var_os("UPDATE_MESSAGES").is_some()
}

/// Fails unless the message of a finding was reviewed.
#[track_caller]
pub(super) fn hold_reviewed(found: &Diagnostic) {
    let message = printed(found);
    let mut reviewed = REVIEWED.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let known = reviewed.entry(found.code.id().to_owned()).or_default();
    if update() {
        if keep_shortest(known, message) {
            std::fs::write(FILE, written(&reviewed)).expect("messages.txt");
        }
        return;
    }
    if known.contains_key(&shape(&message)) {
        return;
    }
    drop(reviewed);
    panic!(
        "tests/data/messages.txt does not have\n{message}\nIf it should, run UPDATE_MESSAGES=1 cargo \
         test --release --locked, and review what it changes there"
    );
}

/// Whether the message comes in, or takes the place of a longer one.
fn keep_shortest(known: &mut BTreeMap<String, String>, message: String) -> bool {
    let length = |text: &String| text.chars().count();
    let before = known.get(&shape(&message));
    let better = before.is_none_or(|b| (length(&message), &message) < (length(b), b));
    if better {
        known.insert(shape(&message), message);
    }
    better
}

/// A message without places, each number one sign, and what a list repeats but once.
fn shape(message: &str) -> String {
    let mut plain = String::new();
    for line in message.lines().filter(|line| !line.starts_with("    at ")) {
        for c in line.chars() {
            if !c.is_ascii_digit() {
                plain.push(c);
                continue;
            }
            let number = plain.trim_end_matches(['.', '+', '-']).len();
            if plain[..number].ends_with(['#', ' ', '(']) {
                plain.truncate(number);
            }
            if !plain.ends_with('#') {
                plain.push('#');
            }
        }
        plain.push('\n');
    }
    let mut items: Vec<&str> = plain.split(", ").collect();
    items.dedup();
    items.join(", ")
}

/// A finding as the terminal prints it.
fn printed(d: &Diagnostic) -> String {
    let word = match d.severity {
        Severity::Note => "note",
        Severity::Warning => "warning",
        Severity::Refusal => "error",
    };
    let mut all = format!("{word} {} {}\n", d.code, printable(&d.message));
    for origin in &d.origins {
        let _ = writeln!(all, "    at {}", printable(&origin.to_string()));
    }
    if let Some(advice) = &d.advice {
        let _ = writeln!(all, "    help: {}", printable(advice));
    }
    anywhere(&all)
}

/// A text without the names of temporary folders.
fn anywhere(text: &str) -> String {
    let place = std::env::temp_dir().join(".tmp").to_string_lossy().into_owned();
    let mut parts = text.split(&place);
    let mut all = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        all += "FOLDER";
        all += part.trim_start_matches(|c: char| c.is_ascii_alphanumeric());
    }
    all
}

fn written(messages: &Messages) -> String {
    let mut all = HEADING.to_owned();
    for code in Code::ALL {
        let _ = write!(all, "\n## {code} {}\n", code.title());
        for message in messages.get(code.id()).into_iter().flat_map(BTreeMap::values) {
            let _ = write!(all, "\n{message}");
        }
    }
    all
}

fn parsed(file: &str) -> Messages {
    let mut messages = Messages::new();
    for section in file.split("\n## ").skip(1) {
        let (heading, body) = section.split_once('\n').expect("a heading");
        let code = heading.split(' ').next().expect("a code").to_owned();
        let blocks = body.split("\n\n").map(|block| block.trim_matches('\n'));
        let blocks = blocks.filter(|block| !block.is_empty()).map(|block| format!("{block}\n"));
        messages.entry(code).or_default().extend(blocks.map(|block| (shape(&block), block)));
    }
    messages
}

#[test]
fn what_differs_in_numbers_alone_is_one_message() {
    let one =
        "note C308 W-1 is off by 0.3 m, W-2 by -12.50 m\n    at a.csv, line 3\n    help: look\n";
    let other = "note C308 W-17 is off by 1 m, W-3 by 2e5 m\n    help: look\n";
    assert_eq!(shape(one), "note C# W-# is off by # m, W-# by # m\n    help: look\n");
    assert_ne!(shape(one), shape(other), "a power of ten is another way of writing");
    assert_ne!(shape(one), shape(&one.replace("look", "see")));
    let mut known = BTreeMap::new();
    assert!(keep_shortest(&mut known, one.to_owned()));
    assert!(!keep_shortest(&mut known, one.replace("0.3", "0.35")));
    assert!(keep_shortest(&mut known, one.replace("0.3", "3")));
}

#[test]
fn messages_of_the_sample_sites_were_reviewed() {
    for site in SITES {
        let (_, findings) = super::map(&sample(site), &Overrides::default());
        findings.iter().for_each(hold_reviewed);
    }
}

#[test]
fn every_code_has_a_message_that_was_reviewed() {
    let reviewed = parsed(&text(FILE));
    // Those of datum grids are looked at on the terminal (`tests/datum_grids.rs`).
    let elsewhere = [Code::GridUnusable, Code::GridUsed, Code::GridIdle];
    let has_none = |code: &&Code| {
        !elsewhere.contains(code) && reviewed.get(code.id()).is_none_or(BTreeMap::is_empty)
    };
    let without: Vec<&Code> = Code::ALL.iter().filter(has_none).collect();
    assert!(
        without.is_empty() || update(),
        "tests/data/messages.txt has no message of {without:?}"
    );
    assert!(written(&reviewed) == text(FILE) || update(), "its messages are not in order");
}
