//! The columns of every layer: what each is, in words and with its unit.

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::write) enum Kind {
    Text,
    Integer,
    Real,
    /// True or false; 1 or 0 where a format has no such thing.
    Flag,
    /// A moment, UTC.
    Moment,
}

/// A column.
#[derive(Debug, Clone, Copy)]
pub(in crate::write) struct Field {
    /// The member of the row's struct, which is the GeoJSON property.
    pub(in crate::write) of: &'static str,
    /// The column's name.
    pub(in crate::write) name: &'static str,
    /// Its name where a format has room for ten letters only.
    pub(in crate::write) short: &'static str,
    pub(in crate::write) kind: Kind,
    /// What it is, for the file's own description of its columns.
    pub(in crate::write) about: &'static str,
}

macro_rules! fields {
    ($($kind:ident $of:ident $(=> $name:ident)? $short:ident $about:literal;)*) => {
        &[$(Field {
            of: stringify!($of),
            name: fields!(@name $of $($name)?),
            short: stringify!($short),
            kind: Kind::$kind,
            about: $about,
        }),*]
    };
    (@name $of:ident) => { stringify!($of) };
    (@name $of:ident $name:ident) => { stringify!($name) };
}

/// Behind the columns of each layer of a round.
pub(in crate::write) const OF_ROUND: &[Field] = fields! {
    Text site site "name of the site";
    Text round round "name of the round";
    Text read_from read_from "the first reading behind the map, local clock time of the site";
    Text read_to read_to "the last reading behind the map, local clock time of the site";
    Text mapped_unit map_unit "aquifer unit that is mapped";
    Text vertical_datum datum "vertical datum of heads";
    Text elevation_unit elev_unit "unit of heads: m, ft or ft-us; where it is ft-us all columns in feet are in US survey feet";
};

/// Behind the columns of each layer of a site's record.
pub(super) const OF_SITE: &[Field] = fields! {
    Text site site "name of the site";
    Text vertical_datum datum "vertical datum of heads";
};

/// Behind those of a round where the results of many are in one.
pub(in crate::write) const ROUNDS: &[Field] = fields! {
    Integer control_points points "control points of the map";
    Real gradient gradient "gradient of the plane through the heads, dimensionless";
    Real flow_azimuth_true_deg az_true "its direction of flow, degrees clockwise from true north";
    Flag direction_resolved resolved "whether the readings rule out a level water table";
    Integer warnings warnings "warnings that nobody accepted";
    Integer notes notes "notes that nobody accepted";
    Text by by "the program that drew the map";
};

pub(in crate::write) const WELLS: &[Field] = fields! {
    Text id id "name of the well or gauge";
    Text kind kind "well or gauge";
    Flag used used "whether it is used for the map";
    Text sign sign "how the map sheet draws it: well, gauge, pumped, not-used or left-out";
    Text label label "name and head as posted on the map sheet: * corrected for floating product, ? does not fit its neighbours";
    Text reason reason "why it was not used";
    Text aquifer_unit unit "aquifer unit in the register";
    Real head_m head_m "head, m";
    Real head_ft head_ft "head, ft";
    Real head_sd_m head_sd_m "standard deviation of a measured head, from the declared parts, m";
    Real depth_to_water_m dtw_m "depth to water below the measuring point, tape corrected, m";
    Real depth_to_water_ft dtw_ft "depth to water below the measuring point, tape corrected, ft";
    Real measuring_point_elevation_m mp_m "elevation of the measuring point, m";
    Real measuring_point_elevation_ft mp_ft "elevation of the measuring point, ft";
    Real product_thickness_m product_m "thickness of floating product, m";
    Real product_thickness_ft product_ft "thickness of floating product, ft";
    Text read_at read_at "when it was read, local clock time of the site";
    Real leave_one_out_residual_m loo_res_m "head minus what its neighbours' plane says, m";
    Real leave_one_out_score loo_score "that residual over its standard deviation";
    Real plane_residual_m plane_r_m "head minus the site's least-squares plane, m";
    Text beside_pumping by_pumping "the well beside it that was pumping when it was read";
};

pub(in crate::write) const STREAM_POINTS: &[Field] = fields! {
    Text id id "name of the stream and distance along it";
    Text stream stream "name of the stream";
    Text aquifer_unit unit "aquifer unit it is in contact with";
    Real stage_m stage_m "stage, m";
    Real stage_ft stage_ft "stage, ft";
    Real plane_residual_m plane_r_m "stage minus the site's least-squares plane, m";
};

/// Columns of a judged head behind those of its own: the head, what is behind it, why and who decided it.
macro_rules! judged {
    ($basis:literal; $($own:tt)*) => {
        fields! {
            $($own)*
            Real head_m head_m "judged head, m";
            Real head_ft head_ft "judged head, ft";
            Text basis basis $basis;
            Text reason reason "why it was decided";
            Text by => judged_by judged_by "who decided it";
        }
    };
}

pub(in crate::write) const JUDGED_POINTS: &[Field] = judged! {
    "judged, or interpreted along a control line: not measured";
    Text id id "name of the judged point, or of the control line with the distance along it";
    Text control_line line "name of the control line it is on";
    Text aquifer_unit unit "aquifer unit it is judged for";
};

pub(in crate::write) const CONTROL_LINES: &[Field] = judged! {
    "interpreted: a contour drawn by judgement, not measured";
    Text name name "name in the site's file, or the number there";
};

pub(in crate::write) const CONTOURS: &[Field] = fields! {
    Integer line line "number of the line, counted from 1: its stretches share it";
    Real level level "head in the site's elevation unit";
    Text unit unit "that unit: m, ft or ft-us";
    Real level_m level_m "head, m";
    Real level_ft level_ft "head, ft";
    Flag closed closed "whether the whole line closes";
    Flag inferred inferred "whether support is thin on this stretch";
    Text sign sign "how the map sheet draws it: contour or index, each of them inferred or not";
    Real band_half_width_m band_m "median half width of the 95 % band about the stretch, on the ground, m";
    Flag band_capped band_cap "whether the band was cut at half the usual spacing of wells";
};

pub(in crate::write) const TRIANGLES: &[Field] = fields! {
    Integer id id "number of the triangle, counted from 1";
    Text wells => well_1 well_1 "first corner";
    Text wells => well_2 well_2 "second corner";
    Text wells => well_3 well_3 "third corner";
    Real heads_m => head_1_m head_1_m "head at the first corner, m";
    Real heads_m => head_2_m head_2_m "head at the second corner, m";
    Real heads_m => head_3_m head_3_m "head at the third corner, m";
    Real heads_ft => head_1_ft head_1_ft "head at the first corner, ft";
    Real heads_ft => head_2_ft head_2_ft "head at the second corner, ft";
    Real heads_ft => head_3_ft head_3_ft "head at the third corner, ft";
    Real gradient gradient "hydraulic gradient, dimensionless";
    Real flow_azimuth_true_deg az_true "direction of flow, degrees clockwise from true north";
    Real flow_azimuth_grid_deg az_grid "direction of flow, degrees clockwise from grid north";
    Real gradient_low grad_low "lower end of the gradient's 95 % interval, reading error only";
    Real gradient_high grad_high "upper end of the gradient's 95 % interval, reading error only";
    Flag direction_resolved resolved "whether the readings rule out a level water table";
    Flag direction_known known "whether the direction is known to within the stated angle";
    Real flow_azimuth_true_from_deg az_from "where the direction's 95 % interval begins, clockwise, degrees from true north";
    Real flow_azimuth_true_to_deg az_to "where it ends";
    Real flow_azimuth_grid_from_deg azg_from "where the direction's 95 % interval begins, clockwise, degrees from grid north";
    Real flow_azimuth_grid_to_deg azg_to "where it ends, degrees from grid north";
    Real direction_spread_deg az_spread "standard deviation of the direction over realizations, degrees";
    Real area_m2 area_m2 "area on the ground, m2";
    Real base_to_height base_heigh "longest side over the height on it";
    Text marks marks "why it deserves distrust, such as sliver or long-hull-edge";
};

pub(in crate::write) const FLOW: &[Field] = fields! {
    Integer triangle triangle "number of the triangle";
    Real gradient gradient "hydraulic gradient, dimensionless";
    Real flow_azimuth_true_deg az_true "direction of flow, degrees clockwise from true north";
    Real flow_azimuth_grid_deg az_grid "direction of flow, degrees clockwise from grid north";
    Flag direction_resolved resolved "whether the readings rule out a level water table";
    Flag direction_known known "whether the direction is known to within the stated angle";
    Real convergence_deg converg "meridian convergence, degrees, positive when grid north is east";
    Text marks marks "why the triangle deserves distrust";
};

/// Arrows of flow, made for a map.
pub(super) const ARROWS: &[Field] = fields! {
    Integer triangle triangle "number of the triangle in whose middle it is";
    Real gradient gradient "hydraulic gradient there, dimensionless";
    Real flow_azimuth_grid_deg az_grid "direction of flow, degrees clockwise from grid north";
    Flag direction_known known "whether the direction is known to within the stated angle";
    Text sign sign "how the map sheet draws it: known, or not-known (hollow)";
};

pub(in crate::write) const PATHS: &[Field] = fields! {
    Integer id id "number of the path, counted from 1";
    Text from => from_place from_place "the place it begins at";
    Text role role "what that is: source, receptor or pumped well";
    Text way way "down or up the gradient";
    Text end end "why it ends";
    Text end_well end_well "the well it ends at, where it ends at one";
    Real length_m length_m "length, m";
    Real length_ft length_ft "length, ft";
    Real head_begin_m begin_m "head where it begins, m";
    Real head_begin_ft begin_ft "head where it begins, ft";
    Real head_end_m end_m "head where it ends, m";
    Real head_end_ft end_ft "head where it ends, ft";
    Real gradient gradient "difference of these heads over the length, dimensionless";
    Real gradient_low grad_low "lower end of its 95 % interval from the errors of the heads";
    Real gradient_high grad_high "upper end of its 95 % interval";
    Real travel_low_d travel_lo "time of travel over all of it, lowest, days";
    Real travel_high_d travel_hi "time of travel over all of it, highest, days; empty where it has no end";
};

pub(in crate::write) const REACHES: &[Field] = fields! {
    Text line line "name of the line";
    Text side side "left or right, seen along the line";
    Text compass compass "the compass point of that side";
    Real from_m from_m "where the reach begins along the line, m";
    Real to_m to_m "where it ends along the line, m";
    Text water_flows flows "toward, away or not resolved";
    Text level_on_line level_on "stage or surface: where the level on the line is from";
    Real difference_m diff_m "the surface beside the line less the level on it, mean, m";
    Real difference_ft diff_ft "the surface beside the line less the level on it, mean, ft";
    Real sd_m sd_m "standard deviation of that, m";
    Real distance_m distance_m "distance over which it applies, m";
    Real lowest_m lowest_m "lowest of the differences along the reach, m";
    Real highest_m highest_m "highest of the differences along the reach, m";
    Text well well "the nearest well on this side";
    Real well_difference_m well_dif_m "its head less the level on the line, m";
    Real well_sd_m well_sd_m "standard deviation of that, m";
    Real well_distance_m well_dis_m "its distance, m";
    Text well_says well_says "toward, away or not resolved by that well";
};

/// Those of the styles in a GeoPackage; the names are those that general programs look for.
pub(super) const LAYER_STYLES: &[Field] = fields! {
    Text catalog => f_table_catalog catalog "empty";
    Text schema => f_table_schema schema "empty";
    Text table => f_table_name table "name of the layer";
    Text geometry => f_geometry_column geometry "its column of geometries";
    Text name => styleName style "name of the style";
    Text qml => styleQML qml "the style as one general GIS reads it";
    Text sld => styleSLD sld "the style: Styled Layer Descriptor 1.1";
    Flag is_default => useAsDefault default "whether the layer is to be drawn so";
    Text description descr "what the style is";
    Text owner owner "empty";
    Text ui ui "empty";
    Moment update_time updated "1970-01-01 in every file";
};

pub(in crate::write) const NAMED: &[Field] = fields! {
    Text name name "name in the site's file, or the number there";
};

pub(in crate::write) const NUMBERED: &[Field] = fields! {
    Integer part part "number of the part, counted from 1";
};

pub(in crate::write) const STREAMS: &[Field] = fields! {
    Text name name "name in the site's file, or the number there";
    Real stage_low_m low_m "lowest stage along it, m";
    Real stage_high_m high_m "highest stage along it, m";
    Real stage_low_ft low_ft "lowest stage along it, ft";
    Real stage_high_ft high_ft "highest stage along it, ft";
};

pub(super) const RECORD_WELLS: &[Field] = fields! {
    Text well well "name of the well or gauge";
    Integer heads heads "count of heads";
    Real lowest lowest "lowest head, in the unit of the column unit";
    Text lowest_in lowest_in "the round of it";
    Real highest highest "highest head";
    Text highest_in highest_in "the round of it";
    Real mean mean "mean head";
    Text trend trend "rises, falls, not shown, or why there is no trend";
    Real per_year per_year "Sen's slope, unit a year";
    Real per_year_low py_low "lower end of its 95 % interval";
    Real per_year_high py_high "upper end of its 95 % interval";
    Integer score score "Kendall's score";
    Real probability p "probability of a score as far from zero without a trend";
    Real memory memory "memory of the readings that was taken into account";
    Text seasonal_trend s_trend "the same words by seasons";
    Real seasonal_per_year s_py "median of the slopes within seasons, unit a year";
    Real seasonal_per_year_low s_py_low "lower end of its 95 % interval";
    Real seasonal_per_year_high s_py_high "upper end of its 95 % interval";
    Real seasonal_probability s_p "probability by seasons";
    Text unit unit "the unit of heads and slopes";
};

pub(super) const RECORD_LEVELS: &[Field] = fields! {
    Text well well "name of the well or gauge";
    Text round round "the round";
    Text read read "when it was read, local clock time of the site";
    Real head head "head, in the unit of the column unit";
    Real head_sd head_sd "standard deviation of the head";
    Real below below "elevation that the water is below, of a well that was dry";
    Text status status "the state it was found in";
    Flag resurveyed resurveyed "whether its measuring point was surveyed anew since its head before";
    Text since since "the round of its head before";
    Real change change "change since then, a rise is positive";
    Real change_low chg_low "lower end of its 95 % interval";
    Real change_high chg_high "upper end of its 95 % interval";
    Text year_before yr_before "the round of the same season a year before";
    Real change_in_year chg_year "change since then";
    Text unit unit "the unit of heads and changes";
};

pub(super) const RECORD_ROUNDS: &[Field] = fields! {
    Text round round "the round";
    Text day day "the day in the middle of its readings";
    Integer heads heads "count of wells with a head";
    Integer doubtful doubtful "how many of them do not fit through time";
    Real gradient gradient "gradient of the plane through its wells, dimensionless";
    Real gradient_low grad_low "lower end of its 95 % interval";
    Real gradient_high grad_high "upper end of its 95 % interval";
    Real flow_azimuth_true_deg az_true "direction of flow against true north, degrees";
    Real flow_azimuth_grid_deg az_grid "direction of flow against grid north, degrees";
    Real flow_from_grid_deg az_from "where its 95 % interval begins, clockwise, against grid north";
    Real flow_to_grid_deg az_to "where it ends";
    Flag direction_resolved resolved "whether the direction is resolved";
    Flag plane_describes_heads planar "whether a plane describes the heads";
    Text since since "the round before it with a gradient";
    Integer shared_wells shared "wells that both have";
    Real turn_deg turn "from its direction to this one, degrees clockwise";
    Real turn_from_deg turn_from "anticlockwise end of its 95 % interval";
    Real turn_to_deg turn_to "clockwise end";
    Text turned turned "turned, not shown or not resolved";
};

pub(super) const RECORD_NESTS: &[Field] = fields! {
    Text upper upper "the upper well";
    Text lower lower "the lower well";
    Text round round "the round";
    Real head_difference diff "head of the lower less that of the upper, in the unit of the column unit";
    Real distance distance "distance of the screens' midpoints";
    Real gradient gradient "vertical gradient, up is positive";
    Real gradient_low grad_low "lower end of its 95 % interval";
    Real gradient_high grad_high "upper end of its 95 % interval";
    Text direction direction "up, down or not resolved";
    Text unit unit "the unit of difference and distance";
};

pub(super) const RECORD_VALUES: &[Field] = fields! {
    Text period period "what the rounds are together";
    Text value value "what was worked out of them: highest, lowest or mean";
    Text rounds rounds "the rounds";
    Text well well "name of the well or gauge";
    Real head head "the value, in the unit of the column unit";
    Real head_sd head_sd "its standard deviation";
    Text read_in read_in "the round it was read in";
    Flag doubtful doubtful "whether it rests on a head that does not fit its neighbours or other rounds";
    Text why_none why_none "why there is none";
    Text unit unit "the unit of values";
};

pub(super) const RECORD_CONTOURS: &[Field] = fields! {
    Text period period "what the rounds are together";
    Text value value "what was worked out of them: highest, lowest or mean";
    Real level level "level of the contour, in the unit of the column unit";
    Flag inferred inferred "whether support is thin on this stretch";
    Text unit unit "the unit of levels";
};

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn short_names_fit_and_differ_and_stand_in_the_documents() {
        let document = include_str!("../../../docs/layers.md");
        for fields in [
            OF_ROUND,
            WELLS,
            CONTOURS,
            TRIANGLES,
            FLOW,
            PATHS,
            REACHES,
            NAMED,
            NUMBERED,
            STREAMS,
            JUDGED_POINTS,
            CONTROL_LINES,
        ] {
            let short: BTreeSet<&str> = fields.iter().map(|f| f.short).collect();
            assert_eq!(short.len(), fields.len(), "two columns of one short name");
            for field in fields {
                assert!(field.short.len() <= 10, "{}", field.short);
                assert!(!field.about.is_empty());
                let row = format!("| `{}` | `{}` | {} |", field.name, field.short, field.about);
                assert!(document.contains(&row), "docs/layers.md lacks {row}");
            }
        }
    }
}
