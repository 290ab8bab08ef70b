//! Rule: the files of a stage use each other one way, and none uses the file of the folder it is in.
//!
//! A folder's file (`mod.rs`, or `fit.rs` beside `fit/`) names what is in the folder and puts it
//! together. What its files share is in files of its own, mostly `types.rs`, that need none of them.

use std::collections::{BTreeMap, BTreeSet};

use super::{Source, below, first_name, is_name, lines_before_tests, none};

/// The module of a file: `["flow", "site"]` for `src/flow/site.rs`, `["flow"]` for
/// `src/flow/mod.rs`.
fn module(path: &str) -> Vec<String> {
    let inside = path.strip_prefix("src/").unwrap_or(path);
    let inside = inside.strip_suffix(".rs").unwrap_or(inside);
    inside.strip_suffix("/mod").unwrap_or(inside).split('/').map(str::to_owned).collect()
}

/// What a file says above its tests, without comments and without who may see what.
fn code(source: &Source) -> String {
    let before_tests = lines_before_tests(&source.text);
    let lines: Vec<&str> = source.code().take(before_tests).map(|(_, line)| line).collect();
    let mut text = lines.join("\n");
    while let Some(start) = text.find("pub(in ") {
        let end = text[start..].find(')').map_or(text.len(), |end| start + end + 1);
        text.replace_range(start..end, "pub");
    }
    text
}

/// The paths of a `use`, those in braces each by itself: `a::{b, c::d}` is `a::b` and `a::c::d`.
fn spread(path: &str) -> Vec<String> {
    let Some((before, inner)) = path.split_once('{') else { return vec![path.to_owned()] };
    let inner = inner.strip_suffix('}').unwrap_or(inner);
    let (mut depth, mut parts) = (0_usize, vec![String::new()]);
    for c in inner.chars() {
        match c {
            ',' if depth == 0 => {
                parts.push(String::new());
                continue;
            }
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            _ => {}
        }
        parts.last_mut().expect("one at least").push(c);
    }
    let parts = parts.into_iter().filter(|part| !part.is_empty());
    parts.flat_map(|part| spread(&format!("{before}{part}"))).collect()
}

/// Every path that a text names from `crate`, `super` or `self`, and every path of a `use`.
fn paths(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = String::new();
    for statement in text.split_inclusive(';') {
        let begins = |i: &usize| {
            let before = statement[..*i].lines().last().unwrap_or_default().trim();
            statement[..*i].ends_with('\n') || before.is_empty() || before.starts_with("pub")
        };
        let start = statement.match_indices("use ").map(|(i, _)| i).find(begins);
        match start.filter(|_| statement.ends_with(';')) {
            Some(start) => {
                rest += &statement[..start];
                let path = statement[start + 4..].trim_end_matches(';');
                // A name that it is given here says nothing of where it is from.
                let words: Vec<&str> = path.split_whitespace().collect();
                let kept = words
                    .iter()
                    .enumerate()
                    .filter(|(k, word)| **word != "as" && (*k == 0 || words[k - 1] != "as"));
                found.extend(spread(&kept.map(|(_, word)| *word).collect::<String>()));
            }
            None => rest += statement,
        }
    }
    for first in ["crate::", "super::", "self::"] {
        for (i, _) in rest.match_indices(first) {
            if !rest[..i].ends_with(|c| is_name(c) || c == ':') {
                let path = rest[i..].split(|c| !is_name(c) && c != ':').next();
                found.extend(path.map(str::to_owned));
            }
        }
    }
    found
}

/// The modules that a file names with `mod`.
fn children(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter_map(|line| {
        let (before, name) = line.split_once("mod ")?;
        let named = name.trim_end().strip_suffix(';')?;
        (before.trim().is_empty() || before.trim_start().starts_with("pub")).then_some(named)
    })
}

/// What a path of a file stands for, from the top.
fn absolute(here: &[String], path: &str) -> Vec<String> {
    let mut parts: Vec<&str> = path.split("::").map(first_name).collect();
    let ups = parts.iter().take_while(|part| **part == "super").count();
    let mut from = here[..here.len().saturating_sub(ups)].to_vec();
    parts.drain(..ups);
    match parts.first() {
        Some(&"crate") => {
            from.clear();
            parts.remove(0);
        }
        Some(&"self") => {
            parts.remove(0);
        }
        _ => {}
    }
    from.extend(parts.into_iter().filter(|part| !part.is_empty()).map(str::to_owned));
    from
}

fn tied(sources: &[Source]) -> Vec<String> {
    let stage_files =
        |s: &&Source| s.path.matches('/').count() > 1 && !s.path.ends_with("/tests.rs");
    let files: BTreeMap<Vec<String>, &Source> =
        sources.iter().filter(stage_files).map(|s| (module(&s.path), s)).collect();
    let mut complaints = Vec::new();
    let mut uses: BTreeMap<&Vec<String>, BTreeSet<&Vec<String>>> = BTreeMap::new();
    for (here, source) in &files {
        let text = code(source);
        let own = uses.entry(here).or_default();
        for path in paths(&text) {
            let named = absolute(here, &path);
            let known = (1..=named.len()).rev().find_map(|n| files.get_key_value(&named[..n]));
            let Some((other, file)) = known.filter(|(other, _)| *other != here) else { continue };
            if other[0] != here[0] {
                continue;
            }
            if here.starts_with(other) {
                complaints.push(format!(
                    "{}: `{path}` goes through {}, the file of its folder; name the file that \
                     defines it",
                    source.path, file.path
                ));
            } else {
                own.insert(other);
            }
        }
        for child in children(&text) {
            let child = [&here[..], &[child.trim().to_owned()]].concat();
            own.extend(files.get_key_value(&child).map(|(child, _)| child));
        }
    }
    let mut told: BTreeSet<&Vec<String>> = BTreeSet::new();
    for start in files.keys() {
        if told.contains(start) {
            continue;
        }
        if let Some(circle) = back_to(start, &uses) {
            let names: Vec<&str> = circle.iter().map(|m| files[*m].path.as_str()).collect();
            complaints.push(format!(
                "{} use each other in a circle; move what is shared to a file that uses none of them",
                names.join(" -> ")
            ));
            told.extend(circle);
        }
    }
    complaints
}

/// The shortest way from a file by what it uses back to it.
fn back_to<'a>(
    start: &'a Vec<String>,
    uses: &BTreeMap<&'a Vec<String>, BTreeSet<&'a Vec<String>>>,
) -> Option<Vec<&'a Vec<String>>> {
    let mut from: BTreeMap<&Vec<String>, &Vec<String>> = BTreeMap::new();
    let mut next = vec![start];
    while !next.is_empty() {
        let mut after = Vec::new();
        for here in next {
            for other in uses.get(here).into_iter().flatten() {
                if *other == start {
                    let mut circle = vec![here];
                    while let Some(before) = from.get(circle[circle.len() - 1]) {
                        circle.push(before);
                    }
                    circle.reverse();
                    return Some(circle);
                }
                if !from.contains_key(*other) {
                    from.insert(other, here);
                    after.push(*other);
                }
            }
        }
        next = after;
    }
    None
}

#[test]
fn files_of_a_stage_use_each_other_one_way() {
    none(&tied(&below("src", ".rs")));
}

/// The rule complains about what breaks it, and not about what keeps it.
mod samples {
    use super::*;

    fn files(all: &[(&str, &str)]) -> Vec<Source> {
        let source = |(path, text): &(&str, &str)| Source {
            path: (*path).to_owned(),
            text: (*text).to_owned(),
        };
        all.iter().map(source).collect()
    }

    #[track_caller]
    fn one(complaints: &[String], words: &[&str]) {
        assert_eq!(complaints.len(), 1, "{complaints:?}");
        for word in words {
            assert!(complaints[0].contains(word), "no \"{word}\" in {complaints:?}");
        }
    }

    #[test]
    fn a_circle_is_caught_however_it_is_written() {
        for back in [
            "use super::a::A;",
            "use crate::flow::{\n    b::B,\n    a::{self, A as Other},\n};",
            "fn f() -> super::a::A {}",
            "pub(crate) use crate::flow::a;",
        ] {
            let files = files(&[("src/flow/a.rs", "use super::b;"), ("src/flow/b.rs", back)]);
            one(&tied(&files), &["src/flow/a.rs -> src/flow/b.rs", "circle"]);
        }
        let long = files(&[
            ("src/flow/a.rs", "use super::b::B;"),
            ("src/flow/b.rs", "use super::c::d::D;"),
            ("src/flow/c/mod.rs", "mod d;\nuse d::D;"),
            ("src/flow/c/d.rs", "use crate::flow::a::A;"),
        ]);
        one(&tied(&long), &["src/flow/a.rs -> src/flow/b.rs -> src/flow/c/d.rs"]);
    }

    #[test]
    fn a_file_that_uses_its_folders_file_is_caught() {
        for path in ["use super::A;", "use crate::flow::A;", "fn f() { super::a() }"] {
            let files = files(&[("src/flow/mod.rs", "pub struct A;"), ("src/flow/x.rs", path)]);
            one(&tied(&files), &["src/flow/x.rs", "src/flow/mod.rs"]);
        }
        let beside = [("src/flow/fit.rs", "mod x;"), ("src/flow/fit/x.rs", "use super::A;")];
        one(&tied(&files(&beside)), &["src/flow/fit/x.rs", "src/flow/fit.rs"]);
    }

    #[test]
    fn one_way_is_well_and_so_are_tests_comments_and_other_stages() {
        let good = files(&[
            ("src/flow/mod.rs", "mod a;\nmod b;\npub use a::A;"),
            ("src/flow/a.rs", "use super::b::B;\npub(in crate::flow) fn f() {}"),
            (
                "src/flow/b.rs",
                "// use super::a::A;\n#[cfg(test)]\nmod tests {\n    use super::*;\n}",
            ),
            ("src/flow/tests.rs", "use super::A;"),
            ("src/read/c.rs", "use crate::flow::A;"),
        ]);
        none(&tied(&good));
    }
}
