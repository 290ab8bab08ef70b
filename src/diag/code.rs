//! The closed list of codes.

use serde::{Serialize, Serializer};

use super::severity::Severity;

macro_rules! codes {
    ($($name:ident = $id:literal, $severity:ident, $title:literal;)*) => {
        /// What a finding is about. Each has a section in `docs/findings.md`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $(#[doc = $title] $name,)*
        }

        impl Code {
            /// Every code, in order.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// The printed code, such as `C303`.
            #[must_use]
            pub const fn id(self) -> &'static str {
                match self { $(Self::$name => $id,)* }
            }

            /// The code's heading in `docs/findings.md`.
            #[must_use]
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)* }
            }

            /// The weight it has unless a stage says otherwise.
            #[must_use]
            pub const fn severity(self) -> Severity {
                match self { $(Self::$name => Severity::$severity,)* }
            }
        }
    };
}

codes! {
    FileUnreadable = "R101", Refusal, "a file cannot be read";
    SiteSetting = "R102", Refusal, "a setting is not usable";
    ColumnMissing = "R103", Refusal, "a column is missing";
    ColumnAmbiguous = "R104", Refusal, "two columns could be meant";
    NotANumber = "R105", Refusal, "a cell is not a number";
    FeetAndInches = "R106", Refusal, "feet and inches are not decimal feet";
    BadTime = "R107", Refusal, "a date or time cannot be read";
    WellTwice = "R108", Refusal, "one well stands twice in the register";
    WellUnknown = "R109", Refusal, "a reading belongs to no well of the register";
    StatusUnknown = "R110", Refusal, "a status word is not known";
    RoundUnclear = "R111", Refusal, "the round to map is not clear";
    UnitConflict = "R112", Refusal, "two statements about a unit disagree";
    UnitAssumed = "R113", Warning, "a unit was taken from the CRS";
    TableEmpty = "R114", Refusal, "a table has no rows";
    CellMissing = "R115", Refusal, "a needed cell is empty";
    RowMalformed = "R116", Refusal, "a row has the wrong number of cells";
    CrsUnknown = "R117", Refusal, "the CRS cannot be used";
    LengthConverted = "R118", Note, "coordinates were converted to the CRS's unit";
    FeatureUnusable = "R119", Refusal, "a line, area or place cannot be used";
    FeatureFar = "R120", Warning, "a line, area or place lies far from the wells";
    StreamShortened = "R121", Note, "a part of a stream carries nothing on this map";
    RegisterContradicts = "R122", Warning, "the register contradicts itself";
    PositionTwice = "R123", Warning, "two positions of one well contradict each other";
    FileNotRead = "R124", Warning, "a file that looks like an input was not read";
    GridUnusable = "R125", Refusal, "a datum grid cannot be used";

    MeasuringPointMissing = "D201", Refusal, "no measuring point elevation";
    MeasuringPointStale = "D202", Warning, "the measuring point was surveyed long ago";
    RepeatsDisagree = "D203", Warning, "repeated readings do not agree";
    GravityMissing = "D204", Refusal, "floating product without a specific gravity";
    ProductImpossible = "D205", Refusal, "product and water cannot stand like that";
    MeasurementUnclear = "D206", Refusal, "a row says its measurement in two ways, or in none";
    InstrumentUnknown = "D207", Refusal, "a reading names an instrument that is not declared";
    NegativeDepth = "D208", Warning, "a negative depth was read as a head above the measuring point";
    HeadDisagrees = "D209", Warning, "the written elevation is not the computed one";
    NoStaticLevel = "D210", Note, "a status word keeps a reading off the map";
    OrderUnknown = "D211", Refusal, "repeated readings without their order";
    WellNotRead = "D212", Note, "a well of the register was not read in this round";
    ProductCorrected = "D213", Note, "a head was corrected for floating product";
    LaterSetAside = "D214", Warning, "the last reading was set aside";
    Unchecked = "D215", Note, "a check could not be made";
    StatesContradict = "D216", Warning, "states of one well contradict each other";
    MissingValue = "D217", Warning, "a number stands for a missing value";
    Implausible = "D218", Refusal, "a depth or an elevation cannot be";
    SeveralRounds = "D219", Refusal, "one table holds several rounds";

    FewWells = "C301", Refusal, "fewer than three usable wells";
    Collinear = "C302", Refusal, "the wells stand on one line";
    SharedPosition = "C303", Refusal, "two wells at one position";
    BelowBottom = "C304", Warning, "the level is below the well's bottom or screen";
    Silted = "C305", Warning, "the well is shallower than it was built";
    RoundTooLong = "C306", Warning, "the round is longer than its window";
    UnitMixUp = "C307", Warning, "a head looks like a feet and metres mix-up";
    OffNeighbours = "C308", Warning, "a head does not fit its neighbours";
    DegreesAsProjected = "C309", Refusal, "coordinates look like degrees";
    ProjectedAsDegrees = "C310", Refusal, "the CRS is geographic";
    AxesSwapped = "C311", Refusal, "easting and northing look swapped";
    OutsideArea = "C312", Warning, "a well lies outside the CRS's area of use";
    UnitUnnamed = "C313", Refusal, "the aquifer unit to map is not clear";
    OtherUnit = "C314", Note, "a well of another aquifer unit was set aside";
    ThinNetwork = "C315", Warning, "the wells nearly stand on one line";
    ScaleCorrected = "C316", Note, "distances were corrected for the projection's scale";
    DatumApproximate = "C317", Note, "longitude and latitude are known to some metres only";
    OutsideBoundary = "C318", Warning, "a well lies outside the boundary";
    StreamGivesWay = "C319", Note, "a point of a stream gives way";
    OnBarrier = "C320", Refusal, "a well stands on a barrier";
    Parted = "C321", Warning, "barriers part the wells";
    SteepPlane = "C322", Warning, "the heads are steeper than groundwater stands";
    StageOffWells = "C323", Warning, "the stage of a stream does not fit the wells beside it";
    AxesTurned = "C324", Refusal, "the axes of the CRS do not count to east and north";
    HeadAboveGround = "C325", Warning, "a head stands above the ground";
    StreamsDisagree = "C326", Warning, "stages of streams contradict each other";
    BesidePumping = "C327", Note, "wells stand beside one that was pumping";
    GridUsed = "C328", Note, "positions were had with datum grids";
    GridIdle = "C329", Warning, "a datum grid was not used";

    Sliver = "M401", Note, "a triangle is a sliver";
    LongHullEdge = "M402", Note, "a triangle spans a long edge of the outline";
    TooManyLevels = "M403", Refusal, "the contour interval is too small for the heads";
    GridTooLarge = "M404", Refusal, "the cell is too small or too large for the site";
    NoContours = "M405", Note, "no contour level lies within the heads";
    FlatTriangle = "M406", Note, "a triangle is flat and has no direction";
    SurfaceRefused = "M407", Refusal, "the surface cannot be drawn as asked";
    CovarianceCaution = "M408", Note, "the fitted covariance is poorly known";
    BelowBase = "M409", Warning, "the surface dips below the aquifer's base";
    BarrierCut = "M410", Note, "triangles that a barrier crosses were taken out";
    OneStream = "M411", Note, "a triangle has its three corners on one stream";
    OneLine = "M412", Note, "a triangle has its three corners on one line";
    ConeUnlikeWells = "M413", Warning, "the cone of a pumped well is not what the wells see";
    CovarianceUnlikeWells = "M414", Warning, "the given covariance is not that of the heads";
    PassedOver = "M415", Note, "settings of kriging do nothing to this surface";
    PlaneUnfit = "M416", Warning, "the plane through the wells does not describe the heads";
    RadiusShort = "M417", Warning, "the search radius leaves most of the map without a head";
    AboveDryWell = "M418", Warning, "the surface stands above the bottom of a dry well";
    FineInterval = "M419", Note, "the contour interval is finer than the heads are known";
    BeyondHeads = "M420", Note, "the surface goes beyond all heads";
    SurfaceStep = "M421", Note, "the surface has a step past a barrier";
    MostlyInferred = "M422", Note, "nearly all contours are inferred";
    ManyWells = "M423", Note, "the wells are too many to be worked on all at once";

    NothingToFollow = "T501", Refusal, "nothing to follow";
    OffTheMap = "T502", Warning, "a source or receptor lies beyond the mapped area";
    DirectionOpen = "T503", Warning, "the direction of flow at a source is not resolved";
    NoVelocity = "T504", Note, "no velocities without conductivity and porosity";
    PublishedRange = "T505", Note, "a published range stands in for a measured one";
    PumpedLevelUsed = "T506", Warning, "the level in a pumped well carries the map";
    NoCone = "T507", Warning, "the mapped surface has no low at a pumped well";
    NoVerticalGradient = "T508", Note, "nested wells give no vertical gradient";
    AboveGround = "T509", Warning, "the surface stands above the ground";
    GroundMissing = "T510", Note, "the land surface is not known everywhere";
    RoundsDisagree = "T511", Warning, "most realizations say otherwise than the map";
    NoClosedForm = "T512", Note, "a pumped well has no capture zone in closed form";
    GroundUnlikeWells = "T513", Warning, "the land surface does not fit the wells";
    GroundElsewhere = "T514", Refusal, "the land surface does not lie under the map";
    NoDirections = "T515", Refusal, "the surface has no directions to follow";
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.id())
    }
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.id())
    }
}
