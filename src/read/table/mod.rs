//! Tables: text to cells, headings to columns, cells to values.
//!
//! | file | what it does |
//! |---|---|
//! | `rows` | text to rows and cells |
//! | `columns` | the columns that tables may have |
//! | `languages` | headings in other languages |
//! | `vocabulary` | words of headings and units |
//! | `run_together` | words written without gaps |
//! | `heading` | a heading to its column |
//! | `layout` | which column is where in one table |
//! | `by_values` | headings that mean a column by their values |
//! | `unread_columns` | columns that are not read |
//! | `rules` | how a site's tables are to be read |
//! | `number`, `moment`, `date_advice` | cells to numbers, days and times |
//! | `status` | words for the state of a well |
//! | `cells` | the cells of one row |

pub(super) mod by_values;
pub(super) mod cells;
pub(super) mod columns;
pub(super) mod date_advice;
pub(super) mod heading;
pub(super) mod languages;
pub(super) mod layout;
pub(super) mod moment;
pub(super) mod number;
pub(super) mod rows;
pub(super) mod rules;
pub(super) mod run_together;
pub(super) mod status;
pub(super) mod unread_columns;
pub(super) mod vocabulary;
