//! The reports as their readers meet them.

use std::sync::atomic::AtomicBool;

use pouchcast::{model, observe, replicate, report, scenario, summary};

fn provenance(text: &str) -> report::Provenance {
    report::Provenance {
        file_name: "cell.yaml".into(),
        sha256: "0".repeat(64),
        version: "0.1.0",
        scenario_text: text.into(),
    }
}

struct Made {
    text: String,
    files: Vec<(String, Vec<u8>)>,
    figures: Vec<(String, f64)>,
}

fn make(yaml: &str, replications: u32) -> Made {
    let loaded = match scenario::read("cell.yaml", yaml.as_bytes()) {
        Ok(loaded) => loaded,
        Err(problems) => panic!("{}", problems.render(false, 100)),
    };
    let model = model::compile(loaded.plant);
    let layout = observe::Layout::new(&model);
    let experiment = replicate::many(
        &model,
        &layout,
        replications,
        &AtomicBool::new(false),
        &|_| {},
    );
    let summary = summary::Summary::new(&model, &layout, &experiment);
    let (_, trace, _) = replicate::traced(&model, &layout, 0);
    let provenance = provenance(yaml);
    let figures = layout
        .measures
        .iter()
        .map(|m| m.key.clone())
        .zip(summary.estimates.iter().map(|e| e.mean))
        .collect();
    Made {
        text: report::text(&model, &summary, &provenance),
        files: report::files(&model, &summary, &trace, &provenance),
        figures,
    }
}

#[test]
#[ignore = "writes the files named by POUCHCAST_LOOK, to look at them"]
fn look() {
    let Ok(folder) = std::env::var("POUCHCAST_LOOK") else {
        return;
    };
    let name = std::env::var("POUCHCAST_SCENARIO").expect("scenario");
    let made = make(&std::fs::read_to_string(name).expect("file"), 20);
    println!("{}", made.text);
    for (path, bytes) in made.files {
        let path = std::path::Path::new(&folder).join(path);
        std::fs::create_dir_all(path.parent().expect("parent")).expect("folder");
        std::fs::write(path, bytes).expect("written");
    }
    let _ = made.figures;
}
