//! The record of a site: what its rounds say side by side.
//!
//! | file | what it knows |
//! |---|---|
//! | `kendall` | the score of a series and the slopes behind it |
//! | `trend` | the trend of a well |
//! | `seasonal` | the same where there are seasons |
//! | `types` | a head and its time |
//!
//! Methods, sources and proven rates: `docs/record.md`.

mod kendall;
mod seasonal;
mod trend;
mod types;

pub use kendall::Test;
pub use seasonal::{
    FEWEST_SEASONS, FEWEST_YEARS, InSeason, SeasonScore, SeasonalTrend, Seasons, seasonal_trend,
};
pub use trend::{Autocorrelation, FEWEST_READINGS, MOST_READINGS, NoTrend, Trend, trend};
pub use types::{Dated, Way, YEAR_DAYS};
