//! Control points to triangles.

mod types;

pub use types::{Mark, Mesh, Triangle};
