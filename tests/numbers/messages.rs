//! No number in a message has more than six significant digits, however many a table has.

use std::fmt::Write as _;

use headfall::diag::Code;
use headfall::read::Overrides;

use crate::support::{Folder, map, of};

/// Digits that nobody measured, as spreadsheets and transformations of coordinates write them.
const TAIL: f64 = 0.123_456_789;

/// A site of twelve wells on a plane, every number with nine decimals, in which some lines can be
/// put in place of others.
struct Site {
    toml: String,
    wells: Vec<String>,
    round: Vec<String>,
}

fn site() -> Site {
    let (mut wells, mut round) = (Vec::new(), Vec::new());
    for i in 0..12 {
        let (x, y) = (f64::from(i % 4) * 110.0 + f64::from(i * i % 7), f64::from(i / 4) * 130.0);
        let (easting, northing) = (480_000.0 + x + TAIL, 4_980_000.0 + y + TAIL);
        let point = 1900.0 + f64::from(i) + TAIL;
        let depth = point - (1880.0 + TAIL - 0.002 * x - 0.003 * y);
        wells.push(format!("W-{i},{easting},{northing},{point},{},,,,", 60.0 + TAIL));
        round.push(format!("W-{i},2026-04-14T{:02}:00,,{depth},,,,", 7 + i));
    }
    Site { toml: String::new(), wells, round }
}

impl Site {
    fn write(&self) -> Folder {
        let folder = Folder::new();
        let mut toml =
            "[site]\nname = \"Digits (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \
                        \"ft\"\nvertical_datum = \"NAVD 88\"\n"
                .to_owned();
        writeln!(toml, "{}", self.toml).expect("text");
        folder.file("site.toml", toml);
        let wells = self.wells.join("\n");
        folder.file(
            "wells.csv",
            format!(
                "id,easting,northing,measuring_point_elevation,total_depth,screen_top,\
                 screen_bottom,sounded_depth,ground_elevation\n{wells}\n"
            ),
        );
        let round = self.round.join("\n");
        folder.file(
            "rounds/april.csv",
            format!(
                "id,datetime,reading,depth_to_water,depth_to_product,specific_gravity,elevation,\
                 product_thickness\n{round}\n"
            ),
        );
        folder
    }
}

/// The finding must be told; that its text is short is held wherever tests read findings.
fn told(code: Code, change: impl Fn(&mut Site)) {
    let mut site = site();
    change(&mut site);
    let folder = site.write();
    let (_, findings) = map(folder.path(), &Overrides::default());
    assert!(!of(code, &findings).is_empty(), "{code} is told: {findings:#?}");
}

#[test]
fn however_many_digits_a_table_has_a_message_has_six() {
    let t = TAIL;
    let well = |i: usize, cells: String| {
        move |site: &mut Site| {
            let first: Vec<String> = site.wells[i].split(',').take(3).map(str::to_owned).collect();
            site.wells[i] = format!("{},{cells}", first.join(","));
        }
    };
    let reading = |i: usize, cells: String| {
        move |site: &mut Site| site.round[i] = format!("W-{i},2026-04-14T09:00,,{cells}")
    };
    let toml = |text: &'static str| move |site: &mut Site| site.toml = text.to_owned();
    told(Code::RepeatsDisagree, |site| {
        site.round[1] =
            format!("W-1,2026-04-14,1,{},,,,\nW-1,2026-04-14,2,{},,,,", 20.0 + t, 21.0 + t);
    });
    told(Code::LaterNotUsed, |site| {
        let row = |n: i32, depth: f64| format!("W-1,2026-04-14,{n},{depth},,,,");
        site.round[1] = [row(1, 20.0 + t), row(2, 20.001 + t), row(3, 22.0 + t)].join("\n");
    });
    told(Code::HeadDisagrees, reading(2, format!("{},,,{},", 22.0 + t, 1700.0 + t)));
    told(Code::NegativeDepth, reading(2, format!("{},,,,", -1.0 - t)));
    told(Code::ProductCorrected, reading(2, format!("{},{},0.831234567,,", 22.0 + t, 21.0)));
    told(Code::ProductImpossible, reading(2, format!("{},{},0.83,,", 22.0 + t, 23.0 + 2.0 * t)));
    told(Code::GravityMissing, reading(2, format!("{},{},,,", 22.0 + t, 21.0 + 2.0 * t)));
    told(Code::Implausible, reading(2, format!("{},,,,", 19_000.0 + t)));
    told(Code::BelowBottom, well(3, format!("{},{},,,,", 1903.0 + t, 5.0 + t)));
    told(Code::Silted, well(3, format!("{},{},,,{},", 1903.0 + t, 60.0 + t, 50.0 + t / 2.0)));
    told(
        Code::RegisterContradicts,
        well(3, format!("{},{},{},{},,", 1903.0 + t, 60.0, 50.0 + t, 40.0 + t)),
    );
    told(Code::HeadAboveGround, well(3, format!("{},,,,,{}", 1903.0 + t, 1840.0 + t)));
    told(Code::OffNeighbours, well(3, format!("{},,,,,", 1908.0 + t)));
    told(Code::RoundTooLong, toml("[round]\nwindow_hours = 3.123456789"));
    told(Code::FineInterval, toml("[contours]\ninterval = 0.0123456789"));
    told(Code::TooManyLevels, toml("[contours]\ninterval = 0.000123456789"));
    told(Code::NoContours, toml("[contours]\ninterval = 1234.56789\nbase = 0.123456789"));
    told(Code::GridTooLarge, toml("[grid]\ncell = 0.00123456789"));
    told(Code::SiteSetting, toml("[grid]\ncell = -0.123456789012"));
    told(Code::SurfaceRefused, toml("[grid]\nunconfined_base = 2879.123456789"));
    told(
        Code::RadiusShort,
        toml("[grid]\nsurface = \"inverse-distance\"\n[inverse_distance]\nradius = 21.123456789"),
    );
    told(
        Code::CovarianceUnlikeWells,
        toml(
            "[grid]\nsurface = \"kriging\"\n[kriging]\npartial_sill = 1.123456789\nrange = 12.3456789",
        ),
    );
    told(Code::OutsideArea, |site| site.wells[1] = site.wells[1].replace("480", "1080"));
    told(Code::SharedPosition, |site| {
        let place = site.wells[1].split(',').skip(1).take(2).collect::<Vec<_>>().join(",");
        site.wells[2] = format!("W-2,{place},{},,,,,", 1902.0 + t);
    });
    told(Code::Collinear, |site| {
        for (i, well) in site.wells.iter_mut().enumerate() {
            let along = 37.123_456_789 * i as f64;
            *well =
                format!("W-{i},{},{},{},,,,,", 480_000.0 + along, 4_980_000.0 + along, 1900.0 + t);
        }
    });
}
