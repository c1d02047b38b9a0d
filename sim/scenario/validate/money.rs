//! What things cost and bring: names resolved, ranges checked, and what is not told said in words.
//!
//! In: the `money` block as written, the plant read so far. Out: the plant's money; prices of laminates
//! that are made of priced films.

use crate::plant::{Bought, Money, Plant, Promise};
use crate::units::Dimension;

use super::super::amount::{self, Per};
use super::super::file::{self, Named, ScenarioFile};
use super::super::form;
use super::super::problem::Problem;
use super::material_price::Prices;
use super::{At, Checker, Names};

/// More than this is a slip of the pen, in any currency.
const MOST: f64 = 1e12;

/// Adds money to the plant, where the file speaks of it.
pub(super) fn money(check: &mut Checker, file: &ScenarioFile, names: &Names, plant: &mut Plant) {
    let Some(written) = &file.money else { return };
    let at = At::block("money");
    let machines: Vec<String> = plant
        .stations
        .iter()
        .flat_map(|station| &station.machines)
        .map(|machine| machine.name.clone())
        .collect();
    let rate = written
        .rate
        .as_ref()
        .map(|text| check.share(&at.key("rate"), &text.0));
    let equal_within = written.equal_within.as_ref().map_or(0.0, |text| {
        let at = at.key("equal_within");
        let told = a_year(check, &at, &text.0);
        check.in_range(&at, &text.0, told, 0.0, MOST, "an amount from nothing on");
        told
    });
    let weeks = check.above_zero(
        &at.key("weeks"),
        &written.weeks.0,
        Dimension::Count,
        53.0,
        "53",
    );
    let overtime = check.quantity(&at.key("overtime"), &written.overtime.0, Dimension::Share);
    let mut machine_hour = vec![None; machines.len()];
    let mut purchases = Vec::new();
    for (name, told) in &written.machines {
        let at = at.key("machines").key(name);
        let mut those = brothers(file, &machines, name);
        if those.is_empty() {
            those.extend(check.find(at.name(), name, &machines, "a machine"));
        }
        if let Some(text) = &told.hour {
            let hour = check.quantity(&at.key("hour"), &text.0, Dimension::MoneyPerHour);
            those
                .iter()
                .for_each(|&index| machine_hour[index] = Some(hour));
        }
        let each: Vec<&str> = those
            .iter()
            .map(|&index| machines[index].as_str())
            .collect();
        if let Some(bought) = machine_bought(check, &at, name, told) {
            let count = each.len().max(1);
            purchases.extend((0..count).map(|i| Bought {
                name: each.get(i).map_or(name.as_str(), |name| name).to_string(),
                ..bought.clone()
            }));
        }
    }
    for (name, told) in &written.purchases {
        let at = at.key("purchases").key(name);
        let residual = told.residual.as_ref();
        let yearly = told.yearly.as_ref();
        purchases.push(bought(
            check,
            &at,
            name,
            (&told.capital.0, &told.life.0),
            residual.map(|text| text.0.as_str()),
            yearly.map(|text| text.0.as_str()),
        ));
    }
    let labour_hour = by_name(
        check,
        &at.key("labour"),
        &written.labour,
        &names.pools,
        "a pool",
        |text| form::quantity(&text.0, Dimension::MoneyPerHour),
    );
    let thousand = |text: &file::PerThousand| amount::money_per(&text.0, Per::Thousand);
    let extras_per_thousand = by_name(
        check,
        &at.key("extras"),
        &written.extras,
        &names.products,
        "a product",
        thousand,
    );
    let by_class =
        |check: &mut Checker, key: &str, texts: &Named<file::PerThousand>| -> Vec<Option<f64>> {
            by_name(
                check,
                &at.key(key),
                texts,
                &names.classes,
                "a class",
                thousand,
            )
        };
    let margin_per_thousand = by_class(check, "margin", &written.margin);
    let premium_per_thousand = by_class(check, "premium", &written.premium);
    let outside_per_thousand = by_class(check, "outside", &written.outside);
    let late_per_day = by_name(
        check,
        &at.key("late"),
        &written.late,
        &names.classes,
        "a class",
        |text| amount::money_per(&text.0, Per::Day),
    );
    let disposal_per_kg = written
        .disposal
        .as_ref()
        .map(|text| check.quantity(&at.key("disposal"), &text.0, Dimension::MoneyPerKilogram));
    let unpriced = materials(check, file, names, plant);
    let used = used_laminates(plant);
    let mut told = Money {
        rate,
        equal_within,
        weeks,
        overtime,
        machine_hour,
        labour_hour,
        extras_per_thousand,
        has_material: used.iter().any(|&l| plant.laminates[l].price_per_m2 > 0.0),
        disposal_per_kg,
        late_per_day,
        margin_per_thousand,
        premium_per_thousand,
        outside_per_thousand,
        overs_paid: overs_paid(check, &at, written),
        purchases,
        gaps: Vec::new(),
    };
    told.gaps = gaps(&told, plant, &machines, &unpriced);
    plant.money = Some(told);
}

/// Overs that are paid, as a share of the ordered quantity; infinite for all.
fn overs_paid(check: &mut Checker, at: &At, written: &file::Money) -> f64 {
    let at = at.key("overs_most");
    match (written.overs, &written.overs_most) {
        (file::Overs::Paid, None) => f64::INFINITY,
        (file::Overs::Paid, Some(most)) => {
            check.at_most(&at, &most.0, Dimension::Share, 1.0, "100 %")
        }
        (file::Overs::Unpaid, most) => {
            if most.is_some() {
                check.push(
                    Problem::warning(at.name(), "`overs_most` has no effect with `overs: unpaid`")
                        .expected("`overs: paid`, or no `overs_most`"),
                );
            }
            0.0
        }
    }
}

/// Values by name, in the order of the names they belong to.
fn by_name<T>(
    check: &mut Checker,
    at: &At,
    texts: &Named<T>,
    known: &[String],
    what: &str,
    read: impl Fn(&T) -> Result<f64, form::Complaint>,
) -> Vec<Option<f64>> {
    let mut values = vec![None; known.len()];
    for (name, text) in texts {
        let at = at.key(name);
        let found = check.find(at.name(), name, known, what);
        match (found, read(text)) {
            (Some(index), Ok(value)) => values[index] = Some(value),
            (_, Err(complaint)) => check.push(complaint.at(at.value())),
            (None, Ok(_)) => {}
        }
    }
    values
}

/// The machines that a name with a `count` stands for; none where it is the name of one machine.
fn brothers(file: &ScenarioFile, machines: &[String], name: &str) -> Vec<usize> {
    let written = file
        .stations
        .iter()
        .any(|(_, station)| station.view().machines.iter().any(|(key, _)| *key == name));
    if !written || machines.iter().any(|machine| machine == name) {
        return Vec::new();
    }
    let number = |machine: &str| {
        let number = machine.strip_prefix(name)?.strip_prefix('_')?;
        number.parse::<u32>().ok()
    };
    (0..machines.len())
        .filter(|&index| number(&machines[index]).is_some())
        .collect()
}

/// The capital of a machine, if it has one.
fn machine_bought(
    check: &mut Checker,
    at: &At,
    name: &str,
    told: &file::MachineMoney,
) -> Option<Bought> {
    let yearly = told.yearly.as_ref().map(|text| text.0.as_str());
    let residual = told.residual.as_ref().map(|text| text.0.as_str());
    match (&told.capital, &told.life) {
        (Some(capital), Some(life)) => Some(bought(
            check,
            at,
            name,
            (&capital.0, &life.0),
            residual,
            yearly,
        )),
        (Some(_), None) => {
            check.push(
                Problem::error(
                    at.name(),
                    format!("`{name}` has `capital` and lacks the key `life`"),
                )
                .expected("`life`: how many years it is used, such as `10 years`"),
            );
            None
        }
        (None, _) => {
            for (key, there) in [
                ("life", told.life.is_some()),
                ("residual", residual.is_some()),
            ] {
                if there {
                    check.push(
                        Problem::error(at.key(key).name(), format!("`{key}` without `capital`"))
                            .expected("both, or neither for a machine that is paid for"),
                    );
                }
            }
            yearly.map(|_| bought(check, at, name, ("0", "1 years"), None, yearly))
        }
    }
}

fn bought(
    check: &mut Checker,
    at: &At,
    name: &str,
    (capital, life): (&str, &str),
    residual: Option<&str>,
    yearly: Option<&str>,
) -> Bought {
    let capital = check.at_most(&at.key("capital"), capital, Dimension::Money, MOST, "1e12");
    let life_at = at.key("life");
    let life_years = amount::years(life).unwrap_or_else(|complaint| {
        check.push(complaint.at(life_at.value()));
        1.0
    });
    check.in_range(
        &life_at,
        life,
        life_years,
        f64::MIN_POSITIVE,
        100.0,
        "more than nothing, at most 100 years",
    );
    let residual_at = at.key("residual");
    let left = residual.map_or(0.0, |text| {
        check.at_most(&residual_at, text, Dimension::Money, MOST, "1e12")
    });
    if left > capital {
        check.push(
            Problem::warning(
                residual_at.value(),
                format!("`{name}` is worth more at the end of its life than it costs"),
            )
            .expected("less than `capital`"),
        );
    }
    let yearly = yearly.map_or(0.0, |text| a_year(check, &at.key("yearly"), text));
    Bought {
        name: name.to_string(),
        capital,
        life_years,
        residual: left,
        yearly,
    }
}

/// Money a year.
fn a_year(check: &mut Checker, at: &At, text: &str) -> f64 {
    amount::money_per(text, Per::Year).unwrap_or_else(|complaint| {
        check.push(complaint.at(at.value()));
        0.0
    })
}

fn used_laminates(plant: &Plant) -> Vec<usize> {
    let mut used: Vec<usize> = plant
        .products
        .iter()
        .filter(|product| product.format.is_some() || product.web_mm > 0.0)
        .flat_map(|product| {
            let more = product.made_here().map(|(_, web)| web.laminate);
            std::iter::once(product.laminate).chain(more)
        })
        .filter(|&laminate| laminate < plant.laminates.len())
        .collect();
    used.sort_unstable();
    used.dedup();
    used
}

/// Prices laminates from their films and adhesives where they have no price of their own. Out: what lacks
/// one, in words.
fn materials(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    plant: &mut Plant,
) -> Vec<String> {
    let Some(written) = &file.money else {
        return Vec::new();
    };
    let at = At::block("money");
    let mut film_price = vec![None; names.films.len()];
    for (name, text) in &written.films {
        let at = at.key("films").key(name);
        let found = check.find(at.name(), name, &names.films, "a film");
        match (found, amount::film_price(&text.0)) {
            (Some(index), Ok(price)) => film_price[index] = Some(price),
            (_, Err(complaint)) => check.push(complaint.at(at.value())),
            (None, Ok(_)) => {}
        }
    }
    let adhesive_price = by_name(
        check,
        &at.key("adhesives"),
        &written.adhesives,
        &names.adhesives,
        "an adhesive",
        |text| form::quantity(&text.0, Dimension::MoneyPerSquareMetre),
    );
    let used = used_laminates(plant);
    let mut unpriced = Vec::new();
    let prices = Prices {
        file,
        names,
        films: &film_price,
        adhesives: &adhesive_price,
    };
    for (index, laminate) in plant.laminates.iter_mut().enumerate() {
        let lacking = prices.price(laminate);
        if used.contains(&index) {
            unpriced.extend(lacking);
        }
    }
    unpriced.sort();
    unpriced.dedup();
    unpriced
}

/// Names in a sentence.
fn list<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<String> = names.into_iter().map(|name| format!("`{name}`")).collect();
    match names.as_slice() {
        [some @ .., last] if !some.is_empty() => format!("{} and {last}", some.join(", ")),
        _ => names.concat(),
    }
}

/// What is not told, in words.
fn gaps(money: &Money, plant: &Plant, machines: &[String], unpriced: &[String]) -> Vec<String> {
    let lacking = |values: &[Option<f64>], names: &mut dyn Iterator<Item = &String>| {
        let names: Vec<&str> = names
            .zip(values)
            .filter(|(_, value)| value.is_none())
            .map(|(name, _)| name.as_str())
            .collect();
        (!names.is_empty()).then(|| list(names))
    };
    let mut gaps = Vec::new();
    let mut gap = |what: &str, names: Option<String>| {
        gaps.extend(names.map(|names| format!("{what} {names}")));
    };
    gap(
        "labour of",
        lacking(
            &money.labour_hour,
            &mut plant.pools.iter().map(|pool| &pool.name),
        ),
    );
    gap(
        "machine-hours of",
        lacking(&money.machine_hour, &mut machines.iter()),
    );
    gap(
        "margin of class",
        lacking(
            &money.margin_per_thousand,
            &mut plant.classes.iter().map(|class| &class.name),
        ),
    );
    let promised: Vec<&String> = plant
        .classes
        .iter()
        .zip(&money.late_per_day)
        .filter(|(class, late)| late.is_none() && class.promise != Promise::None)
        .map(|(class, _)| &class.name)
        .collect();
    if !promised.is_empty() {
        gap(
            "lateness of class",
            Some(list(promised.iter().map(|name| name.as_str()))),
        );
    }
    let sent: Vec<&str> = plant
        .classes
        .iter()
        .zip(&money.outside_per_thousand)
        .filter(|(class, price)| {
            price.is_none() && class.when_full.is_some_and(|rule| rule.outside.is_some())
        })
        .map(|(class, _)| class.name.as_str())
        .collect();
    if !sent.is_empty() {
        gap("what is sent out of class", Some(list(sent)));
    }
    let parts: Vec<&str> = plant
        .products
        .iter()
        .zip(&money.extras_per_thousand)
        .filter(|(product, extras)| {
            extras.is_none()
                && (product.zipper || product.more_webs.iter().any(|web| !web.made_here))
        })
        .map(|(product, _)| product.name.as_str())
        .collect();
    if !parts.is_empty() {
        gap("bought-in parts of", Some(list(parts)));
    }
    gaps.extend(unpriced.iter().cloned());
    if plant.pools.is_empty() {
        gaps.push("labour, since the scenario has no people".to_string());
    }
    if money.disposal_per_kg.is_none() {
        gaps.push("disposal of lost web".to_string());
    }
    if money.rate.is_none() {
        gaps.push("interest, and with it the yearly cost of capital".to_string());
    }
    gaps
}
