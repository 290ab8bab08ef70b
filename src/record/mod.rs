//! The record of a site: what its rounds say side by side.
//!
//! | file | what it knows |
//! |---|---|
//! | `kendall` | the score of a series and the slopes behind it |
//! | `trend` | the trend of a well |
//! | `seasonal` | the same where there are seasons |
//! | `circular` | the directions of rounds, summed up |
//! | `turned` | whether the direction turned between two rounds |
//! | `change` | what changed at a well between two rounds |
//! | `window` | a round held against the rounds next to it, well by well |
//! | `movement` | what the wells of a round have in common, and how far each is off it |
//! | `cause` | mistakes that would explain a head |
//! | `through_time` | heads that are unlike themselves, levels that stay while others move |
//! | `nests` | up or down between nested wells |
//! | `periods` | the highest, the lowest and the mean head of years and seasons |
//! | `told` | what does not fit, as findings |
//! | `read_off` | what reduced rounds say of heads, times and positions |
//! | `rows` | the record as rows |
//! | `of` | the record of a site, put together |
//! | `types` | heads and their times, wells by rounds |
//!
//! Methods, sources and proven rates: `docs/record.md`.

mod cause;
mod change;
mod circular;
mod kendall;
mod movement;
mod nests;
mod of;
mod periods;
mod read_off;
mod rows;
mod seasonal;
mod through_time;
mod told;
mod trend;
mod turned;
mod types;
mod window;

pub use cause::Cause;
pub use change::{HeadChange, change};
pub use circular::{Circular, circular};
pub use kendall::Test;
pub use of::of;
pub use periods::{Period, PeriodValue, periods, value};
pub use read_off::ReducedRound;
pub use rows::{
    Built, ChangeRow, Extremes, GradientRow, HeadRow, NestRow, Record, RoundRow, TurnRow, WellRow,
};
pub use seasonal::{
    FEWEST_SEASONS, FEWEST_YEARS, InSeason, SeasonScore, SeasonalTrend, Seasons, seasonal_trend,
};
pub use through_time::{OddLevel, StuckLevel, Unfitting, unfitting};
pub use told::findings;
pub(crate) use told::{unmoved, words};
pub use trend::{Autocorrelation, FEWEST_READINGS, MOST_READINGS, NoTrend, Trend, trend};
pub use turned::{SharedWell, Turn, TurnInterval, Turned, turned};
pub use types::{Dated, Level, Levels, RoundLevels, SEASON_DAYS, Way, YEAR_DAYS};
