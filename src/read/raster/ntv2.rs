//! Datum grids in the form of the National Transformation, version 2 (Geodetic Survey of Canada,
//! NTv2 User's Guide).

/// A grid of offsets from an older datum to a newer one.
#[derive(Debug)]
pub(in crate::read) struct SubGrid {
    /// What it is called in its file, and by others that lie in it.
    pub(in crate::read) name: Option<String>,
    /// The grid that it lies in, if any.
    pub(in crate::read) parent: Option<String>,
    /// Its outermost nodes, degrees, to the north and to the east.
    pub(in crate::read) south: f64,
    pub(in crate::read) north: f64,
    pub(in crate::read) west: f64,
    pub(in crate::read) east: f64,
    /// The distances of nodes, degrees.
    pub(in crate::read) along_meridian: f64,
    pub(in crate::read) along_parallel: f64,
    /// Offsets to the north and to the west, seconds of arc: rows from the south, each from the
    /// east.
    pub(in crate::read) offsets: Vec<[f32; 2]>,
}

/// The bytes of a file of such grids, parents first.
///
/// # Errors
/// Why they cannot stand in one, in words that follow the file's name.
pub(in crate::read) fn written(grids: &[SubGrid]) -> Result<Vec<u8>, String> {
    let nodes: usize = grids.iter().map(|grid| grid.offsets.len()).sum();
    let mut file = File(Vec::with_capacity((11 * (grids.len() + 1) + nodes + 1) * 16));
    file.whole("NUM_OREC", 11)?;
    file.whole("NUM_SREC", 11)?;
    file.whole("NUM_FILE", grids.len())?;
    file.text("GS_TYPE", "SECONDS");
    file.text("VERSION", "NTv2.0");
    // Nobody reads the names and the ellipsoids of the datums: PROJ knows them from its database.
    file.text("SYSTEM_F", "FROM");
    file.text("SYSTEM_T", "TO");
    for record in ["MAJOR_F", "MINOR_F", "MAJOR_T", "MINOR_T"] {
        file.real(record, 6_378_137.0);
    }
    for (number, grid) in grids.iter().enumerate() {
        let of_name =
            |name: &String| grids[..number].iter().position(|g| g.name.as_ref() == Some(name));
        let parent = match &grid.parent {
            None => "NONE".to_owned(),
            Some(name) => {
                let parent = of_name(name);
                called(parent.ok_or_else(|| format!("has no grid {name} before those inside it"))?)
            }
        };
        file.text("SUB_NAME", &called(number));
        file.text("PARENT", &parent);
        file.text("CREATED", "");
        file.text("UPDATED", "");
        // Longitudes count to the west.
        let ends = [grid.south, grid.north, -grid.east, -grid.west];
        for (record, degrees) in ["S_LAT", "N_LAT", "E_LONG", "W_LONG"].iter().zip(ends) {
            file.real(record, degrees * 3600.0);
        }
        file.real("LAT_INC", grid.along_meridian * 3600.0);
        file.real("LONG_INC", grid.along_parallel * 3600.0);
        file.whole("GS_COUNT", grid.offsets.len())?;
        for [north, west] in &grid.offsets {
            // The accuracy of each is not known.
            for value in [*north, *west, 0.0, 0.0] {
                file.0.extend(value.to_le_bytes());
            }
        }
    }
    file.text("END", "");
    Ok(file.0)
}

/// The name of a grid in the file: eight letters are too few for those of other formats.
fn called(number: usize) -> String {
    format!("G{number:07}")
}

struct File(Vec<u8>);

impl File {
    fn record(&mut self, name: &str, value: [u8; 8]) {
        self.0.extend(format!("{name:8}").bytes());
        self.0.extend(value);
    }

    fn whole(&mut self, name: &str, value: usize) -> Result<(), String> {
        let value = i32::try_from(value).map_err(|_| format!("has too many nodes ({value})"))?;
        let [a, b, c, d] = value.to_le_bytes();
        self.record(name, [a, b, c, d, 0, 0, 0, 0]);
        Ok(())
    }

    fn real(&mut self, name: &str, value: f64) {
        self.record(name, value.to_le_bytes());
    }

    /// A text of at most eight letters.
    fn text(&mut self, name: &str, value: &str) {
        let mut padded = [b' '; 8];
        padded.iter_mut().zip(value.bytes()).for_each(|(place, letter)| *place = letter);
        self.record(name, padded);
    }
}
