//! What the documentation says about each code.

use super::code::Code;

/// The one place that explains codes.
const DOCUMENT: &str = include_str!("../../docs/findings.md");

impl Code {
    /// What is below the code's heading in `docs/findings.md`: Markdown.
    #[must_use]
    pub fn section(self) -> &'static str {
        let parts = DOCUMENT.split_once(&format!("\n## {} ", self.id()));
        let section = parts.and_then(|(_, rest)| rest.split("\n## ").next()).unwrap_or_default();
        section.split_once('\n').map_or("", |(_, below)| below.trim())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_has_its_section_and_no_other() {
        for code in Code::ALL {
            let section = code.section();
            assert!(section.starts_with("Severity: "), "{code}: {section}");
            assert!(!section.contains("\n## "), "{code}: {section}");
            assert!(section.contains("**What to do**"), "{code}: {section}");
        }
    }
}
