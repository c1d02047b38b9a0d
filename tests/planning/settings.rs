//! What a machine is dressed for, and what a change of it takes.

use super::*;

/// Two lanes of 100 mm for x, three of 120.48 mm for y: the slitter sets 4 knives anew, 10 min each, and 120.48 and
/// 120.50 mm are two settings, too.
#[test]
fn settings_are_told_apart() {
    let book = "order,product,quantity\nx,a,2000\ny,b,2000\n";
    let model = compiled(&cell("knives.yaml"), book);
    let slit = model
        .machines
        .iter()
        .position(|m| model.plant.stations[m.station].machines[m.within].name == "slit");
    let station = model.machines[slit.unwrap()].station;
    let dressing = |product: usize| {
        let steps = &model.body_part(product).steps;
        let step = steps.iter().find(|s| s.station == station).unwrap();
        step.jobs[0].dressing
    };
    let knives = pouchcast::plant::ElementKind::Knives;
    let count =
        |from: usize, to: usize| model::differing(knives, Some(&dressing(from)), &dressing(to));
    assert_eq!(count(0, 1), 4);
    assert_eq!(count(1, 2), 4);
    assert_eq!(count(1, 1), 0);
    let (trace, _) = run(&model);
    let over: Vec<_> = trace
        .states
        .iter()
        .filter(|row| {
            Some(row.machine) == slit && row.state == pouchcast::record::State::Changeover
        })
        .map(|row| (row.to - row.from) / 60_000_000)
        .collect();
    // From undressed 3 knives for x, then 4 for y.
    assert_eq!(over, [30, 40]);
}

/// A change of lamination process cleans the adhesive out, too: it is paid once.
#[test]
fn a_change_of_process_is_paid_once() {
    let text = cell("knives.yaml")
        .replace(
            "laminates: {",
            "laminates: { hot: { caliper: 100 um, weight: 100 g/m2, adhesive: melt }, other: { caliper: 100 um, weight: 100 g/m2, adhesive: second },",
        )
        .replace(
            "adhesives:\n",
            "adhesives:\n  melt: { process: thermal }\n  second: { process: solventless, slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h, data_sheet: { slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h } }\n",
        )
        .replace("solventless: 10 m/min }", "solventless: 10 m/min, thermal: 10 m/min }")
        .replace("adhesive: 0 min, process: 0 min", "adhesive: 45 min, process: 30 min")
        .replace("height: 60.24 mm, laminate: film", "height: 60.24 mm, laminate: hot")
        .replace("height: 60.25 mm, laminate: film", "height: 60.25 mm, laminate: other");
    let model = compiled(
        &text,
        "order,product,quantity\nx,a,2000\ny,b,2000\nz,c,2000\n",
    );
    let machine = &model.plant.stations[0].machines[0];
    let dressing = |product: usize| model.body_part(product).steps[0].jobs[0].dressing;
    let minutes = |from: usize, to: usize| {
        model::element_minutes(
            &machine.changeover,
            Some(&dressing(from)),
            &dressing(to),
            |d, _| d.mean(),
        )
    };
    // Solventless to thermal and back: the process. Solventless to another solventless: the adhesive.
    assert_eq!(
        (minutes(0, 1), minutes(1, 0), minutes(0, 2)),
        (30.0, 30.0, 45.0)
    );
}
