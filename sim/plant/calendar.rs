//! Opening times: a weekly pattern with breaks, closed days and single extra openings, compiled to intervals.
//!
//! In: minutes of the week (0 = Monday 00:00) and days since 1970-01-01.
//! Out: sorted, disjoint intervals in minutes from the midnight of a start day. Civil days have 24 h:
//! daylight saving is not modelled (a shift has its nominal length).

/// Minutes in a day.
pub const DAY_MIN: i64 = 1440;

/// A weekly calendar with exceptions.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Calendar {
    /// Name.
    pub name: String,
    /// Open windows, minutes of the week; `to` may pass the week's end (a Sunday night shift).
    pub open: Vec<(u32, u32)>,
    /// Breaks, taken out of the open windows, minutes of the week.
    pub breaks: Vec<(u32, u32)>,
    /// Closed days, first and last, days since 1970-01-01. A window belongs to the day on which it starts.
    pub closed: Vec<(i32, i32)>,
    /// Extra openings: day since 1970-01-01 and minutes of that day.
    pub also_open: Vec<(i32, u32, u32)>,
}

impl Calendar {
    /// The calendar that never closes.
    pub fn always() -> Self {
        Self {
            name: "always".into(),
            open: vec![(0, 7 * DAY_MIN as u32)],
            ..Self::default()
        }
    }

    /// True where it never closes (so that the engine needs no boundaries).
    pub fn never_closes(&self) -> bool {
        self.closed.is_empty() && self.breaks.is_empty() && self.open == [(0, 7 * DAY_MIN as u32)]
    }

    /// Open intervals in minutes from the midnight of `start_day`, cut to `[0, minutes)`, merged and sorted.
    pub fn intervals(&self, start_day: i32, minutes: i64) -> Vec<(i64, i64)> {
        let days = (minutes + DAY_MIN - 1) / DAY_MIN;
        let mut open = Vec::new();
        // One day early: a night shift that began the evening before reaches into the first day.
        for offset in -1..days {
            let day = start_day + offset as i32;
            let origin = offset * DAY_MIN;
            if !self
                .closed
                .iter()
                .any(|&(from, to)| (from..=to).contains(&day))
            {
                open.extend(
                    windows_of(&self.open, day).map(|(from, to)| (origin + from, origin + to)),
                );
            }
            open.extend(
                self.also_open
                    .iter()
                    .filter(|extra| extra.0 == day)
                    .map(|extra| (origin + i64::from(extra.1), origin + i64::from(extra.2))),
            );
        }
        let mut breaks: Vec<(i64, i64)> = (-1..days)
            .flat_map(|offset| {
                windows_of(&self.breaks, start_day + offset as i32)
                    .map(move |(from, to)| (offset * DAY_MIN + from, offset * DAY_MIN + to))
            })
            .collect();
        breaks.sort_unstable();
        clip(subtract(merge(open), &breaks), minutes)
    }

    /// Open minutes of one ordinary week.
    pub fn weekly_open_min(&self) -> i64 {
        // Day 4 since 1970-01-01 is a Monday; exceptions are left out on purpose.
        let plain = Self {
            closed: Vec::new(),
            also_open: Vec::new(),
            ..self.clone()
        };
        let second_week = 7 * DAY_MIN;
        plain
            .intervals(4, 3 * 7 * DAY_MIN)
            .iter()
            .map(|&(from, to)| (to.min(2 * second_week) - from.max(second_week)).max(0))
            .sum()
    }
}

/// Windows that start on `day`, in minutes of that day.
fn windows_of(windows: &[(u32, u32)], day: i32) -> impl Iterator<Item = (i64, i64)> {
    let weekday = (i64::from(day) + 3).rem_euclid(7);
    let (start, end) = (weekday * DAY_MIN, (weekday + 1) * DAY_MIN);
    windows
        .iter()
        .map(|&(from, to)| (i64::from(from), i64::from(to)))
        .filter_map(move |(from, to)| {
            // A window longer than a day is cut at midnights so that each piece belongs to its own day,
            // except that one reaching past midnight from this day alone (a night shift) stays whole.
            if to - from <= DAY_MIN {
                (from >= start && from < end).then_some((from - start, to - start))
            } else {
                let (a, b) = (from.max(start), to.min(end));
                (a < b).then_some((a - start, b - start))
            }
        })
}

fn merge(mut list: Vec<(i64, i64)>) -> Vec<(i64, i64)> {
    list.sort_unstable();
    let mut out: Vec<(i64, i64)> = Vec::with_capacity(list.len());
    for (from, to) in list {
        match out.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => out.push((from, to)),
        }
    }
    out
}

fn subtract(open: Vec<(i64, i64)>, breaks: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let mut out = Vec::with_capacity(open.len() + breaks.len());
    let mut first = 0;
    for (mut from, to) in open {
        while first < breaks.len() && breaks[first].1 <= from {
            first += 1;
        }
        for &(break_from, break_to) in &breaks[first..] {
            if break_from >= to {
                break;
            }
            if break_from > from {
                out.push((from, break_from));
            }
            from = from.max(break_to);
        }
        if from < to {
            out.push((from, to));
        }
    }
    out
}

fn clip(list: Vec<(i64, i64)>, minutes: i64) -> Vec<(i64, i64)> {
    list.into_iter()
        .map(|(from, to)| (from.max(0), to.min(minutes)))
        .filter(|&(from, to)| from < to)
        .collect()
}

/// The instant at which `work` open minutes have passed since `start`; `None` when the intervals end before.
///
/// Units: minutes from the origin of the intervals.
pub fn after_work(intervals: &[(i64, i64)], start: i64, work: i64) -> Option<i64> {
    let mut left = work;
    for &(from, to) in intervals {
        let from = from.max(start);
        if from >= to {
            continue;
        }
        if to - from >= left {
            return Some(from + left);
        }
        left -= to - from;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    // 2027-01-04 is a Monday: 20822 days after 1970-01-01.
    const MONDAY: i32 = 20822;

    fn weekdays(from_h: u32, to_h: u32) -> Vec<(u32, u32)> {
        (0..5)
            .map(|d| (d * 1440 + from_h * 60, d * 1440 + to_h * 60))
            .collect()
    }

    fn at(day: i64, hour: i64, minute: i64) -> i64 {
        day * DAY_MIN + hour * 60 + minute
    }

    /// Shift-calendar arithmetic worked by hand (made for this project, not published).
    #[test]
    fn work_passes_over_nights_breaks_and_weekends() {
        let plain = Calendar {
            open: weekdays(8, 16),
            ..Calendar::default()
        };
        let lunch = Calendar {
            breaks: (0..5).map(|d| (d * 1440 + 720, d * 1440 + 750)).collect(),
            ..plain.clone()
        };
        let late = Calendar {
            open: weekdays(6, 22),
            ..Calendar::default()
        };
        let end = |c: &Calendar, start, hours: i64| {
            after_work(&c.intervals(MONDAY, 14 * DAY_MIN), start, hours * 60).unwrap()
        };
        assert_eq!(end(&plain, at(4, 12, 0), 10), at(7, 14, 0));
        assert_eq!(end(&lunch, at(4, 10, 0), 5), at(4, 15, 30));
        assert_eq!(end(&plain, at(5, 9, 0), 3), at(7, 11, 0));
        assert_eq!(end(&lunch, at(0, 14, 0), 20), at(3, 11, 0));
        assert_eq!(end(&plain, at(4, 16, 0), 1), at(7, 9, 0));
        assert_eq!(end(&late, at(4, 20, 0), 5), at(7, 9, 0));
        assert_eq!(plain.weekly_open_min(), 5 * 480);
        assert_eq!(lunch.weekly_open_min(), 5 * 450);
        assert_eq!(Calendar::always().weekly_open_min(), 7 * DAY_MIN);
    }

    #[test]
    fn closed_days_and_extra_openings_are_honoured() {
        let c = Calendar {
            open: weekdays(8, 16),
            closed: vec![(MONDAY + 1, MONDAY + 3)],
            also_open: vec![(MONDAY + 5, 360, 720)],
            ..Calendar::default()
        };
        assert_eq!(
            c.intervals(MONDAY, 7 * DAY_MIN),
            [
                (at(0, 8, 0), at(0, 16, 0)),
                (at(4, 8, 0), at(4, 16, 0)),
                (at(5, 6, 0), at(5, 12, 0))
            ]
        );
    }

    #[test]
    fn a_night_shift_belongs_to_the_day_it_starts() {
        let night = Calendar {
            open: vec![(22 * 60, 30 * 60)],
            closed: vec![(MONDAY, MONDAY)],
            ..Calendar::default()
        };
        assert_eq!(night.intervals(MONDAY, 7 * DAY_MIN), []);
        assert_eq!(
            night.intervals(MONDAY + 1, 7 * DAY_MIN),
            [(at(6, 22, 0), at(7, 0, 0))]
        );
        // The shift of the Monday before the clock's zero reaches into it.
        let sunday = Calendar {
            open: vec![(6 * 1440 + 1320, 6 * 1440 + 1800)],
            ..Calendar::default()
        };
        assert_eq!(sunday.intervals(MONDAY, DAY_MIN), [(0, at(0, 6, 0))]);
    }

    #[test]
    fn around_the_clock_is_one_interval() {
        assert_eq!(
            Calendar::always().intervals(MONDAY, 10 * DAY_MIN),
            [(0, 10 * DAY_MIN)]
        );
        assert!(Calendar::always().never_closes());
    }
}
