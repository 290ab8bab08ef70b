//! Every tolerance of the program, each with its unit and where it comes from.
//!
//! Those that heads, directions and findings are judged by are written into `summary.json` as
//! [`Tolerances`], so that a map can be judged by them later. Bounds of what is read and of how much is
//! worked on are not among them: a finding that meets one gives it.

use super::listed::tolerances;

/// The tolerances of this version as they are written into the summary: by their names in small
/// letters. What a site says in place of one is among its options.
#[derive(Debug, Clone, Copy)]
pub struct Tolerances;

tolerances! {
    /// Two positions closer than this are one position.
    ///
    /// Survey coordinates are given to 0.01 m or 0.01 ft; the bound is one such digit. In m.
    /// Common practice, no source.
    pub const SAME_POSITION_M: f64 = 0.01;

    /// Wells whose spread across their main axis is below this part of the spread along it lie on
    /// one line as far as a plane fit is concerned. Dimensionless.
    ///
    /// At 0.001 a head error of 0.01 m over 100 m along the line becomes a gradient error of 0.1
    /// across it, two orders above any usual gradient. Derived from the error propagation of a
    /// plane (Pinder, Celia and Gray 1981).
    pub const COLLINEAR_SPREAD: f64 = 0.001;

    /// A well left out by decision that would turn the site's direction of flow by more than this is a
    /// warning, degrees. The same as the angle within which a direction counts as known. Common practice,
    /// no source.
    pub const LEFT_OUT_TURN_DEG: f64 = 30.0;

    /// A tie of local coordinates to a CRS that misses by more than this is a warning, in m: a tape or an
    /// instrument is nearer than that, and so is a good receiver. Common practice, no source.
    pub const TIE_RESIDUAL_M: f64 = 1.0;

    /// The same as a part of the longest distance between ties, for small sites: a hundredth across is half
    /// a degree of direction. Dimensionless. Common practice, no source.
    pub const TIE_RESIDUAL_PART: f64 = 0.01;

    /// The scale of tied local coordinates differs from that of the CRS by more than this: a warning, as
    /// every gradient differs likewise. Dimensionless. Common practice, no source.
    pub const TIE_SCALE_DOUBTFUL: f64 = 0.005;

    /// By more than this: a refusal. A foot taken for a metre is far beyond it. Dimensionless. Common
    /// practice, no source.
    pub const TIE_SCALE_WRONG: f64 = 0.05;

    /// The longest distance between ties is a smaller part of the wells' extent than this: a warning, as an
    /// error of a tie is then more than three times as large at the farthest well. Dimensionless. Common
    /// practice, no source.
    pub const TIE_REACH: f64 = 0.3;
    /// A judged head is a warning where its fall from the nearest well is steeper than this many times the
    /// steepest fall from that well to the four wells nearest to it. Dimensionless. Common practice, no
    /// source.
    pub const JUDGED_STEEPER: f64 = 2.0;

    /// A contour rests on judged heads where the surface without them lies off by more than this part of
    /// the distance to the next contour. Dimensionless. Common practice, no source.
    pub const JUDGED_PART: f64 = 0.1;

    /// Below this spread ratio the direction rests on a thin network and a warning is given.
    /// Devlin and McElwee (2007) recommend an aspect ratio of 0.5 to 2 for the monitored area;
    /// 0.1 leaves room for the usual road- or river-side network. Dimensionless.
    pub const THIN_SPREAD: f64 = 0.1;

    /// No water table is deeper below its measuring point than this, in m; the deepest ones read in
    /// wells are some hundreds of metres down. Common practice, no source.
    pub const DEEPEST_WATER_M: f64 = 1500.0;

    /// No water is higher above its measuring point than this, in m: the strongest artesian wells
    /// reach some hundred metres. Common practice, no source.
    pub const HIGHEST_ABOVE_POINT_M: f64 = 300.0;

    /// No measuring point and no level is lower than this, in m below the datum: the lowest land lies
    /// some 430 m below the sea, and water below it at most a thousand. Common practice, no source.
    pub const DEEPEST_LEVEL_M: f64 = 1500.0;

    /// No measuring point and no level is higher than this, in m above the datum: the highest land is
    /// below 8900 m. Common practice, no source.
    pub const HIGHEST_ELEVATION_M: f64 = 9000.0;

    /// No well and no screen reaches deeper than this, in m: the deepest borehole went down 12.3 km.
    /// Common practice, no source.
    pub const DEEPEST_WELL_M: f64 = 13_000.0;

    /// Floating product is heavier than this, as a specific gravity: no lighter fuel or oil is known.
    /// Common practice, no source. Dimensionless.
    pub const LIGHTEST_PRODUCT: f64 = 0.5;

    /// And lighter than this: water's own specific gravity, as what is heavier does not float.
    /// Dimensionless.
    pub const HEAVIEST_PRODUCT: f64 = 1.0;

    /// The stage of a stream is reported when it lies off the head of a well beside it by more than this,
    /// in m, and more steeply than [`STEEP_GRADIENT`]. The height of a river bank. Common practice, no
    /// source.
    pub const STAGE_OFF_M: f64 = 3.0;

    /// Repeated readings agree within this many feet (ASTM D4750 practice, quoted in site procedures:
    /// second reading within 0.01 or 0.02 ft).
    pub const REPEAT_FT: f64 = 0.02;

    /// Repeated readings agree within this many metres.
    pub const REPEAT_M: f64 = 0.006;

    /// A round should be read within this many hours (US EPA ERT SOP 2043: 24 hours; common practice).
    pub const ROUND_WINDOW_H: f64 = 24.0;

    /// A measuring point surveyed longer ago than this, in years, is called stale.
    /// Common practice, no source.
    pub const MEASURING_POINT_AGE_YEARS: f64 = 10.0;

    /// A pumped well should rest this many hours before its level is read (US EPA, RCRA Ground-Water
    /// Monitoring draft technical guidance, 1992: at least 24 hours).
    pub const REST_H: f64 = 24.0;

    /// A measuring point farther than this above or below the ground, in m, is reported: casings end
    /// about a metre above the ground or a few decimetres below it. Common practice, no source.
    pub const STICKUP_M: f64 = 3.0;

    /// A head farther than this above the ground, in m, is reported where nothing says that the well flows:
    /// a foot. The wetlands and floodplains in which wells are read are seldom under deeper water, and
    /// casings that end a yard above the ground leave little more room. Common practice, no source.
    pub const ABOVE_GROUND_M: f64 = 0.3;

    /// Floating product thicker than this, in m, is reported: wells hold centimetres to a metre or so of it
    /// as a rule, and several metres only beside the largest releases. Common practice, no source.
    pub const THICK_PRODUCT_M: f64 = 3.0;

    /// No survey and no reading is of a year before this one. An earlier year has lost its century.
    /// Common practice, no source.
    pub const EARLIEST_YEAR: i16 = 1800;

    /// No survey and no reading is of a year after this one. Common practice, no source.
    pub const LATEST_YEAR: i16 = 2199;

    /// A position given as easting and northing and as longitude and latitude is reported when the two are
    /// farther apart than this, in m: a hand-held receiver and rounded degrees are nearer.
    /// Common practice, no source.
    pub const POSITION_TWICE_M: f64 = 50.0;

    /// The same where the CRS has another ellipsoid than WGS 84: datums of one country lie up to
    /// a few hundred metres apart. Common practice, no source.
    pub const POSITION_TWICE_OTHER_DATUM_M: f64 = 500.0;

    /// A sounded depth this much shallower than the built depth is reported, in m.
    /// Common practice, no source.
    pub const SILTED_M: f64 = 0.15;

    /// A written elevation may differ from the computed one by this, in m: one unit of the second
    /// decimal in feet, for rounding in the field book. Common practice, no source.
    pub const WRITTEN_HEAD_M: f64 = 0.0035;

    /// Leave-one-out: so much of all rounds without a wrong head may have one that is reported, where heads
    /// scatter normally about planes, and so much again one where two readings look exchanged. Well below 1 in 20, because heads scatter more than their declared
    /// errors and surfaces bend: see the simulation of `docs/methods.md`. Dimensionless.
    pub const LEAVE_ONE_OUT_CHANCE: f64 = 0.02;

    /// Leave-one-out: the declared errors of the heads count as much as so many spare wells where the
    /// scatter of the heads is estimated. Few, so that few wells that scatter more are heard. Chosen by
    /// the simulation of `docs/methods.md`. Degrees of freedom.
    pub const DECLARED_FREEDOM: f64 = 2.0;

    /// Leave-one-out: no residual below this is reported, in m. Twice the 0.05 ft to which a careful
    /// round with a surveyed measuring point can be trusted. Common practice, no source.
    pub const LEAVE_ONE_OUT_FLOOR_M: f64 = 0.03;

    /// Several wells of a small network are taken out of the judging at once where each is beyond this
    /// many standard deviations of the others. Well above the bound for one well, because the scatter of
    /// the half that fits best is smaller than that of all. Common practice, no source.
    pub const GROSS_SIGMAS: f64 = 10.0;

    /// Heads beyond this many standard deviations of the plane that fits the nearer half of the
    /// wells best are left out at the start of that search, after Rousseeuw and Leroy (1987), Robust
    /// Regression and Outlier Detection, ch. 5 (from memory).
    pub const START_SIGMAS: f64 = 2.5;

    /// A plane through the wells steeper than this is reported. Water tables fall by 0.0001 to 0.05 as a
    /// rule; only in steep ground of low conductivity do they reach 0.1. Common practice, no
    /// source. In m/m.
    pub const STEEP_GRADIENT: f64 = 0.1;

    /// Residuals about the plane through the wells are beyond the declared errors of the heads where
    /// chance alone would bring so large a sum of squares in fewer rounds than this. Dimensionless.
    /// Common practice, no source: well below the 1 in 20 of single tests, for a check made every round.
    pub const PLANE_CHANCE: f64 = 0.001;

    /// A plane with residuals beyond the declared errors does not describe the heads when its
    /// coefficient of determination is below this: then more than a tenth of the variance of the heads
    /// is not the plane's, and the residuals are a third of the relief or more, as standard deviations.
    /// Common practice, no source. Dimensionless.
    pub const PLANE_R_SQUARED: f64 = 0.9;

    /// A triangle whose longest side is more than this many times its height is a sliver.
    /// Base-to-height 0.5 to 5.0 after McKenna and Wahi (2006); with the longest side
    /// as the base only the upper bound can bind. Dimensionless.
    pub const BASE_TO_HEIGHT: f64 = 5.0;

    /// A triangle whose height is less than this, in m, and less than [`ONE_LINE_HEIGHT`] of its
    /// longest side has its corners on one line as far as a gradient is concerned, as has one whose
    /// height is less than [`COLLINEAR_SPREAD`] of its longest side.
    ///
    /// Over 1 m a head error of 0.01 m becomes a gradient error of 0.01 across the line, as much as
    /// most gradients. Derived as [`COLLINEAR_SPREAD`] is.
    pub const ONE_LINE_HEIGHT_M: f64 = 1.0;

    /// See [`ONE_LINE_HEIGHT_M`]: small networks of piezometers a few metres apart keep theirs.
    /// Common practice, no source. Dimensionless.
    pub const ONE_LINE_HEIGHT: f64 = 0.01;

    /// A hull edge longer than this many times the median edge of the triangulation is long.
    /// Common practice, no source. Dimensionless.
    pub const LONG_HULL_EDGE: f64 = 4.0;

    /// An inverse-distance surface whose search radius leaves fewer than this part of the nodes between
    /// the wells with a head is reported. Common practice, no source. Dimensionless.
    pub const REACHED: f64 = 0.5;

    /// A contour interval below this many standard deviations of a head draws the errors of the heads:
    /// none is chosen below it, and one that is given is reported. Common practice, no source. Dimensionless.
    pub const INTERVAL_HEAD_SDS: f64 = 2.0;

    /// The projection's scale is corrected for when it differs from one by more than this.
    /// Dimensionless.
    pub const SCALE_MATTERS: f64 = 0.001;

    /// More contour levels than this are refused.
    pub const MOST_LEVELS: usize = 2000;

    /// More grid nodes than this are refused.
    pub const MOST_NODES: usize = 100_000_000;

    /// Wells this far outside the CRS's area of use, in degrees, make the map refused; nearer ones
    /// are reported. Half a UTM zone of overlap is in ordinary use. Common practice, no source.
    pub const FAR_OUTSIDE_AREA_DEG: f64 = 3.0;

    /// A line or an area farther than this from the wells, in m, is reported: its CRS is wrong.
    /// Common practice, no source.
    pub const FAR_FEATURE_M: f64 = 1_000_000.0;

    /// A source or receptor farther beyond the wells than this many times the diagonal of the box about
    /// them is no part of the site: its coordinates are doubted. Common practice, no source.
    /// Dimensionless.
    pub const FAR_PLACE_EXTENTS: f64 = 5.0;

    /// Streams are used for the map up to this many usual spacings of wells from the nearest well, unless a
    /// site says otherwise. Beyond, no well shows what the aquifer does. Common practice, no source.
    pub const STREAM_REACH_SPACINGS: f64 = 3.0;

    /// A point of a stream nearer to a well than this part of the usual spacing of the stream's points
    /// gives way to the well, which was read. Dimensionless. Common practice, no source.
    pub const STREAM_GIVES_WAY: f64 = 0.1;

    /// The points of a stream hold the stage given at its vertices to within this, in m: a stage that
    /// bends by less is a straight one rounded to the centimetre. Common practice, no source.
    pub const STREAM_BEND_M: f64 = 0.01;

    /// Two streams contradict each other where they meet with stages farther apart than this many
    /// standard deviations of their difference. Common practice, no source: 3 in 1000 by chance.
    pub const STAGES_APART_SDS: f64 = 3.0;

    /// A line counts as straight where its vertices lie off the straight way by no more than this part
    /// of the usual spacing of wells: no path begins at such a vertex for its own sake, and it turns no
    /// side of the line. Below a cell, and far below what wells so far apart can show. Common practice,
    /// no source. Dimensionless.
    pub const LINE_BEND_SPACINGS: f64 = 0.01;

    /// The distance of control points along a control line, in usual spacings of wells, unless a site says
    /// otherwise. Dimensionless. Common practice, no source.
    pub const LINE_SPACINGS: f64 = 0.25;

    /// Control points along a control line leave its course by no more than this part of their distance.
    /// Dimensionless. Common practice, no source.
    pub const LINE_OFF_SPACINGS: f64 = 0.05;

    /// More control points on streams, or on control lines, than this are refused.
    pub const MOST_STREAM_POINTS: usize = 20_000;

    /// Behind a barrier a well counts less the farther a place is from where the well is seen, and not
    /// at all from this many usual spacings of wells on. Measured against the flow around walls
    /// (`docs/surface.md`). Dimensionless.
    pub const SHADE_SPACINGS: f64 = 0.5;

    /// Places that see different wells past the barriers are worked out apart, each from the wells it
    /// sees; more wells in all such views together are refused.
    pub const MOST_VIEWED: usize = 8_000_000;

    /// What is seen past barriers is worked out from this many of their vertices at the most, those where
    /// they bend most.
    pub const MOST_CORNERS: usize = 1000;

    /// Up to so many wells a covariance is fitted to all heads at once; above, to heads in blocks, each
    /// given wells near it. What all at once takes grows with the third power of the wells.
    pub const WHOLE_LIKELIHOOD_WELLS: usize = 400;

    /// Up to so many control points kriging and the thin-plate spline are solved as a whole; above, in
    /// overlapping patches. What the whole takes grows with the third power of the points, and its memory
    /// with the second.
    pub const WHOLE_SURFACE_WELLS: usize = 2000;

    /// More control points are refused by kriging: the patches of so many fill up to 3 GB.
    pub const MOST_KRIGED_WELLS: usize = 50_000;

    /// More control points are refused by the thin-plate spline: the patches of so many fill up to 6 GB.
    pub const MOST_SPLINE_WELLS: usize = 100_000;

    /// A step of the surface past barriers is reported when it is larger than this part of the contour
    /// interval: about the width of a drawn line beside contours a finger apart. Common practice, no
    /// source. Dimensionless.
    pub const STEP_TOLD: f64 = 0.1;

    /// And warned of when it is larger than this part: then it may move a contour halfway to the next.
    /// Common practice, no source. Dimensionless.
    pub const STEP_WARNED: f64 = 0.5;

    /// Wells within this many usual spacings of one that was pumping are reported: their levels may be drawn
    /// down. Common practice, no source.
    pub const BESIDE_PUMPING_SPACINGS: f64 = 2.0;

    /// A cone's factor is reported when it is not above this many of its standard errors. Common practice, no
    /// source.
    pub const CONE_STANDARD_ERRORS: f64 = 2.0;

    /// A cone's transmissivity is reported when it is more than this many times off the site's. Common
    /// practice, no source. Dimensionless.
    pub const TRANSMISSIVITY_RATIO: f64 = 10.0;

    /// A given sill is reported when the squares of the heads' differences vary more than this many times as
    /// much. Common practice, no source. Dimensionless.
    pub const SILL_RATIO: f64 = 100.0;

    /// A path that comes this near to a point reaches it, in usual spacings of wells, unless a site says
    /// otherwise. Common practice, no source.
    pub const CAPTURE_DISTANCE_SPACINGS: f64 = 0.1;

    /// The surface is read this many usual spacings of wells to each side of a line, unless a site says
    /// otherwise. Common practice, no source.
    pub const PAIR_DISTANCE_SPACINGS: f64 = 0.25;

    /// Wells no farther apart than this, in m, are nested, unless a site says otherwise. Common practice,
    /// no source.
    pub const NESTED_DISTANCE_M: f64 = 3.0;

    /// Nearer to a stream or gauge than this, in m, the surface may be above the ground, unless a site
    /// says otherwise. Common practice, no source.
    pub const WATER_DISTANCE_M: f64 = 15.0;

    /// A land surface farther than this from the wells' ground or measuring points, in m, is not theirs:
    /// a casing sticks up by a metre or so, and a raster errs by a metre or two. Common practice, no
    /// source.
    pub const GROUND_OFF_M: f64 = 3.0;

    /// A ratio of two elevations this near to that of metres and feet is taken for it. Common practice, no
    /// source. Dimensionless.
    pub const UNIT_RATIO: f64 = 0.02;

    /// A conductivity above this, in m/s, is a finding: the published ranges of `docs/toward.md` end at
    /// 3e-2 m/s, and what is above is most often in another unit. Common practice, no source.
    pub const DOUBTFUL_CONDUCTIVITY_M_PER_S: f64 = 0.1;

    /// A vertical gradient more than this many times the horizontal one is named beside a horizontal answer. Common
    /// practice, no source.
    pub const STRONG_VERTICAL_RATIO: f64 = 10.0;

    /// A travel time shorter than this, in days, over more than [`FAST_LENGTH_M`] is a finding: as a rule water
    /// goes metres in a day, also in gravel. Common practice, no source.
    pub const FAST_DAYS: f64 = 1.0;

    /// See [`FAST_DAYS`]. In m. Common practice, no source.
    pub const FAST_LENGTH_M: f64 = 30.0;

    /// A rate of one pumped well above this, in m3/d, is a finding: production wells yield some thousands, the
    /// largest some tens of thousands. Common practice, no source.
    pub const DOUBTFUL_RATE_M3_PER_DAY: f64 = 50_000.0;

    /// Where the standard deviation of a position is more than this part of the distance to the nearest
    /// other well, it is reported. Dimensionless. By our own simulation: up to it 95 % intervals of first order
    /// hold the truth in 92.9 % and more (`docs/uncertainty.md`).
    pub const POSITION_PART: f64 = 0.1;

    /// Where more than this part of the contours' length is inferred, it is reported. Common practice, no
    /// source.
    pub const MOSTLY_INFERRED: f64 = 0.9;
}
