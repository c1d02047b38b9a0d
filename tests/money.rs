//! Money of a run, against figures worked by hand; a scenario without money says nothing of it.

use pouchcast::model::{self, Model};
use pouchcast::observe::Layout;
use pouchcast::replicate;
use pouchcast::scenario;

/// One bench: an order of 100 pieces every 5 h of a 40 h week, 2 h of work each, so 16 h of use a week;
/// in a measured year of 4 weeks 32 orders and 3,200 pieces.
const BENCH: &str = r#"
format: 2
name: bench
run: { seed: 1, replications: 1, warm_up: 0 min, measure: 4 weeks, run_out: 1 week }
calendars:
  day: { open: [Mon-Fri 08:00-16:00] }
people:
  hands: { shifts: { day: 2 } }
products:
  piece: { route: [bench] }
stations:
  bench:
    work: bench
    time: 2 h
    machines: { table: { calendar: day, crew: { run: { hands: 1 } } } }
classes:
  standard: { promise: 1 h }
orders:
  - { name: shop, every: 5 h, calendar: day, products: { piece: 100 % }, quantity: 100 }
"#;

const MONEY: &str = r#"
money:
  rate: 10 %
  machines:
    table: { hour: 6 /h, capital: 80000, life: 7 years, residual: 10000, yearly: 1200 /year }
  purchases:
    hall: { capital: 10000, life: 5 years }
  labour: { hands: 30 /h }
  extras: { piece: 5 /1000 }
  late: { standard: 240 /day }
  margin: { standard: 900 /1000 }
  premium: { standard: 50 /1000 }
"#;

fn figures(text: &str) -> (Model, Layout, Vec<f64>) {
    let loaded = scenario::read("bench.yaml", text.as_bytes())
        .unwrap_or_else(|report| panic!("{}", report.render(false, 100)));
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let figures = replicate::one(&model, &layout, 0).0.figures;
    (model, layout, figures)
}

#[test]
fn a_bench_costs_what_it_does_by_hand() {
    let (model, layout, figures) = figures(&format!("{BENCH}{MONEY}"));
    let get = |key: &str| figures[layout.find(key).unwrap_or_else(|| panic!("{key}"))];
    let done = get("orders/all") * 4.0;
    let near = |key: &str, want: f64| {
        let got = get(key);
        assert!(
            (got - want).abs() < 1e-6 * want.abs().max(1.0),
            "{key} is {got}, by hand {want}"
        );
    };
    // 2 people x 40 h x 30, 52 weeks.
    near("money/labour", 2.0 * 40.0 * 30.0 * 52.0);
    // Used hours from the machine's own share of the clock: 168 h a week.
    let used = get("machine/table/running") + get("machine/table/changeover");
    near("money/machine_hours", used * 168.0 * 6.0 * 52.0);
    // An order every 5 h of 160 h: the last one starts within the window or a little after.
    assert!((31.0..=33.0).contains(&done), "{done} orders");
    near("money/material", done * 100.0 / 1000.0 * 5.0 * 13.0);
    assert!(get("money/lost_material").is_nan() && get("money/disposal").is_nan());
    // 80,000 and 10,000 left, 7 years, 10 %: 15,378.35 by the interest table; 10,000 over 5 years:
    // x 0.263797; 1,200 of yearly charges.
    let capital = get("money/capital");
    assert!(
        (capital - (15_378.35 + 2637.97 + 1200.0)).abs() < 0.1,
        "{capital}"
    );
    near("money/margin", done * 100.0 / 1000.0 * 900.0 * 13.0);
    near("money/premium", done * 100.0 / 1000.0 * 50.0 * 13.0);
    let parts = ["labour", "machine_hours", "material", "late", "capital"];
    let cost: f64 = parts.iter().map(|part| get(&format!("money/{part}"))).sum();
    near("money/cost", cost);
    near("money/per_thousand", cost / (done * 100.0 / 1000.0 * 13.0));
    near(
        "money/result",
        get("money/margin") + get("money/premium") - cost,
    );
    // Each order is promised after 1 h and takes at least 2: an hour late is 240 / 24.
    assert!(get("money/late") >= get("released/all") * 10.0 * 13.0 * 0.999);
    let told = model.plant.money.as_ref().unwrap();
    assert_eq!(told.gaps, ["disposal of lost web"]);
}

/// Of 100 pieces ordered 102 are made: two in 102 bring nothing where overs are not paid, and cost what they did.
#[test]
fn overs_are_paid_unless_it_is_told_otherwise() {
    let bench = BENCH.replace("{ route: [bench] }", "{ route: [bench], overs: 2 % }");
    let read = |more: &str| {
        let (_, layout, figures) = figures(&format!("{bench}{MONEY}{more}"));
        ["margin", "premium", "cost"]
            .map(|key| figures[layout.find(&format!("money/{key}")).unwrap()])
    };
    let paid = read("");
    assert_eq!(paid, read("  overs: paid\n"));
    let unpaid = read("  overs: unpaid\n");
    for i in 0..2 {
        assert!(
            (unpaid[i] / paid[i] - 100.0 / 102.0).abs() < 1e-9,
            "{paid:?} {unpaid:?}"
        );
    }
    assert_eq!(unpaid[2], paid[2]);
}

/// The key figures of a scenario that does not speak of money are those of one that does, to the bit.
#[test]
fn money_moves_no_other_figure() {
    let (_, plain_layout, plain) = figures(BENCH);
    let (_, layout, told) = figures(&format!("{BENCH}{MONEY}"));
    assert!(
        plain_layout
            .measures
            .iter()
            .all(|m| !m.key.starts_with("money/"))
    );
    for (measure, figure) in plain_layout.measures.iter().zip(&plain) {
        let other = told[layout.find(&measure.key).expect("the same figure")];
        assert_eq!(figure.to_bits(), other.to_bits(), "{}", measure.key);
    }
}

/// 12 um of 1.39 g/cm3 at 3.00 /kg is 0.01668 kg x 3 = 0.05004; 60 um of 0.92 at 0.10 /m2; one bond
/// at 0.02 /m2: 0.17004 a square metre, by hand.
#[test]
fn a_laminate_costs_what_its_films_do() {
    let text = std::fs::read_to_string("tests/bad/money-that-cannot-be.yaml").unwrap();
    let (cell, _) = text.split_once("money:").unwrap();
    let priced = format!(
        "{cell}money:\n  films: {{ outer: 3.00 /kg, sealant: 0.10 /m2 }}\n  adhesives: {{ solventless: 0.02 /m2 }}\n"
    );
    let (model, layout, figures) = figures(&priced);
    let price = model.plant.laminates[0].price_per_m2;
    assert!((price - 0.17004).abs() < 1e-12, "{price}");
    let get = |key: &str| figures[layout.find(key).unwrap()];
    let material = get("cell/web_m2") * 52.0 * price;
    assert!((get("money/material") / material - 1.0).abs() < 1e-9);
    assert!((get("money/lost_material") / (get("cell/waste_money") * 52.0) - 1.0).abs() < 1e-9);
    let gaps = &model.plant.money.as_ref().unwrap().gaps;
    assert!(
        gaps.iter().any(|gap| gap == "labour of `operators`"),
        "{gaps:?}"
    );
    assert!(
        gaps.iter().any(|gap| gap.starts_with("interest")),
        "{gaps:?}"
    );
    // Without a price of the adhesive the gap is said.
    let lacking = priced.replace("  adhesives: { solventless: 0.02 /m2 }\n", "");
    let loaded = scenario::read("x.yaml", lacking.as_bytes()).unwrap();
    let gaps = loaded.plant.money.unwrap().gaps;
    assert!(
        gaps.iter()
            .any(|gap| gap == "price of adhesive `solventless`"),
        "{gaps:?}"
    );
}

/// Twice the margin on the same bench, with a purchase of 100,000 over 5 years at 12 %: the gain is the
/// margin once more, the capital's yearly share 100,000 x 0.277410 = 27,741 (interest table) either way.
#[test]
fn a_change_is_worth_its_gain() {
    use pouchcast::summary::money::{Needs, before_capital, worth};
    let today_text = format!("{BENCH}{MONEY}").replace("rate: 10 %", "rate: 12 %");
    let change_text = today_text
        .replace("standard: 900 /1000", "standard: 1800 /1000")
        .replace(
            "  purchases:\n",
            "  purchases:\n    rig: { capital: 100000, life: 5 years, yearly: 500 /year }\n",
        );
    let (today, layout, one) = figures(&today_text);
    let (change, other_layout, other) = figures(&change_text);
    let margin = one[layout.find("money/margin").unwrap()];
    let (before, after) = (
        today.plant.money.as_ref().unwrap(),
        change.plant.money.as_ref().unwrap(),
    );
    let needs = Needs::between(Some(before), Some(after));
    assert_eq!(
        (needs.capital(), needs.life_years()),
        (100_000.0, Some(5.0))
    );
    assert!((needs.annual_cost().unwrap() - 27_741.0).abs() < 0.1);
    let (today, change) = (
        before_capital(&layout, &one, before),
        before_capital(&other_layout, &other, after),
    );
    let worth = worth(&[today, today], &[change, change], &needs, 0.95, None).unwrap();
    assert!((worth.yearly.mean - (margin - 500.0)).abs() < 1e-6);
    let none = Needs::between(Some(before), Some(before));
    assert_eq!(
        (none.capital(), none.life_years(), none.annual_cost()),
        (0.0, None, Some(0.0))
    );
}
