//! What things cost and bring.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{
    Amount, FilmPrice, Named, Number, PerDay, PerHour, PerKilogram, PerThousand, PerYear, Price,
    Share, Years,
};

/// What things cost and bring, in the currency of the reader.
///
/// Nothing is assumed: what is not told is not in the figures, and the results say so.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Money {
    /// Interest a year that money must earn. Without it there is no yearly cost of capital, no present value and no discounted payback.
    #[serde(default)]
    pub rate: Option<Share>,
    /// Yearly differences that are surely no larger than this count as none in comparisons. Default: every one counts.
    #[serde(default)]
    pub equal_within: Option<PerYear>,
    /// Weeks a year that are like the measured ones; weekly figures times this make yearly ones.
    #[serde(default = "weeks")]
    pub weeks: Number,
    /// What machines cost, by name of the machine. The name of a machine with a `count` stands for each of them.
    #[serde(default)]
    pub machines: Named<MachineMoney>,
    /// What else is bought, by a name of your own: a quicker changeover kit, a hall, training.
    #[serde(default)]
    pub purchases: Named<Purchase>,
    /// An hour of a person's presence with all that goes with it, by pool. It is paid whether there is work or not.
    #[serde(default)]
    pub labour: Named<PerHour>,
    /// Paid on top of the labour rate for the crew of a machine that works beyond its shift.
    #[serde(default = "overtime")]
    pub overtime: Share,
    /// Prices of films by name, per kg or per m2. A laminate made of `films` costs what its films and adhesive cost, unless it has a `price` of its own.
    #[serde(default)]
    pub films: Named<FilmPrice>,
    /// Prices of adhesives by name, per area and bond line.
    #[serde(default)]
    pub adhesives: Named<Price>,
    /// Bought-in parts of 1,000 good pouches, by product: zipper, spouts, further webs that are not laminated here, cartons.
    #[serde(default)]
    pub extras: Named<PerThousand>,
    /// Getting rid of lost web. Its material is in the material cost already.
    #[serde(default)]
    pub disposal: Option<PerKilogram>,
    /// What an order costs for each day it is late (calendar days, parts of days in proportion), by class.
    #[serde(default)]
    pub late: Named<PerDay>,
    /// What 1,000 good pouches bring, by class: their price less every cost that is not told in this block, such as print and freight. The costs of this block are taken off it.
    #[serde(default)]
    pub margin: Named<PerThousand>,
    /// What the customer pays on top for 1,000 good pouches, by class.
    #[serde(default)]
    pub premium: Named<PerThousand>,
    /// What 1,000 pouches cost that another shop makes, by class (`when_full: send_out`): all of it, with their film and freight.
    #[serde(default)]
    pub outside: Named<PerThousand>,
    /// Whether good pouches beyond the ordered quantity are paid: they count for margin and premium, or they do not.
    #[serde(default)]
    pub overs: Overs,
    /// With paid overs: what is paid of them at most, as a share of the ordered quantity. Default: all.
    #[serde(default)]
    pub overs_most: Option<Share>,
}

/// Whether good pouches beyond the ordered quantity are paid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Overs {
    /// The customer takes and pays all good pouches.
    #[default]
    Paid,
    /// The customer pays for the ordered quantity at most.
    Unpaid,
}

fn weeks() -> Number {
    "52".into()
}

fn overtime() -> Share {
    "0 %".into()
}

/// What a machine costs.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MachineMoney {
    /// An hour of use (changing over, running, stops, repair): energy, wear, service by the hour. Not its people, not its capital.
    #[serde(default)]
    pub hour: Option<PerHour>,
    /// Paid for it, erected and running. Leave it out for a machine that is paid for.
    #[serde(default)]
    pub capital: Option<Amount>,
    /// Years of use. Required with `capital`.
    #[serde(default)]
    pub life: Option<Years>,
    /// What is left of it at the end of its life.
    #[serde(default)]
    pub residual: Option<Amount>,
    /// What it costs a year whether it runs or not: floor space, service contract, insurance.
    #[serde(default)]
    pub yearly: Option<PerYear>,
}

/// Something bought once.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Purchase {
    /// Paid at the start.
    pub capital: Amount,
    /// Years of use.
    pub life: Years,
    /// What is left of it at the end of its life.
    #[serde(default)]
    pub residual: Option<Amount>,
    /// What it costs a year.
    #[serde(default)]
    pub yearly: Option<PerYear>,
}
