//! The page of a site's record.
//!
//! | file | what it shows |
//! |---|---|
//! | `plot` | the axes of a plot with time across |
//! | `compass` | directions through time |
//! | `gradients` | gradients through time, those of the plane and those of nests |
//! | `hydrographs` | every well through time |
//! | `levels` | all levels to date |
//! | `tables` | rounds, trends, nests, doubtful readings, the next visit |
//! | `view` | all of it |

mod compass;
mod gradients;
mod hydrographs;
mod levels;
mod plot;
mod tables;
mod view;

pub(super) use view::RecordPage;
