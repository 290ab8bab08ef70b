/// A plateau of equal heads, at any level and on every surface.
mod plateau;
