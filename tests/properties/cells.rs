//! Random cells as scenario texts.
//!
//! In: a tape of numbers; each choice takes the next one, and 0 is the plainest choice, so that a tape that is
//! shrunk towards zeros gives a simpler cell. Out: the text of a scenario that the reader must accept.

/// Choices one after the other; zeros when the tape is used up.
pub struct Tape<'a> {
    numbers: &'a [u16],
    next: usize,
}

impl<'a> Tape<'a> {
    pub fn new(numbers: &'a [u16]) -> Self {
        Self { numbers, next: 0 }
    }

    /// A number below `n`.
    fn below(&mut self, n: usize) -> usize {
        let number = self.numbers.get(self.next).copied().unwrap_or(0);
        self.next += 1;
        usize::from(number) % n
    }

    fn pick<'t>(&mut self, of: &[&'t str]) -> &'t str {
        of[self.below(of.len())]
    }

    fn yes(&mut self) -> bool {
        self.below(2) == 1
    }
}

const CALENDARS: &str = "\
calendars:
  day: { open: [Mon-Fri 06:00-14:00], breaks: [Mon-Fri 09:30-09:50, Mon-Fri 12:00-12:30] }
  plain: { open: [Mon-Fri 06:00-14:00] }
  two: { open: [Mon-Fri 06:00-22:00] }
  late: { open: [Mon-Fri 14:00-22:00], closed: [2027-01-06] }
  night: { open: [Mon-Fri 22:00-06:00] }
  odd: { open: [\"Mon,Wed,Sat 07:30-12:00\", Tue 13:00-20:00], also_open: [2027-01-10 06:00-12:00] }
  service: { open: [Wed 08:00-12:00] }
";

const OPEN: [&str; 7] = ["always", "plain", "day", "two", "late", "night", "odd"];
const RULES: [&str; 9] = [
    "first_come",
    "earliest_due",
    "class_first, earliest_due",
    "least_slack",
    "shortest_work",
    "critical_ratio",
    "same_family, earliest_due",
    "class_first, shortest_changeover",
    "class_first, same_family, first_come",
];
const LOTS: [&str; 5] = ["roll", "order", "150 m", "700 pouches", "3000 pouches"];

/// Keys that every machine may have.
fn common(t: &mut Tape<'_>) -> String {
    let mut keys = format!("calendar: {}", t.pick(&OPEN));
    keys += &format!(
        ", shift_end: {}",
        t.pick(&[
            "pause",
            "finish_lot, overtime: 45 min",
            "finish_order, overtime: 3 h",
            "no_late_start"
        ])
    );
    keys += match t.below(6) {
        1 => ", crew: { changeover: { operators: 1 }, run: { operators: 1 } }",
        2 => ", crew: { changeover: { operators: 2 }, run: { operators: 0.5 } }",
        3 => ", crew: { changeover: { operators: 1 } }",
        4 => {
            ", crew: { run: { operators: 0.5, helpers: 1 }, short: { people: { operators: 1 }, speed: 70 % } }"
        }
        5 => {
            ", crew: { changeover: { operators: 1 }, run: { operators: 2 }, short: { people: { operators: 1 }, speed: 45 % } }"
        }
        _ => "",
    };
    keys += match t.below(5) {
        1 => {
            ", breakdowns: [{ every: \"exponential, mean 3 h\", repair: \"uniform, from 5 min, to 50 min\", crew: { helpers: 1 } }]"
        }
        2 => {
            ", breakdowns: [{ every: \"exponential, mean 9 h\", of: calendar, repair: \"exponential, mean 40 min\", rethread: 5 min, waste: 12 m }]"
        }
        3 => {
            ", breakdowns: [{ every_metres: \"exponential, mean 900 m\", repair: 10 min, waste: 7 m }, { every: \"exponential, mean 20 h\", of: calendar, repair: 3 h }]"
        }
        4 => {
            ", breakdowns: [{ every: 7 h, of: calendar, repair: 20 min }, { every: 2 h, repair: 11 min }]"
        }
        _ => "",
    };
    if t.yes() {
        keys += ", micro_stops: { every: \"exponential, mean 14 min\", lasting: \"uniform, from 0.2 min, to 2 min\" }";
    }
    keys += match t.below(8) {
        1 => ", first_off: { time: \"uniform, from 3 min, to 20 min\", crew: { quality: 1 } }",
        2 => ", first_off: { time: 8 min, at_least: 8 min, crew: { quality: 0.5 }, at: artwork }",
        3 => ", first_off: { time: 4 min, at: size }",
        _ => "",
    };
    if t.below(4) == 1 {
        keys += ", maintenance: service";
    }
    if t.below(6) == 1 {
        keys += ", kept_for: { classes: [rush], hours: service }";
    }
    keys
}

/// A cold start where the tape says so.
fn cold(t: &mut Tape<'_>) -> &'static str {
    if t.yes() {
        t.pick(&[
            ", changeover: { cold_start: 25 min, cold_after: 3 h }",
            ", changeover: { cold_start: 25 min, cold_after: 3 h, waste: { job: 3 m } }",
        ])
    } else {
        ""
    }
}

/// Keys that every station may have.
fn station(t: &mut Tape<'_>, lots: bool) -> String {
    let mut keys = format!("next: [{}]", t.pick(&RULES));
    if t.yes() {
        keys += "\n    family_wait: 6 h";
    }
    match t.below(4) {
        1 => keys += "\n    staging: 1",
        2 => keys += "\n    staging: 4",
        _ => {}
    }
    if lots {
        keys += &format!("\n    lot: {}", t.pick(&LOTS));
    }
    keys += match t.below(5) {
        1 => "\n    interrupt: roll_end",
        2 => "\n    interrupt: at_once",
        _ => "",
    };
    keys += match t.below(4) {
        1 => "\n    split_from: 2",
        2 => "\n    split_from: 0.5",
        _ => "",
    };
    if t.below(4) == 1 {
        keys += "\n    freeze: 5 h";
    }
    keys
}

/// Lots that go back to the station itself or an earlier one.
fn rework(t: &mut Tape<'_>, to: &str) -> String {
    if t.below(3) == 1 {
        format!("\n    rework: 20 %\n    rework_to: {to}")
    } else {
        String::new()
    }
}

/// One machine, or two that are unlike.
fn machines(t: &mut Tape<'_>, name: &str, first: &str, second: &str) -> String {
    let mut text = String::from("    machines:\n");
    let tail = if name == "packer" || name == "looker" || name == "table" {
        ""
    } else {
        cold(t)
    };
    text += &format!("      {name}_1: {{ {first}, {}{tail} }}\n", common(t));
    if t.yes() {
        text += &format!("      {name}_2: {{ {second}, {} }}\n", common(t));
    }
    text
}

/// A whole cell.
pub fn cell(numbers: &[u16]) -> String {
    let t = &mut Tape::new(numbers);
    let mut text = format!(
        "format: 2\nname: random cell\nrun: {{ seed: {}, replications: 2, warm_up: 2 d, measure: 2 weeks, run_out: 5 d{} }}\n{CALENDARS}",
        t.below(1000) + 1,
        t.pick(&["", ", floor_limit: 12", ""])
    );
    text += &format!(
        "people:\n  operators: {{ shifts: {{ {} }}, absence: {} % }}\n  helpers: {{ shifts: {{ two: 1 }} }}\n  quality: {{ shifts: {{ two: 1 }} }}\n",
        t.pick(&[
            "always: 9",
            "plain: 2, late: 1",
            "day: 3, late: 2, night: 1",
            "two: 2",
            "always: 2, plain: 1"
        ]),
        t.pick(&["0", "20", "0"])
    );
    let hold = t.pick(&["1 h", "24 h", "uniform, from 2 h, to 30 h"]);
    let rooms = t.below(4);
    text += match rooms {
        1 => "rooms:\n  shelf: { places: 3 }\n",
        2 => "rooms:\n  oven: { places: 2, heated: true }\n",
        3 => "rooms:\n  shelf: { places: 4 }\n  oven: { places: 1, heated: true }\n",
        _ => "",
    };
    let hot = ", hot_room: { room: oven, slit_after: 1 h, pouch_after: 2 h, ship_after: 10 h, data_sheet: { slit_after: 1 h, pouch_after: 1 h, ship_after: 10 h } }";
    let mut cured = match rooms {
        1 => ", racks: shelf".to_string(),
        2 => hot.to_string(),
        3 => format!(", racks: shelf{hot}"),
        _ => String::new(),
    };
    cured += t.pick(&["", ", pot_life: 25 min", ", days: odd"]);
    let between = t.pick(&["1 h", "0 min"]);
    let lab = t.pick(&[
        "",
        "",
        ", lab: { time: \"uniform, from 1 h, to 9 h\", hours: plain, fails: 20 %, before: slit }",
        ", lab: { time: 3 h, fails: 5 % }",
    ]);
    text += &format!(
        "adhesives:\n  melt: {{ process: thermal, slit_after: 1 h, pouch_after: 1 h, ship_after: 1 h }}\n  \
         glue: {{ process: solventless, second_pass_after: {between}, slit_after: \"{hold}\", pouch_after: \"{hold}\", ship_after: 40 h, data_sheet: {{ slit_after: 1 h, pouch_after: 1 h, ship_after: 40 h }}{cured}{lab} }}\n"
    );
    text += &format!(
        "laminates:\n  soft: {{ caliper: 80 um, weight: 80 g/m2, adhesive: melt, finish: soft }}\n  \
         metal: {{ caliper: 130 um, weight: 131 g/m2, adhesive: glue, price: 0.40 /m2{}, passes: {} }}\n",
        t.pick(&["", "", ", longest: { to_lamination: 30 h, between_passes: 60 h }"]),
        t.pick(&[
            "1",
            "2",
            "[{ caliper: 30 um, weight: 28 g/m2, adhesive: melt, finish: soft, speed: 20 m/min }, { caliper: 60 um, weight: 55 g/m2, price: 0.20 /m2 }]",
            "[{ caliper: 9 um, weight: 24 g/m2, speed: 90 m/min }, { caliper: 15 um, weight: 17 g/m2, price: 0.10 /m2 }, { caliper: 20 um, weight: 18 g/m2, adhesive: melt }]",
        ])
    );
    // Products: the first one always, others by the tape.
    let bench = t.yes();
    let mut kinds = ["format: three_side, width: 100 mm, height: 150 mm, laminate: soft, web: 760 mm, features: [notch]".to_string(),
        "format: stand_up, width: 130 mm, height: 210 mm, gusset: 40 mm, laminate: metal, web: 760 mm, zipper: true".to_string(),
        "format: roll_stock, width: 150 mm, height: 300 mm, laminate: metal, web: 760 mm".to_string(),
        "format: flat_bottom, width: 120 mm, height: 250 mm, gusset: 70 mm, laminate: metal, web: 760 mm, second_web: { laminate: soft }".to_string(),
        "format: stand_up_inserted, width: 140 mm, height: 200 mm, gusset: 40 mm, laminate: soft, web: 700 mm, second_web: { laminate: metal }, overs: 5 %".to_string(),
        "format: spouted, width: 100 mm, height: 160 mm, gusset: 30 mm, laminate: soft, web: 760 mm".to_string()];
    if bench {
        kinds[0] += ", route: [lamination, slitting, proof, pouching, table, packing]";
    }
    let mut chosen: Vec<usize> = vec![0];
    for kind in 1..kinds.len() {
        if t.yes() {
            chosen.push(kind);
        }
    }
    text += "products:\n";
    for &kind in &chosen {
        let kit = t.pick(&[
            "",
            ", kit: \"exponential, mean 9 h\"",
            ", supplies: { film: { at: [lamination], after: \"exponential, mean 5 h\" }, cores: { at: [slitting, lamination], after: 2 h } }",
        ]);
        text += &format!("  p{kind}: {{ {}{kit} }}\n", kinds[kind]);
    }
    text += "stations:\n";
    text += &format!(
        "  lamination:\n    work: lamination\n    {}\n",
        station(t, true)
    );
    let kind = t.below(3);
    text += &machines(
        t,
        "laminator",
        [
            "processes: { thermal: 30 m/min, solventless: 150 m/min }",
            "processes: { thermal: 30 m/min, solventless: 150 m/min }, wash_up: { end_of_shift: 20 min }, film_reel: 700 m",
            "processes: { thermal: 30 m/min, solventless: 150 m/min }, inline_lanes: 3, flying_splice: true",
        ][kind],
        "processes: { thermal: 25 m/min }, running_waste: \"uniform, from 0 %, to 4 %\"",
    );
    text += &format!(
        "  slitting:\n    work: slitting\n    {}\n",
        station(t, true)
    );
    text += &machines(
        t,
        "slitter",
        "speed: 150 m/min, rewind_max: 300 mm",
        "speed: 80 m/min, doff: 5 min",
    );
    if bench {
        text += &format!(
            "  proof:\n    work: bench\n    time: \"exponential, mean 0.05 min\"\n    per: metre\n    {}\n",
            station(t, true)
        );
        text += &machines(t, "proofer", "shift_end: pause", "shift_end: pause")
            .replace("shift_end: pause, ", "");
    }
    text += &format!(
        "  pouching:\n    work: pouching\n    {}{}\n",
        station(t, true),
        t.pick(&["", "\n    family: [film, width]"])
    );
    text += &machines(
        t,
        "pouch",
        "speeds: { three_side: 140 /min, stand_up: 100 /min, stand_up_inserted: 80 /min, flat_bottom: 60 /min, spouted: 60 /min }, webs: 2, zipper: true, modules: [notch, corners], zipper_reel: 300 m, rejects: \"uniform, from 0 %, to 9 %\"",
        "speeds: { three_side: 110 /min, stand_up: 70 /min }, lanes: 2, webs: 2, modules: [notch]",
    );
    if bench {
        text += &format!(
            "  table:\n    work: bench\n    time: \"exponential, mean 0.002 min\"\n    per: pouch\n    {}\n",
            station(t, true)
        );
        text += &machines(t, "table", "shift_end: pause", "shift_end: pause")
            .replace("shift_end: pause, ", "");
    }
    if t.yes() {
        text += &format!(
            "  inspection:\n    work: inspection\n    {}{}\n",
            station(t, true),
            rework(t, "inspection")
        );
        text += &machines(t, "looker", "rate: 150 /min, rejects: 2 %", "rate: 90 /min");
    }
    if chosen.contains(&5) {
        text += &format!(
            "  spouting:\n    work: spouting\n    {}\n",
            station(t, false)
        );
        text += &machines(
            t,
            "spouter",
            "rate: 40 /min, rejects: 3 %, per_lot: 5 min",
            "rate: 40 /min",
        )
        .replace(", changeover: { cold_start: 25 min, cold_after: 3 h }", "")
        .replace(
            ", changeover: { cold_start: 25 min, cold_after: 3 h, waste: { job: 3 m } }",
            "",
        );
    }
    text += &format!("  packing:\n    work: packing\n    {}\n", station(t, true));
    text += &machines(
        t,
        "packer",
        "rate: 70 /min, alongside: true",
        "rate: 120 /min",
    );
    text += "classes:\n  standard: { promise: 8 working days of plain, rank: 1";
    text += t.pick(&["", ", shortage: remake, tolerance: 2 %", ", limit: 6"]);
    text += t.pick(&[
        "",
        "",
        ", when_full: turn_away, quote_margin: 4 h",
        ", when_full: send_out, outside: { takes: 7 d, least: 900 }",
    ]);
    text += " }\n  rush: { promise: 30 h, rank: 0";
    text += t.pick(&["", ", limit: 2", ", shortage: remake"]);
    text += " }\n  whenever: { rank: 2 }\n";
    let share = 100.0 / chosen.len() as f64;
    let mut shares: Vec<String> = chosen
        .iter()
        .map(|k| format!("p{k}: {share:.4} %"))
        .collect();
    shares[0] = format!(
        "p0: {:.4} %",
        100.0 - (share * 1e4).round() / 1e4 * (chosen.len() - 1) as f64
    );
    text += &format!(
        "orders:\n  - {{ name: web, per_week: {}, calendar: {}, classes: {{ standard: 70 %, rush: 20 %, whenever: 10 % }}, products: {{ {} }}, skus: \"{}\", quantity: \"{}\"{} }}\n",
        t.pick(&["20", "60", "120"]),
        t.pick(&["always", "day"]),
        shares.join(", "),
        t.pick(&["1", "geometric, mean 2.5, at most 9"]),
        t.pick(&[
            "lognormal, median 2500, sigma 1, from 50 to 20000",
            "700",
            "lognormal, median 12000, sigma 1.2, from 100 to 90000"
        ]),
        t.pick(&["", ", gang: true", ""]),
    );
    if t.yes() {
        text += "  - { name: bulk, every: 30 h, classes: { standard: 100 % }, products: { p0: 100 % }, skus: 4, quantity: 1000 }\n";
    }
    text
}
