//! Charts as pictures for slides: our own SVG, rendered at twice its size.
//!
//! In: SVG text. Out: PNG bytes. The letters come from a font that the program carries (`fonts/`, under the
//! SIL Open Font License), so that no font of the computer is needed and the picture is the same on every
//! one; a letter that the font does not have shows as a question mark.

use std::sync::{Arc, LazyLock};

use resvg::render;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb::Database};

/// Pixels of a picture for each pixel of its chart.
const SCALE: f32 = 2.0;

const REGULAR: &[u8] = include_bytes!("fonts/regular.otf");
const BOLD: &[u8] = include_bytes!("fonts/bold.otf");

/// Read once: every chart asks for the same letters.
static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
    let mut fonts = Database::new();
    fonts.load_font_data(REGULAR.to_vec());
    fonts.load_font_data(BOLD.to_vec());
    fonts.set_sans_serif_family(FAMILY);
    Arc::new(fonts)
});

/// Name of the font in its own files.
const FAMILY: &str = "Inter";

/// The picture of a chart; `None` where the text is no drawing.
pub fn png(svg: &str) -> Option<Vec<u8>> {
    let options = Options {
        font_family: FAMILY.to_owned(),
        fontdb: Arc::clone(&FONTS),
        ..Options::default()
    };
    let svg: String = svg.chars().map(drawable).collect();
    let tree = Tree::from_str(&svg, &options).ok()?;
    let size = tree.size().to_int_size().scale_by(SCALE)?;
    let mut picture = Pixmap::new(size.width(), size.height())?;
    render(
        &tree,
        Transform::from_scale(SCALE, SCALE),
        &mut picture.as_mut(),
    );
    picture.encode_png().ok()
}

/// The letter, or a question mark for one of a script that the font does not have: left out, two names could
/// look alike.
fn drawable(letter: char) -> char {
    match letter {
        '\u{0530}'..='\u{1dff}' | '\u{2c00}'.. => '?',
        _ => letter,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::charts::style::{BODY, INK, Side, chart};

    /// Width and height as the header of the file says (PNG specification, third edition, 11.2.1).
    fn size(png: &[u8]) -> (u32, u32) {
        assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
        let at = |i: usize| u32::from_be_bytes([png[i], png[i + 1], png[i + 2], png[i + 3]]);
        (at(16), at(20))
    }

    fn drawn(text: &str) -> Vec<u8> {
        let svg = chart((300, 120), ("Title", "below it"), "", |sheet| {
            sheet.text((20, 90), text, BODY, INK, Side::Left);
        });
        png(&svg).unwrap()
    }

    #[test]
    fn pictures_are_twice_as_large_and_have_letters() {
        let picture = drawn("some words");
        assert_eq!(size(&picture), (600, 240));
        assert_eq!(picture, drawn("some words"));
        assert_ne!(picture, drawn("same words"), "letters are drawn");
        assert_ne!(drawn("Größe č ж Ω"), drawn("       "));
    }

    #[test]
    fn letters_that_are_not_there_are_marked_and_no_failure() {
        let nothing = drawn("");
        for strange in ["\u{5bbd}", "\u{1f355}", "\u{5d0}\u{5d1}"] {
            assert_ne!(drawn(strange), nothing, "{strange} is marked");
        }
        assert_eq!(png("no drawing"), None);
    }
}
