//! Passes of a laminate, and work that began before the clock.

use super::*;

/// Three plies of a reactive adhesive have two bonds: one pass is refused, two are taken, and so is a bond that is
/// bought in ready. A thermal film brings its bond with it.
#[test]
fn every_bond_needs_a_pass() {
    let text = cell("reels.yaml").replace(
        "laminates:\n",
        "films: { a: { caliper: 12 um, density: 1.39 g/cm3 }, b: { caliper: 12 um, density: 1.39 g/cm3 }, c: { caliper: 80 um, density: 0.92 g/cm3 } }\nlaminates:\n",
    );
    let with = |keys: &str| {
        let plies = format!("film: {{ films: [a, b, c], adhesive: glue{keys} }}");
        text.replace(
            "film: { caliper: 129 um, weight: 131 g/m2, adhesive: glue, passes: 1 }",
            &plies,
        )
    };
    for short in ["", ", passes: 1"] {
        let report = scenario::read("cell.yaml", with(short).as_bytes()).expect_err("two bonds");
        let text = report.render(false, 100);
        assert!(
            text.contains("2 bonds to make here, but its passes are 1"),
            "{text}"
        );
        assert!(text.contains("bought_bonds"), "{text}");
    }
    assert_eq!(compiled(&with(", passes: 2"), "").parts[0].steps.len(), 5);
    assert_eq!(
        compiled(&with(", bought_bonds: 1"), "").parts[0]
            .steps
            .len(),
        4
    );
    // Two plies of a reactive adhesive have one.
    compiled(&with("").replace("[a, b, c]", "[a, c]"), "");
}

/// Work that was handed over before the clock's start, and nothing limits, waited for nothing of the floor.
#[test]
fn begun_work_does_not_wait_for_its_release() {
    let book = "order,product,quantity,release,at,bonded\nx,a,2000,2026-12-27 00:00,slit,2026-12-28 00:00\n";
    let model = compiled(&cell("knives.yaml"), book);
    let (trace, _) = run(&model);
    let story = explain::story::text(&model, &trace, &trace.orders[0], 0);
    assert!(
        story.contains("released, 8 d before the clock starts"),
        "{story}"
    );
    assert!(!story.contains("the most orders at a time"), "{story}");
}
