//! Vertical gradients of nests on page, sheet and in the summary, from the files of a sample site by hand.

use crate::support::{json, near, runs, sample, text, words};

/// The cells of the rows of a table of the page, without tags.
fn rows(page: &str, table: &str) -> Vec<Vec<String>> {
    let (_, rest) = page.split_once(&format!("id=\"{table}\"")).expect("the table");
    let (_, body) = rest.split_once("<tbody>").expect("its rows");
    let (body, _) = body.split_once("</tbody>").expect("their end");
    let plain = |cell: &str| {
        let mut text = String::new();
        let mut within = false;
        for c in cell.chars() {
            within = c == '<' || within && c != '>';
            if !within && c != '>' {
                text.push(c);
            }
        }
        text.trim().to_owned()
    };
    let cells = |row: &str| -> Vec<String> {
        let ends = row.replace("</th>", "</td>");
        let cells: Vec<String> = ends.split("</td>").map(plain).collect();
        cells[..cells.len() - 1].to_vec()
    };
    body.split("</tr>").filter(|row| row.contains("<td")).map(cells).collect()
}

/// P02S: measuring point 813.052 m, depth to water 4.473 m (the mean of 4.472 and 4.474), screen from 3.7 to 7.7 m below the measuring point: the water is inside
/// it. P02D: 812.842 m, 3.01 m deep, screen from 21.0 to 24.0 m.
#[test]
fn the_page_of_a_map_has_the_gradients_of_its_nests() {
    let site = sample("closed-landfill");
    let out = site.join("drawn");
    runs(&["draw", "--quiet", "--out"], &[&out, &site]);
    let table = rows(&text(out.join("report.html")), "vertical-table");
    assert_eq!(table.len(), 6);
    let first = table.iter().find(|row| row[0] == "P02S").expect("the nest");
    assert_eq!(first[1..3], ["P02D", "up"]);
    // (808.579 + 805.352) / 2, of which the upper end is the water; (791.842 + 788.842) / 2.
    let middle = first[3].strip_suffix('*').expect("of the saturated part");
    near(middle.parse().expect("a number"), 806.9655, 0.00051);
    assert_eq!(first[4], "790.342");
    let number = |cell: &str| -> f64 { cell.parse().expect("a number") };
    // 806.9655 - 790.342 and 809.832 - 808.579, whatever is told of their last digit.
    near(number(&first[5]), 16.6235, 0.0051);
    near(number(&first[6]), 809.832 - 808.579, 0.005);
    near(number(&first[7]), (809.832 - 808.579) / 16.6235, 0.0003);
    let (low, high) = first[8].split_once(" to ").expect("an interval");
    assert!(number(low) < number(&first[7]) && number(&first[7]) < number(high), "{first:?}");
    let panel = words(&text(out.join("map.svg")), "panel").join(" ");
    assert!(panel.contains("Nests") && panel.contains("6 of 6 up"), "{panel}");
    // The summary of what is asked with paths has the same midpoints.
    let toward = site.join("toward");
    runs(&["toward", "--quiet", "--data-only", "--out"], &[&toward, &site]);
    let summary = json(toward.join("summary.json"));
    let all = summary["toward"]["vertical_gradients"].as_array().expect("gradients");
    let of_p02 = all.iter().find(|g| g["upper"] == "P02S").expect("the nest");
    near(of_p02["upper_midpoint_m"].as_f64().expect("a number"), 806.9655, 0.000_51);
    near(of_p02["lower_midpoint_m"].as_f64().expect("a number"), 790.342, 1e-9);
    assert_eq!(
        (&of_p02["upper_saturated_part"], &of_p02["lower_saturated_part"]),
        (&true.into(), &false.into())
    );
    // A site without nests says nothing of them.
    let none = sample("fuel-depot");
    let out = none.join("drawn");
    runs(&["draw", "--quiet", "--out"], &[&out, &none]);
    assert!(!text(out.join("report.html")).contains("id=\"nests\""));
}
