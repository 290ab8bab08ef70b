//! `site.toml` from bytes, with tables that hold whatever it may speak of.
#![no_main]

use headfall::read::Overrides;
use headfall_fuzz::{Files, Folder, heads};

const WELLS: &str = "\
id,easting,northing,kind,aquifer unit,ground elevation,total depth
MW-1,478120.40,4977310.25,well,upper sand,850.1,40
MW-2,478280.15,4977295.60,well,upper sand,848.9,38
MW-3,478400.80,4977220.05,well,lower gravel,847.2,62
SG-1,478190.00,4977150.00,gauge,,,
";

const POINTS: &str = "\
id,valid from,measuring point elevation
MW-1,2001-05-02,852.36
MW-2,2001-05-02,850.91
MW-3,2001-05-02,849.55
SG-1,2001-05-02,840.00
";

const ROUND: &str = "\
id,date,time,reading,depth to water,depth to product,stage,instrument,status,Tape read
MW-1,2026-04-14,09:10,1,11.30,11.10,,tape-1,,
MW-1,2026-04-14,09:12,2,11.31,11.11,,tape-1,,
MW-2,2026-04-14,09:40,1,11.51,,,probe-2,,
MW-3,2026-04-14,10:05,1,,,,,dry,
SG-1,2026-04-14,10:30,1,,,1.25,,,
";

const CREEK: &str = "\
WKT,name,stage\n\"LINESTRING (478100 4977100, 478300 4977130, 478450 4977110)\",Mill Creek,841.0
";

libfuzzer_sys::fuzz_target!(|input: &[u8]| {
    let files = Files::from([
        ("features/creek.csv", CREEK.as_bytes()),
        ("measuring-points.csv", POINTS.as_bytes()),
        ("rounds/2026-04-14.csv", ROUND.as_bytes()),
        ("site.toml", input),
        ("wells.csv", WELLS.as_bytes()),
    ]);
    let folder = Folder::of(&files);
    heads(folder.path(), &Overrides::default());
    folder.untouched(&files);
});
