//! `report.html`: one page that opens without a network and without scripts.

use crate::report::answers::SAFETY;
use crate::report::charts::{Chart, tornado};
use crate::report::figure::Figure;
use crate::report::method::Study;
use crate::report::page::parts::{figure_html, from, list, sentence, table_html};
use crate::report::page::{method_of, section, shell};
use crate::report::table::Table;
use crate::report::words::{capital, escape};

use super::setting;
use super::words::View;

/// The whole page.
pub fn render(view: &View<'_>, charts: &[Chart]) -> String {
    let title = match view.title.as_str() {
        "" => "Sensitivity".to_owned(),
        title => escape(title),
    };
    let mut body = format!(
        "<header><p class=\"kind\">Print-to-pouch cell, what matters most</p><h1>{title}</h1></header>\n<main>\n"
    );
    let mut inner = String::new();
    for (index, words) in view.verdict().iter().enumerate() {
        let class = if index == 0 { "verdict" } else { "" };
        inner += &sentence(words, class, &format!("/verdict/{index}"));
    }
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    body += &section("answer", "The answer", &inner);
    for (place, (&h, key)) in view.figures.iter().zip(tornado::SHEETS).enumerate() {
        let label = view.label(h);
        let inner = figure_html(charts, key, &format!("Effects on {label}"))
            + &format!(
                "<p>As the cell is: <b{}>{}</b></p>\n",
                from(&format!("/figures/{place}/today")),
                escape(&view.today(h))
            )
            + &table_html(&table(view, place, h));
        body += &section(key, &escape(&capital(&label)), &inner);
    }
    let moved: Vec<String> = view
        .moved
        .iter()
        .flat_map(|moved| {
            moved.sides.iter().flatten().map(|(side, _)| {
                let settings: Vec<String> = side.settings.iter().map(setting).collect();
                format!("{}, {}: {}", moved.name, side.words, settings.join("; "))
            })
        })
        .collect();
    body += &section("moved", "What was moved", &list(&moved, "scenario"));
    let study = Study {
        plant: view.plant,
        provenance: view.provenance,
        purpose: "Purpose: how much each setting of the cell moves its figures, so that one knows which inputs have to \
                  be known well and where work on the cell pays."
            .to_owned(),
        experiment: view.notes(),
        replications: Some(view.comparison.done),
        effort: None,
    };
    body += &method_of(study);
    body += "</main>\n";
    shell(&title, &body, "")
}

fn table(view: &View<'_>, place: usize, h: usize) -> Table {
    let rows = view
        .rows(h)
        .iter()
        .enumerate()
        .map(|(rank, row)| {
            let cell = |side: usize, key: &str| {
                Figure::told(view.change(h, row, side), view.interval(h, row, side))
                    .at(format!("/figures/{place}/effects/{rank}/{key}"))
            };
            let cells = vec![
                cell(0, "lower"),
                cell(1, "higher"),
                Figure::plain(view.clear(row)),
            ];
            (view.name(row.moved).to_owned(), cells)
        })
        .collect();
    Table {
        title: "Effects, the largest first".to_owned(),
        note: "Difference from the figure as the cell is; small figures: its interval. Clear: the whole interval lies on \
               one side."
            .to_owned(),
        head: ["", "lower", "higher", "clear"].map(str::to_owned).into(),
        rows,
    }
}
