//! Web lost at a start by what was changed, and passes that come back to their own station.

use super::*;

/// Two sizes made in turn, one machine: what each start loses.
fn sizes(changeover: &str) -> Seen {
    let text = with(&[
        (
            "zipper: true, overs: 0 % }",
            "zipper: true, overs: 0 % }\n  q: { format: three_side, width: 100 mm, height: 140 mm, laminate: film, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }",
        ),
        (
            "start_waste: 0 m, rejects: 0 %, changeover: { job: 0 min,",
            &format!("start_waste: 40 m, rejects: 0 %, changeover: {{ {changeover}job: 0 min,"),
        ),
    ]);
    // A day apart: one after the other, in this order.
    run(
        &text,
        "order,product,quantity,released\na,p,2000,2027-01-04\nb,p,2000,2027-01-05\nc,q,2000,2027-01-06\n",
    )
}

/// 2000 pouches of 100 mm on one lane are 200 m of web, 240 m with the planned start. Where a start loses its
/// 40 m the orders have 2000; where the first one loses 5 + 30 m (undressed: job, height), the next one 5 m and
/// the other height 35 m again, they have 50, 350 and 50 pouches more. Half of the rest: 30 + 2.5 m.
#[test]
fn a_start_loses_by_what_was_changed() {
    let good = |changeover: &str| -> Vec<_> {
        let seen = sizes(changeover);
        seen.trace.orders.iter().map(|o| o.good).collect()
    };
    assert_eq!(good(""), [2000, 2000, 2000].map(Some));
    let lost = "waste: { job: 5 m, height: 30 m }, ";
    assert_eq!(
        good(&format!("{lost}rest_share: 100 %, ")),
        [2050, 2350, 2050].map(Some)
    );
    assert_eq!(
        good(&format!("{lost}rest_share: 50 %, ")),
        [2075, 2350, 2075].map(Some)
    );
}

/// A table by product with its own losses: the start into another size loses 60 m, so 200 pouches fewer than
/// planned; one line leaves the loss to the machine.
#[test]
fn a_table_has_its_own_losses() {
    let plain = "changeover: { job: 0 min, film: 0 min, width: 0 min, height: 0 min, gusset: 0 min, zipper: 0 min, format: 0 min }";
    let table = "changeover: { table: [{ from: p, to: q, time: 10 min, waste: 60 m }, { from: any, to: any, time: 0 min }] }";
    let text = with(&[
        (
            "zipper: true, overs: 0 % }",
            "zipper: true, overs: 0 % }\n  q: { format: three_side, width: 100 mm, height: 140 mm, laminate: film, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }",
        ),
        (
            "start_waste: 0 m, rejects: 0 %, ",
            "start_waste: 40 m, rejects: 0 %, ",
        ),
        (plain, table),
    ]);
    let seen = run(
        &text,
        "order,product,quantity,released\na,p,2000,2027-01-04\nc,q,2000,2027-01-06\n",
    );
    let good: Vec<_> = seen.trace.orders.iter().map(|o| o.good).collect();
    assert_eq!(good, [2000, 1800].map(Some));
}

/// Two passes on one laminator with room for one roll before it and no hold between them: the first pass of each
/// roll does not wait for a place at its own station, so all is done; 4 rolls x 2 passes x 10 min.
#[test]
fn two_passes_share_one_place() {
    let text = with(&[
        (
            "process: solventless, slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h, data_sheet: { slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h }",
            "process: thermal, slit_after: 0 h, pouch_after: 0 h, ship_after: 0 h",
        ),
        (
            "processes: { solventless: 10 m/min }",
            "processes: { thermal: 10 m/min }",
        ),
        ("adhesive: glue }", "adhesive: glue, passes: 2 }"),
        ("work: lamination, ", "work: lamination, staging: 1, "),
    ]);
    let book = "order,product,quantity\na,p,2000\nb,p,2000\nc,p,2000\nd,p,2000\n";
    let seen = run(&text, book);
    assert!(
        seen.done().iter().all(|done| done.is_finite()),
        "{:?}",
        seen.done()
    );
    let last = seen.left("lam").last().copied().unwrap_or_default();
    assert!((last - 80.0).abs() < 1.0, "{last}");
    assert!(seen.states("lam", State::Blocked).is_empty());
}
