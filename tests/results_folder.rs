//! Where results go, and that nothing of the user's is lost there.

use std::path::Path;
use std::process::{Command, Output};

use crate::support::{Folder, contents, ends, headfall, program, recorded, sample, stderr, text};

const TABLE: &str = "id,easting,northing,elevation,date\nGW-1,500100,5600100,101.2,2026-01-20\n\
                     GW-2,500300,5600120,101.0,2026-01-20\nGW-3,500180,5600290,100.8,2026-01-20\n";

fn draw(source: &Path, out: &Path, more: &[&str]) -> Output {
    headfall(&[&["draw"], more, &["--out"]].concat(), &[out, source])
}

#[track_caller]
fn refused(source: &Path, out: &Path, more: &[&str], within: &Path, why: &str) {
    let before = contents(within);
    let output = draw(source, out, more);
    ends(&output, 3);
    assert!(stderr(&output).contains(why), "{}", stderr(&output));
    assert!(contents(within) == before, "{why}: a file was changed");
}

#[test]
fn results_never_go_among_the_sites_own_files() {
    let folder = Folder::new();
    // A table of the name of a result, in the folder that results are asked into.
    let table = folder.file("heads.csv", TABLE);
    let options = ["--crs", "EPSG:32632", "--unit", "m"];
    refused(&table, folder.path(), &options, folder.path(), "it holds the site's own files");

    let site = sample("closed-landfill");
    refused(&site, &site, &[], &site, "it holds the site's own files");
    for inside in ["rounds", "features", "rounds/deeper"] {
        let why = format!("it lies in {}", inside.split('/').next().expect("a name"));
        refused(&site, &site.join(inside), &[], &site, &why);
    }
    // By whatever way the folder is named.
    refused(&site, &site.join("out/../rounds"), &[], &site, "among the site's files");
}

#[test]
fn files_of_the_names_of_results_are_neither_replaced_nor_removed() {
    let folder = Folder::new();
    let out = folder.path().join("mine");
    std::fs::create_dir(&out).expect("a folder");
    for name in ["paths.geojson", "receptors.csv", "head-sd.tif", "depth-to-water.tif", "map.pdf"] {
        std::fs::write(out.join(name), "mine").expect("a file");
    }
    let site = sample("fuel-depot");
    refused(&site, &out, &["--data-only"], &out, "it holds depth-to-water.tif");
}

#[test]
fn a_result_that_the_map_is_made_from_stays() {
    let folder = Folder::new();
    let (site, out) = (sample("closed-landfill"), folder.path().join("out"));
    let first = draw(&site, &out, &["--data-only"]);
    ends(&first, 0);
    // The surface of the first map as the ground of the second.
    let settings = site.join("site.toml");
    let text = text(&settings);
    let ground =
        format!("\n[ground]\nraster = \"{}\"\nunit = \"m\"\n", out.join("surface.tif").display());
    std::fs::write(&settings, text + &ground).expect("settings");
    let toward = |out: &Path| headfall(&["toward", "--data-only", "--out"], &[out, &site]);
    let before = contents(&out);
    let output = toward(&out);
    ends(&output, 3);
    assert!(
        stderr(&output).contains("surface.tif: this map is made from it"),
        "{}",
        stderr(&output)
    );
    assert!(contents(&out) == before);
    let other = toward(&folder.path().join("other"));
    ends(&other, 0);
}

#[test]
fn what_was_changed_in_the_results_is_kept_and_told() {
    let folder = Folder::new();
    let (site, out) = (sample("fuel-depot"), folder.path().join("out"));
    draw(&site, &out, &["--format", "shapefile"]);
    std::fs::write(out.join("contours.geojson"), "edited").expect("a file");
    let shapes = out.join("layers-shapefile/contours.dbf");
    std::fs::write(&shapes, "edited").expect("a file");
    std::fs::write(out.join("notes.txt"), "mine").expect("a file");
    let output = draw(&site, &out, &["--data-only"]);
    ends(&output, 0);
    for (name, kept) in [
        ("contours.geojson", "contours.kept.geojson"),
        ("layers-shapefile/contours.dbf", "contours.kept.dbf"),
    ] {
        let sentence = format!("{name} was changed since it was written: it is kept as {kept}");
        assert!(stderr(&output).contains(&sentence), "{}", stderr(&output));
    }
    let text = |name: &str| text(out.join(name));
    assert_eq!(text("contours.kept.geojson"), "edited");
    assert_eq!(text("notes.txt"), "mine");
    assert!(text("contours.geojson").starts_with('{'));
    // Of the folder of shapefiles nothing else is left, and of the sheet nothing at all.
    let left: Vec<_> = contents(&out.join("layers-shapefile")).into_keys().collect();
    assert_eq!(left, ["contours.kept.dbf"]);
    assert!(!out.join("map.pdf").exists());
}

#[test]
fn the_record_lists_every_result_with_its_hash() {
    let folder = Folder::new();
    let (site, out) = (sample("fuel-depot"), folder.path().join("out"));
    draw(&site, &out, &["--format", "shapefile"]);
    let listed = recorded(&out);
    let mut found = contents(&out);
    found.remove("files.sha256");
    assert_eq!(listed.keys().collect::<Vec<_>>(), found.keys().collect::<Vec<_>>());
    assert!(listed.values().all(|hash| hash.len() == 64));
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_nowhere_is_refused_before_anything_is_worked_out() {
    let folder = Folder::new();
    let out = folder.path().join("out");
    std::os::unix::fs::symlink("/nowhere/at/all", &out).expect("a link");
    let output = draw(&sample("fuel-depot"), &out, &[]);
    assert_eq!(output.status.code(), Some(3));
    assert!(stderr(&output).contains("it is a link that leads nowhere"), "{}", stderr(&output));
}

/// Whatever the moment at which a run is stopped, the folder has the old set or the new one, and what
/// else it held; and the next run clears away what the stopped one has left.
#[cfg(unix)]
#[test]
fn a_run_that_is_stopped_leaves_the_old_set_or_the_new_one() {
    use std::os::unix::process::ExitStatusExt;
    use std::time::Duration;

    let site = sample("fuel-depot");
    let folder = Folder::new();
    let sets = ["2025-10", "2026-04"].map(|round| {
        let out = folder.path().join(round);
        assert!(draw(&site, &out, &["--round", round, "--data-only"]).status.success());
        std::fs::read(out.join("files.sha256")).expect("a record")
    });
    let is_whole = |out: &Path| {
        let record = std::fs::read(out.join("files.sha256")).expect("a record");
        let round = sets.iter().position(|set| *set == record).expect("one of the two");
        let from = folder.path().join(["2025-10", "2026-04"][round]);
        for (name, bytes) in contents(&from) {
            assert!(std::fs::read(out.join(&name)).expect("a result") == bytes, "{name:?}");
        }
    };
    let mut stopped = 0;
    for (k, signal) in ["-TERM", "-INT", "-HUP", "-KILL"].into_iter().cycle().take(24).enumerate() {
        let out = folder.path().join("out");
        assert!(draw(&site, &out, &["--round", "2025-10", "--data-only"]).status.success());
        let with_notes = k % 2 == 0;
        if with_notes {
            std::fs::write(out.join("notes.txt"), "mine").expect("a file");
        }
        let mut run = program()
            .args(["draw", "--round", "2026-04", "--data-only", "--out"])
            .arg(&out)
            .arg(&*site)
            .stderr(std::process::Stdio::null())
            .spawn()
            .expect("the program runs");
        std::thread::sleep(Duration::from_millis(u64::try_from(k).expect("a few") * 4));
        let id = run.id().to_string();
        assert!(Command::new("kill").args([signal, &id]).status().expect("kill").success());
        stopped += usize::from(run.wait().expect("an end").signal().is_some());
        if signal != "-KILL" {
            is_whole(&out);
        }
        // The next run mends the folder first, also one that is refused afterwards.
        assert!(draw(&site, &out, &["--round", "2025-10", "--data-only"]).status.success());
        is_whole(&out);
        assert_eq!(out.join("notes.txt").exists(), with_notes);
        std::fs::remove_dir_all(&out).expect("a folder");
    }
    assert!(stopped > 0, "no run was stopped before its end");
}
