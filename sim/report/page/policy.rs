//! What a page may do: nothing is loaded from anywhere, and of what stands in it only the style and the script it was
//! made with count.
//!
//! In: the texts of both, as they stand between their tags. Out: the page's Content Security Policy (W3C, level 3,
//! section 2.3.1: a source is allowed by `'sha256-'` and the base64 of the digest). A script that got into the page by
//! another way, through a name in a scenario for instance, has another digest and is not run.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// The source expression of an inline text.
fn source(text: &str) -> String {
    match text {
        "" => "'none'".to_owned(),
        text => format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text))),
    }
}

/// The policy of a page with this style and this script; no script where it is empty.
pub(super) fn content(style: &str, script: &str) -> String {
    format!(
        "default-src 'none'; style-src {}; script-src {}; base-uri 'none'; form-action 'none'",
        source(style),
        source(script)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of the standard, section 8.2 of Content Security Policy level 2 (from memory; the digest was made
    /// with `printf "alert('Hello, world.');" | openssl dgst -sha256 -binary | openssl base64`).
    #[test]
    fn a_source_is_the_digest_of_the_text() {
        let expected = "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='";
        assert_eq!(source("alert('Hello, world.');"), expected);
        assert_eq!(source(""), "'none'");
    }

    #[test]
    fn the_policy_of_a_page_is_that_of_what_stands_in_it() {
        for script in ["", "let a = 1;\n"] {
            let page = super::super::shell("t", "<p>x</p>", script);
            let between = |open: &str, close: &str| {
                let rest = page.split_once(open).map(|(_, rest)| rest);
                rest.and_then(|rest| rest.split_once(close))
                    .map_or("", |(text, _)| text)
                    .to_owned()
            };
            let (style, script) = (
                between("<style>", "</style>"),
                between("<script>", "</script>"),
            );
            assert!(page.contains(&content(&style, &script)), "{page}");
            assert!(!page.contains("unsafe"));
        }
    }
}
