//! `tables.xlsx`: read with calamine and held against the tables of text, cell by cell.

use std::path::Path;

use calamine::{Data, Reader as _, Xlsx, open_workbook};

use crate::support::{contents, near, runs, sample, text};

/// The sheets there are, and the tables of text that they are held against.
const SHEETS: [&str; 5] = ["water-levels", "wells", "heads", "triangles", "receptors"];

/// The rows of a table of text, as any reader of RFC 4180 has them.
fn rows(path: &Path) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_path(path).expect("a table");
    let row = |row: Result<csv::StringRecord, csv::Error>| {
        row.expect("a row").iter().map(str::to_owned).collect()
    };
    reader.records().map(row).collect()
}

/// A text as it was before a spreadsheet was kept from running it.
fn plain(text: &str) -> &str {
    text.strip_prefix('\'').unwrap_or(text)
}

#[test]
fn every_table_is_a_sheet_with_the_same_cells() {
    let site = sample("closed-landfill");
    // Wells with names that a spreadsheet would run, or take for a number.
    for (name, odd) in [("P12S", "=1+1"), ("P01S", "007"), ("P03S", "@SUM(A1)"), ("P10S", "-5")] {
        for file in ["wells.csv", "rounds/2026-05.csv"] {
            let path = site.join(file);
            std::fs::write(&path, text(&path).replace(name, odd)).expect("written");
        }
    }
    let (first, again) = (site.join("first"), site.join("again"));
    for out in [&first, &again] {
        runs(&["toward", "--quiet", "--data-only", "--format", "xlsx", "--out"], &[out, &site]);
    }
    let bytes = |out: &Path| contents(out)["tables.xlsx"].clone();
    assert!(bytes(&first) == bytes(&again), "the same bytes");
    let mut book: Xlsx<_> = open_workbook(first.join("tables.xlsx")).expect("a workbook");
    assert_eq!(book.sheet_names(), SHEETS);
    let (mut numbers, mut texts, mut odd) = (0, 0, 0);
    for name in SHEETS {
        let rows = rows(&first.join(format!("{name}.csv")));
        assert!(book.worksheet_formula(name).expect("a sheet").is_empty(), "{name}");
        let sheet = book.worksheet_range(name).expect("a sheet");
        assert_eq!(sheet.height(), rows.len(), "{name}");
        assert_eq!(sheet.width(), rows[0].len(), "{name}");
        for (i, row) in rows.iter().enumerate() {
            for (j, cell) in row.iter().enumerate() {
                let column = &rows[0][j];
                match sheet.get((i, j)).expect("a cell") {
                    Data::Empty => assert_eq!(cell, "", "{name} {i} {column}"),
                    Data::Float(value) => {
                        let expected: f64 = cell.parse().unwrap_or_else(|_| panic!("{cell}"));
                        near(*value, expected, 1e-12 * expected.abs());
                        numbers += 1;
                    }
                    Data::String(value) => {
                        assert_eq!(value, plain(cell), "{name} {i} {column}");
                        let may_run = value.starts_with(['=', '+', '-', '@']);
                        odd += usize::from(may_run || value == "007");
                        // What is a number in the table of text is one here, but for names, times and lists of numbers.
                        let is_name = ["well", "reason", "source", "receptor", "number", "mean_of"]
                            .iter()
                            .any(|word| column.to_lowercase().starts_with(word));
                        assert!(is_name || cell.parse::<f64>().is_err(), "{name} {column} {cell}");
                        texts += 1;
                    }
                    other => panic!("{name} {i} {column}: {other:?}"),
                }
            }
        }
    }
    assert!(numbers > 1000 && texts > 500 && odd > 20, "{numbers} {texts} {odd}");
}
