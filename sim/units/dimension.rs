//! What kinds of quantity there are, and which units each may be written in.
//!
//! In: nothing. Out: [`Dimension`] with its names and its table of units. Conversion factors are
//! exact by definition (1 in = 25.4 mm, 1 ft = 0.3048 m, 1 yd = 0.9144 m: international yard and
//! pound agreement of 1959).

/// A kind of quantity. The base unit stands beside each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    /// Time, in minutes. A day is 24 h, a week 7 days.
    Duration,
    /// Length of web or roll, in metres.
    Length,
    /// Width, height or diameter, in millimetres.
    SmallLength,
    /// Thickness of film, in micrometres.
    Caliper,
    /// Web speed, in metres per minute.
    Speed,
    /// Change of web speed, in metres per minute per second.
    Acceleration,
    /// Events per minute.
    Rate,
    /// A share of a whole, as a fraction; written in per cent. Not capped at 1.
    Share,
    /// Mass per area, in grams per square metre.
    MassPerArea,
    /// Density, in grams per cubic centimetre.
    Density,
    /// Mass, in kilograms.
    Mass,
    /// Temperature, in degrees Celsius; the only kind that may be negative.
    Temperature,
    /// An amount of money, in the currency of the scenario.
    Money,
    /// Money per hour.
    MoneyPerHour,
    /// Money per square metre.
    MoneyPerSquareMetre,
    /// Money per kilogram.
    MoneyPerKilogram,
    /// A pure number: pieces, rolls, orders.
    Count,
}

/// One way of writing a unit: what is written and the base units it stands for.
pub(super) type Unit = (&'static str, f64);

impl Dimension {
    /// Every dimension, in the order in which a stray unit is looked up.
    pub const ALL: [Dimension; 17] = [
        Dimension::Duration,
        Dimension::Length,
        Dimension::SmallLength,
        Dimension::Caliper,
        Dimension::Speed,
        Dimension::Acceleration,
        Dimension::Rate,
        Dimension::Share,
        Dimension::MassPerArea,
        Dimension::Density,
        Dimension::Mass,
        Dimension::Temperature,
        Dimension::Money,
        Dimension::MoneyPerHour,
        Dimension::MoneyPerSquareMetre,
        Dimension::MoneyPerKilogram,
        Dimension::Count,
    ];

    /// The dimension in words, with its article: "a speed".
    pub fn name(self) -> &'static str {
        match self {
            Dimension::Duration => "a duration",
            Dimension::Length => "a length of web",
            Dimension::SmallLength => "a width or diameter",
            Dimension::Caliper => "a film thickness",
            Dimension::Speed => "a speed",
            Dimension::Acceleration => "an acceleration",
            Dimension::Rate => "a rate",
            Dimension::Share => "a share",
            Dimension::MassPerArea => "a mass per area",
            Dimension::Density => "a density",
            Dimension::Mass => "a mass",
            Dimension::Temperature => "a temperature",
            Dimension::Money => "an amount of money",
            Dimension::MoneyPerHour => "money per hour",
            Dimension::MoneyPerSquareMetre => "money per square metre",
            Dimension::MoneyPerKilogram => "money per kilogram",
            Dimension::Count => "a plain number",
        }
    }

    /// The units to offer a reader, the usual one first.
    pub fn units_text(self) -> &'static str {
        match self {
            Dimension::Duration => "s, min, h, d or wk",
            Dimension::Length => "m, km, ft or yd",
            Dimension::SmallLength => "mm, cm or in",
            Dimension::Caliper => "um, micron or mil",
            Dimension::Speed => "m/min, ft/min or m/s",
            Dimension::Acceleration => "m/min/s, ft/min/s or m/s2",
            Dimension::Rate => "/min, /h, /d or /wk",
            Dimension::Share => "%",
            Dimension::MassPerArea => "g/m2 or gsm",
            Dimension::Density => "g/cm3 or kg/m3",
            Dimension::Mass => "kg or lb",
            Dimension::Temperature => "C or F",
            Dimension::Money => "a number, with a currency code if wanted",
            Dimension::MoneyPerHour => "/h",
            Dimension::MoneyPerSquareMetre => "/m2",
            Dimension::MoneyPerKilogram => "/kg",
            Dimension::Count => "no unit",
        }
    }

    /// The unit in which an example is written.
    pub fn usual_unit(self) -> &'static str {
        match self {
            Dimension::Duration => "min",
            Dimension::Length => "m",
            Dimension::SmallLength => "mm",
            Dimension::Caliper => "um",
            Dimension::Speed => "m/min",
            Dimension::Acceleration => "m/min/s",
            Dimension::Rate => "/min",
            Dimension::Share => "%",
            Dimension::MassPerArea => "g/m2",
            Dimension::Density => "g/cm3",
            Dimension::Mass => "kg",
            Dimension::Temperature => "C",
            Dimension::MoneyPerHour => "/h",
            Dimension::MoneyPerSquareMetre => "/m2",
            Dimension::MoneyPerKilogram => "/kg",
            Dimension::Money | Dimension::Count => "",
        }
    }

    /// True where a currency code or sign may stand beside the number.
    pub(super) fn is_money(self) -> bool {
        matches!(
            self,
            Dimension::Money
                | Dimension::MoneyPerHour
                | Dimension::MoneyPerSquareMetre
                | Dimension::MoneyPerKilogram
        )
    }

    /// Every accepted spelling, in lower case, with its size in base units. Fahrenheit is the one
    /// unit whose size is not enough; the reader of quantities treats it apart.
    pub(super) fn units(self) -> &'static [Unit] {
        match self {
            Dimension::Duration => &[
                ("s", 1.0 / 60.0),
                ("sec", 1.0 / 60.0),
                ("second", 1.0 / 60.0),
                ("seconds", 1.0 / 60.0),
                ("min", 1.0),
                ("mins", 1.0),
                ("minute", 1.0),
                ("minutes", 1.0),
                ("h", 60.0),
                ("hr", 60.0),
                ("hrs", 60.0),
                ("hour", 60.0),
                ("hours", 60.0),
                ("d", 1440.0),
                ("day", 1440.0),
                ("days", 1440.0),
                ("wk", 10080.0),
                ("wks", 10080.0),
                ("week", 10080.0),
                ("weeks", 10080.0),
            ],
            Dimension::Length => &[
                ("m", 1.0),
                ("metre", 1.0),
                ("metres", 1.0),
                ("meter", 1.0),
                ("meters", 1.0),
                ("km", 1000.0),
                ("ft", 0.3048),
                ("foot", 0.3048),
                ("feet", 0.3048),
                ("yd", 0.9144),
                ("yard", 0.9144),
                ("yards", 0.9144),
            ],
            Dimension::SmallLength => &[
                ("mm", 1.0),
                ("millimetre", 1.0),
                ("millimetres", 1.0),
                ("millimeter", 1.0),
                ("millimeters", 1.0),
                ("cm", 10.0),
                ("in", 25.4),
                ("inch", 25.4),
                ("inches", 25.4),
                ("\"", 25.4),
            ],
            Dimension::Caliper => &[
                ("um", 1.0),
                ("µm", 1.0),
                ("μm", 1.0),
                ("micron", 1.0),
                ("microns", 1.0),
                ("mil", 25.4),
                ("mils", 25.4),
            ],
            Dimension::Speed => &[
                ("m/min", 1.0),
                ("ft/min", 0.3048),
                ("fpm", 0.3048),
                ("m/s", 60.0),
            ],
            Dimension::Acceleration => &[
                ("m/min/s", 1.0),
                ("ft/min/s", 0.3048),
                ("m/s2", 60.0),
                ("m/s²", 60.0),
            ],
            Dimension::Rate => &[
                ("/min", 1.0),
                ("/minute", 1.0),
                ("/s", 60.0),
                ("/second", 60.0),
                ("/h", 1.0 / 60.0),
                ("/hour", 1.0 / 60.0),
                ("/d", 1.0 / 1440.0),
                ("/day", 1.0 / 1440.0),
                ("/wk", 1.0 / 10080.0),
                ("/week", 1.0 / 10080.0),
            ],
            Dimension::Share => &[("%", 0.01), ("percent", 0.01), ("per cent", 0.01)],
            Dimension::MassPerArea => &[("g/m2", 1.0), ("g/m²", 1.0), ("gsm", 1.0)],
            Dimension::Density => &[
                ("g/cm3", 1.0),
                ("g/cm³", 1.0),
                ("kg/m3", 0.001),
                ("kg/m³", 0.001),
            ],
            // 1 lb = 0.453 592 37 kg exactly (international yard and pound agreement of 1959).
            Dimension::Mass => &[("kg", 1.0), ("lb", 0.453_592_37), ("lbs", 0.453_592_37)],
            Dimension::Temperature => &[
                ("c", 1.0),
                ("°c", 1.0),
                ("degc", 1.0),
                ("f", 1.0),
                ("°f", 1.0),
                ("degf", 1.0),
            ],
            Dimension::Money | Dimension::Count => &[("", 1.0)],
            Dimension::MoneyPerHour => &[("/h", 1.0), ("/hour", 1.0), ("/hr", 1.0)],
            Dimension::MoneyPerSquareMetre => &[("/m2", 1.0), ("/m²", 1.0)],
            Dimension::MoneyPerKilogram => &[("/kg", 1.0)],
        }
    }

    /// The size of a unit written `unit` (already lower case, `per` already `/`), if it is one.
    pub(super) fn factor(self, unit: &str) -> Option<f64> {
        self.units()
            .iter()
            .find(|(name, _)| *name == unit)
            .map(|(_, size)| *size)
    }
}
