//! Which commit the program is built from, for what it writes. Empty where the sources are no checkout.

#![expect(clippy::disallowed_methods, reason = "this asks the checkout and tells cargo")]

use std::process::Command;

fn main() {
    println!("cargo::rerun-if-env-changed=HEADFALL_COMMIT");
    let commit = std::env::var("HEADFALL_COMMIT").unwrap_or_else(|_| of_checkout());
    println!("cargo::rustc-env=HEADFALL_COMMIT={commit}");
}

fn of_checkout() -> String {
    println!("cargo::rerun-if-changed=src");
    let Some(log) = git(&["rev-parse", "--git-path", "logs/HEAD"]) else { return String::new() };
    println!("cargo::rerun-if-changed={log}");
    let commit = git(&["rev-parse", "--short=12", "HEAD"]).unwrap_or_default();
    let changed = git(&["status", "--porcelain", "--", "src", "Cargo.toml", "Cargo.lock"]);
    let is_changed = changed.is_some_and(|files| !files.is_empty());
    if is_changed { format!("{commit} and changes") } else { commit }
}

fn git(args: &[&str]) -> Option<String> {
    let output = Command::new("git").args(args).output().ok()?;
    let said = String::from_utf8(output.stdout).ok()?;
    output.status.success().then(|| said.trim().to_owned())
}
