//! The audit: what must hold in every run whatever its luck, checked while it runs.
//!
//! In: accounts of the floor as they are closed: a lot that leaves a machine, a SKU that is packed, an order that is
//! done, people taken, places taken, the end of the clock. Out: how many checks there were, and the first one that did
//! not hold. A run that breaks a rule is a fault of this program; nothing of it may ever be printed as a result.

use crate::record::Finished;
use crate::units::Tick;

use super::state::OrderLine;

/// What is checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Must {
    /// The parts of an order's time add up to its lead time, none below zero.
    Split,
    /// Release, first pouch, packing and shipping follow one another.
    Instants,
    /// A lot was running as long as its steps ask for.
    Running,
    /// Metres of a SKU: planned, less what was lost, equals what was made of them.
    Web,
    /// Pouches of a SKU: made, less what was rejected, equals what was packed.
    Pouches,
    /// No more people of a pool at work than present.
    People,
    /// No more lots at a place than it has room for.
    Places,
    /// One lot on a machine.
    OneLot,
    /// The states of a machine add up to the clock.
    MachineTime,
    /// Web of the whole cell: handed over equals made, lost and inside.
    AllWeb,
    /// Pouches of the whole cell: made equals packed, rejected and inside.
    AllPouches,
    /// Orders: released equals done and inside.
    Orders,
    /// Figures lie where figures of their kind can: none of what is counted below nothing, no share above all.
    Figures,
}

impl Must {
    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Must::Split => "the parts of an order's time add up to its lead time",
            Must::Instants => {
                "an order is released, makes its first pouch, is packed and ships in this order"
            }
            Must::Running => "a lot runs as long as its steps ask for",
            Must::Web => {
                "metres planned for a SKU, less those lost, equal those made into pouches or shipped"
            }
            Must::Pouches => "pouches made of a SKU, less those rejected, equal those packed",
            Must::People => "no more people of a pool are at work than present",
            Must::Places => "no place holds more lots than it has room for",
            Must::OneLot => "one lot is on a machine",
            Must::MachineTime => "the states of a machine add up to the clock",
            Must::AllWeb => "web handed over equals web made, lost and still inside",
            Must::AllPouches => "pouches made equal pouches packed, rejected and still inside",
            Must::Orders => "orders released equal orders done and still inside",
            Must::Figures => "nothing that is counted is below nothing, and no share is above all",
        }
    }
}

/// A rule that did not hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Breach {
    /// The rule.
    pub rule: Must,
    /// Serial number of the order in its replication, where the rule is about one.
    pub order: Option<u32>,
    /// Ticks since the clock's zero.
    pub at: Tick,
    /// What was found (ticks, lane-millimetres, pouches, thousandths of people, lots).
    pub found: i64,
    /// What should have been, or the most that may be.
    pub expected: i64,
}

/// The audit of one replication.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Audit {
    /// Checks made.
    pub checks: u64,
    /// The first one that did not hold.
    pub breach: Option<Breach>,
}

impl Audit {
    /// Two numbers are the same.
    #[inline]
    pub fn equal(&mut self, rule: Must, at: Tick, order: Option<u32>, found: i64, expected: i64) {
        self.checks += 1;
        if found != expected {
            self.note(rule, at, order, found, expected);
        }
    }

    /// A number is not above another.
    #[inline]
    pub fn at_most(&mut self, rule: Must, at: Tick, order: Option<u32>, found: i64, most: i64) {
        self.checks += 1;
        if found > most {
            self.note(rule, at, order, found, most);
        }
    }

    #[cold]
    fn note(&mut self, rule: Must, at: Tick, order: Option<u32>, found: i64, expected: i64) {
        self.breach.get_or_insert(Breach {
            rule,
            order,
            at,
            found,
            expected,
        });
    }

    /// The account of an order that is done, and the running time its last lot was asked for.
    #[inline]
    pub fn order(&mut self, done: &Finished<'_>, running: Tick, asked: Tick) {
        let (at, order) = (done.packed, Some(done.order));
        let mut sum = 0;
        let mut least = 0;
        for &ticks in done.split {
            sum += ticks;
            least = ticks.min(least);
        }
        self.equal(Must::Split, at, order, sum, done.done - done.released);
        self.equal(Must::Split, at, order, least, 0);
        let pouch = if done.first_pouch == Tick::MAX {
            done.packed
        } else {
            done.first_pouch
        };
        self.at_most(Must::Instants, at, order, done.released, pouch);
        self.at_most(Must::Instants, at, order, pouch, done.packed);
        self.at_most(Must::Instants, at, order, done.packed, done.done);
        self.equal(Must::Running, at, order, running, asked);
    }

    /// The web and pouches of a SKU whose last lot is packed.
    #[inline]
    pub fn line(&mut self, at: Tick, order: u32, line: &OrderLine) {
        self.equal(Must::Web, at, Some(order), line.web_open, 0);
        self.equal(Must::Pouches, at, Some(order), line.pouches_open, 0);
    }

    /// The counts of the whole cell at the end of the clock.
    pub fn end(&mut self, at: Tick, counts: &super::Counts, orders_inside: u64) {
        let c = counts;
        let web = c.lane_mm_out + c.lane_mm_waste + c.lane_mm_inside;
        self.equal(Must::AllWeb, at, None, web, c.lane_mm_in);
        let pouches = c.pouches + c.pouches_lost + c.pouches_inside;
        self.equal(Must::AllPouches, at, None, pouches, c.pouches_made);
        let orders = (c.finished + orders_inside) as i64;
        self.equal(Must::Orders, at, None, orders, c.released as i64);
    }

    /// Figures of a replication, each with what it may be at least and at most: what is not known may be missing, what
    /// never ended may be infinite where nothing bounds it.
    pub fn figures(&mut self, at: Tick, figures: impl Iterator<Item = (f64, [f64; 2])>) {
        // Sums of areas are off by their last digits.
        const GRACE: f64 = 1e-6;
        let odd = figures
            .filter(|&(figure, [least, most])| figure < least - GRACE || figure > most + GRACE)
            .count();
        self.equal(Must::Figures, at, None, odd as i64, 0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{self, NONE};
    use crate::random::Streams;
    use crate::record::Nobody;
    use crate::scenario;
    use crate::shop::Shop;

    /// Runs the planner's cell with something broken after its first week.
    fn run(breaks: impl Fn(&mut Shop<'_, Nobody>)) -> Audit {
        let text = include_str!("../../scenarios/planner.yaml");
        let text = text.replace("warm_up: 5 weeks", "warm_up: 1 week");
        let text = text.replace("measure: 26 weeks", "measure: 1 week");
        let loaded = scenario::read("cell.yaml", text.as_bytes()).unwrap();
        let model = model::compile(loaded.plant);
        let mut nobody = Nobody;
        let mut shop = Shop::new(&model, Streams::new(5, 0), &mut nobody);
        shop.advance(7 * 1440 * crate::units::TICKS_PER_MINUTE);
        breaks(&mut shop);
        shop.run().audit
    }

    #[test]
    fn a_sound_run_keeps_every_rule() {
        let audit = run(|_| {});
        assert_eq!(audit.breach, None);
        assert!(audit.checks > 500, "{audit:?}");
    }

    /// What is broken in the engine's own accounts is found, and named.
    #[test]
    fn planted_breaches_are_found() {
        type Plant = fn(&mut Shop<'_, Nobody>);
        let planted: [(Must, Plant); 10] = [
            (Must::AllWeb, |shop| shop.counts.lane_mm_in += 1),
            (Must::AllPouches, |shop| shop.counts.pouches_made += 1),
            (Must::Orders, |shop| shop.counts.released += 1),
            (Must::MachineTime, |shop| shop.machines[0].accounted += 1),
            (Must::People, |shop| shop.pools[0].busy += 1),
            (Must::Places, |shop| shop.stations[0].staged += 1),
            (Must::Places, |shop| shop.rooms[0].taken += 1),
            (Must::Web, |shop| {
                let line = shop.lines.live_indices()[0];
                shop.lines[line].web_open += 1;
            }),
            (Must::Pouches, |shop| {
                let line = shop.lines.live_indices()[0];
                shop.lines[line].pouches_open -= 1;
            }),
            (Must::OneLot, |shop| {
                let lots = shop.lots.live_indices();
                let on_its_way = |lot: &&u32| shop.lots[**lot].at.is_some();
                let lot = *lots.iter().find(on_its_way).expect("a lot on its way");
                let free = shop.machines.iter().position(|m| m.lot == NONE);
                shop.machines[free.expect("a free machine")].lot = lot;
            }),
        ];
        for (rule, plant) in planted {
            let found = run(plant).breach.map(|breach| breach.rule);
            assert_eq!(found, Some(rule));
        }
    }

    fn finished(split: &[Tick]) -> Finished<'_> {
        Finished {
            order: 7,
            class: 0,
            product: 0,
            skus: 1,
            ordered: 100,
            good: 100,
            released: 10,
            due: Tick::MAX,
            first_pouch: 20,
            packed: 40,
            done: 50,
            measured: true,
            split,
        }
    }

    /// Doctored accounts of an order: each is found, with its order.
    #[test]
    fn doctored_orders_are_found() {
        let check = |done: Finished<'_>, running, asked| {
            let mut audit = Audit::default();
            audit.order(&done, running, asked);
            audit.breach.map(|breach| (breach.rule, breach.order))
        };
        let sound = [30, 10];
        assert_eq!(check(finished(&sound), 5, 5), None);
        assert_eq!(
            check(finished(&[30, 11]), 5, 5),
            Some((Must::Split, Some(7)))
        );
        assert_eq!(
            check(finished(&[50, -10]), 5, 5),
            Some((Must::Split, Some(7)))
        );
        assert_eq!(
            check(finished(&sound), 5, 6),
            Some((Must::Running, Some(7)))
        );
        for doctored in [
            Finished {
                first_pouch: 41,
                ..finished(&sound)
            },
            Finished {
                first_pouch: 9,
                ..finished(&sound)
            },
            Finished {
                packed: 51,
                ..finished(&sound)
            },
        ] {
            assert_eq!(check(doctored, 5, 5), Some((Must::Instants, Some(7))));
        }
        let mut audit = Audit::default();
        let (share, count) = ([0.0, 1.0], [0.0, f64::INFINITY]);
        let sound = [(1.0, share), (f64::NAN, share), (f64::INFINITY, count)];
        audit.figures(0, sound.into_iter());
        assert_eq!(audit.breach, None);
        for odd in [(1.1, share), (-0.5, count), (f64::NEG_INFINITY, count)] {
            let mut audit = Audit::default();
            audit.figures(0, std::iter::once(odd));
            assert_eq!(audit.breach.map(|b| b.rule), Some(Must::Figures));
        }
    }
}
