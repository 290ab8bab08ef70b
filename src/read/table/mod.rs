//! Tables: text to cells, headings to columns, cells to values.
//!
//! | file | what it does |
//! |---|---|
//! | `lines`, `rows` | text to records, to rows and cells |
//! | `workbook` | a sheet of a workbook to the text of a table |
//! | `frame` | titles above a table, units below its headings, notes below its rows |
//! | `columns` | the columns that tables may have |
//! | `languages` | headings in other languages |
//! | `vocabulary` | words of headings and units |
//! | `run_together` | words written without gaps |
//! | `heading` | a heading to its column |
//! | `layout`, `suggest` | which column is where in one table, and which may be meant |
//! | `by_values` | headings that mean a column by their values |
//! | `unread_columns` | columns that are not read |
//! | `rules` | how a site's tables are to be read |
//! | `clock` | a time of day |
//! | `zone` | offsets from UTC, and the time zone of the site |
//! | `number`, `moment`, `date_advice`, `dates` | cells to numbers, days and times |
//! | `decimal` | decimal commas, as all numbers together show them |
//! | `wide`, `dated` | dates for headings, dates written in one way |
//! | `status` | words for the state of a well |
//! | `cells` | the cells of one row |

pub(super) mod by_values;
pub(super) mod cells;
mod clock;
pub(super) mod columns;
pub(super) mod date_advice;
pub(super) mod dated;
pub(super) mod dates;
mod decimal;
pub(super) mod frame;
pub(super) mod heading;
pub(super) mod languages;
pub(super) mod layout;
pub(super) mod lines;
pub(super) mod moment;
pub(super) mod number;
pub(super) mod rows;
pub(super) mod rules;
pub(super) mod run_together;
pub(super) mod status;
pub(super) mod suggest;
pub(super) mod unread_columns;
pub(super) mod vocabulary;
pub(super) mod wide;
#[cfg(feature = "formats")]
pub(super) mod workbook;
pub(super) mod zone;
