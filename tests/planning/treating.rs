//! Corona treatment at lamination: who can do it, and what another one takes.

use super::*;

/// A laminate whose film must be treated goes only to a laminator with a treater for it.
#[test]
fn only_a_laminator_with_the_treater_takes_it() {
    let text = cell("reels.yaml").replace("passes: 1 }", "passes: 1, treat: film }");
    for (treaters, ok) in [
        ("", false),
        (", treaters: print", false),
        (", treaters: film", true),
        (", treaters: both", true),
    ] {
        let text = text.replace(
            "start_waste: 50 m,",
            &format!("start_waste: 50 m{treaters},"),
        );
        let read = scenario::read("cell.yaml", text.as_bytes());
        assert_eq!(read.is_ok(), ok, "{treaters}");
        if let Err(report) = read {
            let text = report.render(false, 100);
            assert!(text.contains("it must treat the film and treats"), "{text}");
        }
    }
}

/// Each treater that is cleaned and set, or taken off, is 5 min: none to film one, film to print two, both to none two.
/// What is the same needs nothing, and from undressed only those in use count.
#[test]
fn treaters_are_cleaned_and_set() {
    let text = cell("knives.yaml")
        .replace(
            "laminates: { film: { caliper: 100 um, weight: 100 g/m2, adhesive: glue } }",
            "laminates: { film: { caliper: 100 um, weight: 100 g/m2, adhesive: glue }, b: { caliper: 100 um, weight: 100 g/m2, adhesive: glue, treat: film }, c: { caliper: 100 um, weight: 100 g/m2, adhesive: glue, treat: both } }",
        )
        .replace("ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, changeover: { job: 0 min, film: 0 min, finish", "treaters: both, ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, changeover: { job: 0 min, film: 0 min, finish")
        .replace("height: 60.24 mm, laminate: film", "height: 60.24 mm, laminate: b")
        .replace("height: 60.25 mm, laminate: film", "height: 60.25 mm, laminate: c");
    let model = compiled(
        &text,
        "order,product,quantity\nx,a,2000\ny,b,2000\nz,c,2000\n",
    );
    let machine = &model.plant.stations[0].machines[0];
    let dressing = |product: usize| model.body_part(product).steps[0].jobs[0].dressing;
    let minutes = |from: Option<usize>, to: usize| {
        let from = from.map(dressing);
        model::element_minutes(&machine.changeover, from.as_ref(), &dressing(to), |d, _| {
            d.mean()
        })
    };
    let found = [
        (Some(0), 1),
        (Some(1), 0),
        (Some(1), 2),
        (Some(2), 0),
        (Some(2), 2),
        (None, 2),
        (None, 0),
    ];
    let found = found.map(|(from, to)| minutes(from, to));
    assert_eq!(found, [5.0, 5.0, 5.0, 10.0, 0.0, 10.0, 0.0]);
}
