//! The walks of `docs/walks`, run from their own text.
//!
//! Blocks of `sh` and `python` are run one after another in one shell; each line of the `text` block behind one has to be in
//! what it printed.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

use crate::support::{Folder, runs, sample, text};

/// A fenced block: its language and its lines.
struct Block<'a> {
    language: &'a str,
    lines: Vec<&'a str>,
}

fn blocks(page: &str) -> Vec<Block<'_>> {
    let mut blocks = Vec::new();
    let mut open: Option<Block> = None;
    for line in page.lines() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(language), None) => open = Some(Block { language, lines: Vec::new() }),
            (Some(_), Some(_)) => blocks.extend(open.take()),
            (None, Some(block)) => block.lines.push(line),
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a block is not closed");
    blocks
}

/// A folder with the sample sites and the program, as a reader has them.
fn place() -> Folder {
    let folder = Folder::new();
    for site in ["closed-landfill", "fuel-depot", "river-valley"] {
        let from = sample(site);
        copy(&from, &folder.at(&format!("sample-sites/{site}")));
    }
    fs::create_dir(folder.at("bin")).expect("a folder");
    std::os::unix::fs::symlink(env!("CARGO_BIN_EXE_headfall"), folder.at("bin/headfall"))
        .expect("a link");
    folder
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder").map(|entry| entry.expect("an entry")) {
        let (from, to) = (entry.path(), to.join(entry.file_name()));
        if from.is_dir() {
            copy(&from, &to);
        } else {
            fs::copy(&from, &to).expect("a file");
        }
    }
}

/// Runs a page and compares what it prints with what it says. Returns how many blocks were run.
fn walked(name: &str) -> usize {
    const MARK: &str = "--- block";
    let page = text(Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("docs/walks/{name}.md")));
    let blocks = blocks(&page);
    let mut script = "set -euo pipefail\nexec 2>&1\n".to_owned();
    let mut expected: Vec<Vec<&str>> = Vec::new();
    for block in &blocks {
        let lines = block.lines.join("\n");
        match block.language {
            "sh" | "python" => {
                let _ = writeln!(script, "echo '{MARK}'");
                expected.push(Vec::new());
                let _ = match block.language {
                    "sh" => writeln!(script, "{lines}"),
                    _ => writeln!(script, "python3 - <<'END_OF_PYTHON'\n{lines}\nEND_OF_PYTHON"),
                };
            }
            "text" => expected.last_mut().expect("a command before").extend(&block.lines),
            "toml" => {}
            other => panic!("{name}: what is a block of {other}?"),
        }
    }
    let folder = place();
    let path = format!("{}:{}", folder.at("bin").display(), std::env::var("PATH").expect("a path"));
    let ran = Command::new("bash")
        .args(["-c", &script])
        .current_dir(folder.path())
        .env("PATH", path)
        .output()
        .expect("a shell");
    let printed = String::from_utf8(ran.stdout).expect("UTF-8");
    assert!(ran.status.success(), "{name}: {}\n{printed}", ran.status);
    let printed: Vec<&str> = printed.split(MARK).skip(1).collect();
    assert_eq!(printed.len(), expected.len(), "{name}");
    for (printed, lines) in printed.iter().zip(&expected) {
        for line in lines {
            assert!(printed.contains(line.trim()), "{name}: {line}\nis not in\n{printed}");
        }
    }
    expected.len()
}

#[test]
fn a_scientist_asks_where_the_water_goes() {
    assert!(walked("scientist") >= 7);
}

#[test]
fn a_pipeline_draws_a_portfolio() {
    assert!(walked("pipeline") >= 6);
}

#[test]
fn a_consultant_makes_a_figure() {
    assert!(walked("consultant") >= 5);
}

#[test]
fn the_picture_of_the_readme_is_the_map_that_headfall_draws() {
    let (site, out) = (sample("closed-landfill"), Folder::new());
    runs(&["draw", "--quiet", "--dpi", "96", "--out"], &[&out.at("map"), &site]);
    let drawn = fs::read(out.at("map/map.png")).expect("a picture");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/pictures/closed-landfill.png");
    if std::env::var_os("UPDATE_PICTURES").is_some() {
        fs::write(&kept, &drawn).expect("written");
    }
    let same = fs::read(&kept).is_ok_and(|kept| kept == drawn);
    assert!(same, "look at the sheet, then run this test with UPDATE_PICTURES=1");
}
