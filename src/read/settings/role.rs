//! What the features of a file are to the map.

/// What a file's features are to the map.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::read) enum Role {
    Boundary,
    Barrier,
    Stream,
    ControlLine,
    Source,
    Receptor,
    /// A layer of the site plan.
    Base,
}

impl Role {
    /// Where its files are declared.
    pub(in crate::read) const fn section(self) -> &'static str {
        match self {
            Self::Base => "[[base]]",
            _ => "[features]",
        }
    }

    pub(in crate::read) const fn key(self) -> &'static str {
        match self {
            Self::Boundary => "boundary",
            Self::Barrier => "barriers",
            Self::Stream => "streams",
            Self::ControlLine => "control_lines",
            Self::Source => "sources",
            Self::Receptor => "receptors",
            Self::Base => "site plan",
        }
    }
}
