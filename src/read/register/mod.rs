//! The register and the surveys: rows to wells at places in the project CRS.
//!
//! | file | what it does |
//! |---|---|
//! | `wells` | rows of the register to wells |
//! | `measuring_points` | surveys of measuring points |
//! | `unknown` | names that the register does not know |
//! | `contradictions` | wells whose own numbers contradict each other |
//! | `twice` | wells that are entered twice |
//! | `coordinates` | positions in CRS units |
//! | `tie` | local coordinates tied to the project CRS |
//! | `axes` | which of X and Y is north |

pub(super) mod axes;
pub(super) mod contradictions;
pub(super) mod coordinates;
pub(super) mod measuring_points;
pub(super) mod tie;
pub(super) mod twice;
pub(super) mod unknown;
pub(super) mod wells;
