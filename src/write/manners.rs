//! How GDAL is to behave while it writes a file.

use gdal::errors::Result;

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

impl Drop for Manners {
    fn drop(&mut self) {
        for key in &self.keys {
            let _ = gdal::config::clear_thread_local_config_option(key);
        }
    }
}
