//! Every format on paper: one pouch on two lanes, one with two artworks.
//!
//! In: the cell below, and for each case its product and what a pencil makes of it. Out: the page of `explain` has
//! each line of the paper to the printed digit, and one order that runs through the cell uses and takes what the
//! paper says. The drawings are read from `docs/concepts/formats.md`: what the program unfolds is what they add up to.
//!
//! All is hand arithmetic from those drawings (common practice, no source). What holds for every case: film of 100 um,
//! 100 g/m2 and 0.50 EUR/m2; the further web of 80 um, 80 g/m2 and 0.30 EUR/m2. 5 % overs. Laminator 10 m/min, 20 m at a
//! start, 2 %; slitter 10 m/min, 10 m, 1 %; pouch machine 50 cycles/min, 40 m, 4 % rejects, 5 min and 2 m for each change of
//! reels. No ramps to speak of, no changeovers, no chance. Whole metres upward at each step of the plan. A roll of 800 mm
//! on a core of 92 mm holds pi x (800^2 - 92^2) / 4 / 100 = 4960 m of 100 um or 6200 m of 80 um, a reel of 400 mm 1190 m.
//!
//! A run is longer than its plan by what the whole metres added. Ganged artworks share one web up to the pouch
//! machine, where each has a start of its own; roll-stock has no pouch machine, so each artwork has its own web.

use std::collections::BTreeMap;

use pouchcast::explain::{self, Explanation, How};
use pouchcast::record::LotEvent;
use pouchcast::trade::Format;

use super::{MIN, Seen, pouches_of_one_web, pouches_of_two_webs, run};

/// One order on paper.
pub struct Case {
    /// Format and variant.
    pub name: &'static str,
    pub format: Format,
    /// Keys of the product.
    pub product: &'static str,
    /// Lanes of the pouch machine.
    pub lanes: u32,
    /// Unwinds of the pouch machine.
    pub unwinds: u32,
    /// Good pouches of each artwork, metres of roll-stock.
    pub quantity: u32,
    pub artworks: u32,
    /// Lines of the page, line breaks taken out.
    pub page: &'static [&'static str],
    /// Minutes that each machine runs, changes of reels included.
    pub minutes: &'static [(&'static str, f64)],
    /// Metres printed, of all webs.
    pub metres: f64,
    /// Their area, m2.
    pub m2: f64,
    /// Their weight, kg.
    pub kg: f64,
    /// Their price, EUR.
    pub eur: f64,
    /// Good pouches that come out.
    pub good: i64,
}

fn cases() -> impl Iterator<Item = &'static Case> {
    pouches_of_one_web::CASES
        .iter()
        .chain(pouches_of_two_webs::CASES)
}

impl Case {
    /// Artworks share a web until they become pouches.
    fn ganged(&self) -> bool {
        self.artworks > 1 && self.format.needs_pouching()
    }

    /// The word of the format in a scenario, which is the first key of the product.
    fn word(&self) -> &'static str {
        let words = self.product.strip_prefix("format: ").unwrap();
        words.split(',').next().unwrap()
    }

    /// The cell with one order in its measured time.
    fn text(&self) -> String {
        let pouching = if self.format.needs_pouching() {
            format!(
                "  pouch: {{ work: pouching, machines: {{ pouch: {{ speeds: {{ {}: 50 /min }}, web_speed: 60 m/min, web_max: 1300 mm, lanes: {}, webs: {}, roll_change: 5 min, splice_waste: 2 m, start_waste: 40 m, rejects: 4 %, changeover: {{ job: 0 min, film: 0 min, width: 0 min, height: 0 min, gusset: 0 min, zipper: 0 min, format: 0 min, flat_bottom: 0 min }} }} }} }}\n",
                self.word(),
                self.lanes,
                self.unwinds
            )
        } else {
            String::new()
        };
        let spouting = if self.format == Format::Spouted {
            "  spout: { work: spouting, machines: { spout: { rate: 100 /min, rejects: 5 %, per_lot: 0 min, changeover: { job: 0 min } } } }\n"
        } else {
            ""
        };
        format!(
            "format: 2\nname: pouches on paper\nrun: {{ warm_up: 0 min, measure: 3 wk, run_out: 1 wk }}\n\
             adhesives: {{ melt: {{ process: thermal }} }}\n\
             laminates:\n\
             \x20 film: {{ caliper: 100 um, weight: 100 g/m2, adhesive: melt, price: 0.50 /m2 }}\n\
             \x20 clear: {{ caliper: 80 um, weight: 80 g/m2, adhesive: melt, price: 0.30 /m2 }}\n\
             products:\n\x20 p: {{ {}, overs: 5 % }}\n\
             stations:\n\
             \x20 lam: {{ work: lamination, machines: {{ lam: {{ processes: {{ thermal: 10 m/min }}, ramp: 1000 m/min/s, web_max: 1300 mm, start_waste: 20 m, running_waste: 2 %, changeover: {{ job: 0 min, film: 0 min, finish: 0 min, width: 0 min, adhesive: 0 min, process: 0 min }} }} }} }}\n\
             \x20 slit: {{ work: slitting, machines: {{ slit: {{ speed: 10 m/min, ramp: 1000 m/min/s, web_max: 1300 mm, start_waste: 10 m, running_waste: 1 %, doff: 0 min, core_load: 0 min, changeover: {{ job: 0 min, knives: 0 min }} }} }} }}\n\
             {pouching}{spouting}classes: {{ standard: {{}} }}\n\
             orders: [{{ name: s, every: 2 wk, products: {{ p: 100 % }}, skus: {}, quantity: {}, gang: {} }}]\n\
             money: {{ disposal: 1 /kg, weeks: 3 }}\n",
            self.product,
            self.artworks,
            self.quantity,
            self.ganged()
        )
    }

    fn seen(&self) -> Seen {
        run(&self.text(), "")
    }

    fn explained(&self, seen: &Seen) -> Explanation {
        let how = How {
            artworks: self.artworks,
            ganged: self.ganged(),
            ..How::default()
        };
        explain::explain(&seen.model, 0, f64::from(self.quantity), how)
    }

    /// Fails where a figure is not that of the paper.
    fn same(&self, what: &str, found: f64, paper: f64, within: f64) {
        assert!(
            (found - paper).abs() <= within,
            "{}: {what} is {found}, on paper {paper}",
            self.name
        );
    }
}

/// Each format is there on two lanes and with two artworks.
#[test]
fn every_format_is_on_paper() {
    let all = [
        Format::StandUp,
        Format::StandUpInserted,
        Format::StandUpTwoWeb,
        Format::ThreeSide,
        Format::FlatBottom,
        Format::QuadSeal,
        Format::RollStock,
        Format::Spouted,
    ];
    // A format more does not compile here before it has a place in the list.
    let place = |format: Format| match format {
        Format::StandUp => 0,
        Format::StandUpInserted => 1,
        Format::StandUpTwoWeb => 2,
        Format::ThreeSide => 3,
        Format::FlatBottom => 4,
        Format::QuadSeal => 5,
        Format::RollStock => 6,
        Format::Spouted => 7,
    };
    for (index, format) in all.into_iter().enumerate() {
        assert_eq!(place(format), index);
        let of = || cases().filter(move |case| case.format == format);
        assert!(
            of().any(|c| c.lanes == 2 && c.artworks == 1),
            "{format:?} on two lanes"
        );
        assert!(
            of().any(|c| c.artworks == 2),
            "{format:?} with two artworks"
        );
    }
}

/// (a) The page of the order has each line of the paper.
#[test]
fn the_page_says_what_the_paper_says() {
    for case in cases() {
        let seen = case.seen();
        let page = explain::text(&seen.model, &case.explained(&seen));
        let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
        for line in case.page {
            assert!(page.contains(line), "{}: {line}\n{page}", case.name);
        }
    }
}

/// (b) One order that runs has the metres, kilograms and money of the paper: figures a week, three weeks measured.
#[test]
fn a_run_uses_the_web_of_the_paper() {
    for case in cases() {
        let seen = case.seen();
        for (key, paper) in [
            ("cell/web_m", case.metres),
            ("cell/web_m2", case.m2),
            ("web/all/m2", case.m2),
            ("web/all/kg", case.kg),
            ("web/all/money", case.eur),
        ] {
            case.same(key, 3.0 * seen.figure(key), paper, 1e-6 * paper);
        }
        // A year is what is measured.
        let material = seen.figure("money/material");
        case.same("money/material", material, case.eur, 1e-6 * case.eur);
    }
}

/// (b) It takes the minutes of the paper on each machine, and the steps of the page add up to the same; so many pouches
/// are good.
#[test]
fn a_run_takes_the_minutes_of_the_paper() {
    for case in cases() {
        let seen = case.seen();
        let mut ran: BTreeMap<usize, i64> = BTreeMap::new();
        for row in seen.trace.stories.iter().filter(|row| row.lot.order == 0) {
            match row.event {
                LotEvent::Taken(m) => *ran.entry(m).or_default() -= row.at,
                LotEvent::Left(m) => *ran.entry(m).or_default() += row.at,
                _ => {}
            }
        }
        let mut planned: BTreeMap<usize, i64> = BTreeMap::new();
        for visit in &case.explained(&seen).around_the_clock[0].visits {
            *planned.entry(visit.machine).or_default() += visit.setup + visit.run + visit.stops;
        }
        for (name, minutes) in case.minutes {
            let m = seen.machine(name);
            // Ramps of 10 m/min at 1000 m/min/s take 0.0002 min a run.
            for (what, ticks) in [("run", ran[&m]), ("explain", planned[&m])] {
                let found = ticks as f64 / MIN as f64;
                case.same(&format!("{what}, {name}"), found, *minutes, 0.003);
            }
        }
        assert_eq!(ran.len(), case.minutes.len(), "{}", case.name);
        let order = seen.trace.orders.iter().find(|o| o.order == 0).unwrap();
        assert_eq!(order.good, Some(case.good), "{}: good", case.name);
    }
}

/// A drawing of `docs/concepts/formats.md`: rows of edges, each edge a letter.
fn drawing(page: &str, word: &str) -> BTreeMap<String, Vec<char>> {
    let head = format!("### `{word}`");
    let start = page
        .find(&head)
        .unwrap_or_else(|| panic!("no drawing of {word}"));
    let section = &page[start + head.len()..];
    let section = &section[..section.find("\n#").unwrap_or(section.len())];
    let rows = section.lines().filter_map(|line| {
        let (name, edges) = line.split_once('|')?;
        let name = name.trim();
        ["across", "along", "2nd across", "2nd along"]
            .contains(&name)
            .then(|| {
                let letters = edges.chars().filter(char::is_ascii_alphabetic).collect();
                (name.to_owned(), letters)
            })
    });
    rows.collect()
}

/// The program unfolds each format as it is drawn: letters of the drawing, sizes of the product.
#[test]
fn the_program_unfolds_what_is_drawn() {
    let page = include_str!("../../docs/concepts/formats.md");
    for case in cases() {
        let rows = drawing(page, case.word());
        let size = |letter: &char| -> f64 {
            let key = match letter {
                'W' => "width",
                'H' => "height",
                'G' | 'D' => "gusset",
                'B' => "overlap",
                'F' => "fin",
                other => panic!("{}: {other} is no size", case.name),
            };
            let mut keys = case.product.split(", ");
            let told = keys.find_map(|pair| pair.strip_prefix(&format!("{key}: ")));
            let told = told.unwrap_or_else(|| panic!("{}: no {key}", case.name));
            told.strip_suffix(" mm").unwrap().parse().unwrap()
        };
        let sum = |row: &str| rows[row].iter().map(size).sum::<f64>();
        let seen = case.seen();
        let product = &seen.model.plant.products[0];
        case.same("across", product.developed_mm, sum("across"), 1e-9);
        if case.format.needs_pouching() {
            case.same("along", product.pitch_mm, sum("along"), 1e-9);
        } else {
            case.same("a metre", product.pitch_mm, 1000.0, 0.0);
        }
        assert_eq!(
            rows.contains_key("2nd across"),
            !product.more_webs.is_empty()
        );
        for web in &product.more_webs {
            // Two lanes that lie bottom to bottom share a reel of the gusset.
            let shared = case.format == Format::StandUpInserted && case.lanes == 2;
            let lanes = if shared { 2.0 } else { 1.0 };
            case.same("2nd across", web.width_mm, lanes * sum("2nd across"), 1e-9);
            let ratio = sum("2nd along") / sum("along") / lanes;
            case.same("2nd along", web.length_ratio, ratio, 1e-12);
        }
    }
}
