//! Holds: a room in which nobody waits for anybody.

use crate::observe::Outcome;
use crate::verify::check::{Check, Claim};
use crate::verify::floor::head;

const GROUP: &str = "Cure";

/// Lots in cure are M/G/infinity: orders come by chance, laminators are so many that none waits, so lots come
/// to cure by chance too. Mean = rate x hold; Poisson whatever the law of the hold, so the variance is the
/// mean.
pub fn checks() -> Vec<Check> {
    [
        ("24 h", "constant", 2.0),
        ("uniform, from 12 h, to 36 h", "uniform", 2.0),
        ("24 h", "constant, more orders", 1.5),
    ]
    .into_iter()
    .map(|(hold, name, every)| {
        let lots = 24.0 / every;
        Check {
            group: GROUP,
            name: format!("lots in cure, hold {name}"),
            source: "Gross and Harris, Fundamentals of Queueing Theory (M/G/infinity)",
            formula: "Poisson with mean rate x hold, whatever the law of the hold",
            scenario: floor(hold, every),
            replications: 40,
            twin: (
                format!("exponential, mean {every} h"),
                format!("exponential, mean {} h", every * 0.9),
            ),
            claims: vec![
                Claim::key("mean number of lots in cure", "cell/curing", lots).within(0.01),
                Claim::key("mean time in cure, min", "time/all/cure", 24.0 * 60.0)
                    .within(0.01)
                    .besides(),
                Claim::left("variance of the lots in cure", spread, lots)
                    .within(0.025)
                    .besides(),
            ],
            quick: name == "constant",
        }
    })
    .collect()
}

/// Variance of the lots in cure over the looks of a replication after its first tenth.
fn spread(outcome: &Outcome) -> f64 {
    let curing: Vec<f64> = outcome
        .levels
        // Orders, lots in cure, and the queues of two stations.
        .chunks_exact(4)
        .skip(24)
        .map(|row| f64::from(row[1]))
        .collect();
    let mean = curing.iter().sum::<f64>() / curing.len() as f64;
    curing.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (curing.len() - 1) as f64
}

fn floor(hold: &str, every_h: f64) -> String {
    let mut text = head(1_000.0 * 60.0, 10_000.0 * 60.0, 200.0 * 60.0);
    text += &format!(
        "adhesives: {{ glue: {{ process: solventless, second_pass_after: \"{hold}\", slit_after: \"{hold}\", pouch_after: \"{hold}\", ship_after: \"{hold}\", data_sheet: {{ slit_after: 12 h, pouch_after: 12 h, ship_after: 12 h }} }} }}\n"
    );
    text += "laminates: { two_ply: { caliper: 100 um, weight: 100 g/m2, adhesive: glue } }\n";
    text += "products: { film: { format: roll_stock, width: 100 mm, height: 200 mm, laminate: two_ply, web: 400 mm, route: [lamination, slitting] } }\n";
    text += "stations:\n";
    text += "  lamination: { work: lamination, machines: { laminator: { count: 12, processes: { solventless: 150 m/min } } } }\n";
    text +=
        "  slitting: { work: slitting, machines: { slitter: { count: 40, speed: 150 m/min } } }\n";
    text += &format!(
        "orders: [{{ name: all, every: \"exponential, mean {every_h} h\", products: {{ film: 100 % }}, quantity: 1000 }}]\n"
    );
    text
}
