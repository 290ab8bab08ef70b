//! Folders, copies of the sample sites, and invented sites whose heads follow a formula.

use std::fmt::Write as _;
use std::ops::Deref;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::output::text;

/// The sample sites.
pub(crate) const SITES: &[&str] = &["fuel-depot", "closed-landfill", "river-valley"];

/// A folder of its own that goes away with the test.
pub(crate) struct Folder(tempfile::TempDir);

impl Folder {
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().expect("a temporary folder"))
    }

    pub(crate) fn path(&self) -> &Path {
        self.0.path()
    }

    /// Writes a file, with the folders on the way to it.
    pub(crate) fn file(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path().join(name);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        std::fs::write(&path, text).expect("a file");
        path
    }

    /// The same, and gives the folder on.
    pub(crate) fn with(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        self.file(name, text);
        self
    }

    /// Where a file of it is.
    pub(crate) fn at(&self, name: &str) -> PathBuf {
        self.path().join(name)
    }

    /// Writes a file of text anew.
    pub(crate) fn change(&self, name: &str, change: impl FnOnce(String) -> String) {
        self.file(name, change(text(self.path().join(name))));
    }
}

/// A copy of a sample site as git tracks it: results drawn into the checkout's own, as the README
/// asks for, are no part of it.
pub(crate) struct Sample(Folder);

pub(crate) fn sample(name: &str) -> Sample {
    let checkout = Path::new(env!("CARGO_MANIFEST_DIR"));
    let site = checkout.join("sample-sites").join(name);
    let listed = Command::new("git")
        .args(["-c", "safe.directory=*", "ls-files", "-z"])
        .current_dir(&site)
        .output()
        .expect("git runs");
    let names = String::from_utf8(listed.stdout).expect("names in UTF-8");
    let names: Vec<&str> = names.split_terminator('\0').collect();
    assert!(names.contains(&"site.toml"), "git tracks {}: {names:?}", site.display());
    let folder = Folder::new();
    for file in names {
        folder.file(file, std::fs::read(site.join(file)).expect("a tracked file"));
    }
    Sample(folder)
}

impl Deref for Sample {
    type Target = Path;

    fn deref(&self) -> &Path {
        self.0.path()
    }
}

/// Where the wells of [`of_wells`] count from, CRS units.
pub(crate) const EAST: f64 = 500_000.0;
pub(crate) const NORTH: f64 = 4_980_000.0;

/// A scatter without pattern: 25 wells over a square of 400 m (halves and thirds of whole
/// numbers, so that none share a line).
pub(crate) fn scatter() -> Vec<(f64, f64)> {
    (0..25)
        .map(|i| {
            let (row, column) = (f64::from(i / 5), f64::from(i % 5));
            let shift = |k: i32| 17.0 * f64::from((i * k) % 5) / 2.0;
            (100.0 * column + shift(3), 100.0 * row + shift(7))
        })
        .collect()
}

/// An invented site in metres whose heads follow `head(x, y)`, with more lines of site.toml. The
/// wells are `W-0`, `W-1` and so on.
pub(crate) fn of_wells(wells: &[(f64, f64)], more: &str, head: impl Fn(f64, f64) -> f64) -> Folder {
    let rows = wells.iter().enumerate();
    of_heads(rows.map(|(i, (x, y))| (format!("W-{i}"), [*x, *y], head(*x, *y))), more)
}

/// An invented site in metres whose heads are on a plane that falls by 0.002 to the east, but for the well `W-3`,
/// which is half a metre high (C308).
pub(crate) fn one_high(more: &str) -> Folder {
    let wells = scatter();
    let (x3, y3) = wells[3];
    of_wells(&wells, more, move |x, y| {
        50.0 - 0.002 * x + if (x, y) == (x3, y3) { 0.5 } else { 0.0 }
    })
}

/// An invented site in metres: names, places counted from [`EAST`], [`NORTH`], and heads.
pub(crate) fn of_heads(
    wells: impl IntoIterator<Item = (String, [f64; 2], f64)>,
    more: &str,
) -> Folder {
    let mut register = "id,easting,northing\n".to_owned();
    let mut round = "id,date,elevation\n".to_owned();
    for (name, [x, y], head) in wells {
        writeln!(register, "{name},{},{}", EAST + x, NORTH + y).expect("text");
        writeln!(round, "{name},2026-05-04,{head}").expect("text");
    }
    Folder::new()
        .with(
            "site.toml",
            format!(
                "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \
                 \"m\"\nvertical_datum = \"NAVD 88\"\n{more}"
            ),
        )
        .with("wells.csv", register)
        .with("rounds/spring.csv", round)
}
