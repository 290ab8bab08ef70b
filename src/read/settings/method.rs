//! The table of the methods of interpolation: what each is called, and what is true of it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What is true of a method of interpolation, or is not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fact {
    /// Its surface is the planes of triangles: contours are straight lines through each.
    Planes,
    /// Directions of flow may be read off its surface.
    Directions,
    /// Its surface may rise above the highest head around, or fall below the lowest.
    BeyondHeads,
    /// Its heads have a standard deviation of their own.
    OwnSd,
    /// It takes what `[kriging]` and `[[pumped_wells]]` give: a covariance, a drift, cones.
    Drift,
    /// Many wells are worked on in overlapping patches.
    Patches,
    /// Only wells within a search radius count, where one is given.
    SearchRadius,
}

macro_rules! methods {
    ($($(#[$attribute:meta])* $method:ident = $name:literal, $words:literal, $help:literal, [$($fact:ident),*];)*) => {
        /// How heads between wells are worked out.
        #[derive(
            Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
        )]
        pub enum Method {
            $(#[doc = $words] #[serde(rename = $name)] $(#[$attribute])* $method,)*
        }

        impl Method {
            /// All of them, in the order they are told.
            pub const ALL: [Self; [$($name),*].len()] = [$(Self::$method),*];

            /// The name in `site.toml` and on the command line.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$method => $name,)* }
            }

            /// What it is, in words for a legend.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self { $(Self::$method => $words,)* }
            }

            /// What it is, in words for the help of the command line.
            #[must_use]
            pub const fn help(self) -> &'static str {
                match self { $(Self::$method => $help,)* }
            }

            /// What is true of it.
            #[must_use]
            pub const fn facts(self) -> &'static [Fact] {
                match self { $(Self::$method => &[$(Fact::$fact),*],)* }
            }
        }
    };
}

methods! {
    #[default]
    Linear = "linear", "linear on Delaunay triangles",
        "Planes on Delaunay triangles", [Planes, Directions];
    NaturalNeighbour = "natural-neighbour", "natural neighbour",
        "Natural neighbour", [Directions];
    SmoothNaturalNeighbour = "smooth-natural-neighbour", "natural neighbour with estimated slopes",
        "Natural neighbour with slopes estimated at the wells", [Directions, BeyondHeads];
    Kriging = "kriging", "kriging",
        "Kriging, as [kriging] in site.toml says", [Directions, BeyondHeads, OwnSd, Drift, Patches];
    ThinPlate = "thin-plate", "thin-plate spline",
        "Thin-plate spline", [Directions, BeyondHeads, Patches];
    InverseDistance = "inverse-distance", "inverse distance",
        "Inverse distance", [SearchRadius];
}

impl Method {
    /// Whether a fact is true of it.
    #[must_use]
    pub fn has(self, fact: Fact) -> bool {
        self.facts().contains(&fact)
    }

    /// The method of a name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|method| method.name() == name)
    }
}
