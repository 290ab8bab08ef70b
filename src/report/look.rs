//! How programs are to draw a layer, as the sheet does.

/// How programs are to draw a layer or a raster.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// By the standards: OGC 05-078r4 (Styled Layer Descriptor 1.1.0), OGC 05-077r4 (Symbology Encoding 1.1.0), OGC 04-095
    /// (Filter Encoding 1.1.0). Lengths are pixels of the standard, 0.28 mm.
    pub sld: String,
    /// The same in QML, for the general GIS that takes no other style from a table of styles.
    pub qml: String,
}
