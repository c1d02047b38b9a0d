//! The scalars of a scenario file: texts that carry a unit, a date, a chance or a promise.
//!
//! In: any YAML scalar. Out: its raw text in a type of its own, so that the JSON Schema can say
//! which form is wanted. The texts are read by [`super::super::form`], never here.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, de};

/// Takes any scalar as the text that was written.
struct ScalarText;

impl de::Visitor<'_> for ScalarText {
    type Value = String;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a text or a number")
    }

    fn visit_str<E>(self, value: &str) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_u64<E>(self, value: u64) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_i64<E>(self, value: i64) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_f64<E>(self, value: f64) -> Result<String, E> {
        Ok(value.to_string())
    }
}

/// Declares a scalar type: its name, its form in the JSON Schema, whether a bare number will do,
/// and examples.
macro_rules! scalars {
    ($($(#[$doc:meta])* $name:ident, $form:literal, $bare:literal, [$($example:literal),*];)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
        pub struct $name(
            /// What was written.
            pub String,
        );

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_any(ScalarText).map(Self)
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_string())
            }
        }

        impl JsonSchema for $name {
            fn inline_schema() -> bool {
                true
            }

            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                if $bare {
                    json_schema!({ "type": ["string", "number"], "format": $form, "examples": [$($example),*] })
                } else {
                    json_schema!({ "type": "string", "format": $form, "examples": [$($example),*] })
                }
            }
        }
    )*};
}

scalars! {
    /// A length of time.
    Duration, "duration", false, ["30 min", "2 h", "3 weeks"];
    /// A length of time, or the word `auto`.
    WarmUp, "duration or `auto`", false, ["2 weeks"];
    /// A length of web.
    Length, "length of web", false, ["20 m", "60 ft"];
    /// A width, height or diameter.
    Width, "size", false, ["760 mm", "30 in"];
    /// A film thickness.
    Caliper, "film thickness", false, ["129 um", "5 mil"];
    /// A web speed.
    Speed, "speed", false, ["30 m/min", "100 ft/min"];
    /// A change of web speed.
    Acceleration, "acceleration", false, ["8 m/min/s"];
    /// Events per time.
    Rate, "rate", false, ["80 /min", "4800 /h"];
    /// A share of a whole.
    Share, "share", false, ["4 %", "0.5 %"];
    /// A share that may vary.
    RandomShare, "share or distribution", false, ["3 %", "low 1 %, typical 3 %, high 6 %"];
    /// Money per area of film.
    Price, "money per area", false, ["0.75 /m2"];
    /// An amount of money.
    Amount, "money", true, ["420000"];
    /// Money per hour.
    PerHour, "money per hour", false, ["34 /h"];
    /// Money per day.
    PerDay, "money per day", false, ["150 /day"];
    /// Money per year.
    PerYear, "money per year", false, ["5400 /year"];
    /// Money per weight.
    PerKilogram, "money per weight", false, ["0.12 /kg"];
    /// Money per 1,000 pouches.
    PerThousand, "money per 1,000 pouches", false, ["12.50 /1000"];
    /// Price of a film, by weight or by area.
    FilmPrice, "price of a film", false, ["3.20 /kg", "0.11 /m2"];
    /// A number of years.
    Years, "number of years", false, ["10 years"];
    /// Mass per area.
    Weight, "mass per area", false, ["131 g/m2"];
    /// Density.
    Density, "density", false, ["0.92 g/cm3"];
    /// Mass of a roll.
    Mass, "mass", false, ["60 kg"];
    /// A plain number above zero.
    Number, "number", true, ["100", "2.5"];
    /// A duration that may vary.
    RandomTime, "duration or distribution", false,
        ["5 min", "low 5 min, typical 8 min, high 15 min", "typical 30 min, worst in ten 90 min"];
    /// A length of web that may vary.
    RandomLength, "length or distribution", false, ["exponential, mean 15000 m"];
    /// A plain number that may vary.
    RandomNumber, "number or distribution", true,
        ["1", "geometric, mean 2.5, at most 12", "lognormal, median 4000, sigma 1.1, from 500 to 50000"];
    /// One day.
    Date, "date", false, ["2027-01-04"];
    /// One day or the days from one to another.
    Dates, "date or dates", false, ["2027-05-01", "2027-12-24 to 2027-12-31"];
    /// Hours on days of the week.
    Weekly, "weekly hours", false, ["Mon-Fri 06:00-14:00", "Sat 06:00-12:00", "Mon-Fri 22:00-06:00"];
    /// Hours on one date.
    OnDate, "hours on a date", false, ["2027-03-06 06:00-12:00"];
    /// How much moves on together.
    Lot, "lot", false, ["roll", "order", "500 m", "5000 pouches"];
    /// What a customer is told.
    Promise, "promise", false, ["5 working days of day", "24 h", "none"];
}
