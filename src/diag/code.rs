//! The closed list of codes.

use schemars::JsonSchema;
use serde::{Serialize, Serializer};

use super::severity::Severity;

macro_rules! codes {
    ($($name:ident = $id:literal, $severity:ident, $title:literal;)*) => {
        /// What a finding is about. Each has a section in `docs/findings.md`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, JsonSchema)]
        #[schemars(inline, with = "String", extend("pattern" = r"^[RDCMT]\d{3}$"))]
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

            /// Whether it is of following the water, which not every map is asked for.
            #[must_use]
            pub fn is_of_paths(self) -> bool {
                self.id().starts_with('T')
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
    SiteSetting = "R102", Refusal, "a setting cannot be used";
    ColumnMissing = "R103", Refusal, "a column is missing";
    ColumnAmbiguous = "R104", Refusal, "a column is ambiguous";
    NotANumber = "R105", Refusal, "a cell is not a number";
    FeetAndInches = "R106", Refusal, "feet and inches are not decimal feet";
    BadTime = "R107", Refusal, "a date or time cannot be read";
    WellTwice = "R108", Refusal, "a well is in the register twice";
    WellUnknown = "R109", Refusal, "a reading names a well that is not in the register";
    StatusUnknown = "R110", Refusal, "a status word is not recognised";
    RoundUnclear = "R111", Refusal, "the round to map is ambiguous";
    UnitConflict = "R112", Refusal, "declared units or references disagree";
    UnitAssumed = "R113", Warning, "a unit was taken from the CRS";
    TableEmpty = "R114", Refusal, "a table has no rows";
    CellMissing = "R115", Refusal, "a required cell is empty";
    RowMalformed = "R116", Refusal, "a row has the wrong number of cells";
    CrsUnknown = "R117", Refusal, "the CRS cannot be used";
    LengthConverted = "R118", Note, "coordinates were converted to the CRS's unit";
    FeatureUnusable = "R119", Refusal, "a line, area or place cannot be used";
    FeatureFar = "R120", Warning, "a line, area or place lies far from the wells";
    StreamShortened = "R121", Note, "part of a stream is not used on this map";
    RegisterContradicts = "R122", Warning, "the register contradicts itself";
    PositionTwice = "R123", Warning, "two positions of one well disagree";
    FileNotRead = "R124", Warning, "a file that looks like an input was not read";
    GridUnusable = "R125", Refusal, "a datum grid cannot be used";
    ColumnNotRead = "R126", Note, "a column is not read";
    AxesUnclear = "R127", Refusal, "X and Y do not say which is north";
    NumberApproximate = "R128", Warning, "an approximate number was used";
    RoundOfSeveral = "R130", Note, "a table holds several rounds";
    DatesRead = "R131", Note, "dates were read in the one way that fits them all";
    RowsNotRead = "R132", Note, "rows above or below a table were not read";
    EncodingRead = "R133", Note, "a table is in another encoding than UTF-8";
    WorksheetRead = "R134", Note, "a table was read from a workbook";
    TablesTaken = "R135", Note, "a folder without settings was read as register and rounds";
    LocalUnit = "R136", Refusal, "the unit of local coordinates is not given";
    TieUnusable = "R137", Refusal, "local coordinates cannot be tied to the CRS";
    Tied = "R138", Note, "local coordinates were tied to a CRS";
    LocalMeetsCrs = "R139", Refusal, "local coordinates meet a CRS";
    JudgedUnit = "R140", Refusal, "the aquifer unit of a judged head is unclear";
    JudgedName = "R141", Refusal, "a judged point has the name of another place";
    NotAcceptable = "R143", Refusal, "an accepted finding is unknown or an error";
    LayerRead = "R144", Note, "a table was read from a vector file";
    TimesConverted = "R145", Note, "times were converted to the time zone of the site";
    DecimalComma = "R146", Note, "numbers were read with a decimal comma";

    MeasuringPointMissing = "D201", Refusal, "no measuring point elevation";
    MeasuringPointStale = "D202", Warning, "the survey of a measuring point is old";
    RepeatsDisagree = "D203", Warning, "repeated readings do not agree";
    GravityMissing = "D204", Refusal, "floating product without a specific gravity";
    ProductImpossible = "D205", Refusal, "depths to product and water are impossible";
    MeasurementUnclear = "D206", Refusal, "a row has two measurements, or none";
    InstrumentUnknown = "D207", Refusal, "a reading names an instrument that is not declared";
    NegativeDepth = "D208", Warning, "a negative depth was taken as a level above the measuring \
                                      point";
    HeadDisagrees = "D209", Warning, "the recorded elevation differs from the computed one";
    NoStaticLevel = "D210", Note, "a reading is not used because of its status";
    OrderUnknown = "D211", Refusal, "the order of repeated readings is unknown";
    WellNotRead = "D212", Note, "a well of the register was not read in this round";
    ProductCorrected = "D213", Note, "a head was corrected for floating product";
    LaterNotUsed = "D214", Warning, "the last reading was not used";
    Unchecked = "D215", Note, "a check could not be made";
    StatesContradict = "D216", Warning, "two states of one well contradict each other";
    MissingValue = "D217", Warning, "a number is a code for a missing value";
    Implausible = "D218", Refusal, "a depth or an elevation is impossible";
    SeveralRounds = "D219", Refusal, "one table holds several rounds";
    NotUsedWhy = "D220", Refusal, "a reading is not used, and no reason is given";
    MeasuringPointChanged = "D221", Note, "the elevation of a measuring point changed";

    FewWells = "C301", Refusal, "fewer than three usable wells";
    Collinear = "C302", Refusal, "the wells are on one line";
    SharedPosition = "C303", Refusal, "two wells at one position";
    BelowBottom = "C304", Warning, "the level is below the well's bottom or screen";
    Silted = "C305", Warning, "the well is shallower than built";
    RoundTooLong = "C306", Warning, "the round is longer than its window";
    UnitMixUp = "C307", Warning, "a head looks like feet and metres mixed up";
    OffNeighbours = "C308", Warning, "a head does not fit its neighbours";
    DegreesAsProjected = "C309", Refusal, "coordinates look like degrees";
    ProjectedAsDegrees = "C310", Refusal, "the CRS is geographic";
    AxesSwapped = "C311", Refusal, "easting and northing look swapped";
    OutsideArea = "C312", Warning, "a well lies outside the CRS's area of use";
    UnitUnnamed = "C313", Refusal, "the aquifer unit to map is ambiguous";
    OtherUnit = "C314", Note, "a well of another aquifer unit was not used";
    ThinNetwork = "C315", Warning, "the wells are nearly on one line";
    ScaleCorrected = "C316", Note, "distances were corrected for the projection's scale";
    DatumApproximate = "C317", Note, "longitude and latitude are accurate to several metres only";
    OutsideBoundary = "C318", Warning, "a well lies outside the boundary";
    StreamGivesWay = "C319", Note, "a stream point is left out";
    OnBarrier = "C320", Refusal, "a well is on a barrier";
    Parted = "C321", Warning, "barriers divide the wells into groups";
    SteepPlane = "C322", Warning, "the gradient is too steep for groundwater";
    StageOffWells = "C323", Warning, "the stage of a stream does not fit the wells beside it";
    AxesTurned = "C324", Refusal, "the axes of the CRS do not point east and north";
    HeadAboveGround = "C325", Warning, "a head is above the ground";
    StreamsDisagree = "C326", Warning, "stages of streams contradict each other";
    BesidePumping = "C327", Note, "wells are near one that was pumping";
    GridUsed = "C328", Note, "positions were computed with datum grids";
    GridIdle = "C329", Warning, "a datum grid was not used";
    NestedTogether = "C330", Warning, "nested wells screened apart are on one map";
    LeftOut = "C335", Note, "a well is left out by decision";
    LeftOutTurns = "C336", Warning, "a well left out by decision would turn the flow direction";
    LocalCoordinates = "C337", Note, "the map is in local coordinates";
    UnlikeItself = "C338", Warning, "a head is unlike the well's other rounds";
    StaysTheSame = "C339", Warning, "a level stays the same while others move";
    ExchangedInTime = "C340", Warning, "the readings of two wells look exchanged";
    JudgedHead = "C343", Note, "the map rests on a head that was judged, not measured";
    JudgedBeyond = "C344", Warning, "a judged head lies beyond the measured heads";
    JudgedContradicts = "C345", Refusal, "a judged head contradicts another head at its place";
    JudgedSteep = "C346", Warning, "a judged head does not fit the wells beside it";
    AcceptedGone = "C347", Note, "an accepted finding does not occur";

    Sliver = "M401", Note, "a triangle is a sliver";
    LongHullEdge = "M402", Note, "a triangle spans a long edge of the outline";
    TooManyLevels = "M403", Refusal, "the contour interval is too small for the heads";
    GridTooLarge = "M404", Refusal, "the cell is too small or too large for the site";
    NoContours = "M405", Note, "no contour level lies within the heads";
    FlatTriangle = "M406", Note, "a triangle is flat and has no direction";
    SurfaceRefused = "M407", Refusal, "the surface cannot be drawn as asked";
    CovarianceCaution = "M408", Note, "the fitted covariance is poorly known";
    BelowBase = "M409", Warning, "the surface dips below the aquifer's base";
    BarrierCut = "M410", Note, "triangles crossed by a barrier were removed";
    OneStream = "M411", Note, "a triangle has its three corners on one stream";
    OneLine = "M412", Note, "a triangle has its three corners on one line";
    ConeUnlikeWells = "M413", Warning, "the fitted cone of a pumped well is implausible";
    CovarianceUnlikeWells = "M414", Warning, "the given covariance does not fit the heads";
    PassedOver = "M415", Note, "kriging settings have no effect on this surface";
    PlaneUnfit = "M416", Warning, "the planar fit does not describe the heads";
    RadiusShort = "M417", Warning, "the search radius leaves most of the map without a head";
    AboveDryWell = "M418", Warning, "the surface is above the bottom of a dry well";
    FineInterval = "M419", Note, "the contour interval is finer than the errors of the heads";
    BeyondHeads = "M420", Note, "the surface goes beyond all heads";
    SurfaceStep = "M421", Note, "the surface has a step beyond the end of a barrier";
    MostlyInferred = "M422", Note, "nearly all contours are inferred";
    ManyWells = "M423", Note, "there are too many wells to compute all at once";
    LevelsUnmet = "M424", Note, "a contour level that was asked for is beyond the surface";
    JudgedTriangles = "M425", Note, "triangles have a judged head at a corner";
    LineOffLevels = "M426", Note, "the head of a control line is not a contour level";
    PositionsRough = "M427", Warning, "errors of positions are large against the spacing of wells";

    NothingToFollow = "T501", Refusal, "the site has no sources or receptors";
    OffTheMap = "T502", Warning, "a source or receptor is outside the mapped area";
    DirectionOpen = "T503", Warning, "the direction of flow at a source is not resolved";
    NoVelocity = "T504", Note, "no velocities without conductivity and porosity";
    PublishedRange = "T505", Note, "a published range is used instead of a measured one";
    PumpedLevelUsed = "T506", Warning, "the level in a pumped well is used for the map";
    NoCone = "T507", Warning, "the mapped surface has no low at a pumped well";
    NoVerticalGradient = "T508", Note, "nested wells give no vertical gradient";
    AboveGround = "T509", Warning, "the surface is above the ground";
    GroundMissing = "T510", Note, "the land surface does not cover the whole map";
    RoundsDisagree = "T511", Warning, "most realizations disagree with the map";
    NoClosedForm = "T512", Note, "a pumped well has no capture zone in closed form";
    GroundUnlikeWells = "T513", Warning, "the land surface does not fit the wells";
    GroundElsewhere = "T514", Refusal, "the land surface does not cover any of the map";
    NoDirections = "T515", Refusal, "the surface has no directions to follow";
    ConductivityHigh = "T516", Warning, "a conductivity is above all published ranges";
    TravelFast = "T517", Warning, "a travel time is too short for groundwater";
    RateHigh = "T518", Warning, "a pumping rate is too large for one well";
    ConesChosen = "T520", Note, "the surface is kriged, with the cones of pumped wells";
    ConesMissing = "T521", Warning, "the surface does not have the cone of a pumped well";
    LowUnexplained = "T522", Warning, "paths end in a low that nothing explains";
    LowBridged = "T523", Note, "a low within the errors of the heads was bridged";
    StreamsTaken = "T524", Note, "streams were taken as in full contact with the groundwater";
    PlaceInOtherUnit = "T525", Warning, "a source or receptor is in another aquifer unit";
    StrongVertical = "T526", Warning, "a vertical gradient is many times the horizontal one";
    DispersivityFromLength = "T527", Note, "the dispersivity is taken from the length of the path";
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
