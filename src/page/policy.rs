//! What the browser may do with the page: run and style it with what is in it, and nothing else.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// The content security policy: only a style sheet and a script of these bytes, and no request of
/// any kind.
///
/// # References
/// W3C Content Security Policy Level 3: `default-src`, hash sources (section 2.3.1).
pub(super) fn policy(style: &str, script: &str) -> String {
    format!(
        "default-src 'none'; style-src '{}'; script-src '{}'; base-uri 'none'; form-action 'none'",
        source(style),
        source(script)
    )
}

fn source(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_is_that_of_the_standard() {
        // W3C Content Security Policy Level 3, section 6.7.2.3 and common examples of it:
        // alert('Hello, world.');
        assert_eq!(
            source("alert('Hello, world.');"),
            "sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng="
        );
    }
}
