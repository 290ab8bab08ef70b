//! Triangles and heads to gradients and directions of flow.

mod types;

pub use types::{SiteFlow, TriangleFlow, VectorMean};
