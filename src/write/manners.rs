//! How GDAL is to behave while it writes a file.

use gdal::errors::Result;

/// Settings of GDAL on this thread for as long as the value lives.
pub(super) struct Manners {
    keys: Vec<&'static str>,
}

impl Manners {
    /// Nothing beside the file, no word on the terminal, and what more `settings` ask for.
    pub(super) fn teach(settings: &[(&'static str, &str)]) -> Result<Self> {
        let mut manners = Self { keys: Vec::new() };
        // All of it fits into the file itself.
        for (key, value) in [("GDAL_PAM_ENABLED", "NO")].iter().chain(settings) {
            gdal::config::set_thread_local_config_option(key, value)?;
            manners.keys.push(key);
        }
        #[expect(unsafe_code, reason = "the handler is GDAL's own and lives as long as GDAL")]
        // Errors are returned, not printed.
        unsafe {
            gdal_sys::CPLPushErrorHandler(Some(gdal_sys::CPLQuietErrorHandler));
        }
        Ok(manners)
    }
}

impl Drop for Manners {
    fn drop(&mut self) {
        #[expect(unsafe_code, reason = "takes back what `teach` pushed on this thread")]
        unsafe {
            gdal_sys::CPLPopErrorHandler();
        }
        for key in &self.keys {
            let _ = gdal::config::clear_thread_local_config_option(key);
        }
    }
}
