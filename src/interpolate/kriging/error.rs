//! Why a kriged surface cannot be had.

use crate::units::{as_given, brief_to, with_power};

/// A parameter out of its bounds.
#[derive(Debug, Clone, PartialEq)]
pub struct BadParameter {
    /// What it is, in the words of the documentation.
    pub name: String,
    /// As given.
    pub value: f64,
    /// What it must be, with its unit.
    pub bound: &'static str,
}

impl std::fmt::Display for BadParameter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} is {}; it must be {}", self.name, as_given(self.value), self.bound)
    }
}

/// Why a kriged surface cannot be had. Wells are named by their index in the call.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum KrigingError {
    /// Positions, heads and standard deviations are not of one count.
    #[error("{wells} wells, {heads} heads and {sds} standard deviations of heads do not match")]
    Lengths {
        /// Count of positions.
        wells: usize,
        /// Count of heads.
        heads: usize,
        /// Count of standard deviations.
        sds: usize,
    },
    /// Parameters, positions or heads that are not usable, all of them.
    #[error("{}", list(.0))]
    Parameters(Vec<BadParameter>),
    /// Fewer wells than the drift needs, or than a fit can be trusted with.
    #[error("{wells} wells are too few; {needed} are needed ({why})")]
    TooFewWells {
        /// Count of wells.
        wells: usize,
        /// The fewest allowed.
        needed: usize,
        /// What needs them.
        why: &'static str,
    },
    /// More wells than there is a way for.
    #[error("{wells} wells are too many for kriging; the limit is {most}")]
    TooManyWells {
        /// Count of wells.
        wells: usize,
        /// The most allowed.
        most: usize,
    },
    /// The memory that may be used does not hold the equations.
    #[error("the kriging equations of {wells} wells need {megabytes} MB, more than is available")]
    NoMemory {
        /// Count of wells.
        wells: usize,
        /// What is needed at once, MB.
        megabytes: usize,
    },
    /// Two wells at one position, exact both.
    #[error("wells {first} and {second} share one position (within {bound_m} m)")]
    SamePosition {
        /// One well.
        first: usize,
        /// The other.
        second: usize,
        /// The bound, m.
        bound_m: f64,
    },
    /// The covariance of the wells is not positive definite in double precision.
    #[error(
        "the covariance of the wells is singular or nearly so at well {well}: the part that the \
         other wells do not explain is {} of its variance, bound {}; its nearest well is \
         {nearest} at {} m",
        with_power(*.unexplained, 2),
        with_power(*.bound, 2),
        brief_to(*.distance_m, 3)
    )]
    Singular {
        /// The well at which the factorisation stopped or came closest to stopping.
        well: usize,
        /// Its nearest well.
        nearest: usize,
        /// How far that one is, m.
        distance_m: f64,
        /// The pivot over the largest pivot, 0 when it was not positive.
        unexplained: f64,
        /// The bound.
        bound: f64,
    },
    /// The wells do not tell a drift term from those before it.
    #[error("the wells cannot separate the drift's {term} from the terms before it")]
    DriftNotEstimable {
        /// Which term.
        term: String,
    },
    /// The heads lie on the drift: nothing is left to be fitted.
    #[error("the covariance could not be fitted: the heads lie on the drift within {within:e}")]
    OnDrift {
        /// So nearly, head unit.
        within: f64,
    },
    /// The search for the likeliest parameters failed.
    #[error("the covariance could not be fitted: {cause}")]
    NoFit {
        /// Why.
        cause: String,
    },
}

impl KrigingError {
    /// The same with wells counted among all, of which `wells` were looked at.
    pub(super) fn among(mut self, wells: &[usize]) -> Self {
        if let Self::Singular { well, nearest, .. } = &mut self {
            (*well, *nearest) = (wells[*well], wells[*nearest]);
        }
        self
    }

    /// What the user can do about it.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Lengths { .. } => "give one head, and one standard deviation, for each well",
            Self::Parameters(_) => "correct these values",
            Self::TooFewWells { .. } => {
                "give the covariance's parameters instead of fitting them, take a simpler drift, or \
                 use a method without parameters"
            }
            Self::TooManyWells { .. } => {
                "map parts of the site separately, or use another method: natural-neighbour and \
                 inverse-distance have no such limit"
            }
            Self::NoMemory { .. } => {
                "allow more memory, map parts of the site separately, or use another method: \
                 natural-neighbour and inverse-distance need little"
            }
            Self::SamePosition { .. } => {
                "leave one of them out, or state the standard deviation of their heads"
            }
            Self::Singular { .. } => {
                "state the standard deviation of the heads or a nugget, take a shorter range, or a \
                 covariance that is rougher at the origin than the gaussian, such as matern-5/2"
            }
            Self::DriftNotEstimable { .. } => {
                "leave this term out, or add wells at other distances and to the sides"
            }
            Self::OnDrift { .. } | Self::NoFit { .. } => {
                "give the covariance's parameters instead of fitting them"
            }
        }
    }
}

fn list(bad: &[BadParameter]) -> String {
    bad.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}
