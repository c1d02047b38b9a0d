//! The second part of the page: every step on every machine that can do it.
//!
//! In: model and explanation. Out: lines with run, changeover, stops; and the hold before the step.

use crate::model::{GateKind, Job, Law, Model, PartModel, StepModel, StepPlan};
use crate::plant::fit::{self, Misfit};
use crate::plant::{AskedAt, Process};
use crate::units::{TICKS_PER_MINUTE, duration, grouped, minutes_from_ticks, percent};

use super::change::{self, Case};
use super::geometry::{number, web_name};
use super::page::Page;
use super::speed::{rate, web_run};
use super::{Explanation, is_web, waits};

pub(super) fn write(page: &mut Page, model: &Model, explained: &Explanation) {
    for web in &explained.webs {
        let part = &model.parts[web.part];
        let mut gate = (GateKind::Open, 0);
        for (step, plan) in part.steps.iter().zip(&web.plan.steps) {
            let station = &model.plant.stations[step.station];
            let of = if explained.webs.len() > 1 {
                format!(", {}", web_name(part))
            } else {
                String::new()
            };
            page.heading(&format!("{}{of}", station.name));
            if (step.gate, step.passes) != gate {
                waits::hold(page, model, part, step);
                waits::lab(page, model, part, step);
            }
            waits::dry(page, part, step);
            waits::too_old(page, part, step);
            gate = (step.gate, step.passes);
            for supply in &model.plant.products[part.product].supplies {
                if supply.is_used(step.station, step.makes_pouches) {
                    page.row(
                        "waits for",
                        &format!(
                            "{}, there {} after the release (not in the sums)",
                            supply.name,
                            duration(supply.there.mean())
                        ),
                    );
                }
            }
            for (within, job) in step.jobs.iter().enumerate() {
                let m = model.stations[step.station].machines.start + within;
                let spec = &station.machines[within];
                page.line(2, &format!("  {}:", spec.name));
                if !job.able {
                    page.row("cannot", &why_not(model, part, step, m));
                    continue;
                }
                run(page, model, part, step, job, plan, m);
                changeover(page, model, m, job);
                if explained.how.interrupted && step.makes_pouches {
                    interruption(page, model, part, job, m);
                }
            }
        }
    }
}

/// The machine reaches a share of its speed with such a web.
fn slower(page: &mut Page, model: &Model, part: &PartModel, step: &StepModel, m: usize) {
    let product = &model.plant.products[part.product];
    let Some(laminate) = model.plant.laminates.get(product.laminate_of(part.web)) else {
        return;
    };
    let kinds = match step.bonds {
        true => &laminate.pass(step.passes).kinds,
        false => &laminate.kinds,
    };
    let share = change::spec(model, m).speed_share(kinds);
    if share < 1.0 && is_web(part) {
        let share = number(share * 100.0);
        page.row(
            "slower",
            &format!("{share} % of its speed with such a web (`speed_for`)"),
        );
    }
}

fn why_not(model: &Model, part: &PartModel, step: &StepModel, m: usize) -> String {
    let (product, web) = (part.product, part.web);
    let machine = change::spec(model, m);
    let Err(misfit) = fit::fits(&model.plant, product, web, step.passes, machine) else {
        return String::new();
    };
    match misfit {
        Misfit::TooWide(web, most) => format!(
            "web of {} mm, takes at most {} mm",
            number(web),
            number(most)
        ),
        Misfit::TooNarrow(web, least) => format!(
            "web of {} mm, needs at least {} mm",
            number(web),
            number(least)
        ),
        Misfit::Process(_) => "does not run this kind of lamination".to_string(),
        Misfit::Treaters(needed, there) => {
            format!(
                "{} to be treated, it treats {}",
                needed.words(),
                there.words()
            )
        }
        Misfit::Knives(needed, there) => format!("{needed} knives needed (lanes + 1), has {there}"),
        Misfit::Format(_) => "does not make this format".to_string(),
        Misfit::Webs(needed, there) => format!("{needed} webs to join, takes {there}"),
        Misfit::Unwinds(body, more, there) => {
            format!("{} reels side by side, has {there} unwinds", body + more)
        }
        Misfit::Zipper => "has no zipper module".to_string(),
        Misfit::Module(_) => "lacks a module that the product needs".to_string(),
        Misfit::Lane(lane, most) => format!(
            "one lane needs {} mm, takes {} mm",
            number(lane),
            number(most)
        ),
        Misfit::NoTime => "has no time for this product".to_string(),
        Misfit::NoFormat => "works on web, and this is a piece".to_string(),
    }
}

fn run(
    page: &mut Page,
    model: &Model,
    part: &PartModel,
    step: &StepModel,
    job: &Job,
    plan: &StepPlan,
    m: usize,
) {
    slower(page, model, part, step, m);
    let minutes = job.law.minutes(plan.enters, job.lanes, 0.0);
    let lane_m = plan.enters as f64 / f64::from(job.lanes) / 1000.0;
    match &job.law {
        Law::Web {
            m_per_min, ramp, ..
        } => {
            web_run(page, lane_m, plan.sets_on(job), *m_per_min, *ramp, minutes);
        }
        Law::Cycles {
            pitch_mm,
            ticks_per_cycle,
        } => {
            let machine = change::spec(model, m);
            if let Process::Pouching(spec) = &machine.process {
                rate(page, model, part, job, (machine, spec));
            }
            let cycles = lane_m * 1000.0 / pitch_mm;
            let per_min = TICKS_PER_MINUTE as f64 / ticks_per_cycle;
            page.row(
                "run",
                &format!(
                    "{} m / {} mm = {} cycles / {} a min = {} min",
                    number(lane_m),
                    number(*pitch_mm),
                    grouped(cycles, 0),
                    grouped(per_min, 1),
                    grouped(minutes, 1)
                ),
            );
            if let Some((reel_mm, _)) = job.reel {
                page.row(
                    "zipper",
                    &format!("a reel of {} m, new at the start", number(reel_mm / 1000.0)),
                );
            }
        }
        Law::Pieces {
            ticks_per_piece,
            per_carton,
            carton,
            per_lot,
            alongside,
        } => {
            let rate = TICKS_PER_MINUTE as f64 / ticks_per_piece;
            let cartons = (plan.enters as f64 / per_carton).ceil();
            let mut text = String::new();
            if *ticks_per_piece > 0.0 {
                text.push_str(&format!(
                    "{} / {} a min",
                    number(plan.enters as f64),
                    number(rate)
                ));
            }
            if *carton > 0.0 && per_carton.is_finite() {
                text.push_str(&format!(
                    " + {} cartons x {} min",
                    number(cartons),
                    number(carton / TICKS_PER_MINUTE as f64)
                ));
            }
            if *per_lot > 0 {
                text.push_str(&format!(
                    " + {} min a lot",
                    number(minutes_from_ticks(*per_lot))
                ));
            }
            page.row(
                "run",
                &format!(
                    "{} = {} min",
                    text.trim_start_matches(" + "),
                    grouped(minutes, 1)
                ),
            );
            if *alongside {
                page.row(
                    "",
                    "alongside the pouch machine: only what is longer than its run is left",
                );
            }
        }
        Law::Lot(_) => page.row("run", &format!("{} a lot", duration(minutes))),
        Law::Each { time, unit } => {
            let count = plan.enters as f64 / unit;
            page.row(
                "run",
                &format!(
                    "{} x {} = {} min",
                    number(count),
                    duration(time.mean()),
                    grouped(minutes, 1)
                ),
            );
        }
    }
    stops(page, part, step, job, plan, m, model);
}

/// What it costs to be taken off once and put back: the web for the second start was never printed.
fn interruption(page: &mut Page, model: &Model, part: &PartModel, job: &Job, m: usize) {
    let back_min = change::minutes(model, m, job, Case::Average);
    let roll_min = minutes_from_ticks(job.roll_change);
    let lost_mm = change::start_mm(model, m, job, Case::Average) + job.splice_mm;
    let start_min = job
        .law
        .minutes((lost_mm * f64::from(job.lanes)) as i64, job.lanes, 0.0);
    let good = lost_mm * f64::from(job.lanes) / part.pitch_mm * (1.0 - job.mean_waste);
    page.row(
        "interrupted",
        &format!(
            "changeover back {} min + roll {} min; {} m lost again ({} min of its run): {} pouches short",
            number(back_min),
            number(roll_min),
            number(lost_mm / 1000.0),
            number(start_min),
            grouped(good, 0)
        ),
    );
}

fn stops(
    page: &mut Page,
    part: &PartModel,
    step: &StepModel,
    job: &Job,
    plan: &StepPlan,
    m: usize,
    model: &Model,
) {
    let sets = plan.sets_on(job);
    if let (
        true,
        Law::Web {
            set_mm, set_stop, ..
        },
    ) = (job.law.may_stop(), &job.law)
    {
        let across = job.parts_lanes.max(1);
        page.row(
            "sets",
            &format!(
                "at most {} m a reel: {sets} x {across} reels = {}; doff and cores {} each set",
                grouped(set_mm / 1000.0, 0),
                u64::from(sets) * u64::from(across),
                duration(minutes_from_ticks(*set_stop))
            ),
        );
    }
    if job.roll_change > 0 && is_web(part) {
        let each = duration(minutes_from_ticks(job.roll_change));
        let splice = if job.splice_mm > 0.0 {
            format!(" and {} m", number(job.splice_mm / 1000.0))
        } else {
            String::new()
        };
        // The first load of each start is in its changeover: ganged artworks are cut apart where they start.
        let further = plan.changes_on(job);
        if step.makes_pouches && plan.rolls > 1 {
            page.row(
                "reels",
                &format!(
                    "{}, {} at a time: {further} further x {each}{splice}",
                    plan.rolls, job.at_once
                ),
            );
        } else {
            page.row("further roll", &format!("{each}{splice}"));
        }
    }
    let lost_mm = Case::ALL.map(|case| change::start_mm(model, m, job, case));
    let planned_mm = job.start_waste_mm as f64;
    if lost_mm.iter().any(|&lost| (lost - planned_mm).abs() > 0.5) {
        let [artwork, average, everything] = lost_mm.map(|mm| number(mm / 1000.0));
        page.row(
            "start loses",
            &format!(
                "{} {artwork} m, {} {average} m, {} {everything} m; planned for {} m",
                Case::Artwork.label(),
                Case::Average.label(),
                Case::Everything.label(),
                number(planned_mm / 1000.0)
            ),
        );
    }
    if step.makes_pouches && lost_mm[0] > 0.0 {
        let start_min = job
            .law
            .minutes((lost_mm[0] * f64::from(job.lanes)) as i64, job.lanes, 0.0);
        page.row(
            "start",
            &format!(
                "the first {} m are waste: {} before a good pouch",
                number(lost_mm[0] / 1000.0),
                duration(start_min)
            ),
        );
    }
    if let Some(short) = &change::spec(model, m).crew.short {
        let minutes = job.law.minutes(plan.enters, job.lanes, 0.0) / short.pace;
        page.row(
            "short crew",
            &format!(
                "with {} it goes at {} of its speed: {} min of run",
                crew(model, &short.people),
                percent(short.pace),
                grouped(minutes, 1)
            ),
        );
    }
    if let Some(first_off) = &change::spec(model, m).first_off {
        let by = match crew(model, &first_off.crew) {
            nobody if nobody.is_empty() => "the crew".to_string(),
            pools => format!("the crew and {pools}"),
        };
        let after = match first_off.at {
            AskedAt::Start => "every start",
            AskedAt::Artwork => "a start with another artwork",
            AskedAt::Size => "a start with another size",
        };
        page.row(
            "first off",
            &format!(
                "{} after {after}, looked at by {by} (not in the sums)",
                duration(first_off.time.mean())
            ),
        );
    }
    let adhesive = step
        .adhesive
        .map(|adhesive| &model.plant.adhesives[adhesive]);
    if let Some((life, wash)) = adhesive
        .and_then(|adhesive| adhesive.pot_life_min)
        .zip(change::spec(model, m).wash_up.as_ref())
    {
        page.row(
            "washed out",
            &format!(
                "adhesive that has stood mixed for more than {}: {} and {} m (not in the sums)",
                duration(life * wash.pot_life_share),
                duration(wash.unplanned_min),
                number(wash.waste_m)
            ),
        );
    }
    if let Some(cold) = &change::spec(model, m).changeover.cold_start {
        page.row(
            "cold",
            &format!(
                "{} more after a long stand (not in the sums)",
                duration(cold.mean())
            ),
        );
    }
}

/// People of pools in words.
fn crew(model: &Model, people: &[(usize, u32)]) -> String {
    let pools = people.iter().map(|&(pool, thousandths)| {
        let pool = &model.plant.pools[pool].name;
        format!("{} of {pool}", number(f64::from(thousandths) / 1000.0))
    });
    pools.collect::<Vec<_>>().join(", ")
}

fn changeover(page: &mut Page, model: &Model, m: usize, job: &Job) {
    let spec_of_machine = change::spec(model, m);
    let spec = &spec_of_machine.changeover;
    let minutes = Case::ALL.map(|case| change::minutes(model, m, job, case));
    if minutes.iter().all(|&minutes| minutes == 0.0) {
        return;
    }
    page.row(
        "changeover",
        &format!(
            "{} {}, {} {}, {} {}",
            Case::Artwork.label(),
            duration(minutes[0]),
            Case::Average.label(),
            duration(minutes[1]),
            Case::Everything.label(),
            duration(minutes[2])
        ),
    );
    if spec.locked_min > 0.0 {
        let locked = duration(spec.locked_min);
        page.row(
            "",
            &format!("at least {locked} of it locked, whatever is changed"),
        );
    }
    if spec.prepare_min > 0.0 {
        let ready = duration(spec.prepare_min);
        page.row(
            "",
            &format!(
                "up to {ready} of it laid ready while the machine still runs (not in the sums)"
            ),
        );
    }
    if spec.table.is_some() {
        page.row("", "from the table of the machine");
        return;
    }
    for (word, from) in [
        ("artwork:", job.dressing),
        (
            "everything:",
            change::unlike(spec_of_machine, &job.dressing),
        ),
    ] {
        let applied = change::applied(model, m, Some(&from), job);
        let terms: Vec<String> = applied
            .iter()
            .filter(|a| a.each_min > 0.0)
            .map(|a| {
                let times = if a.times > 1 {
                    format!("{} x ", a.times)
                } else {
                    String::new()
                };
                format!("{} {times}{}", change::label(a.kind), number(a.each_min))
            })
            .collect();
        let share = match spec.rest_share {
            share if share < 1.0 && terms.len() > 1 => {
                format!(" (largest + {} % of the rest)", number(share * 100.0))
            }
            _ => String::new(),
        };
        if !terms.is_empty() {
            page.row("", &format!("{word} {}{share}", terms.join(" + ")));
        }
    }
}
