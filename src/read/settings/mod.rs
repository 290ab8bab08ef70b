//! `site.toml`: its keys, what they may be, and what is declared.
//!
//! | file | what it does |
//! |---|---|
//! | `declared` | all tables of `site.toml`, the command line over them |
//! | `overrides`, `common_frame` | the command line, and what rounds share |
//! | `reader`, `bounds` | a value, its place and its bounds |
//! | `of_site` | what holds for the site, in the units it is worked with |
//! | `surface`, `surface_keys`, `method` | how heads between wells are worked out |
//! | `table_keys` | `[tables]`, `[columns]`, and how dates and times are written |
//! | `head_errors` | the errors of heads |
//! | `aquifer`, `aquifer_keys`, `aquifer_units`, `transport_keys`, `ranges`, `materials` | `[aquifer]`, `[toward]`, `[ground]` |
//! | `doubtful` | conductivities and pumping rates beyond aquifers and wells |
//! | `features`, `role` | `[features]`, `[[sources]]`, `[[receptors]]` |
//! | `base`, `base_style`, `title_block` | `[[base]]`, `[sheet.title_block]` |
//! | `instruments` | `[instruments]` |
//! | `sheet`, `sheet_file`, `formats` | how results are drawn and written |
//! | `crs` | `[crs]` |
//! | `ties` | `[[tie]]`: wells that tie local coordinates to a CRS |
//! | `contours` | `[contours]` |
//! | `decisions` | `[[left_out]]`, `[[judged_points]]`, `[[accepted]]` |
//! | `units` | units, datums and zones agreed with the headings |

pub(super) mod aquifer;
pub(super) mod aquifer_keys;
pub(super) mod aquifer_units;
pub(super) mod base;
pub(super) mod base_style;
pub(super) mod bounds;
pub(super) mod common_frame;
pub(super) mod contours;
pub(super) mod crs;
pub(super) mod decisions;
pub(super) mod declared;
pub(super) mod doubtful;
pub(super) mod features;
pub(super) mod formats;
pub(super) mod head_errors;
pub(super) mod instruments;
pub(super) mod materials;
pub(super) mod method;
pub(super) mod of_site;
pub(super) mod overrides;
pub(super) mod ranges;
pub(super) mod reader;
pub(super) mod role;
pub(super) mod sheet;
pub(super) mod sheet_file;
pub(super) mod surface;
pub(super) mod surface_keys;
pub(super) mod table_keys;
pub(super) mod ties;
pub(super) mod title_block;
pub(super) mod transport_keys;
pub(super) mod units;
