//! Examples that the help shows. Those of the invented sites are true from a checkout of the sources, and
//! `tests/manners.rs` runs each, in the order of the commands.

pub(super) const ALL: &str = "\
Examples:
  headfall start my-site
  headfall draw my-site
  headfall explain C308

`headfall COMMAND --help` has examples of each. `headfall explain CODE` says what a finding means.";

pub(super) const DRAW: &str = "\
Examples:
  headfall draw sample-sites/fuel-depot
  headfall draw sample-sites/fuel-depot -r 2025-10 -o depot-2025
  headfall draw sample-sites/fuel-depot sample-sites/river-valley -r all -q -o maps";

pub(super) const CHECK: &str = "\
Examples:
  headfall check sample-sites/fuel-depot
  headfall check sample-sites/fuel-depot --json";

pub(super) const TOWARD: &str = "\
Examples:
  headfall toward sample-sites/closed-landfill -o landfill-toward";

pub(super) const CROSS_VALIDATE: &str = "\
Examples:
  headfall cross-validate sample-sites/river-valley -o valley-surfaces";

pub(super) const RECORD: &str = "\
Examples:
  headfall record sample-sites/fuel-depot -o depot-record";

pub(super) const COMPARE: &str = "\
Examples:
  headfall compare sample-sites/fuel-depot 2025-10 2026-04";

pub(super) const FORM: &str = "\
Examples:
  headfall form sample-sites/fuel-depot --date 2026-10-14 -o depot-form";

pub(super) const VERIFY: &str = "\
Examples:
  headfall draw sample-sites/river-valley
  headfall verify sample-sites/river-valley/out";

pub(super) const GATHER: &str = "\
Examples:
  headfall draw sample-sites/fuel-depot sample-sites/river-valley -q
  headfall gather sample-sites -o all.gpkg";

pub(super) const START: &str = "\
Examples:
  headfall start new-site
  headfall toward new-site";

pub(super) const SCHEMA: &str = "\
Examples:
  headfall schema summary";

pub(super) const EXPLAIN: &str = "\
Examples:
  headfall explain
  headfall explain C308";

pub(super) const COMPLETIONS: &str = "\
Examples:
  headfall completions bash

For bash, put what is printed into ~/.local/share/bash-completion/completions/headfall; for fish, into
~/.config/fish/completions/headfall.fish; for zsh, into a file _headfall in a folder of $fpath.";

pub(super) const MAN: &str = "\
Examples:
  headfall man man1";
