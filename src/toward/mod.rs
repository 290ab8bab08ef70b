//! Does it flow toward the receptor: paths of the water over the mapped surface, and what they
//! meet.
//!
//! | file | what it does |
//! |---|---|
//! | `net`, `linear` | paths over triangles, exactly |
//! | `field`, `smooth` | paths over the smooth surface of a grid |
//! | `boundary`, `into_stream`, `lows`, `wall` | what ends a path or leads it on: the boundary, streams, lows, barriers |
//! | `walked` | the surface of a map with all of these |
//! | `target`, `approach`, `stream` | which source or receptor a path meets, and where |
//! | `fall`, `travel`, `straight` | mean gradient, seepage velocity and travel time |
//! | `arrivals`, `spreading` | arrivals over realizations, first arrival and decay of a substance |
//! | `simulated`, `realizations`, `one_surface`, `next_well` | what becomes of the water in realizations |
//! | `pairs`, `across` | toward a line or away from it, and across barriers |
//! | `capture` | what a pumped well draws in |
//! | `vertical` | up or down between nested wells |
//! | `site`, `verdict`, `along`, `pumped`, `nests`, `ground`, `off`, `fast`, `units`, `ranking` | all of it for one map |
//! | `shown` | which paths a drawing shows |
//!
//! Methods and limits: `docs/toward.md`.

mod across;
mod along;
mod answer;
mod approach;
mod arrivals;
mod boundary;
mod capture;
mod ends;
mod fall;
mod fast;
mod field;
mod ground;
mod into_stream;
mod linear;
mod lows;
mod meeting;
mod nests;
mod net;
mod next_well;
mod off;
mod one_surface;
mod pairs;
mod path;
mod place;
mod pumped;
mod ranking;
mod realizations;
mod shown;
mod simulated;
mod site;
mod smooth;
mod spreading;
mod straight;
mod stream;
mod target;
#[cfg(test)]
mod tests;
mod travel;
mod types;
mod units;
mod verdict;
mod vertical;
mod walked;
mod wall;

pub use across::AcrossBarrier;
pub use along::LineReaches;
pub use answer::{Beyond, HangsOn, NotDrawn, Outcome, Realizations, Verdict};
pub use arrivals::{Arrivals, Decides};
pub use capture::{ClosedForm, Mapped, about, closed_form, mapped};
pub use fall::MeanGradient;
pub use field::GridField;
pub use ground::GroundComparison;
pub use linear::{trace as trace_on_triangles, traces as traces_on_triangles};
pub use meeting::{Meeting, Nearest, Reached};
pub(crate) use nests::nests;
pub use net::Net;
pub use pairs::{Difference, Levels, Line, Reach, Sense, Side, reaches};
pub use path::{End, FlowPath, Way};
pub use place::{FlowAtSource, Role, SitePlace, TracedPath};
pub use pumped::{GradientFrom, PumpedZone};
pub use ranking::{KnownBy, Ranked};
pub use shown::ShownPath;
pub use site::site;
pub use smooth::{Field, STEP_ERROR, Steps, trace as trace_on_field, traces as traces_on_field};
pub use spreading::{
    FIRST_ARRIVAL_SHARE, LONGEST_RELIABLE_M, Spreading, by_length as dispersivity_by_length,
};
pub use target::Target;
pub use travel::{Conductor, retardation};
pub use types::Toward;
pub use vertical::{Middle, Nested, NoGradient, VerticalGradient, gradients as vertical_gradients};
