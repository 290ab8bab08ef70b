//! The columns headfall knows, and the headings under which it finds them.

/// What a column holds, and so which units and reference marks its heading may carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::read) enum Quantity {
    /// Names and words.
    Text,
    /// Easting or northing, a length.
    Coordinate,
    /// A distance on the ground, a length.
    Distance,
    /// Longitude or latitude, degrees.
    Angle,
    /// An elevation above the vertical datum.
    Elevation,
    /// A depth in the well as built, elevation unit.
    WellDepth,
    /// A length read in the field, depth unit.
    ReadingDepth,
    /// A number without a unit.
    Plain,
    /// A date, a time or both.
    Time,
}

macro_rules! columns {
    ($($variant:ident = $name:literal, $quantity:ident, $what:literal, [$($heading:literal),*];)*) => {
        /// A column that headfall knows.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub(in crate::read) enum Column {
            $(#[doc = $what] $variant,)*
        }

        impl Column {
            /// Every column.
            pub(in crate::read) const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// Our own name for it, as in `[columns]` of `site.toml`.
            pub(in crate::read) const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// What it holds, in words.
            pub(in crate::read) const fn what(self) -> &'static str {
                match self { $(Self::$variant => $what,)* }
            }

            /// The kind of quantity.
            pub(in crate::read) const fn quantity(self) -> Quantity {
                match self { $(Self::$variant => Quantity::$quantity,)* }
            }

            /// The headings it is found under besides its own name, as headings' words
            /// leaves them.
            pub(in crate::read) const fn headings(self) -> &'static [&'static str] {
                match self { $(Self::$variant => &[$($heading,)*],)* }
            }
        }
    };
}

columns! {
    Id = "id", Text, "the well's name", ["well", "well id", "well number", "well name",
        "well identifier", "location", "location id", "location name", "loc", "loc id", "point",
        "point id", "point name", "monitoring well", "monitoring well id", "monitoring point",
        "mw", "mw id", "name", "station", "station id", "station name", "site id", "site number",
        "borehole", "borehole id", "hole", "hole id", "hole name", "hole number", "bore", "bore id", "bh", "bh id", "piezometer",
        "piezometer id", "gauge", "gauge id"];
    Easting = "easting", Coordinate, "easting", ["eastings", "x", "east", "e",
        "x coordinate", "coordinate x", "grid easting", "easting x", "x easting",
        "easting coordinate"];
    Northing = "northing", Coordinate, "northing", ["northings", "y", "north", "n",
        "y coordinate", "coordinate y", "grid northing", "northing y", "y northing",
        "northing coordinate"];
    Longitude = "longitude", Angle, "longitude", ["lon", "long", "lng", "longitude x",
        "x longitude"];
    Latitude = "latitude", Angle, "latitude", ["lat", "latitude y", "y latitude"];
    PositionSd = "position_sd", Distance, "standard deviation of either coordinate",
        ["position standard deviation", "position error", "position accuracy",
        "position uncertainty", "coordinate sd", "coordinate error", "coordinate accuracy",
        "coordinate uncertainty", "coordinates accuracy", "horizontal accuracy",
        "horizontal error", "horizontal uncertainty", "location accuracy",
        "xy accuracy", "gps accuracy", "gnss accuracy", "gps error"];
    Kind = "kind", Text, "well or gauge", ["point kind", "well or gauge"];
    AquiferUnit = "aquifer_unit", Text, "the aquifer unit", ["aquifer", "hydrostratigraphic unit",
        "hydrogeologic unit", "hsu", "screened unit", "monitored unit", "geologic unit",
        "formation", "screened formation", "water bearing unit"];
    MeasuringPointElevation = "measuring_point_elevation", Elevation,
        "elevation of the measuring point", ["measuring point", "mpe", "top of casing",
        "top of casing elevation", "elevation top of casing", "elevation of top of casing",
        "elevation at top of casing", "surveyed top of casing elevation",
        "surveyed measuring point elevation", "toce", "top of inner casing",
        "top of inner casing elevation", "casing elevation", "top of riser", "top of riser elevation",
        "riser elevation", "tor", "tor elevation", "top of pvc", "top of pvc elevation",
        "pvc elevation", "reference elevation", "reference point elevation",
        "reference mark elevation", "ref elevation", "rp elevation", "rm elevation", "rpe",
        "elevation of measuring point", "gauge zero", "gauge zero elevation", "gauge datum"];
    MeasuringPointDate = "measuring_point_date", Time, "day of the measuring point's survey",
        ["survey date", "date surveyed", "surveyed", "top of casing survey date",
        "measuring point survey date", "top of casing date", "elevation date"];
    GroundElevation = "ground_elevation", Elevation, "elevation of the ground",
        ["ground surface elevation", "ground level elevation", "ground level", "ground surface",
        "ground", "gs elevation", "gl elevation", "gse", "gle", "land surface elevation", "lse",
        "surface elevation", "grade elevation"];
    TotalDepth = "total_depth", WellDepth, "depth of the well as built", ["td", "well depth",
        "depth of well", "total well depth", "built depth", "constructed depth",
        "completed depth", "total depth of well"];
    SoundedDepth = "sounded_depth", WellDepth, "depth of the well as last sounded",
        ["sounded total depth", "measured total depth", "measured well depth",
        "measured depth to bottom", "depth to bottom", "dtb", "tagged depth", "tagged bottom"];
    ScreenTop = "screen_top", WellDepth, "depth of the screen's top", ["top of screen",
        "screen top depth", "depth to top of screen", "top of screen depth", "screen from",
        "screened from", "depth to screen top"];
    ScreenBottom = "screen_bottom", WellDepth, "depth of the screen's bottom",
        ["bottom of screen", "screen bottom depth", "depth to bottom of screen",
        "bottom of screen depth", "screen to", "screened to", "base of screen",
        "depth to screen bottom"];
    SpecificGravity = "specific_gravity", Plain, "specific gravity of the product", ["sg",
        "product sg", "product specific gravity", "lnapl specific gravity", "lnapl sg"];
    ValidFrom = "valid_from", Time, "first day on which the elevation holds", ["from", "date",
        "survey date", "date surveyed", "effective date", "effective from", "start date"];
    Date = "date", Time, "day of the reading", ["measurement date", "date measured",
        "measured on", "reading date", "date read", "read on", "gauging date", "date gauged",
        "gauged on", "field date", "day", "sample date", "sampling date", "date sampled",
        "sampled on", "gauge date", "gaging date", "gage date", "gauged date", "date gaged",
        "date of gauging", "measured date", "date of measurement", "date of reading",
        "monitoring date", "date monitored", "collection date", "date collected", "event date",
        "visit date", "date visited", "inspection date", "water level date"];
    Time = "time", Time, "time of the reading", ["measurement time", "time measured",
        "reading time", "time of reading", "time read", "gauging time", "time gauged",
        "local time", "clock time", "sample time", "sampling time", "time sampled", "gauge time",
        "gaging time", "gage time", "time gaged", "measured time", "time of measurement",
        "monitoring time", "collection time", "visit time", "water level time", "field time"];
    DateTime = "datetime", Time, "day and time of the reading", ["date time", "date and time",
        "timestamp", "measurement date time", "measurement datetime", "measured at", "read at",
        "sample date time", "sample datetime", "gauging date time", "gauge date time",
        "gaging date time", "reading date time", "date time measured", "date time gauged"];
    Reading = "reading", Plain, "which of several readings of the well this is",
        ["reading number", "repeat", "repeat number", "measurement number", "replicate"];
    DepthToWater = "depth_to_water", ReadingDepth, "depth to water", ["dtw", "dtgw",
        "water depth", "depth", "water level depth", "depth to groundwater",
        "depth to water level", "depth to water table", "groundwater depth",
        "measured depth to water", "measured dtw", "static depth to water",
        "depth to static water", "depth to static water level", "depth to static groundwater"];
    DepthToProduct = "depth_to_product", ReadingDepth, "depth to floating product", ["dtp",
        "product depth", "depth to lnapl", "depth to napl", "lnapl depth", "napl depth",
        "depth to free product", "depth to oil"];
    ProductThickness = "product_thickness", ReadingDepth, "thickness of floating product",
        ["thickness of product", "lnapl thickness", "napl thickness", "thickness of lnapl",
        "free product thickness", "thickness of free product", "floating product thickness",
        "apparent product thickness", "apparent lnapl thickness", "apparent napl thickness",
        "measured product thickness", "measured lnapl thickness", "oil thickness",
        "psh thickness", "fp thickness", "sph thickness",
        "phase separated hydrocarbon thickness", "separate phase hydrocarbon thickness"];
    Hold = "hold", ReadingDepth, "tape held at the measuring point", ["held", "tape hold",
        "hold reading", "held at measuring point"];
    Cut = "cut", ReadingDepth, "tape length wetted", ["wet cut", "tape cut", "cut reading",
        "wetted", "wetted length"];
    PressureHead = "pressure_head", ReadingDepth, "pressure head above the measuring point",
        ["pressure head above measuring point", "shut in head", "head above measuring point",
        "height above measuring point"];
    Stage = "stage", ReadingDepth, "water surface above the gauge's reference mark",
        ["gauge reading", "gage reading", "gauge height", "gage height", "staff reading",
        "staff gauge reading", "staff gage reading", "stage reading"];
    Elevation = "elevation", Elevation, "elevation of the water", ["water level elevation",
        "groundwater elevation", "groundwater level elevation", "water elevation",
        "water table elevation", "water surface elevation", "static water level elevation",
        "static water elevation", "corrected groundwater elevation",
        "corrected water level elevation", "potentiometric surface elevation",
        "potentiometric elevation", "potentiometric head", "piezometric elevation",
        "piezometric head", "hydraulic head", "total head", "head", "wle", "gwe", "wse", "wte",
        "reduced water level", "rwl", "z"];
    Status = "status", Text, "the state the well was found in", ["level status",
        "water level status", "reading status", "measurement status"];
    Instrument = "instrument", Text, "the tape or probe", ["instrument id", "tape", "tape id",
        "probe id", "sounder"];
    Remark = "remark", Text, "a remark", ["remarks", "comment", "comments", "note", "notes",
        "field note", "field notes"];
    WalkingOrder = "walking_order", Plain, "place in the order of a field sheet",
        ["order on the field sheet"];
}

impl Column {
    /// The name without underscores, for messages.
    pub(in crate::read) fn words(self) -> String {
        self.name().replace('_', " ")
    }
}

/// Columns of the register, `wells.csv`.
pub(in crate::read) const REGISTER: &[Column] = &[
    Column::Id,
    Column::Easting,
    Column::Northing,
    Column::Longitude,
    Column::Latitude,
    Column::PositionSd,
    Column::Kind,
    Column::AquiferUnit,
    Column::MeasuringPointElevation,
    Column::MeasuringPointDate,
    Column::GroundElevation,
    Column::TotalDepth,
    Column::SoundedDepth,
    Column::ScreenTop,
    Column::ScreenBottom,
    Column::SpecificGravity,
];

/// Columns of `measuring-points.csv`.
pub(in crate::read) const MEASURING_POINTS: &[Column] =
    &[Column::Id, Column::ValidFrom, Column::MeasuringPointElevation];

/// Columns of a round.
pub(in crate::read) const ROUND: &[Column] = &[
    Column::Id,
    Column::Date,
    Column::Time,
    Column::DateTime,
    Column::Reading,
    Column::DepthToWater,
    Column::DepthToProduct,
    Column::ProductThickness,
    Column::SpecificGravity,
    Column::Hold,
    Column::Cut,
    Column::PressureHead,
    Column::Stage,
    Column::Elevation,
    Column::Status,
    Column::Instrument,
    Column::Remark,
    Column::WalkingOrder,
];

/// Columns of a single table: register and round in one, those of both once.
pub(in crate::read) const SINGLE: &[Column] =
    &joined::<{ REGISTER.len() + ROUND.len() - in_both(REGISTER, ROUND) }>(REGISTER, ROUND);

/// How many columns of the second list are in the first.
const fn in_both(first: &[Column], second: &[Column]) -> usize {
    let (mut both, mut at) = (0, 0);
    while at < second.len() {
        both += has(first, second[at]) as usize;
        at += 1;
    }
    both
}

/// The first list, and behind it what the second has more.
const fn joined<const N: usize>(first: &[Column], second: &[Column]) -> [Column; N] {
    let mut all = [Column::Id; N];
    let (mut next, mut at) = (0, 0);
    while at < first.len() {
        all[next] = first[at];
        next += 1;
        at += 1;
    }
    at = 0;
    while at < second.len() {
        if !has(first, second[at]) {
            all[next] = second[at];
            next += 1;
        }
        at += 1;
    }
    all
}

const fn has(columns: &[Column], column: Column) -> bool {
    let mut at = 0;
    while at < columns.len() {
        if columns[at] as usize == column as usize {
            return true;
        }
        at += 1;
    }
    false
}

/// The column of this name.
pub(in crate::read) fn named(name: &str) -> Option<Column> {
    Column::ALL.iter().copied().find(|c| c.name() == name)
}
