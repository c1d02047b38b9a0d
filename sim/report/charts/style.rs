//! One look for all charts, and the few strokes they are made of.
//!
//! In: pixels and words. Out: SVG text. Colours differ in lightness as well as in hue, and what matters
//! carries a hatch or a label too, so that no chart depends on telling colours apart.

use plotters::backend::SVGBackend;
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{PathElement, Polygon, Rectangle, Text};
pub use plotters::style::RGBColor;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontStyle, IntoFont, ShapeStyle, TextStyle};

use crate::report::words::{clean, escape};

/// Width of every chart but the timeline, px.
pub const WIDTH: i32 = 960;
/// Left and right margin, px.
pub const MARGIN: i32 = 24;
/// Where the plot may begin, below title and subtitle, px.
pub const TOP: i32 = 78;
/// Size of the title, px.
pub const TITLE: i32 = 20;
/// Size of all other text, px.
pub const BODY: i32 = 14;
/// Size of text in tight places, px.
pub const SMALL: i32 = 12;

/// Text.
pub const INK: RGBColor = RGBColor(0x1f, 0x29, 0x33);
/// Less important text.
pub const QUIET: RGBColor = RGBColor(0x52, 0x60, 0x6d);
/// Axis and grid lines.
pub const GRID: RGBColor = RGBColor(0xd9, 0xde, 0xe4);
/// Shade behind what is not measured, and idle time.
pub const SHADE: RGBColor = RGBColor(0xed, 0xf0, 0xf3);
/// Main colour.
pub const BLUE: RGBColor = RGBColor(0x2a, 0x6f, 0x97);
/// Its light shade.
pub const SKY: RGBColor = RGBColor(0x9c, 0xc9, 0xe3);
/// Second colour.
pub const AMBER: RGBColor = RGBColor(0xe9, 0xa2, 0x3b);
/// Trouble.
pub const RED: RGBColor = RGBColor(0xa6, 0x32, 0x3f);
/// Waiting for people or material.
pub const PLUM: RGBColor = RGBColor(0x7d, 0x6b, 0x99);
/// Cure.
pub const GREEN: RGBColor = RGBColor(0x4f, 0x8f, 0x6b);
/// Blocked.
pub const SLATE: RGBColor = RGBColor(0x4a, 0x55, 0x68);
/// Paper.
pub const PAPER: RGBColor = RGBColor(0xff, 0xff, 0xff);

/// Lines laid over a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hatch {
    /// None.
    Plain,
    /// Rising lines.
    Rising,
    /// Falling lines.
    Falling,
    /// Both.
    Crossed,
    /// Upright lines.
    Upright,
}

/// How an area is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fill {
    /// Colour.
    pub color: RGBColor,
    /// Lines over it.
    pub hatch: Hatch,
}

impl Fill {
    /// A fill.
    pub const fn new(color: RGBColor, hatch: Hatch) -> Self {
        Self { color, hatch }
    }

    /// Ink or paper, whichever reads better on it.
    pub fn on_it(self) -> RGBColor {
        let RGBColor(r, g, b) = self.color;
        let light = 0.299 * f64::from(r) + 0.587 * f64::from(g) + 0.114 * f64::from(b);
        if light > 150.0 { INK } else { PAPER }
    }
}

/// Where a text stands to its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Text begins at the point.
    Left,
    /// Text is centred on it.
    Middle,
    /// Text ends at it.
    Right,
}

/// Widths of the characters from space to `~`, thousandths of the size: the wider of the chart font's and of the
/// usual sans-serif letters of a browser.
#[rustfmt::skip]
const WIDTHS: [i32; 95] = [
    281, 278, 403, 631, 638, 889, 667, 222, 362, 362, 500, 659, 280, 460, 278, 357,
    625, 556, 605, 636, 642, 608, 624, 571, 616, 624, 278, 280, 659, 659, 659, 556,
    1015, 676, 667, 727, 722, 667, 611, 778, 740, 278, 543, 667, 562, 889, 753, 778,
    667, 778, 722, 667, 642, 741, 676, 949, 667, 667, 625, 362, 357, 362, 469, 556,
    497, 564, 621, 558, 621, 582, 361, 609, 591, 237, 237, 544, 237, 869, 585, 597,
    609, 609, 372, 523, 364, 581, 557, 812, 540, 557, 541, 362, 327, 362, 659,
];

/// Width of a character, thousandths of the size; a wide guess for letters beyond ASCII.
fn char_width(c: char) -> i32 {
    let place = (c as usize).checked_sub(0x20);
    match place.and_then(|place| WIDTHS.get(place)) {
        Some(&width) => width,
        None if c == '\u{202f}' || c == '\u{a0}' => 300,
        None => 640 * crate::report::words::width(c.encode_utf8(&mut [0; 4])) as i32,
    }
}

/// Width of a text, px.
pub fn text_width(text: &str, size: i32) -> i32 {
    let sum: i32 = text.chars().map(char_width).sum();
    (sum * size).div_euclid(1000) + 1
}

/// Cuts a text to a width in px, with an ellipsis where something is cut.
pub fn fitted(text: &str, size: i32, width: i32) -> String {
    if text_width(text, size) <= width {
        return text.to_owned();
    }
    let room = width - text_width("…", size);
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        used += char_width(c) * size;
        if used > room * 1000 {
            break;
        }
        out.push(c);
    }
    out.push('…');
    out
}

/// A sheet to draw on. Drawing into memory cannot fail, so what the library returns is not looked at.
pub struct Sheet<'a> {
    area: DrawingArea<SVGBackend<'a>, Shift>,
}

impl Sheet<'_> {
    /// Text.
    pub fn text(&self, (x, y): (i32, i32), text: &str, size: i32, color: RGBColor, side: Side) {
        self.styled(FontStyle::Normal, (x, y), text, size, color, side);
    }

    /// Bold text.
    pub fn bold(&self, (x, y): (i32, i32), text: &str, size: i32, color: RGBColor, side: Side) {
        self.styled(FontStyle::Bold, (x, y), text, size, color, side);
    }

    fn styled(
        &self,
        font: FontStyle,
        at: (i32, i32),
        text: &str,
        size: i32,
        color: RGBColor,
        side: Side,
    ) {
        let h = match side {
            Side::Left => HPos::Left,
            Side::Middle => HPos::Center,
            Side::Right => HPos::Right,
        };
        // The backend divides sizes by 1.24.
        let style = TextStyle::from(
            ("sans-serif", f64::from(size) * 1.24)
                .into_font()
                .style(font),
        )
        .color(&color)
        .pos(Pos::new(h, VPos::Center));
        let _ = self.area.draw(&Text::new(clean(text), at, style));
    }

    /// Bold small text on its own piece of paper, so that lines behind it do not cross it.
    pub fn padded(&self, (x, y): (i32, i32), text: &str, color: RGBColor, side: Side) {
        let wide = text_width(text, SMALL) * 107 / 100 + 4; // bold letters are wider
        let from = match side {
            Side::Left => x - 2,
            Side::Middle => x - wide / 2,
            Side::Right => x - wide + 2,
        };
        self.block(
            (from, y - 8),
            (from + wide, y + 8),
            Fill::new(PAPER, Hatch::Plain),
        );
        self.bold((x, y), text, SMALL, color, side);
    }

    /// Filled rectangle with its hatch.
    pub fn block(&self, (x0, y0): (i32, i32), (x1, y1): (i32, i32), fill: Fill) {
        let _ = self
            .area
            .draw(&Rectangle::new([(x0, y0), (x1, y1)], fill.color.filled()));
        if x1 - x0 < 6 {
            return;
        }
        let (rising, falling) = match fill.hatch {
            Hatch::Plain => return,
            Hatch::Rising => (true, false),
            Hatch::Falling => (false, true),
            Hatch::Crossed => (true, true),
            Hatch::Upright => {
                for x in (x0 + 4..x1).step_by(7) {
                    self.stroke(&[(x, y0), (x, y1)], PAPER, 1);
                }
                return;
            }
        };
        let height = y1 - y0;
        for start in (x0 - height..x1).step_by(8) {
            // The part of a diagonal that lies within the rectangle.
            let (from, to) = (start.max(x0), (start + height).min(x1));
            if from < to && rising {
                self.stroke(
                    &[(from, y1 - (from - start)), (to, y1 - (to - start))],
                    PAPER,
                    1,
                );
            }
            if from < to && falling {
                self.stroke(
                    &[(from, y0 + (from - start)), (to, y0 + (to - start))],
                    PAPER,
                    1,
                );
            }
        }
    }

    /// Outline of a rectangle.
    pub fn frame(&self, a: (i32, i32), b: (i32, i32), color: RGBColor) {
        let _ = self
            .area
            .draw(&Rectangle::new([a, b], color.stroke_width(1)));
    }

    /// Line through points.
    pub fn stroke(&self, points: &[(i32, i32)], color: RGBColor, width: u32) {
        let _ = self.area.draw(&PathElement::new(
            points.to_vec(),
            ShapeStyle::from(&color).stroke_width(width),
        ));
    }

    /// Upright dashed line.
    pub fn dashed(&self, x: i32, (y0, y1): (i32, i32), color: RGBColor) {
        for y in (y0..y1).step_by(9) {
            self.stroke(&[(x, y), (x, (y + 5).min(y1))], color, 2);
        }
    }

    /// Filled outline, see-through by `alpha`.
    pub fn area(&self, points: &[(i32, i32)], color: RGBColor, alpha: f64) {
        let _ = self
            .area
            .draw(&Polygon::new(points.to_vec(), color.mix(alpha).filled()));
    }
}

/// Draws a chart: white paper, title, subtitle, and what `draw` adds. `told` is read to those who cannot see it.
pub fn chart(
    (width, height): (i32, i32),
    (title, subtitle): (&str, &str),
    told: &str,
    draw: impl FnOnce(&Sheet<'_>),
) -> String {
    let mut svg = String::new();
    {
        let size = (width.max(1) as u32, height.max(1) as u32);
        let sheet = Sheet {
            area: SVGBackend::with_string(&mut svg, size).into_drawing_area(),
        };
        let _ = sheet.area.fill(&PAPER);
        sheet.bold(
            (MARGIN, 26),
            &fitted(title, TITLE, width - 2 * MARGIN),
            TITLE,
            INK,
            Side::Left,
        );
        sheet.text(
            (MARGIN, 50),
            &fitted(subtitle, BODY, width - 2 * MARGIN),
            BODY,
            QUIET,
            Side::Left,
        );
        draw(&sheet);
        let _ = sheet.area.present();
    }
    let heads = format!(
        "<svg role=\"img\" aria-label=\"{}\" ",
        escape(&clean(&format!("{title}. {told}")))
    );
    // The letters that most computers have first, so that texts are as wide as was reckoned with.
    svg.replacen("<svg ", &heads, 1).replace(
        "font-family=\"sans-serif\"",
        "font-family=\"Helvetica, Arial, sans-serif\"",
    )
}
