//! One order for everything that has a name: the order of the file decides nothing.
//!
//! In: a file as it was written. Out: the same file with its names in one order: letters as they are, digits as the
//! numbers they stand for, so that `m2` comes before `m10`. What goes by number from here on - indices, ties, what
//! chances are keyed by - then follows from names alone. Stations keep the order of the floor, lists theirs; the
//! default class, which is the first of the file, stays first. Problems are found by path, never by place.

use std::cmp::Ordering;

use super::{Named, ScenarioFile, Station};

/// Compares names: runs of digits by their value, everything else letter by letter.
pub fn by_name(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a, b);
    loop {
        let (x, y) = (first_run(left), first_run(right));
        if x.is_empty() || y.is_empty() {
            // The same but for leading zeros: some order, always the same.
            return left.len().cmp(&right.len()).then_with(|| a.cmp(b));
        }
        let digits = |run: &str| run.starts_with(|c: char| c.is_ascii_digit());
        let order = if digits(x) && digits(y) {
            let value = |run: &str| run.trim_start_matches('0').to_owned();
            let (x, y) = (value(x), value(y));
            x.len().cmp(&y.len()).then_with(|| x.cmp(&y))
        } else {
            x.cmp(y)
        };
        if order != Ordering::Equal {
            return order;
        }
        (left, right) = (&left[x.len()..], &right[y.len()..]);
    }
}

/// The digits, or the other letters, that a text begins with.
fn first_run(text: &str) -> &str {
    let digit = text.starts_with(|c: char| c.is_ascii_digit());
    let end = text.find(|c: char| c.is_ascii_digit() != digit);
    &text[..end.unwrap_or(text.len())]
}

fn sort<T>(named: &mut Named<T>) {
    named.sort_by(|a, _, b, _| by_name(a, b));
}

impl ScenarioFile {
    /// Puts all names into their one order.
    pub(in super::super) fn put_in_order(&mut self) {
        sort(&mut self.calendars);
        sort(&mut self.people);
        self.people
            .values_mut()
            .for_each(|pool| sort(&mut pool.shifts));
        sort(&mut self.rooms);
        sort(&mut self.films);
        sort(&mut self.adhesives);
        sort(&mut self.laminates);
        sort(&mut self.products);
        self.stations.values_mut().for_each(in_order);
        let default = self.classes.keys().next().cloned();
        self.classes.sort_by(|a, _, b, _| {
            let later = |name: &String| Some(name) != default.as_ref();
            later(a).cmp(&later(b)).then_with(|| by_name(a, b))
        });
        for stream in &mut self.orders {
            stream.classes.iter_mut().for_each(sort);
            sort(&mut stream.products);
        }
        if let Some(money) = &mut self.money {
            sort(&mut money.machines);
            sort(&mut money.purchases);
            sort(&mut money.labour);
            sort(&mut money.films);
            sort(&mut money.adhesives);
            sort(&mut money.extras);
            sort(&mut money.late);
            sort(&mut money.margin);
            sort(&mut money.premium);
            sort(&mut money.outside);
        }
    }
}

fn in_order(station: &mut Station) {
    match station {
        Station::Press(s) => sort(&mut s.machines),
        Station::Lamination(s) => sort(&mut s.machines),
        Station::Slitting(s) => sort(&mut s.machines),
        Station::Pouching(s) => sort(&mut s.machines),
        Station::Inspection(s) | Station::Spouting(s) => sort(&mut s.machines),
        Station::Packing(s) => sort(&mut s.machines),
        Station::Bench(s) => {
            sort(&mut s.machines);
            s.times.iter_mut().for_each(sort);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_count_as_numbers() {
        let mut names = ["m10", "m2", "m", "a9b", "a10", "a9", "M2", "m02", "2", "10"];
        names.sort_by(|a, b| by_name(a, b));
        assert_eq!(
            names,
            ["2", "10", "M2", "a9", "a9b", "a10", "m", "m02", "m2", "m10"]
        );
    }

    #[test]
    fn it_is_an_order() {
        let names = [
            "a", "a0", "a00", "a1", "a01b", "a1b", "", "b", "a1b2", "a1b10",
        ];
        for a in names {
            for b in names {
                assert_eq!(by_name(a, b), by_name(b, a).reverse());
                assert_eq!(by_name(a, b) == Ordering::Equal, a == b);
                for c in names {
                    if by_name(a, b).is_lt() && by_name(b, c).is_lt() {
                        assert!(by_name(a, c).is_lt(), "{a} {b} {c}");
                    }
                }
            }
        }
    }
}
