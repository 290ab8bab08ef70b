//! How GDAL is to behave while it writes a file.

use gdal::errors::GdalError;
use gdal::errors::Result;
use gdal::spatial_ref::AxisMappingStrategy;
use gdal::spatial_ref::SpatialRef;

use crate::read::Quiet;

/// Settings of GDAL on this thread for as long as the value lives.
pub(super) struct Manners {
    keys: Vec<&'static str>,
    _quiet: Quiet,
}

impl Manners {
    /// Nothing beside the file, no word on the terminal, and what more `settings` ask for.
    pub(super) fn teach(settings: &[(&'static str, &str)]) -> Result<Self> {
        let mut manners = Self { keys: Vec::new(), _quiet: Quiet::please() };
        // All of it fits into the file itself.
        for (key, value) in [("GDAL_PAM_ENABLED", "NO")].iter().chain(settings) {
            gdal::config::set_thread_local_config_option(key, value)?;
            manners.keys.push(key);
        }
        Ok(manners)
    }
}

/// A CRS by its definition, east before north. GDAL would take a definition that it does not know
/// for the name of a file, and open that.
pub(super) fn spatial_ref(definition: &str) -> Result<SpatialRef> {
    let mut crs = SpatialRef::new()?;
    let text = std::ffi::CString::new(definition)?;
    let settings =
        [c"ALLOW_FILE_ACCESS=NO".as_ptr(), c"ALLOW_NETWORK_ACCESS=NO".as_ptr(), std::ptr::null()];
    #[expect(unsafe_code, reason = "the crate has no safe way to these settings")]
    // SAFETY: GDAL reads the texts and keeps none; the list ends with a null pointer.
    let err = unsafe {
        gdal_sys::OSRSetFromUserInputEx(
            crs.to_c_hsrs(),
            text.as_ptr(),
            settings.as_ptr().cast_mut().cast(),
        )
    };
    if err != gdal_sys::OGRErr::OGRERR_NONE {
        return Err(GdalError::BadArgument(format!(
            "no file can hold the CRS {definition:?} by this name; write its code, such as EPSG:26915"
        )));
    }
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    Ok(crs)
}

impl Drop for Manners {
    fn drop(&mut self) {
        for key in &self.keys {
            let _ = gdal::config::clear_thread_local_config_option(key);
        }
    }
}
