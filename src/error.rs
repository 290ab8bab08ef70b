//! The one public error.

use std::path::PathBuf;

use crate::diag::Diagnostic;

/// Why no map was drawn. Every refusal carries all that was found, not only the first.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The site's files could not be read or understood.
    #[error("the site could not be read")]
    Read(Vec<Diagnostic>),
    /// The readings could not be turned into heads.
    #[error("the readings could not be reduced to heads")]
    Reduce(Vec<Diagnostic>),
    /// The heads do not carry a map.
    #[error("these heads cannot be mapped")]
    Check(Vec<Diagnostic>),
    /// The map cannot be computed as asked.
    #[error("the map cannot be drawn as asked")]
    Map(Vec<Diagnostic>),
    /// The results could not be written. Earlier results are untouched.
    #[error("{what}: {}", path.display())]
    Write {
        /// What failed.
        what: String,
        /// Which file or folder.
        path: PathBuf,
        /// The cause.
        #[source]
        source: std::io::Error,
    },
}

impl Error {
    /// All that was found before and with the refusal, in order.
    #[must_use]
    pub fn diagnostics(&self) -> &[Diagnostic] {
        match self {
            Self::Read(d) | Self::Reduce(d) | Self::Check(d) | Self::Map(d) => d,
            Self::Write { .. } => &[],
        }
    }

    /// The causes behind it, the nearest first, each after a colon; nothing where there are none.
    #[must_use]
    pub fn causes(&self) -> String {
        let mut text = String::new();
        let mut cause = std::error::Error::source(self);
        while let Some(source) = cause {
            text = format!("{text}: {source}");
            cause = source.source();
        }
        text
    }

    /// The same to be marked.
    pub(crate) fn diagnostics_mut(&mut self) -> &mut [Diagnostic] {
        match self {
            Self::Read(d) | Self::Reduce(d) | Self::Check(d) | Self::Map(d) => d,
            Self::Write { .. } => &mut [],
        }
    }
}
