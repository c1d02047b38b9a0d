//! Files of an older format: refused with the reason, rewritten with their comments.

use std::fs;

use super::Bench;

/// Two lanes of a flat-bottom pouch: the body takes two unwinds and its panel took one. The machine is open 80 of 168 hours.
const OLD: &str = r#"# A shop's own file.
format: 1          # of long ago
name: old
run: { warm_up: 1 week, measure: 2 weeks }
calendars: { shift: { open: [Mon-Fri 06:00-22:00] } }
adhesives: { glue: { process: thermal } }
laminates: { film: { caliper: 100 um, weight: 100 g/m2, adhesive: glue } }
products:
  box: { format: flat_bottom, width: 120 mm, height: 200 mm, gusset: 60 mm, laminate: film, web: 960 mm, second_web: { laminate: film, bought_in: true } }
stations:
  lam: { work: lamination, machines: { lam: { processes: { thermal: 30 m/min }, web_max: 1000 mm } } }
  slit: { work: slitting, machines: { slit: { speed: 150 m/min, web_max: 1000 mm } } }
  pouch:
    work: pouching
    next: [same_family, earliest_due]
    family_wait: 12 h        # half a day
    machines: { pm: { calendar: shift, speeds: { flat_bottom: 50 /min }, lanes: 2, webs: 3 } }   # three unwinds
orders: [{ name: all, per_week: 20, products: { box: 100 % }, quantity: 2000 }]
variants:
  longer:
    change: { stations.pouch.family_wait: 1 d }
"#;

/// 12 h round the clock, of which the station is open 80 / 168, are 5.714 h: 5.7 h; a day is 11.4 h.
#[test]
fn an_older_file_is_refused_and_renewed() {
    let bench = Bench::new();
    fs::write(bench.path("old.yaml"), OLD).unwrap();
    let (_, err) = bench.ends(3, &["check", "old.yaml"]);
    for part in [
        "old.yaml:2:9",
        "format 1",
        "family_wait",
        "pouchcast renew FILE --out NEW",
    ] {
        assert!(err.contains(part), "{part}: {err}");
    }
    let (out, err) = bench.ends(0, &["renew", "old.yaml"]);
    for part in [
        "line 2: format: 1 -> 2",
        "line 16: stations.pouch.family_wait: 12 h -> 5.7 h",
        "line 17: stations.pouch.machines.pm.webs: 3 -> 4",
        "1 d -> 11.4 h",
    ] {
        assert!(out.contains(part), "{part}: {out}");
    }
    assert!(err.contains("Nothing is written"), "{err}");
    bench.ends(0, &["renew", "old.yaml", "--out", "new.yaml"]);
    let new = fs::read_to_string(bench.path("new.yaml")).unwrap();
    let by_hand = OLD
        .replace("format: 1 ", "format: 2 ")
        .replace("family_wait: 12 h", "family_wait: 5.7 h")
        .replace("webs: 3", "webs: 4")
        .replace("family_wait: 1 d", "family_wait: 11.4 h");
    assert_eq!(new, by_hand);
    assert_eq!(fs::read_to_string(bench.path("old.yaml")).unwrap(), OLD);
    bench.ends(0, &["check", "new.yaml"]);
    let (out, _) = bench.ends(0, &["renew", "new.yaml"]);
    assert!(out.contains("already of format 2"), "{out}");
    let (_, err) = bench.ends(5, &["renew", "old.yaml", "--out", "new.yaml"]);
    assert!(err.contains("is there already"), "{err}");
    fs::write(
        bench.path("later.yaml"),
        OLD.replace("format: 1 ", "format: 9 "),
    )
    .unwrap();
    bench.ends(3, &["renew", "later.yaml"]);
    bench.ends(3, &["check", "later.yaml"]);
}

/// A first version told three plies in one pass, and two reels side by side on one unwind. What it lacks now is put in, in a
/// block with a line for each key as in one within braces; comments stay.
#[test]
fn what_an_older_file_did_not_need_is_put_in() {
    let bench = Bench::new();
    let old = r#"format: 1
name: old
run: { warm_up: 1 week, measure: 2 weeks }
films: { a: { caliper: 12 um, density: 1.39 g/cm3 }, b: { caliper: 80 um, density: 0.92 g/cm3 } }
adhesives: { glue: { process: solventless, slit_after: 24 h, pouch_after: 48 h, ship_after: 7 d, data_sheet: { slit_after: 24 h, pouch_after: 48 h, ship_after: 7 d } } }
laminates: { three: { films: [a, a, b], adhesive: glue } }
products: { flat: { format: three_side, width: 100 mm, height: 150 mm, laminate: three, web: 620 mm } }
stations:
  lam: { work: lamination, machines: { lam: { processes: { solventless: 100 m/min } } } }
  slit: { work: slitting, machines: { slit: { speed: 150 m/min } } }
  pouch:
    work: pouching
    machines:
      first:     # two lanes
        speeds: { three_side: 100 /min }
        lanes: 2
      second: { speeds: { three_side: 90 /min }, lanes: 2 }   # its twin
orders: [{ name: all, per_week: 20, products: { flat: 100 % }, quantity: 2000 }]
"#;
    fs::write(bench.path("old.yaml"), old).unwrap();
    let (out, _) = bench.ends(0, &["renew", "old.yaml", "-o", "new.yaml"]);
    for part in [
        "laminates.three.bought_bonds: not told -> 1",
        "stations.pouch.machines.first.webs: not told -> 2",
        "stations.pouch.machines.second.webs: not told -> 2",
    ] {
        assert!(out.contains(part), "{part}: {out}");
    }
    let by_hand = old
        .replace("format: 1\n", "format: 2\n")
        .replace("three: { films", "three: { bought_bonds: 1, films")
        .replace(
            "        speeds: { three",
            "        webs: 2\n        speeds: { three",
        )
        .replace("second: { speeds", "second: { webs: 2, speeds");
    assert_eq!(fs::read_to_string(bench.path("new.yaml")).unwrap(), by_hand);
    bench.ends(0, &["check", "new.yaml"]);
}
