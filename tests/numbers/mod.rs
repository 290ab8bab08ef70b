/// Networks and heads on which arithmetic leaves nothing but its dust.
mod degenerate;

/// How many digits a message may have.
mod messages;

/// A plateau of equal heads, at any level and on every surface.
mod plateau;

/// Scores, repeats, and what `compare` tells.
mod small;
