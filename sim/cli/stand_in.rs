//! Results as plain text until the report is there.
use crate::model::Model;
use crate::observe::Trace;
use crate::summary::Summary;
pub struct Provenance { pub file_name: String, pub sha256: String, pub version: &'static str, pub scenario_text: String }
pub fn text(_: &Model, s: &Summary, p: &Provenance) -> String {
    let mut t = format!("{} {} {} {}/{}\n", p.file_name, p.sha256, p.version, s.done, s.asked);
    for (m, e) in s.layout.measures.iter().zip(&s.estimates) { t.push_str(&format!("{} {}\n", m.key, e.mean)); }
    for w in &s.warnings { t.push_str(&format!("! {w}\n")); }
    t
}
pub fn files(m: &Model, s: &Summary, t: &Trace, p: &Provenance) -> Vec<(String, Vec<u8>)> {
    vec![("summary.json".into(), text(m, s, p).into_bytes()), ("scenario.yaml".into(), p.scenario_text.clone().into_bytes()), ("orders.csv".into(), format!("{:?}", t.orders).into_bytes())]
}
