//! Dates and hours as they are written in calendars.
//!
//! In: texts such as `2027-12-24 to 2027-12-31` or `Mon-Fri 06:00-14:00`. Out: days since
//! 1970-01-01 and minutes of the week (0 = Monday 00:00).

use jiff::civil;

use super::form::Complaint;

const DAY_MIN: u32 = 1440;
const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const WEEKLY: &str = "days and hours, such as `Mon-Fri 06:00-14:00` or `Mon,Wed 08:00-16:00`";

/// A day, as days since 1970-01-01.
pub(super) fn date(text: &str) -> Result<i32, Complaint> {
    let text = text.trim();
    let shape = text.len() == 10
        && text.bytes().enumerate().all(|(i, b)| match i {
            4 | 7 => b == b'-',
            _ => b.is_ascii_digit(),
        });
    let wrong = |message: String| {
        Complaint::new(message, "a date, year-month-day").help("write it like `2027-01-04`")
    };
    if !shape {
        return Err(wrong(format!("`{text}` is not a date")));
    }
    let day: civil::Date = text
        .parse()
        .map_err(|_| wrong(format!("there is no day `{text}`")))?;
    if !(1980..=2199).contains(&day.year()) {
        return Err(Complaint::new(
            format!("the year of `{text}` is out of range"),
            "a date from 1980 to 2199",
        ));
    }
    let span = day.duration_since(civil::date(1970, 1, 1));
    i32::try_from(span.as_hours() / 24).map_err(|_| wrong(format!("`{text}` is out of range")))
}

/// One day, or `first to last`.
pub(super) fn dates(text: &str) -> Result<(i32, i32), Complaint> {
    match text.split_once(" to ") {
        None => date(text).map(|day| (day, day)),
        Some((first, last)) => {
            let (first_day, last_day) = (date(first)?, date(last)?);
            if last_day < first_day {
                return Err(Complaint::new(
                    format!("`{}` ends before it starts", text.trim()),
                    "the earlier date first",
                )
                .help(format!("write `{} to {}`", last.trim(), first.trim())));
            }
            Ok((first_day, last_day))
        }
    }
}

/// A day, or a day and the time of day, with or without seconds: days since 1970-01-01, and minutes of that day.
pub(super) fn instant(text: &str) -> Result<(i32, Option<f64>), Complaint> {
    let trimmed = text.trim();
    let read = || match trimmed.split_once([' ', 'T']) {
        None => date(trimmed).map(|day| (day, None)),
        Some((day, hour)) => Ok((date(day)?, Some(clock_with_seconds(hour)?))),
    };
    read().map_err(|complaint| Complaint {
        help: Some(
            "write it like `2027-01-04`, `2027-01-04 14:00` or `2027-01-04T14:00:30`".to_string(),
        ),
        ..complaint
    })
}

/// `14:00` or `14:00:30`, in minutes of the day.
fn clock_with_seconds(text: &str) -> Result<f64, Complaint> {
    let whole = text.trim();
    let parts = whole.rsplit_once(':').filter(|(front, seconds)| {
        front.contains(':') && seconds.len() == 2 && seconds.bytes().all(|b| b.is_ascii_digit())
    });
    let Some((front, seconds)) = parts else {
        return clock(whole).map(f64::from);
    };
    let wrong = || {
        Complaint::new(
            format!("`{whole}` is not a time of day"),
            "a time from 00:00 to 24:00",
        )
    };
    let minutes = clock(front).map_err(|_| wrong())?;
    let seconds: f64 = seconds.parse().map_err(|_| wrong())?;
    let at = f64::from(minutes) + seconds / 60.0;
    match seconds < 60.0 && at <= f64::from(DAY_MIN) {
        true => Ok(at),
        false => Err(wrong()),
    }
}

/// The moment in a text that is promised for, minutes from the midnight of `start_day`; a day alone means its end.
///
/// # Errors
/// What is wrong with it, what is expected and how to write it, in one sentence each.
pub fn due_min(text: &str, start_day: i32) -> Result<f64, [String; 2]> {
    let (day, minute) = instant(text).map_err(|complaint| {
        [
            format!("{}; expected {}", complaint.message, complaint.expected),
            complaint.help.unwrap_or_default(),
        ]
    })?;
    let days = f64::from(day) - f64::from(start_day);
    Ok(days * f64::from(DAY_MIN) + minute.unwrap_or(f64::from(DAY_MIN)))
}

/// Windows of the week, one for each day named.
pub(super) fn weekly(text: &str) -> Result<Vec<(u32, u32)>, Complaint> {
    let trimmed = text.trim();
    let Some((days, hours)) = trimmed.split_once(char::is_whitespace) else {
        return Err(Complaint::new(
            format!("`{trimmed}` lacks its days or its hours"),
            WEEKLY,
        ));
    };
    let (from, to) = self::hours(hours)?;
    // Up to or before its start: it ends on the next day.
    let to = if to <= from { to + DAY_MIN } else { to };
    let mut windows = Vec::new();
    for part in days.split(',') {
        let (first, last) = match part.split_once('-') {
            Some((first, last)) => (weekday(first)?, weekday(last)?),
            None => (weekday(part)?, weekday(part)?),
        };
        let mut day = first;
        loop {
            windows.push((day * DAY_MIN + from, day * DAY_MIN + to));
            if day == last {
                break;
            }
            day = (day + 1) % 7;
        }
    }
    windows.sort_unstable();
    windows.dedup();
    Ok(windows)
}

/// `2027-03-06 06:00-12:00`: day since 1970-01-01, and minutes of that day.
pub(super) fn on_date(text: &str) -> Result<(i32, u32, u32), Complaint> {
    let trimmed = text.trim();
    let Some((day, hours)) = trimmed.split_once(char::is_whitespace) else {
        return Err(Complaint::new(
            format!("`{trimmed}` lacks its date or its hours"),
            "a date and hours",
        )
        .help("write it like `2027-03-06 06:00-12:00`"));
    };
    let (from, to) = self::hours(hours)?;
    let day = date(day)?;
    if to <= from {
        return Err(Complaint::new(
            format!("`{trimmed}` ends before it starts"),
            "the earlier time first; extra hours stay within one day",
        )
        .help(
            "split hours over midnight in two: one entry to 24:00, one from 00:00 on the next date",
        ));
    }
    Ok((day, from, to))
}

/// `06:00-14:00`, in minutes of the day.
fn hours(text: &str) -> Result<(u32, u32), Complaint> {
    let text = text.trim();
    let Some((from, to)) = text.split_once('-') else {
        return Err(Complaint::new(
            format!("`{text}` is not a stretch of hours"),
            "hours such as `06:00-14:00`",
        ));
    };
    let (from, to) = (clock(from)?, clock(to)?);
    if from == to {
        return Err(Complaint::new(
            format!("`{text}` has no length"),
            "an end that differs from the start",
        )
        .help("for day and night write `00:00-24:00`"));
    }
    Ok((from, to))
}

/// `06:00`, in minutes of the day; `24:00` is its end.
fn clock(text: &str) -> Result<u32, Complaint> {
    let text = text.trim();
    let parts = text.split_once(':').and_then(|(hour, minute)| {
        let digits =
            |part: &str| (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
        (digits(hour) && minute.len() == 2 && digits(minute))
            .then_some((hour.parse::<u32>().ok()?, minute.parse::<u32>().ok()?))
    });
    match parts {
        Some((hour, minute)) if minute < 60 && hour * 60 + minute <= DAY_MIN => {
            Ok(hour * 60 + minute)
        }
        _ => Err(Complaint::new(
            format!("`{text}` is not a time of day"),
            "a time from 00:00 to 24:00",
        )
        .help("write hours and minutes with a colon: `06:00`, `14:30`")),
    }
}

/// A day of the week, 0 = Monday; full English names are known too.
fn weekday(text: &str) -> Result<u32, Complaint> {
    let name = text.trim();
    let found = DAYS.iter().zip(0..).find(|(short, _)| {
        let long = ["day", "sday", "nesday", "rsday", "urday"];
        name.len() >= 3
            && name.is_char_boundary(3)
            && name[..3].eq_ignore_ascii_case(short)
            && (name.len() == 3 || long.contains(&&name[3..]))
    });
    found.map(|(_, day)| day).ok_or_else(|| {
        Complaint::new(
            format!("`{name}` is not a day of the week"),
            "Mon, Tue, Wed, Thu, Fri, Sat or Sun",
        )
        .help("write a range as `Mon-Fri`, a list as `Mon,Wed,Fri`, without blanks")
    })
}

/// A day number as a date, `2027-01-04`.
pub(super) fn date_text(day: i32) -> String {
    let epoch = jiff::civil::date(1970, 1, 1);
    let date = epoch.checked_add(jiff::Span::new().days(i64::from(day)));
    date.map_or_else(|_| day.to_string(), |date| date.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1970-01-05 was the first Monday after the epoch (a Thursday); 2027-01-04 is a Monday: by
    /// any perpetual calendar.
    #[test]
    fn dates_count_from_1970() {
        assert_eq!(date("1980-01-01"), Ok(3652));
        assert_eq!((date("2027-01-04").unwrap() - 4) % 7, 0);
        assert_eq!(dates("2027-12-24 to 2027-12-31").map(|(a, b)| b - a), Ok(7));
        for bad in [
            "2027-02-30",
            "04.01.2027",
            "2027-1-4",
            "",
            "1066-10-14",
            "2027-01-04 06:00",
        ] {
            assert!(date(bad).is_err(), "{bad}");
        }
        assert!(dates("2027-12-31 to 2027-12-24").is_err());
    }

    #[test]
    fn an_instant_is_a_day_or_a_time_on_it() {
        let day = date("2027-01-04").unwrap();
        assert_eq!(instant("2027-01-04"), Ok((day, None)));
        assert_eq!(instant(" 2027-01-04 14:05 "), Ok((day, Some(845.0))));
        assert_eq!(instant("2027-01-04T00:00"), Ok((day, Some(0.0))));
        assert_eq!(instant("2027-01-04T14:05:30"), Ok((day, Some(845.5))));
        assert_eq!(due_min("2027-01-05", day), Ok(2880.0));
        for bad in [
            "2027-01-04 2 pm",
            "4.1.2027 14:00",
            "14:00",
            "",
            "2027-01-04 14:05:60",
            "2027-01-04 24:00:01",
            "2027-01-04 14:05:3",
        ] {
            assert!(instant(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn weekly_hours_expand_by_day() {
        assert_eq!(
            weekly("Mon-Tue 06:00-14:00"),
            Ok(vec![(360, 840), (1800, 2280)])
        );
        assert_eq!(
            weekly("Mon,Wed 8:00-16:00"),
            Ok(vec![(480, 960), (3360, 3840)])
        );
        assert_eq!(weekly("Sun 22:00-06:00"), Ok(vec![(9960, 10440)]));
        assert_eq!(weekly("Sat-Mon 00:00-24:00").map(|w| w.len()), Ok(3));
        assert_eq!(weekly("Monday 06:00-14:00"), weekly("Mon 06:00-14:00"));
        for bad in [
            "Mon",
            "Mon 6-14",
            "Mon 25:00-26:00",
            "Mo 06:00-14:00",
            "Mon 06:00-06:00",
            "Mon 06:61-07:00",
            "é 06:00-07:00",
            "Mon 24:01-25:00",
        ] {
            assert!(weekly(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn overtime_stays_within_a_date() {
        assert_eq!(
            on_date("2027-01-04 06:00-12:00").map(|w| (w.1, w.2)),
            Ok((360, 720))
        );
        assert!(on_date("2027-01-04 22:00-06:00").is_err());
    }
}
