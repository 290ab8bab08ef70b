//! `site.toml`: its keys, what they may be, and what is declared.
//!
//! | file | what it does |
//! |---|---|
//! | `declared` | all tables of `site.toml`, the command line over them |
//! | `reader`, `bounds` | a value, its place and its bounds |
//! | `surface`, `surface_keys`, `method` | how heads between wells are worked out |
//! | `head_errors` | the errors of heads |
//! | `aquifer`, `materials` | `[aquifer]`, `[toward]`, `[ground]` |
//! | `features` | `[features]`, `[[sources]]`, `[[receptors]]` |
//! | `sheet`, `formats` | how results are drawn and written |
//! | `units` | units, datums and zones agreed with the headings |

pub(super) mod aquifer;
pub(super) mod bounds;
pub(super) mod declared;
pub(super) mod features;
pub(super) mod formats;
pub(super) mod head_errors;
pub(super) mod materials;
pub(super) mod method;
pub(super) mod reader;
pub(super) mod sheet;
pub(super) mod surface;
pub(super) mod surface_keys;
pub(super) mod units;
